"""Accidentals against the signature on a part's own page."""

from dataclasses import replace

from planner.core.score import KeySignature
from planner.study.notes.columns import columns_of
from planner.study.page.accidentals import accidentals_of, find_accidentals
from tests.builders import make_part, make_score


def kinds(part):
    return [(use.kind, use.pitch, use.measure, use.times) for use in accidentals_of(part)]


def said(part):
    return [s.sentence for s in find_accidentals(columns_of(make_score(part))).statements]


def printed(part, *signs):
    """Put printed accidentals on the heads given as (index, sign, is courtesy)."""
    notes = list(part.notes)
    for index, sign, courtesy in signs:
        notes[index] = replace(notes[index], accidental=sign, is_courtesy=courtesy)
    return replace(part, notes=tuple(notes))


def test_notes_of_the_signature_are_no_accidentals():
    part = make_part("F#4 G4 A4 B4", fifths=1)
    assert kinds(part) == []
    assert said(part) == ["Every note is in the signature (1 sharp)."]


def test_each_foreign_note_is_told_with_its_first_bar_and_how_often():
    signs = (0, "sharp", False), (4, "sharp", False), (6, "flat", False)
    part = printed(make_part("F#4 G4 A4 B4 | F#4 C5 Bb4 A4"), *signs)
    assert kinds(part) == [("first", "F#", 0, 2), ("first", "Bb", 1, 1)]
    assert said(part) == ["Outside the signature: F♯ first in bar 1 (twice) and B♭ first in bar 2 (once)."]


def test_an_accidental_holds_to_the_end_of_the_bar_without_a_new_sign():
    part = printed(make_part("F#4 G4 F#4 G4 | F4 F4 G4 G4"), (0, "sharp", False), (4, "natural", True))
    assert ("again", "F#", 0, 1) in kinds(part)
    assert ("courtesy", "F", 1, 1) in kinds(part)
    assert "Still altered later in the same bar, without a new sign: F♯ in bar 1." in said(part)
    assert "Signs that only remind: F♮ in bar 2." in said(part)


def test_the_same_letter_in_another_octave_is_not_held():
    part = printed(make_part("F#4 F#5 G4 G4"), (0, "sharp", False), (1, "sharp", False))
    assert [use.kind for use in accidentals_of(part)] == ["first"]


def test_a_natural_against_the_signature_is_an_accidental():
    part = printed(make_part("Bb4 B4 C5 D5", fifths=-2), (1, "natural", False))
    assert kinds(part) == [("first", "B", 0, 1)]


def test_a_tied_note_over_the_barline_is_not_told_again():
    part = printed(make_part("C4 D4 E4 F#4~ | F#4 G4 A4 B4"), (3, "sharp", False))
    assert kinds(part) == [("first", "F#", 0, 1)]


def test_a_changed_signature_counts_from_where_it_stands():
    part = make_part("F#4*4 | F#4*4")
    part = replace(part, keys=(KeySignature(0, 0), KeySignature(1, 1)))
    assert kinds(part) == [("first", "F#", 0, 1)]


def test_spelling_traps_are_told_with_what_they_sound_as():
    part = make_part("E#4 F#4 B#4 C#5 | G#4 A4 Ab4 G4", fifths=2)
    traps = {(use.pitch, use.measure): use.why for use in accidentals_of(part) if use.kind == "enharmonic"}
    assert traps == {("E#", 0): "sounds as F", ("B#", 0): "sounds as C", ("Ab", 1): "is the G♯ just played"}


def test_another_spelling_long_before_does_not_confuse():
    part = make_part("G#4*4 | C4*4 | C4*4 | Ab4*4")
    assert not [use for use in accidentals_of(part) if use.kind == "enharmonic"]


def test_an_unpitched_part_has_nothing_to_say():
    part = make_part("r*4")
    assert said(part) == []
