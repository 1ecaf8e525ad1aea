"""Music against its signature: each kind alone and in a row, and how many parts it takes."""

import pytest

from tests.builders import make_part, make_score
from tests.study.time.test_meter import against

HEMIOLA = "C4*2 E4*1~ | E4*1 G4*2"
PLAIN = "C4 D4 E4 | C4 D4 E4"


def found(*music, time):
    score = make_score(*(make_part(line, name=f"Part {n}") for n, line in enumerate(music)), time=time)
    return [(fact.terms[0], *fact.places[0]) for fact in against(score)]


@pytest.mark.parametrize(
    ("time", "bar", "name"), [("3/4", "C4*3/2 D4*3/2", "3/4 as 6/8"), ("4/4", "C4*3/2 D4*3/2 E4", "3+3+2")]
)
def test_a_common_rhythm_is_told_only_from_two_bars_on(time, bar, name):
    plain = {"3/4": "C4*3", "4/4": "C4*4"}[time]
    assert found(f"{plain} | {bar} | {plain}", time=time) == []
    assert found(f"{plain} | {bar} | {bar} | {plain}", time=time) == [(name, 1, 2)]
    assert found(f"{bar} | {bar} | {bar} | {plain}", time=time) == [(name, 0, 2)]


def test_one_bar_of_quarters_in_six_eight_is_worth_telling_even_the_first():
    bar, plain = "C4 D4 E4", "C4*3/2 D4*3/2"
    assert found(f"{bar} | {plain}", time="6/8") == [("6/8 as 3/4", 0, 0)]
    assert found(f"{bar} | {plain} | {bar} | {bar}", time="6/8") == [
        ("6/8 as 3/4", 0, 0),
        ("6/8 as 3/4", 2, 3),
    ]


def test_hemiolas_one_after_the_other_are_one_passage():
    assert found(f"{HEMIOLA} | {HEMIOLA} | C4*3", time="3/4") == [("hemiola", 0, 3)]
    assert found(f"{HEMIOLA} | C4*3 | {HEMIOLA}", time="3/4") == [("hemiola", 0, 1), ("hemiola", 3, 4)]
    assert found(f"C4*3 | {HEMIOLA} | C4*3", time="3/4") == [("hemiola", 1, 2)]


@pytest.mark.parametrize(("against_it", "with_it", "is_told"), [(1, 0, True), (1, 1, False), (2, 0, True),
                                                                (2, 1, False), (3, 1, True), (2, 2, False),
                                                                (6, 2, True), (5, 2, False)])  # fmt: skip
def test_three_parts_in_four_must_move_so_and_both_of_two(against_it, with_it, is_told):
    music = [HEMIOLA] * against_it + [PLAIN] * with_it
    assert bool(found(*music, time="3/4")) is is_told


def test_parts_that_rest_have_no_say():
    assert found(HEMIOLA, HEMIOLA, "r*3 | r*3", "r*3 | r*3", time="3/4") == [("hemiola", 0, 1)]


def test_a_stroke_on_the_silent_pulse_or_a_missing_one_undoes_it():
    assert found("C4*2 E4 | F4 G4*2", time="3/4") == []
    assert found("C4*2 E4*1~ | E4*3", time="3/4") == []
    assert found("r*2 E4*1~ | E4*1 G4*2", time="3/4") == []


def test_strokes_between_the_eighths_do_not_matter():
    assert found("C4*7/4 D4*1/4 E4*1~ | E4*1 G4*2", time="3/4") == [("hemiola", 0, 1)]
