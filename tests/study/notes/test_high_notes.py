"""The highest note of a part."""

from planner.study.notes.columns import columns_of
from planner.study.notes.high_notes import high_note_facts
from tests.builders import make_part, make_score


def found(music, **kinds):
    return list(high_note_facts(columns_of(make_score(make_part(music, **kinds)))))


def test_the_highest_note_with_its_bars_where_it_is_rare():
    [fact] = found("C5 G5 C5 D5 | C5 D5 E5 C5 | Ab5 G5 Ab5 G5")
    assert (fact.notes, fact.places) == (("Ab5",), ((2, 2),))


def test_a_note_that_comes_all_the_time_is_not_spoken_of():
    assert found(" | ".join(["C5 A5 C5 A5"] * 4)) == []


def test_a_part_on_a_few_notes_has_no_top():
    assert found("C5 D5 E5 D5 | C5 D5 D5 D5") == []


def test_a_keyboard_has_none():
    assert found("C5 G5 C5 D5 | C5 D5 E5 A5", name="Piano", instrument="piano") == []
