"""Accidentals in words."""

from dataclasses import replace

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import AccidentalKind, AccidentalUse, SignatureSpan
from planner.wording.study.sentences import sentence_of
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile

FIRST, AGAIN, COURTESY, ENHARMONIC, _ = AccidentalKind
USES = (
    AccidentalUse(0, "F#", FIRST, 2, (0, 1)),
    AccidentalUse(1, "Bb", FIRST, 1, (1,)),
    AccidentalUse(2, "F", FIRST, 3, (2,)),
    AccidentalUse(0, "F#", AGAIN, 1, (0,)),
    AccidentalUse(1, "F", COURTESY, 2, (1, 4)),
    AccidentalUse(0, "E#", ENHARMONIC, 1, (0,), sounds_as="F"),
    AccidentalUse(1, "Ab", ENHARMONIC, 1, (1,), just_played="G#"),
)


def profile_with(*uses):
    profile = make_profile(measure_numbers=tuple("12345"))
    return replace(profile, parts=(replace(profile.parts[0], accidentals=uses),))


@pytest.mark.parametrize(
    ("kind", "notes", "more", "sentence"),
    [
        (
            FactKind.OUTSIDE_SIGNATURE, ("F#", "Bb", "F"), 0,
            "Outside the signature: F♯ first in bar 1 (twice), B♭ first in bar 2 (once) "
            "and F♮ first in bar 3 (3 times).",
        ),
        (
            FactKind.OUTSIDE_SIGNATURE, ("F#",), 2,
            "3 different notes are outside the signature, most often F♯ first in bar 1 (twice).",
        ),
        (
            FactKind.STILL_ALTERED, ("F#",), 0,
            "Still altered later in the same bar, without a new sign: F♯ in bar 1.",
        ),
        (FactKind.REMINDERS, ("F",), 0, "Signs that only remind: F♮ in bars 2 and 5."),
        (FactKind.REMINDERS, ("F",), 3, "Signs that only remind, most often: F♮ in bars 2 and 5."),
        (
            FactKind.SPELLINGS, ("E#", "Ab"), 0,
            "Spelling: E♯ in bar 1 sounds as F and A♭ in bar 2 is the G♯ just played.",
        ),
    ],
)  # fmt: skip
def test_accidentals_of_each_kind_in_words(kind, notes, more, sentence):
    fact = Fact(kind, "Flute", notes=notes, numbers=named(more=more))
    assert sentence_of(fact, profile_with(*USES)) == sentence


@pytest.mark.parametrize(
    ("fifths", "signature"), [(0, "no sharps or flats"), (1, "1 sharp"), (-3, "3 flats")]
)
def test_a_part_that_keeps_to_its_signature(fifths, signature):
    fact = Fact(FactKind.IN_SIGNATURE, "Flute", numbers=named(fifths=fifths))
    assert sentence_of(fact, profile_with()) == f"Every note is in the signature ({signature})."


def test_the_json_says_why_beside_a_spelling_and_nothing_beside_the_others():
    [part] = study_to_dict(profile_with(*USES))["parts"]
    assert [use["why"] for use in part["accidentals"]] == [
        "", "", "", "", "", "sounds as F", "is the G♯ just played"
    ]  # fmt: skip


def test_the_json_names_the_signatures_of_a_part():
    profile = make_profile()
    part = replace(profile.parts[0], keys=(SignatureSpan(0, "Eb major", -3), SignatureSpan(1, "", 9)))
    [found] = study_to_dict(replace(profile, parts=(part,)))["parts"]
    assert [(key["key"], key["relation"]) for key in found["keys"]] == [
        ("Eb major", "3 flats"),
        ("", "9 sharps"),
    ]
