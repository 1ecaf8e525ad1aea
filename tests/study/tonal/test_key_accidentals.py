"""Accidentals of keys that are only touched: what applied chords bring, and what is left unexplained."""

import pytest

from planner.core.fact import FactKind
from planner.core.pitch import Transposition
from planner.study.notes.columns import columns_of
from planner.study.tonal.chords import CHORDS, Key
from planner.study.tonal.keys import find_keys
from tests.builders import make_part, make_score

CADENCE = "C4+E4+G4 F4+A4+C5 G4+B4+D5*2 | C4+E4+G4*4"
TO_G = "D4+F#4+A4+C5 D4+F#4+A4+C5 G3+B4+D5*2 | C4+E4+G4 F4+A4+C5 G4+B4+D5*2"
"""The dominant seventh of the dominant, struck twice, and the way home."""
WITH_C7 = "C4+E4+G4+Bb4 C4+E4+G4+Bb4 F4+A4+C5*2 | C4+E4+G4 F4+A4+C5 G4+B4+D5*2"
"""The dominant seventh of the subdominant: its seventh is altered, its leading tone is not."""


def accidentals(music, **kwargs):
    study = find_keys(columns_of(make_score(make_part(music, **kwargs))))
    assert study.home_key
    return [fact for fact in study.facts if fact.kind is FactKind.KEY_ACCIDENTALS]


def around(middle):
    return " | ".join([CADENCE] * 7 + [middle] + [CADENCE] * 7)


def test_the_accidental_of_an_applied_chord_is_explained_by_the_key_it_points_to():
    [fact] = accidentals(around(TO_G))
    assert (fact.notes, fact.keys, fact.terms) == (("F#",), ("G major",), ("touched",))
    assert fact.places == ((14, 14),)
    assert fact.numbers == (("times", 2), ("leading", 0))


def test_it_is_spelled_for_a_transposing_part():
    [fact] = accidentals(around(TO_G), name="Horn", transposition=Transposition(-4, -7))
    assert (fact.notes, fact.keys) == (("F#",), ("G major", "C major"))


def test_once_is_not_again_and_again():
    assert not accidentals(around(TO_G.replace("D4+F#4+A4+C5 D4+F#4+A4+C5", "D4+F#4+A4+C5*2")))


def test_chords_of_one_key_close_to_one_another_are_one_touch():
    once = TO_G.replace("D4+F#4+A4+C5 D4+F#4+A4+C5", "D4+F#4+A4+C5*2")
    [fact] = accidentals(around(f"{once} | {once}"))
    assert (fact.places, fact.number("times")) == (((14, 16),), 2)


def test_a_key_whose_leading_tone_is_not_altered_is_not_named_for_a_touch():
    assert not accidentals(around(WITH_C7))


@pytest.mark.parametrize(
    ("local", "figure", "name"),
    [
        (Key(0, False), "V7/V", "G major"),
        (Key(0, False), "viio7/vi", "A minor"),
        (Key(0, False), "V7/IV", "F major"),
        (Key(-2, False), "V/vi", "G minor"),
        (Key(0, True), "V/V", "G minor"),
        (Key(0, True), "V7/III", "Eb major"),
        (Key(0, True), "viio7/iv", "F minor"),
        (Key(0, False), "V7", None),
    ],
)
def test_an_applied_chord_points_to_a_degree_of_the_scale(local, figure, name):
    """The keys are those of closely related degrees, as theory books teach (common practice, from memory)."""
    chord = next(each for each in CHORDS[local.is_minor] if each.figure == figure)
    key = chord.applied_key(local)
    assert (key.name if key else None) == name
