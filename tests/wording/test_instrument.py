"""What a player does with the instrument, in words."""

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.glossary.changes import Change
from planner.core.profile import PartProfile
from planner.study.lines.fingering_tables import UNCOMMON, Way
from planner.wording.study.instrument import _CHANGED, _WAYS
from planner.wording.study.sentences import sentence_of
from tests.fakes import make_profile

K = FactKind


def part(name, instrument):
    return PartProfile(name, instrument, 0, 8, None, None, 2.0)


PROFILE = make_profile(
    measure_numbers=tuple(str(n + 1) for n in range(40)),
    measures=40,
    parts=(part("Trumpet", "trumpet-bflat"), part("Viola", "viola"), part("Flute", "flute")),
)


def at(*bars):
    return tuple((bar - 1, bar - 1) for bar in bars)


def seconds(opening, *each):
    return (("opening", opening), *(("seconds", number) for number in each))


@pytest.mark.parametrize(
    ("fact", "sentence"),
    [
        (
            Fact(K.CHANGES, "Trumpet", at(24, 30), terms=("cup mute", "open"), numbers=seconds(0, 6, 1)),
            "Cup mute from bar 24: 6 seconds to put it in. No mute from bar 30: 1 second to take it out.",
        ),
        (
            Fact(K.CHANGES, "Viola", at(1, 2, 4, 5), terms=("mute", "pluck", "pluck", "open"),
                 numbers=seconds(1, 0, 0, 3)),
            "Start with the mute on. Switch to pizz. (pluck) in bars 2 and 4: no time. "
            "No mute from bar 5: 3 seconds to take it off.",
        ),
        (
            Fact(K.CHANGES, "Viola", at(2, 4), terms=("pluck", "bow"), numbers=seconds(0, 0.7, 1.9)),
            "Switch to pizz. (pluck) in bar 2: less than a second. Switch to arco (bow) in bar 4: 1 second.",
        ),
        (
            Fact(K.CHANGES, "Flute", at(9), terms=("take:piccolo",), numbers=seconds(0, 12)),
            "Piccolo from bar 9: 12 seconds to change.",
        ),
        (
            Fact(K.CHANGES, "Flute", at(1), terms=("take:english-horn",), numbers=seconds(1)),
            "Start with the English Horn.",
        ),
        (
            Fact(K.SWITCHES, "Drums", at(17), terms=("Snare Drum", "Triangle"), numbers=named(seconds=4)),
            "Change Snare Drum to Triangle for bar 17 (4 seconds).",
        ),
        (Fact(K.SAME_BARS, "Percussion", ((4, 19),)), "Bars 5–20: the same bar 16 times."),
        (
            Fact(K.SAME_BARS, "Percussion", ((4, 19), (24, 27))),
            "Bars 5–20: the same bar 16 times; bars 25–28: one bar four times.",
        ),
        (Fact(K.ROLLS, "Percussion", at(4, 8)), "Roll in bars 4 and 8."),
        (
            Fact(K.CUES, "Flute", ((19, 23),), terms=("Oboe",)),
            "Small notes in bars 20–24 (Oboe) are a cue: listen, and play only if asked.",
        ),
        (
            Fact(K.CUES, "Flute", at(3, 9), terms=("", "")),
            "Small notes in bars 3 and 9 are a cue: listen, and play only if asked.",
        ),
        (
            Fact(K.DIVIDED, "Viola", ((11, 19),)),
            "Divided in bars 12–20: the inside player takes the lower notes.",
        ),
        (
            Fact(K.PLAYERS, "Horns", at(5, 9), terms=("first", "both")),
            "First player alone from bar 5; both from bar 9.",
        ),
        (
            Fact(K.FINGERINGS, "Trumpet", at(5, 9, 9), notes=("D4", "C#4", "Ab4"),
                 terms=("valves-13-slide", "valves-123-slide", "valves-23"),
                 numbers=(("octave", -1), ("octave", 0), ("octave", 0))),
            "Check lower D (bar 5): valves 1 and 3, third slide out; C♯ (bar 9): all three valves, third "
            "slide out; A♭ (bar 9): valves 2 and 3.",
        ),
        (
            Fact(K.FINGERINGS, "Viola", at(5, 9), notes=("F4", "C5"), terms=("low 2", "low 2"),
                 numbers=(("octave", 0), ("octave", 1))),
            "Check F♮ and upper C♮ (bars 5 and 9): low second finger.",
        ),
        (
            Fact(K.DRUMS_TUNED, "Timpani", at(9, 1), notes=("F2", "C3", "C3", "D3", "D3", "C3"),
                 numbers=(("opening", 2), ("seconds", 6), ("seconds", 1), ("time", 0), ("time", 2))),
            "Tune your drums, low to high, to F and C. Change C to D for bar 9 (6 seconds) and D to C for "
            "bar 1, second time (1 second).",
        ),
        (Fact(K.FIRST_POSITION, "Viola"), "All notes can be played in first position."),
        (
            Fact(K.FIRST_NOTE, "Alto", at(3), notes=("D4",), parts=("Piano",), numbers=named(steps=-2)),
            "Your first note is D4, in bar 3. Listen: it is a third lower than the last top note of Piano.",
        ),
    ],
)  # fmt: skip
def test_what_a_player_reads(fact, sentence):
    assert sentence_of(fact, PROFILE) == sentence


def test_every_way_and_every_change_has_its_words():
    assert set(_WAYS) == set(Way)
    assert set(_CHANGED) == set(Change)
    assert {one.way for table in UNCOMMON.values() for one in table} <= set(Way)
