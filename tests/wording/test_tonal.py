"""Keys and harmony in words."""

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import KeyRelation, PartProfile, SignatureSpan
from planner.wording.study.sentences import sentence_of, statements_of
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile

NUMBERS = tuple(str(n + 1) for n in range(12))
FLUTE = make_profile(measure_numbers=NUMBERS, measures=12)
HORN = make_profile(
    measure_numbers=NUMBERS, parts=(PartProfile("Horn", "horn", -7, 8, ("C4", "C5"), ("F3", "F4"), 2.0),)
)


def away(*places, relation=(), more=0):
    return Fact(
        FactKind.AWAY_FROM_HOME, places=places, keys=("Eb major",), terms=relation, numbers=named(more=more)
    )


def accidental(*notes, keys=("A minor",), terms=(), times=3, leading=None):
    numbers = named(times=times) + (() if leading is None else named(leading=leading))
    return Fact(
        FactKind.KEY_ACCIDENTALS, "Flute", ((6, 10),), notes=notes, keys=keys, terms=terms, numbers=numbers
    )


def cadence(kind):
    return Fact(FactKind.CADENCE, places=((3, 3),), keys=("F# minor",), terms=(kind,))


@pytest.mark.parametrize(
    ("fact", "sentence"),
    [
        (Fact(FactKind.HOME_KEY, keys=("Bb major",)), "The home key is B♭ major."),
        (
            Fact(FactKind.HOME_KEY, keys=("G minor",), terms=("Dorian",), notes=("E", "Eb")),
            "The music is in G Dorian: G minor with E♮ in place of E♭.",
        ),
        (away((2, 4)), "Bars 3–5: E♭ major."),
        (
            away((0, 0), (2, 4), relation=(KeyRelation.SUBDOMINANT,)),
            "Bars 1 and 3–5: E♭ major, the subdominant.",
        ),
        (away((2, 4), (6, 6), more=2), "Bars 3–5 and 7, and two more: E♭ major."),
        (
            accidental("G#", leading=0),
            "G♯ in bars 7–11, three times: you are in A minor here; G♯ is its leading tone.",
        ),
        (
            accidental("B", "F#", times=40, terms=("touched",)),
            "B♮ and F♯ in bars 7–11, 40 times: you touch A minor here.",
        ),
        (
            accidental("G#", keys=("A minor", "D minor"), times=2),
            "G♯ in bars 7–11, twice: you are in A minor here (concert D minor).",
        ),
        (cadence("authentic"), "Authentic cadence in F♯ minor in bar 4."),
        (cadence("half"), "Half cadence, on the dominant, in F♯ minor in bar 4."),
        (cadence("plagal"), "Plagal cadence in F♯ minor in bar 4."),
        (cadence("deceptive"), "Deceptive cadence, on the sixth degree, in F♯ minor in bar 4."),
        (
            Fact(FactKind.CHORD_MEMBER, "Flute", ((3, 3),), notes=("Bb",), terms=("third",)),
            "At the cadence in bar 4 you have B♭, the third of the chord.",
        ),
        (
            Fact(FactKind.PEDAL_POINT, places=((0, 4),), notes=("C",), parts=("Tuba",)),
            "Pedal point on C in bars 1–5: the bass stays while the chords change.",
        ),
        (
            Fact(FactKind.PEDAL_HELD, "Tuba", ((0, 4),), notes=("C",)),
            "You hold the pedal note C in bars 1–5; the chords change around you.",
        ),
    ],
)
def test_each_fact_of_keys_and_harmony(fact, sentence):
    assert sentence_of(fact, FLUTE) == sentence


@pytest.mark.parametrize(
    ("fact", "words"),
    [
        (Fact(FactKind.HOME_KEY, keys=("Bb major",)), "is concert B♭ major"),
        (away((2, 4)), ": concert E♭ major"),
        (cadence("authentic"), "in concert F♯ minor in"),
        (Fact(FactKind.PEDAL_POINT, places=((0, 4),), notes=("C",)), "on concert C in"),
    ],
)
def test_sounding_keys_and_notes_are_called_concert_as_soon_as_a_part_transposes(fact, words):
    assert words in sentence_of(fact, HORN)


def test_a_cadence_stands_in_one_bar_and_a_key_has_an_end():
    said = statements_of(make_profile(facts=(cadence("half"), away((2, 4))), measure_numbers=NUMBERS))
    assert {each.topic: (each.measure, each.end_measure) for each in said} == {
        "harmony": (3, None),
        "key": (2, 4),
    }


def test_the_contract_names_a_signature_by_its_key_and_its_signs():
    [flute] = FLUTE.parts
    signatures = (SignatureSpan(0, "Bb major", -2), SignatureSpan(4, "C major", 0, 2.0))
    part = PartProfile(flute.name, flute.instrument, 0, 8, flute.written_range, None, 2.0, keys=signatures)
    fields = study_to_dict(make_profile(parts=(part,)))["parts"][0]["keys"]
    assert [(each["measure"], each["key"], each["relation"], each["offset_quarters"]) for each in fields] == [
        (0, "Bb major", "2 flats", 0.0),
        (4, "C major", "no sharps or flats", 2.0),
    ]
