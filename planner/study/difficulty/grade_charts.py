"""The published grade charts as a table of limits, and where a part stands between them."""

from dataclasses import dataclass
from fractions import Fraction
from math import floor, log2

import numpy as np

from planner.core.score import Note
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.pitch_dimensions import level_for
from planner.study.difficulty.rhythm_dimensions import plain_meter
from planner.study.facts import StudyFacts
from planner.study.notes.columns import Columns

_VALUES = {"whole": 0, "half": 1, "quarter": 2, "eighth": 3, "16th": 4, "32nd": 5, "64th": 6}
_SIMPLE = frozenset({"2/4", "3/4", "4/4"})
_EASY = _SIMPLE | {"6/8", "2/2", "3/8"}
_MORE = _EASY | {"9/8", "12/8", "5/4", "3/2", "6/4", "4/2", "4/8"}


DOTTED_PAIR = 3.5
"""Place of the sixteenth that only completes a dotted eighth."""


@dataclass(frozen=True, slots=True)
class GradeLimits:
    """What a part of one grade may ask for.

    Attributes:
        grade: The grade, on the level scale.
        meters: Time signatures; None for any.
        flats, sharps: Most flats and sharps of the sounding signature; -1 sharps means at least one flat.
        shortest: Shortest printed value allowed, as a place in whole, half, quarter, eighth, 16th, 32nd;
            ``DOTTED_PAIR`` for sixteenths beside a dotted eighth only.
        is_dotted: Dotted quarters and shorter dots are allowed.
        tuplets: ``none``, ``triplets`` or ``any``.
        syncopated: Largest share of syncopated notes.
        fastest_bpm: Fastest beat; None for any.
        accidentals: Largest share of notes with an accidental; None for any.
    """

    grade: float
    meters: frozenset[str] | None
    flats: int
    sharps: int
    shortest: float
    is_dotted: bool
    tuplets: str
    syncopated: float
    fastest_bpm: float | None
    accidentals: float | None


BAND: tuple[GradeLimits, ...] = (
    GradeLimits(0.5, frozenset({"2/4", "4/4"}), 3, -2, 2, False, "none", 0.0, 120, 0.0),
    GradeLimits(1.0, _SIMPLE, 3, -2, 3, True, "none", 0.0, 120, 0.05),
    GradeLimits(1.5, _EASY, 4, -1, DOTTED_PAIR, True, "none", 0.06, 138, None),
    GradeLimits(2.0, _EASY, 4, 0, 4, True, "triplets", 0.15, 138, None),
    GradeLimits(3.0, _MORE, 4, 1, 4, True, "triplets", 0.4, 144, None),
    GradeLimits(4.0, None, 5, 2, 4, True, "triplets", 1.0, 160, None),
    GradeLimits(5.0, None, 7, 7, 5, True, "any", 1.0, 176, None),
    GradeLimits(6.0, None, 7, 7, 6, True, "any", 1.0, None, None),
)
"""Source: ½ to 2, nemusicpub.com/grading and Teaching Music through Performance in Beginning Band, the more
generous where they differ (dotted quarter at 1); shares and 3 to 6 from memory. Tempo at 2 is "usually up to
126", taken two metronome marks wider; "slow to moderate" is taken as up to 120."""

STRINGS: tuple[GradeLimits, ...] = (
    GradeLimits(0.5, _SIMPLE, 0, 2, 2, False, "none", 0.0, 120, 0.0),
    GradeLimits(1.0, _SIMPLE, 0, 2, 3, False, "none", 0.0, 120, 0.05),
    GradeLimits(1.5, _SIMPLE, 0, 2, DOTTED_PAIR, True, "none", 0.06, 138, None),
    GradeLimits(2.0, _EASY, 2, 3, 4, True, "triplets", 0.2, 140, None),
    GradeLimits(3.0, _MORE | {"7/8"}, 3, 3, 4, True, "triplets", 0.4, 160, None),
    GradeLimits(4.0, None, 4, 4, 4, True, "triplets", 1.0, 170, None),
    GradeLimits(5.0, None, 7, 7, 5, True, "any", 1.0, 184, None),
    GradeLimits(6.0, None, 7, 7, 6, True, "any", 1.0, None, None),
)
"""Source: kendormusic.com/string-orchestra-releases, docslib.org/doc/12446430, zicatomusic.com/grade-levels;
shares, 5 and 6 from memory."""

CHARTED = frozenset({"woodwind", "brass", "percussion", "strings"})
BROKEN_RANGE_TOLERANCE = 0.01


@dataclass(frozen=True, slots=True)
class Bounds:
    """Between which levels the charts put a part, and which limits of the grade below it breaks."""

    floor: float
    ceiling: float
    broken: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Traits:
    """What a part asks for, in the charts' terms."""

    meters: frozenset[str]
    fifths: tuple[int, int]
    shortest: float
    is_dotted: bool
    tuplets: str
    syncopated: float
    bpm: float | None
    accidentals: float
    range_level: float
    is_percussion: bool


def chart_for(columns: Columns) -> tuple[GradeLimits, ...]:
    """The string chart when violins, violas or cellos play, else the band chart."""
    bowed = {"violin", "viola", "cello"}
    return STRINGS if any(part.part.instrument in bowed for part in columns.parts) else BAND


def chart_bounds(each: PartEvidence, columns: Columns, facts: StudyFacts) -> Bounds | None:
    """Floor and ceiling for a part; None for instruments without a chart (voices, keyboards, plucked)."""
    if each.instrument is None or each.instrument.family not in CHARTED:
        return None
    traits, floor = traits_of(each, facts), 0.0
    broken: tuple[str, ...] = ()
    for limits in chart_for(columns):
        faults = broken_limits(traits, limits)
        if not faults:
            return Bounds(floor, limits.grade + 0.5, broken)
        floor, broken = limits.grade, faults
    return Bounds(floor, 6.0, broken)


def broken_limits(traits: Traits, limits: GradeLimits) -> tuple[str, ...]:
    """Names of the limits a part breaks."""
    earlier = 1 if traits.is_percussion else 0
    low, high = traits.fifths
    checks = (
        ("meter", limits.meters is not None and not traits.meters <= limits.meters),
        ("key", not traits.is_percussion and (-low > limits.flats or high > limits.sharps)),
        ("note values", traits.shortest > limits.shortest + earlier),
        ("dots", traits.is_dotted and not limits.is_dotted and not earlier),
        ("tuplets", _TUPLETS[traits.tuplets] > _TUPLETS[limits.tuplets]),
        ("syncopation", traits.syncopated > limits.syncopated + 1e-9),
        ("tempo", limits.fastest_bpm is not None and (traits.bpm or 0) > limits.fastest_bpm),
        ("accidentals", limits.accidentals is not None and traits.accidentals > limits.accidentals + 1e-9),
        ("range", traits.range_level > limits.grade + BROKEN_RANGE_TOLERANCE),
    )
    return tuple(name for name, is_broken in checks if is_broken)


_TUPLETS = {"none": 0, "triplets": 1, "any": 2}


def traits_of(each: PartEvidence, facts: StudyFacts) -> Traits:
    """Read a part in the charts' terms."""
    part, instrument = each.part, each.instrument
    notes = [part.part.notes[at] for at in part.note.tolist()]
    printed = sum(1 for note in notes if note.accidental and not note.is_courtesy)
    shift = part.part.transposition.semitones
    signatures = [sounding_fifths(key.fifths, shift) for key in part.part.keys] or [0]
    return Traits(
        meters=frozenset(plain_meter(span.time) for span in facts.meters),
        fifths=(min(signatures), max(signatures)),
        shortest=_shortest(notes),
        is_dotted=any(note.dots and _value_place(note) >= 2 for note in notes),
        tuplets=_tuplets(notes),
        syncopated=max(facts_.syncopated for facts_ in each.rhythm),
        bpm=facts.tempo.marked,
        accidentals=printed / max(1, len(notes)),
        range_level=_range_level(each),
        is_percussion=instrument is not None and instrument.family == "percussion",
    )


def _value_place(note: Note) -> int:
    """Place of a printed value in whole, half, quarter …; from its length where none is printed."""
    if note.value in _VALUES:
        return _VALUES[note.value]
    length = note.duration_quarters
    return 2 - floor(log2(length)) if length > 0 else 2


def _shortest(notes: list[Note]) -> float:
    places = [_value_place(note) for note in notes]
    shortest = max(places, default=2)
    if shortest != _VALUES["16th"]:
        return shortest
    for at in (at for at, place in enumerate(places) if place == shortest):
        beside = [notes[n] for n in (at - 1, at + 1) if 0 <= n < len(notes)]
        if not any(_is_dotted_eighth(note) for note in beside):
            return shortest
    return DOTTED_PAIR


def _is_dotted_eighth(note: Note) -> bool:
    return note.duration_quarters == Fraction(3, 4)


def _tuplets(notes: list[Note]) -> str:
    ratios = {note.tuplet for note in notes if note.tuplet}
    if not ratios:
        return "none"
    return "triplets" if ratios <= {(3, 2), (6, 4)} else "any"


def sounding_fifths(written: int, semitones: int) -> int:
    """Signature of the sounding key; a transposition by semitones moves it seven fifths each.

    Example:
        >>> sounding_fifths(0, -2), sounding_fifths(1, -9)
        (-2, -2)
    """
    moved = written + 7 * semitones
    return (moved + 6) % 12 - 6


def _range_level(each: PartEvidence) -> float:
    instrument = each.instrument
    if instrument is None or not instrument.by_level or instrument.family == "percussion":
        return 0.0
    shift = each.part.part.transposition.semitones - instrument.transposition.semitones
    pitches = each.part.written[~np.isnan(each.part.written)] + shift
    return level_for(instrument, float(pitches.min()), float(pitches.max())) if pitches.size else 0.0
