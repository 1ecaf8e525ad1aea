"""Signatures, clefs, breaths, high notes and rhythms of the parts, in words."""

from dataclasses import replace

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import Expression, TermUse
from planner.wording.study.sentences import sentence_of
from tests.fakes import make_profile

K = FactKind
FLUTE = "Flute"
TWO = ((2, 2), (5, 5))


@pytest.mark.parametrize(
    ("fact", "expected"),
    [
        (
            Fact(K.SIGNATURE_CHANGES, FLUTE, TWO, numbers=(("before", -1), ("fifths", 1), ("fifths", 0))),
            "The key signature changes: 1 sharp in bar 3 and no sharps or flats in bar 6.",
        ),
        (
            Fact(K.CLEF_CHANGES, FLUTE, TWO, terms=("tenor", "bass"),
                 numbers=(("staves", 1), ("staff", 1), ("staff", 1))),
            "The clef changes: tenor in bar 3 and bass in bar 6.",
        ),
        (
            Fact(K.CLEF_CHANGES, FLUTE, TWO, terms=("treble", "bass"),
                 numbers=(("staves", 2), ("staff", 2), ("staff", 2))),
            "The clef changes: on the lower staff treble in bar 3 and bass in bar 6.",
        ),
        (Fact(K.HIGHEST_NOTE, FLUTE, TWO, notes=("Ab5",)), "Your highest note is A♭5, in bars 3 and 6."),
        (
            Fact(K.BREATHS, FLUTE, TWO, terms=("rest", "long-note")),
            "Breathe in the rest in bar 3, and after the long note in bar 6.",
        ),
        (Fact(K.BREATHS, FLUTE, TWO, terms=("rest", "rest")), "Breathe in the rests in bars 3 and 6."),
        (
            Fact(K.BREATHS, FLUTE, TWO, terms=("long-note", "long-note")),
            "Breathe after the long notes in bars 3 and 6.",
        ),
        (
            Fact(K.ONE_RHYTHM, places=((0, 3),)),
            "All parts move together, in one rhythm, in bars 1–4.",
        ),
        (
            Fact(K.AGAINST_TRIPLETS, FLUTE, ((0, 3),), parts=("Piano",)),
            "You divide the beat in two against triplets of Piano in bars 1–4.",
        ),
        (
            Fact(K.AGAINST_TRIPLETS, FLUTE, ((0, 3),)),
            "You divide the beat in two against triplets in other parts in bars 1–4.",
        ),
        (
            Fact(K.TUNE_RETURNS, places=((0, 1), (3, 4), (6, 7))),
            "The tune of bars 1–2 comes again in bars 4–5 and 7–8.",
        ),
        (
            Fact(K.OFFBEATS, FLUTE, ((0, 2), (5, 7))),
            "You play on the offbeats only in bars 1–3 and 6–8.",
        ),
        (
            Fact(K.ACCENTED_BEATS, FLUTE, ((0, 3),), numbers=named(beat=2)),
            "The accents are on beat 2, not on the downbeat, in bars 1–4.",
        ),
    ],
    ids=str,
)  # fmt: skip
def test_a_fact_about_page_or_player_in_words(fact, expected):
    assert sentence_of(fact, make_profile(measure_numbers=tuple("12345678"))) == expected


def test_a_word_that_comes_again_has_all_its_bars_in_one_place():
    uses = tuple(Expression(at, "dolce", terms=(TermUse("dolce"),)) for at in (0, 4))
    fact = Fact(K.WORDS, FLUTE, ((0, 0), (4, 4)), terms=("dolce", "dolce"), numbers=named(more=0))
    profile = replace(make_profile(measure_numbers=tuple("12345678")), expression=uses)
    assert sentence_of(fact, profile) == "Words: “dolce” in bars 1 and 5: sweet and gentle."
