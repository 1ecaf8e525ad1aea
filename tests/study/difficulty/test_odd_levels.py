"""Levels of odd music: never a crash, always on the scale, in an order that a player would give."""

from dataclasses import replace
from fractions import Fraction
from math import isfinite

import pytest

from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.pitch import Pitch, Transposition
from planner.core.score import Measure, Note, Part, Score, TimeSignature
from planner.study.basics import basic_facts
from planner.study.difficulty.difficulty import rate
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.variations import at_tempo

FREE = TimeSignature((), "free")
BAR = "C5 D5 E5 F5"


def bars(*music, count=16):
    """Some bars over and over, up to a count."""
    return " | ".join((list(music) * count)[:count])


def levels(score):
    columns = columns_of(score)
    return rate(columns, basic_facts(columns)).parts


def drum(music):
    """A part of unpitched heads."""
    part = make_part(music, name="Snare Drum", instrument="snare-drum", clef=("percussion", 2))
    heads = [replace(n, pitch=None, unpitched=n.pitch) if n.pitch else n for n in part.notes]
    return replace(part, notes=tuple(heads), keys=())


def cue(part):
    return replace(part, notes=tuple(replace(n, is_cue=True) for n in part.notes))


def grace(part):
    return replace(
        part, notes=tuple(replace(n, is_grace=True, duration_quarters=Fraction(0)) for n in part.notes)
    )


def tuplets(actual, normal, length="1"):
    """Bars of one tuplet a beat."""
    each = Fraction(length) / actual
    part = make_part(bars(" ".join(f"{'CDEFG'[k % 5]}5*{each}" for k in range(actual * 4))))
    return replace(part, notes=tuple(replace(n, tuplet=(actual, normal)) for n in part.notes))


def unmetered(score):
    return replace(score, measures=tuple(replace(m, time=FREE) for m in score.measures))


def with_cadenza():
    return make_score(
        make_part(f"{bars(BAR)} | {' '.join(['C5*1/4 E5*1/4 G5*1/4 B5*1/4'] * 20)} | {bars(BAR)}")
    )


def of_no_length():
    score = make_score(make_part(bars(BAR)))
    return replace(score, measures=tuple(replace(m, length_quarters=Fraction(0)) for m in score.measures))


ODD = {
    "no parts": Score("Empty", (), ()),
    "no bars": Score("Empty", (), (Part("P1", "Flute", instrument="flute"),)),
    "a part without notes": Score(
        "Bar", (Measure(0, "1", Fraction(0), Fraction(4), FREE),), (Part("P1", "Flute"),)
    ),
    "all rests": make_score(make_part(bars("r*4"))),
    "all rests beside a tune": make_score(make_part(bars("r*4")), make_part(bars(BAR), name="Oboe")),
    "one note": make_score(make_part("C5*4")),
    "one short note": make_score(make_part("C5*1/64")),
    "two notes": make_score(make_part("C5*2 D5*2")),
    "one pitch": make_score(make_part(bars("C5 C5 C5 C5"))),
    "one note tied to the end": make_score(make_part(" | ".join(["C5*4~"] * 15 + ["C5*4"]))),
    "a note in the last bar alone": make_score(make_part(" | ".join(["r*4"] * 63 + ["C5*4"]))),
    "percussion alone": make_score(drum(bars("C5 C5*1/2 C5*1/2 C5*1/4 C5*1/4 C5*1/2 r"))),
    "percussion of one bar": make_score(drum("C5*1/8 " * 32)),
    "grace notes alone": make_score(grace(make_part(bars(BAR)))),
    "cue notes alone": make_score(cue(make_part(bars(BAR)))),
    "quarter at 1000": at_tempo(make_score(make_part(bars(BAR))), 1000),
    "quarter at 799": at_tempo(make_score(make_part(bars("C5*1/16 D5*1/16 E5*1/16 F5*1/16 " * 16))), 799),
    "quarter at 1": at_tempo(make_score(make_part(bars(BAR))), 1),
    "quarter at 0": at_tempo(make_score(make_part(bars(BAR))), 0),
    "unmetered": unmetered(make_score(make_part(bars(BAR)))),
    "unmetered, one bar": unmetered(make_score(make_part("C5*1/2 D5*1/2 E5 " * 60))),
    "a cadenza bar": with_cadenza(),
    "bars of no length": of_no_length(),
    "elevens": make_score(tuplets(11, 8)),
    "thirteens in a quarter of a beat": make_score(tuplets(13, 8, "1/4")),
    "chords of ten": make_score(
        make_part(bars("C4+E4+G4+C5+E5+G5+C6+E6+G6+C7"), instrument="piano", name="Piano")
    ),
    "far above the instrument": make_score(make_part(bars("C9 D9 E9 F9"))),
    "far below the instrument": make_score(make_part(bars("C0 D0 E0 F0"))),
    "every octave": make_score(make_part(bars("C1 C8 C2 C7"))),
    "an instrument nobody knows": make_score(make_part(bars(BAR), instrument="", name="Zorp")),
    "twenty sharps": make_score(make_part(bars(BAR), fifths=20)),
    "triple sharps": make_score(make_part(bars("C###5 D###5 E5 F5"))),
    "quarter tones": make_score(
        replace(
            make_part(BAR),
            notes=tuple(
                Note(0, Fraction(k), Fraction(1), Pitch("C", 5, Fraction(1, 2)), accidental="quarter-sharp")
                for k in range(4)
            ),
        )
    ),
    "a meter of 99/64": make_score(make_part(bars("C5*99/16")), time="99/64"),
    "a transposition of three octaves": make_score(
        make_part(bars(BAR), transposition=Transposition(-1, -2, -3))
    ),
    "six hundred bars": make_score(make_part(bars(BAR, count=600))),
    "thirty parts of one line": make_score(*(make_part(bars(BAR), name=f"Flute {k}") for k in range(30))),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_every_part_that_plays_has_a_level_on_the_scale(name):
    score = ODD[name]
    found = levels(score)
    assert len(found) == len(score.parts)
    playing = [any(note.is_struck for note in part.notes) for part in score.parts]
    assert [each.level is not None for each in found] == playing
    known = [each for each in found if each.level is not None]
    assert all(LOWEST_LEVEL <= each.level <= HIGHEST_LEVEL for each in known)
    assert all(each.error > 0 and isfinite(each.error) for each in known)
    assert all(isfinite(c.level) and isfinite(c.weight) for each in known for c in each.contributions)


def level(music, bpm=100, **kwargs):
    part = music if isinstance(music, Part) else make_part(music, **kwargs)
    return levels(at_tempo(make_score(part), bpm))[0].level


EIGHTHS = "C5*1/2 D5*1/2 E5*1/2 F5*1/2 " * 2
SIXTEENTHS = "C5*1/4 D5*1/4 E5*1/4 F5*1/4 " * 4


def of_each(*music, **kwargs):
    return [level(bars(each), **kwargs) for each in music]


def in_five():
    return levels(make_score(make_part(bars("C5*1/2 D5*1/2 E5*1/2 F5*1/2 G5*1/2")), time="5/8"))[0].level


LADDERS = {
    "longer to shorter": lambda: of_each("C5*4", "C5*2 D5*2", BAR, EIGHTHS, SIXTEENTHS),
    "one pitch, a step, leaps": lambda: of_each("C5 C5 C5 C5", BAR, "C5 A5 D5 B5"),
    "drums": lambda: [
        level(drum(bars(m))) for m in ("C5 " * 4, "C5*1/2 " * 8, "C5*1/4 " * 16, "C5*1/8 " * 32)
    ],
    "signatures": lambda: [level(bars(BAR), fifths=fifths) for fifths in (-1, -4, -6)],
    "triplets, fives, sevens": lambda: [level(tuplets(*ratio)) for ratio in ((3, 2), (5, 4), (7, 4))],
    "quarters in four, eighths in five": lambda: [*of_each(BAR), in_five()],
    "on and off the beat": lambda: of_each(BAR, "C5*1/2 D5 E5 F5 G5*1/2"),
    "accidentals": lambda: of_each(BAR, "C5 D#5 E5 F5", "C#5 D#5 E#5 Fb5"),
    "slow to quick": lambda: [level(bars(EIGHTHS), bpm) for bpm in (40, 80, 160, 320)],
    "within to beyond the instrument": lambda: of_each(BAR, "C6 D6 E6 F6", "C7 D7 E7 F7"),
}


@pytest.mark.parametrize("name", LADDERS)
def test_a_player_would_give_the_same_order(name):
    ladder = LADDERS[name]()
    assert ladder == sorted(ladder)
    assert ladder[-1] > ladder[0]


@pytest.mark.parametrize("music", [BAR, EIGHTHS, SIXTEENTHS], ids=["quarters", "eighths", "sixteenths"])
def test_a_few_bars_are_about_as_hard_as_many_of_the_same(music):
    found = [level(bars(music, count=count)) for count in (2, 4, 16, 64)]
    assert max(found) - min(found) <= 1.0
    assert found[-1] >= found[0]
