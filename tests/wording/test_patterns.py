"""Patterns in words."""

from dataclasses import replace

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import Pattern, PatternKind
from planner.wording.study.patterns import pattern_sentence
from planner.wording.study.sentences import sentence_of
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile

NUMBERS = tuple(str(number) for number in range(1, 31))
REPEAT, SEQUENCE = PatternKind.REPEAT, PatternKind.SEQUENCE
NAMES = ("Oboe", "Clarinet", "Trumpet", "Horn", "Tuba")


@pytest.mark.parametrize(
    ("pattern", "sentence"),
    [
        (
            Pattern(REPEAT, ((0, 1), (4, 5)), notes=8, fills_bars=True),
            "Bars 1–2 come back note for note in bars 5–6.",
        ),
        (
            Pattern(REPEAT, ((1, 1), (4, 4), (6, 6)), notes=6, fills_bars=True),
            "Bar 2 comes back note for note in bars 5 and 7.",
        ),
        (
            Pattern(REPEAT, ((0, 1), (4, 5)), notes=9),
            "9 notes from bars 1–2 come back note for note in bars 5–6.",
        ),
        (
            Pattern(REPEAT, ((0, 1), (4, 5), (8, 9)), notes=8, steps=(-2, 0), fills_bars=True),
            "The shape of bars 1–2 comes again: a third lower in bars 5–6 and at pitch in bars 9–10.",
        ),
        (
            Pattern(REPEAT, ((0, 1), (4, 5)), notes=9, steps=(8,)),
            "The shape of 9 notes from bars 1–2 comes again: 8 steps higher in bars 5–6.",
        ),
        (
            Pattern(SEQUENCE, ((2, 4),), notes=3, times=3, steps=(-2,)),
            "Sequence in bars 3–5: a figure of three notes, three times, each time a third lower.",
        ),
        (
            Pattern(SEQUENCE, ((2, 4),), notes=3, times=3, steps=(-2,), staff=2),
            "Sequence in bars 3–5: a figure of three notes, three times, each time a third lower "
            "(lower staff).",
        ),
        (
            Pattern(PatternKind.RHYTHM, ((0, 2),), notes=3, staff=3),
            "One rhythm of three notes fills bars 1–3 (staff 3).",
        ),
        (
            Pattern(SEQUENCE, ((2, 3),), notes=5, times=2, steps=(1,)),
            "Sequence in bars 3–4: a figure of five notes, then again a step higher.",
        ),
        (
            Pattern(PatternKind.OSTINATO, ((0, 3),), notes=4, times=4),
            "Ostinato in bars 1–4: the same four notes, four times running.",
        ),
        (
            Pattern(PatternKind.RHYTHM, ((0, 2), (4, 4)), notes=3),
            "One rhythm of three notes fills bars 1–3 and 5.",
        ),
        (
            Pattern(PatternKind.RHYTHM, tuple((bar, bar) for bar in range(0, 14, 2)), notes=3),
            "One rhythm of three notes fills bars 1, 3, 5, 7, 9 and 11, and one more place.",
        ),
        (
            Pattern(PatternKind.UNISON, ((0, 3),), with_parts=("Oboe",), has_top_line=True, octaves=(0,)),
            "You have the top line, in unison with Oboe, in bars 1–4.",
        ),
        (
            Pattern(
                PatternKind.UNISON, ((0, 3),), with_parts=("Oboe", "Horn"), has_top_line=True, octaves=(1, 2)
            ),
            "You have the top line, in octaves with Oboe and Horn, in bars 1–4.",
        ),
        (
            Pattern(PatternKind.UNISON, ((0, 3),), with_parts=("Oboe",), octaves=(0,)),
            "You play in unison with Oboe in bars 1–4.",
        ),
        (
            Pattern(PatternKind.UNISON, ((0, 3),), with_parts=("Oboe",), octaves=(-1,)),
            "You play what Oboe plays, an octave lower, in bars 1–4.",
        ),
        (
            Pattern(PatternKind.UNISON, ((0, 3),), with_parts=("Oboe", "Horn"), octaves=(2, 2)),
            "You play what Oboe and Horn play, two octaves higher, in bars 1–4.",
        ),
        (
            Pattern(PatternKind.UNISON, ((0, 3),), with_parts=("Oboe", "Horn"), octaves=(-1, 1)),
            "You play in octaves with Oboe and Horn in bars 1–4.",
        ),
        (
            Pattern(PatternKind.UNISON, ((0, 3),), with_parts=("Oboe", "Horn"), octaves=(0, 1)),
            "You play in unison or octaves with Oboe and Horn in bars 1–4.",
        ),
        (
            Pattern(PatternKind.UNISON, ((0, 3), (7, 10)), with_parts=NAMES),
            "You play in unison or octaves with Oboe, Clarinet, Trumpet and two other parts"
            " in bars 1–4 and 8–11.",
        ),
    ],
)
def test_a_pattern_in_words(pattern, sentence):
    assert pattern_sentence(pattern, NUMBERS) == sentence


def with_patterns(*patterns):
    profile = make_profile(measure_numbers=NUMBERS)
    return replace(profile, parts=(replace(profile.parts[0], patterns=patterns),))


OSTINATO = Pattern(PatternKind.OSTINATO, ((0, 3),), notes=4, times=4)
TUNE = Pattern(REPEAT, ((0, 1), (4, 5)), notes=8, fills_bars=True)


def test_a_fact_points_to_the_pattern_it_is_about():
    fact = Fact(FactKind.PATTERN, "Flute", ((0, 1),), numbers=named(pattern=1))
    assert sentence_of(fact, with_patterns(OSTINATO, TUNE)) == "Bars 1–2 come back note for note in bars 5–6."


def test_the_share_of_notes_in_patterns_in_words():
    fact = Fact(FactKind.IN_PATTERNS, "Flute", ((5, 5),), numbers=named(share=0.626))
    expected = "About 63% of your notes stand in repeats and sequences."
    assert sentence_of(fact, with_patterns(TUNE)) == expected


def test_the_json_says_every_pattern_in_words_beside_its_values():
    [part] = study_to_dict(with_patterns(OSTINATO, TUNE))["parts"]
    assert [(each["kind"], each["notes"], each["why"][:7]) for each in part["patterns"]] == [
        ("ostinato", 4, "Ostinat"),
        ("repeat", 8, "Bars 1–"),
    ]
