"""The published grade charts as a table of limits, and where a part stands between them."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.instruments import Instrument
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.pitch_dimensions import level_for
from planner.study.difficulty.printed import PrintedNotes
from planner.study.difficulty.rhythm_dimensions import plain_meter
from planner.study.difficulty.scales import DimensionLevel, bounded, power_mean
from planner.study.facts import StudyFacts
from planner.study.notes.arrays import numbered, quantile
from planner.study.notes.columns import Columns, Floats

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
        has_accidentals: Accidentals are allowed.
    """

    grade: float
    meters: frozenset[str] | None
    flats: int
    sharps: int
    shortest: float
    is_dotted: bool
    tuplets: str
    has_accidentals: bool


BAND: tuple[GradeLimits, ...] = (
    GradeLimits(0.5, frozenset({"2/4", "4/4"}), 3, -2, 2, False, "none", False),
    GradeLimits(1.0, _SIMPLE, 3, -2, 3, True, "none", True),
    GradeLimits(1.5, _EASY, 4, -1, DOTTED_PAIR, True, "none", True),
    GradeLimits(2.0, _EASY, 4, 0, 4, True, "triplets", True),
    GradeLimits(3.0, _MORE, 4, 1, 4, True, "triplets", True),
    GradeLimits(4.0, None, 5, 2, 4, True, "triplets", True),
    GradeLimits(5.0, None, 7, 7, 5, True, "any", True),
    GradeLimits(6.0, None, 7, 7, 6, True, "any", True),
)
"""Source: ½ to 2, nemusicpub.com/grading and Teaching Music through Performance in Beginning Band, the more
generous where they differ (dotted quarter at 1); 3 to 6 from memory. Their tempos and syncopations are what the
dimensions of speed and rhythm measure, note by note."""

STRINGS: tuple[GradeLimits, ...] = (
    GradeLimits(0.5, _SIMPLE, 0, 2, 2, False, "none", False),
    GradeLimits(1.0, _SIMPLE, 0, 2, 3, False, "none", True),
    GradeLimits(1.5, _SIMPLE, 0, 2, DOTTED_PAIR, True, "none", True),
    GradeLimits(2.0, _EASY, 2, 3, 4, True, "triplets", True),
    GradeLimits(3.0, _MORE | {"7/8"}, 3, 3, 4, True, "triplets", True),
    GradeLimits(4.0, None, 4, 4, 4, True, "triplets", True),
    GradeLimits(5.0, None, 7, 7, 5, True, "any", True),
    GradeLimits(6.0, None, 7, 7, 6, True, "any", True),
)
"""Source: kendormusic.com/string-orchestra-releases, docslib.org/doc/12446430, zicatomusic.com/grade-levels;
5 and 6 from memory."""

CHARTED = frozenset({"woodwind", "brass", "percussion", "strings"})
CHART_POWER = 3.0
"""Exponent of the mean over notes: harder notes count for more, each by its share. Source: house choice."""
DRUMS_AHEAD = 1
"""Values by which percussion may be shorter. Source: composingforband.com and the article "Defining the
wind-band grading system" (Canadian Music Educator): percussion gets sixteenths earlier than winds."""


def chart_for(columns: Columns) -> tuple[GradeLimits, ...]:
    """The string chart when violins, violas or cellos play, else the band chart."""
    bowed = {"violin", "viola", "cello"}
    return STRINGS if any(part.part.instrument in bowed for part in columns.parts) else BAND


def charts_level(
    each: PartEvidence, printed: PrintedNotes, columns: Columns, facts: StudyFacts
) -> DimensionLevel | None:
    """Where the published charts put the notes of a part, one by one, the harder ones counting for more.

    None for instruments without a chart (voices, keyboards, plucked), and without notes.
    """
    instrument = each.instrument
    if instrument is None or instrument.family not in CHARTED or not len(printed):
        return None
    chart, part = chart_for(columns), each.part.part
    is_drum = instrument.family == "percussion"
    grades = {
        "meter": _by_measure(
            [(span.measure, _meter_grade(chart, span.time)) for span in facts.meters], columns
        ),
        "note values": _value_grades(chart, DRUMS_AHEAD if is_drum else 0)[
            np.minimum(2 * printed.value - printed.completes_dotted, 12)
        ],
        "tuplets": np.array(
            [_first(chart, lambda row, kind=kind: _TUPLETS[row.tuplets] >= kind) for kind in range(3)]
        )[printed.tuplet],
    }
    grades["meter"] = grades["meter"][printed.measure]
    if not is_drum:
        signatures = [
            (key.measure, _key_grade(chart, sounding_fifths(key.fifths, part.transposition.semitones)))
            for key in part.keys_of(staff=1)
        ]
        grades["key"] = _by_measure(signatures, columns)[printed.measure]
        grades["dots"] = np.where(
            printed.dotted & (printed.value >= 2), _first(chart, lambda row: row.is_dotted), LOWEST_LEVEL
        )
        allowed = _first(chart, lambda row: row.has_accidentals)
        grades["accidentals"] = np.where(printed.accidental, allowed, LOWEST_LEVEL)
        if instrument.by_level:
            grades["range"] = _range_grades(each, instrument)
    names, table = list(grades), np.array(list(grades.values()))
    highest = table.max(axis=0)
    number = quantile(highest, 0.9)
    terms = tuple(name for name, row in zip(names, table, strict=True) if quantile(row, 0.9) >= number - 1e-9)
    evidence = (Measured(Quantity.CHART_GRADE, number, terms=terms if number > LOWEST_LEVEL else ()),)
    return DimensionLevel(Dimension.CHARTS, bounded(power_mean(highest, CHART_POWER)), evidence)


_TUPLETS = {"none": 0, "triplets": 1, "any": 2}


def _first(chart: tuple[GradeLimits, ...], allows: Callable[[GradeLimits], bool]) -> float:
    """The lowest grade that allows something; the highest level where none does."""
    return next((row.grade for row in chart if allows(row)), HIGHEST_LEVEL)


def _meter_grade(chart: tuple[GradeLimits, ...], time: str) -> float:
    plain = plain_meter(time)
    return _first(chart, lambda row: row.meters is None or plain in row.meters)


def _key_grade(chart: tuple[GradeLimits, ...], fifths: int) -> float:
    return _first(chart, lambda row: -fifths <= row.flats and fifths <= row.sharps)


@cache
def _value_grades(chart: tuple[GradeLimits, ...], ahead: int) -> Floats:
    """Grade of each half place of a printed value, from whole (0) to sixty-fourth (12)."""
    return np.array([_first(chart, lambda row, at=at: at / 2.0 <= row.shortest + ahead) for at in range(13)])


def _by_measure(places: list[tuple[int, float]], columns: Columns) -> Floats:
    """A grade for each measure, from each place on; the lowest before the first."""
    found = np.full(len(columns.measure_start), LOWEST_LEVEL)
    for measure, grade in places:
        found[measure:] = grade
    return found


def _range_grades(each: PartEvidence, instrument: Instrument) -> Floats:
    """Level at which each struck note lies in the comfortable range; the lowest where it has no pitch."""
    shift = each.part.part.transposition.semitones - instrument.transposition.semitones
    written = each.part.written[each.part.struck]
    found = np.full(len(written), LOWEST_LEVEL)
    pitched = ~np.isnan(written)
    numbers, back = numbered(written[pitched] + shift)
    levels = np.array([level_for(instrument, float(number), float(number)) for number in numbers])
    found[pitched] = levels[back] if len(numbers) else found[pitched]
    return found


def sounding_fifths(written: int, semitones: int) -> int:
    """Signature of the sounding key; a transposition by semitones moves it seven fifths each.

    Example:
        >>> sounding_fifths(0, -2), sounding_fifths(1, -9)
        (-2, -2)
    """
    moved = written + 7 * semitones
    return (moved + 6) % 12 - 6
