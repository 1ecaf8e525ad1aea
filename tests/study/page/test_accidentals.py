"""Accidentals against the signature on a part's own page."""

from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from planner.core.profile import AccidentalKind
from planner.core.score import KeySignature
from planner.study.notes.columns import columns_of
from planner.study.page.accidentals import accidentals_of, find_accidentals, telling_signs
from tests.builders import make_part, make_score


def kinds(part):
    return [(use.kind, use.pitch, use.measure, use.times) for use in accidentals_of(part)]


def facts(part):
    return {fact.kind: fact for fact in find_accidentals(columns_of(make_score(part))).facts}


def printed(part, *signs):
    """Put printed accidentals on the heads given as (index, sign, is courtesy)."""
    notes = list(part.notes)
    for index, sign, courtesy in signs:
        notes[index] = replace(notes[index], accidental=sign, is_courtesy=courtesy)
    return replace(part, notes=tuple(notes))


def test_notes_of_the_signature_are_no_accidentals():
    part = make_part("F#4 G4 A4 B4", fifths=1)
    assert kinds(part) == []
    [fact] = facts(part).values()
    assert (fact.kind, fact.part, fact.number("fifths")) == (FactKind.IN_SIGNATURE, part.name, 1)


def test_each_foreign_note_has_its_bars_and_how_often_it_is_struck():
    signs = (0, "sharp", False), (4, "sharp", False), (6, "flat", False)
    part = printed(make_part("F#4 G4 A4 B4 | F#4 C5 Bb4 A4"), *signs)
    assert kinds(part) == [("first", "F#", 0, 2), ("first", "Bb", 1, 1)]
    assert [use.measures for use in accidentals_of(part)] == [(0, 1), (1,)]
    [fact] = facts(part).values()
    assert (fact.kind, fact.notes, fact.number("more")) == (FactKind.OUTSIDE_SIGNATURE, ("F#", "Bb"), 0)


def test_an_accidental_holds_to_the_end_of_the_bar_without_a_new_sign():
    part = printed(make_part("F#4 G4 F#4 G4 | F4 F4 G4 G4"), (0, "sharp", False), (4, "natural", True))
    assert ("again", "F#", 0, 1) in kinds(part)
    assert ("courtesy", "F", 1, 1) in kinds(part)
    found = facts(part)
    assert found[FactKind.STILL_ALTERED].notes == ("F#",)
    assert found[FactKind.REMINDERS].notes == ("F",)
    assert found[FactKind.STILL_ALTERED].weight > found[FactKind.REMINDERS].weight


@pytest.mark.parametrize("signs", [((0, "sharp", False),), ((0, "sharp", False), (1, "sharp", False))])
def test_one_head_of_two_voices_is_neither_held_nor_a_reminder(signs):
    part = make_part("F#4 G4 A4 B4")
    both = replace(part, notes=(part.notes[0], replace(part.notes[0], voice="2"), *part.notes[1:]))
    assert [use.kind for use in accidentals_of(printed(both, *signs))] == ["first"]


def test_a_note_after_its_own_grace_note_is_held():
    part = printed(make_part("F#4 G4 A4 B4"), (0, "sharp", False))
    grace = replace(part.notes[0], is_grace=True)
    plain = replace(part.notes[0], accidental="")
    graced = replace(part, notes=(grace, plain, *part.notes[1:]))
    assert ("again", "F#", 0, 1) in kinds(graced)


def test_the_same_letter_in_another_octave_is_not_held():
    part = printed(make_part("F#4 F#5 G4 G4"), (0, "sharp", False), (1, "sharp", False))
    assert [use.kind for use in accidentals_of(part)] == ["first"]


def test_a_natural_against_the_signature_is_an_accidental():
    part = printed(make_part("Bb4 B4 C5 D5", fifths=-2), (1, "natural", False))
    assert kinds(part) == [("first", "B", 0, 1)]


def test_a_tied_note_over_the_barline_does_not_count_again():
    part = printed(make_part("C4 D4 E4 F#4~ | F#4 G4 A4 B4"), (3, "sharp", False))
    assert kinds(part) == [("first", "F#", 0, 1)]


def test_a_changed_signature_counts_from_where_it_stands():
    part = make_part("F#4*4 | F#4*4")
    part = replace(part, keys=(KeySignature(0, 0), KeySignature(1, 1)))
    assert kinds(part) == [("first", "F#", 0, 1)]


def test_spelling_traps_have_what_they_sound_as():
    part = make_part("E#4 F#4 B#4 C#5 | G#4 A4 Ab4 G4", fifths=2)
    traps = [
        (use.pitch, use.measure, use.sounds_as, use.just_played)
        for use in accidentals_of(part)
        if use.kind is AccidentalKind.ENHARMONIC
    ]
    assert traps == [("E#", 0, "F", ""), ("B#", 0, "C", ""), ("Ab", 1, "", "G#")]
    assert facts(part)[FactKind.SPELLINGS].notes == ("E#", "B#", "Ab")


def test_a_fact_names_the_four_notes_that_come_most_often_and_counts_the_others():
    part = make_part("C#4 D#4 E#4 F#4 | G#4 A#4 B#4 Cb4 | Db4 Eb4 Gb4 Ab4 | Ab4 F#4 A#4 Ab4 | C4 D4 E4 F4")
    fact = facts(part)[FactKind.OUTSIDE_SIGNATURE]
    assert fact.notes == ("C#", "F#", "A#", "Ab")
    assert fact.number("more") == 8


def test_under_several_signatures_nothing_is_said_of_the_one():
    part = replace(make_part("C4*4 | C4*4"), keys=(KeySignature(0, 0), KeySignature(1, 1)))
    assert facts(part) == {}


def test_another_spelling_long_before_does_not_confuse():
    part = make_part("G#4*4 | C4*4 | C4*4 | Ab4*4")
    assert not [use for use in accidentals_of(part) if use.kind == "enharmonic"]


def test_an_unpitched_part_has_nothing_to_say():
    assert facts(make_part("r*4")) == {}


def test_a_note_of_the_signature_that_takes_back_an_accidental_of_its_bar_is_kept():
    part = make_part("G#4 G4 A4 B4 | G4 A4 B4 C5 | F4 F#4 F4 F#4", fifths=1)
    assert [use for use in kinds(part) if use[0] == "back"] == [("back", "G", 0, 1), ("back", "F#", 2, 2)]


def test_signs_that_repeat_signature_or_bar_tell_nothing():
    part = make_part("F#4 F#5 C#5 C#5 | C5 C#5 F4 F#4", fifths=1)
    signs = [(at, "sharp", False) for at in (0, 1, 2, 3, 5, 7)]
    signed = printed(part, *signs, (4, "natural", False), (6, "natural", False))
    told = [(note.measure, str(note.pitch)) for note in telling_signs(signed)]
    assert told == [(0, "C#5"), (1, "C#5"), (1, "F4"), (1, "F#4")]
