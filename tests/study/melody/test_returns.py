"""Where the melody comes again, whoever plays it."""

from planner.core.fact import FactKind
from planner.core.profile import MelodySpan
from planner.study.melody.returns import find_returns, tune_return_facts
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score

TUNE = "C5 D5 E5 G5 | F5 E5 D5*2 | E5 F5 G5 B4 | C5*4"
OTHER = "A4 B4 A4 G4 | F4*2 E4*2 | D4 F4 A4 G4 | E4*4"
REST = " | ".join(["r*4"] * 4)


def found(*music, melody):
    score = make_score(*(make_part(each, name=f"Part {at}") for at, each in enumerate(music)))
    spans = tuple(MelodySpan(measure, 0.0, f"Part {part}") for measure, part in melody)
    return [fact.places for fact in tune_return_facts(columns_of(score), spans)]


def test_a_tune_that_comes_again_is_found_with_both_places():
    assert found(f"{TUNE} | {OTHER} | {TUNE}", melody=[(0, 0)]) == [((0, 3), (8, 11))]


def test_also_where_another_part_takes_it_up_in_another_octave():
    higher = TUNE.replace("5", "6").replace("B4", "B5")
    music = f"{TUNE} | {REST}", f"{REST} | {higher}"
    assert found(*music, melody=[(0, 0), (4, 1)]) == [((0, 3), (4, 7))]


def test_a_bar_that_differs_inside_does_not_hide_a_return():
    varied = TUNE.replace("F5 E5 D5*2", "F5 A5 D5*2")
    assert found(f"{TUNE} | {OTHER} | {varied}", melody=[(0, 0)]) == [((0, 3), (8, 11))]


def test_what_is_not_the_same_does_not_return():
    assert found(f"{TUNE} | {OTHER}", melody=[(0, 0)]) == []


def test_one_bar_over_and_over_is_no_tune():
    assert found(" | ".join(["C5 D5 E5 D5"] * 12), melody=[(0, 0)]) == []


def test_a_return_inside_a_longer_one_is_left_out():
    bars = [frozenset({(at, at % 12), (7, 3)}) for at in range(6)]
    [one] = find_returns([*bars, *bars])
    assert (one.first, one.later) == ((0, 5), ((6, 11),))


def test_a_third_time_is_told_of_the_first_and_not_of_the_second():
    tune = [frozenset({(at, at % 12), (7, 3)}) for at in range(6)]
    gap = [frozenset({(1, 100 + at)}) for at in range(3)]
    found = find_returns([*tune, *tune, *gap, *tune[:4]])
    assert {(each.first, each.later) for each in found} == {((0, 5), ((6, 11),)), ((0, 3), ((15, 18),))}


def test_it_is_a_fact_for_everyone():
    score = make_score(make_part(f"{TUNE} | {TUNE}", name="Part 0"))
    [fact] = tune_return_facts(columns_of(score), (MelodySpan(0, 0.0, "Part 0"),))
    assert (fact.kind, fact.part) == (FactKind.TUNE_RETURNS, "")
