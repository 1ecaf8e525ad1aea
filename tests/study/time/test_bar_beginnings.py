"""How bars begin, which rests are counted, on which beats a part plays, and how long it holds a note."""

import pytest

from planner.core.fact import FactKind
from planner.study.study import study
from planner.study.time.bar_beginnings import beat_at
from tests.builders import make_part, make_score


def found(kind, music, time="4/4"):
    profile = study(make_score(make_part(" | ".join(music)), time=time))
    return [fact for fact in profile.facts if fact.kind is kind]


def test_bars_that_begin_with_a_rest_are_told_by_the_beat_on_which_the_part_comes_in():
    late = found(FactKind.BARS_BEGIN_SILENT, ["r*2 C5 D5", "C5*4", "r*2 E5*2", "r*3/2 C5*1/2 D5*2"])
    assert [(fact.places, fact.number("beat")) for fact in late] == [
        (((0, 0), (2, 2)), 3.0), (((3, 3),), 2.5),
    ]  # fmt: skip


def test_a_moment_between_the_counts_is_on_no_beat():
    assert found(FactKind.BARS_BEGIN_SILENT, ["r*3/4 C5*1/4 D5*3", "C5*4"]) == []
    assert (beat_at(2, (0, 6), 12), beat_at(6, (0, 4), 9)) == (0.0, 0.0), "no half, and beats of two lengths"


def test_rests_are_counted_from_two_bars_on_with_the_beat_of_the_entrance():
    music = ["C5*4", "r*4", "C5*4", "r*4", "r*4", "r*1 C5*3", "r*4", "r*4", "r*4", "C5*4"]
    [fact] = found(FactKind.COUNTED_RESTS, music)
    assert (fact.places, fact.each("bars"), fact.each("beat")) == (((5, 5), (9, 9)), (2, 3), (2.0, 1.0))


def test_a_part_on_two_and_four_plays_there_in_three_bars_at_least():
    off = "r*1 C5 r*1 C5"
    [fact] = found(FactKind.SAME_BEATS, ["C5*4", off, off, off, "C5*4", off])
    assert (fact.places, fact.each("beat")) == (((1, 3),), (2.0, 4.0))
    assert found(FactKind.SAME_BEATS, [off, off, "C5*4", off, off]) == []
    assert found(FactKind.SAME_BEATS, ["C5 r*1 C5 r*1"] * 4) == [], "with the first beat it is no offbeat"


def test_a_bar_that_begins_on_a_tied_note_is_named_where_the_part_goes_on():
    [fact] = found(FactKind.BARS_BEGIN_TIED, ["C5*2 D5*2~", "D5 E5*3", "C5*4~", "C5*4", "C5*4"])
    assert (fact.places, fact.number("in_all")) == (((1, 1),), 2)


def test_a_part_that_is_silent_at_the_end_while_another_plays_stops_early():
    def stops(*music):
        parts = (make_part(" | ".join(each), name=name) for name, each in zip("AB", music, strict=True))
        return [fact for fact in study(make_score(*parts)).facts if fact.kind is FactKind.STOPS_EARLY]

    bar, rest = "C5 D5 E5 F5", "r*4"
    [fact] = stops([bar, bar, rest, rest], [bar] * 4)
    assert (fact.part, fact.places, fact.number("bars")) == ("A", ((1, 1),), 2)
    assert stops([bar, bar, bar, rest], [bar] * 4) == [], "one bar is no rest to count"
    assert stops([bar, rest, rest, rest], [bar, rest, rest, rest]) == [], "nobody goes on"


def test_the_longest_note_is_told_with_its_beats_where_its_bar_has_no_other():
    [fact] = found(FactKind.HELD_NOTE, ["C5 D5 E5 F5", "G5*4~", "G5*2 r*2"])
    assert (fact.places, fact.number("beats")) == (((1, 2),), 6)
    assert found(FactKind.HELD_NOTE, ["C5 D5 E5*2~", "E5*4", "C5 D5 E5 F5"]) == []


def test_the_widest_leap_is_told_where_it_is_the_only_one():
    [fact] = found(FactKind.WIDEST_LEAP, ["C5 D5 A5 G5", "E5*4"])
    assert (fact.places, fact.notes) == (((0, 0),), ("D5", "A5"))
    assert found(FactKind.WIDEST_LEAP, ["C5 D5 A5 D5"]) == [], "up and down again"
    assert found(FactKind.WIDEST_LEAP, ["C5 D5 E5 D5"]) == [], "no leap"


@pytest.mark.parametrize(("hard", "rhythms"), [("C5*3/2 D5*1/2 E5*2", 2), ("C5*4", 1)])
def test_beside_the_rhythm_to_tap_others_are_counted(hard, rhythms):
    syncopated = "C5*1/2 D5*1 E5*1/2 F5*2"
    music = [syncopated, syncopated, hard, "C5*4"]
    kinds = (FactKind.RHYTHM_TO_TAP, FactKind.RHYTHM_TO_COUNT)
    facts = [fact for kind in kinds for fact in found(kind, music)]
    assert [fact.places[0][0] for fact in facts] == [0, 2][:rhythms]
