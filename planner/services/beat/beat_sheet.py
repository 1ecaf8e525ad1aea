"""The bars of a piece in order of play as a metronome counts them: meter, grouping, tempo, pickup."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from planner.core.fact import FactKind
from planner.core.pitch import Pitch
from planner.core.profile import GroupingSource, MeterSpan, PieceProfile, TempoSpan
from planner.core.units import METRONOME_MARKS
from planner.study.time.tempo_marks import BEAT_NAMES
from planner.wording.words import bar_names, bar_number

MOST_BARS = 20_000
"""Most bars in order of play that are counted. House choice: far above any piece, against damaged files."""
DRONE_OCTAVE = 3
"""Octave of the drone's tonic. House choice: low enough to sing above, high enough for small speakers."""

_QUARTERS = {name: length for length, name in BEAT_NAMES.items()}
_LOWER = re.compile(r"/(\d+)")
_COUNTED_BACK = frozenset({"pickup", "upbeat", "rest"})
"""Kinds of unnumbered bars of which the beginning is missing."""


@dataclass(frozen=True, slots=True)
class Pace:
    """A tempo in quarters a minute: as marked, and of the first reading."""

    marked: float
    first: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A change of tempo inside a bar, so many quarters after its beginning."""

    at_quarters: float
    pace: Pace


@dataclass(frozen=True, slots=True)
class BeatSection:
    """Bars in a row that are counted alike.

    Attributes:
        bars: What each is called, in order of play.
        time: Their meter as printed.
        unit_quarters: Length of the unit in which the grouping counts.
        grouping: Felt groups of a full bar, in units.
        grouping_source: What shows the grouping.
        length_quarters: How long each bar lasts.
        skip_quarters: How much of the full bar is missing at its beginning: that before a pickup.
        pace: Their tempo.
        turns: Changes of tempo inside the bar, of a bar alone.
    """

    bars: tuple[str, ...]
    time: str
    unit_quarters: float
    grouping: tuple[int, ...]
    grouping_source: GroupingSource
    length_quarters: float
    skip_quarters: float
    pace: Pace
    turns: tuple[Turn, ...] = ()


@dataclass(frozen=True, slots=True)
class DroneKey:
    """A key of the piece, sounding, with the MIDI number of its tonic in the octave of the drone."""

    key: str
    tonic: int


@dataclass(frozen=True, slots=True)
class OpeningTempo:
    """The tempo at the beginning in beats of ``unit`` a minute; ``marked`` is None where none is printed."""

    unit: str
    unit_quarters: float
    marked: float | None
    reading: int
    first: int


@dataclass(frozen=True, slots=True)
class BeatSheet:
    """What a metronome needs of a piece.

    Attributes:
        opening: Its tempo at the beginning; the tempos of all sections are scaled with it.
        sections: Its bars in order of play, once through with all repeats.
        stops_before: What the first bar without a countable meter is called; empty when all are counted.
        keys: The home key first, then the others in order of play.
        marks: The numbers that slower and faster step through.
    """

    opening: OpeningTempo
    sections: tuple[BeatSection, ...]
    stops_before: str = ""
    keys: tuple[DroneKey, ...] = ()
    marks: tuple[int, ...] = METRONOME_MARKS


def beat_sheet(profile: PieceProfile, lengths: Sequence[Fraction]) -> BeatSheet:
    """The bars of a piece as a metronome counts them.

    Args:
        profile: The study.
        lengths: Quarters of each written measure; 0 for one in which nothing stands, which is a full bar.
    """
    numbers = bar_names(profile)
    sections: list[BeatSection] = []
    stops_before = ""
    for at in profile.roadmap.play_order[:MOST_BARS]:
        bar = _bar(profile, at, lengths[at] if at < len(lengths) else Fraction(0), bar_number(numbers, at))
        if bar is None:
            stops_before = bar_number(numbers, at)
            break
        if sections and not bar.turns and replace(sections[-1], bars=()) == replace(bar, bars=()):
            sections[-1] = replace(bar, bars=(*sections[-1].bars, *bar.bars))
        else:
            sections.append(bar)
    return BeatSheet(_opening(profile), tuple(sections), stops_before, tuple(_keys(profile)))


def _bar(profile: PieceProfile, at: int, length: Fraction, name: str) -> BeatSection | None:
    """One bar; None where its meter cannot be counted."""
    span = _in_force(profile.meters, at)
    if span is None or not span.grouping:
        return None
    unit, grouping = _units(profile, span)
    full = unit * sum(grouping)
    length = length or full
    pace, turns = _tempo(profile, at, length)
    skip = full - length if length < full and _is_counted_back(profile, at) else Fraction(0)
    return BeatSection(
        (name,), span.time, float(unit), grouping, span.source, float(length), float(skip), pace, turns
    )


def _in_force(spans: Sequence[MeterSpan], at: int) -> MeterSpan | None:
    return next((span for span in reversed(spans) if span.measure <= at), None)


def _units(profile: PieceProfile, span: MeterSpan) -> tuple[Fraction, tuple[int, ...]]:
    """Length of the unit in quarters, and the grouping in it: half notes where the cut sign stands."""
    unit = Fraction(4, max(map(int, _LOWER.findall(span.time)), default=4))
    is_cut = any(fact.kind is FactKind.METER and "cut" in fact.terms for fact in profile.facts)
    if is_cut and span.time == profile.meters[0].time == "4/4":
        return Fraction(2), (1, 1)
    return unit, span.grouping


def _is_counted_back(profile: PieceProfile, at: int) -> bool:
    """Whether a short bar is the end of a full one: a pickup, an upbeat, the second half of a split bar."""
    kinds = {bar.measure: bar.kind for bar in profile.unnumbered}
    if at == 0:
        return kinds.get(1) != "rest"
    return kinds[at] in _COUNTED_BACK if at in kinds else at in profile.uncounted


def _tempo(profile: PieceProfile, at: int, length: Fraction) -> tuple[Pace, tuple[Turn, ...]]:
    """The tempo at the beginning of a bar, and its changes inside."""
    spans = profile.tempos
    before = [span for span in spans if (span.measure, span.offset_quarters) <= (at, 0.0)]
    inside = [span for span in spans if span.measure == at and 0.0 < span.offset_quarters < length]
    opening = before[-1] if before else spans[0] if spans else None
    pace = _pace(opening) if opening is not None else _opening_pace(profile)
    return pace, tuple(Turn(span.offset_quarters, _pace(span)) for span in inside)


def _pace(span: TempoSpan) -> Pace:
    quarters = float(_QUARTERS.get(span.unit, Fraction(1)))
    first = span.quarter_bpm if span.first_reading is None else span.first_reading * quarters
    return Pace(span.quarter_bpm, min(first, span.quarter_bpm))


def _opening_pace(profile: PieceProfile) -> Pace:
    opening = _opening(profile)
    marked = opening.reading if opening.marked is None else opening.marked
    return Pace(marked * opening.unit_quarters, opening.first * opening.unit_quarters)


def _opening(profile: PieceProfile) -> OpeningTempo:
    tempo = profile.tempo_bpm
    first = tempo.reading if tempo.first_reading is None else tempo.first_reading
    quarters = float(_QUARTERS.get(tempo.unit.replace("-", " "), Fraction(1)))
    return OpeningTempo(tempo.unit.replace("-", " "), quarters, tempo.marked, tempo.reading, first)


def _keys(profile: PieceProfile) -> Iterator[DroneKey]:
    for key in dict.fromkeys((profile.home_key, *(span.key for span in profile.keys))):
        if key:
            tonic = int(Pitch.parse(f"{key.split()[0]}{DRONE_OCTAVE}").midi)
            yield DroneKey(key, 12 * (DRONE_OCTAVE + 1) + tonic % 12)
