"""How fast a piece is marked, how fast it can be read, and how long it lasts."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

import numpy as np

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import MeterSpan, Tempo, TempoSource, TempoSpan, TempoTurn
from planner.core.units import METRONOME_MARKS, marks_below, nearest_mark
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, Ints
from planner.study.time.speed_limits import PartDensity, densities_of, notes_per_second
from planner.study.time.tempo_marks import BEAT_NAMES, UNKNOWN_SPEED, Speed, SpeedSpan, find_speeds

FIRST_READING_MARKS = 3
"""Metronome marks by which the first reading stays below. Source: rehearsal practice, "a few marks"."""

SAME_SPEED = 0.01
"""Share below which a change of tempo is not told. House choice."""

FIRST_READING_SHARE = 0.88
"""The same below the slowest mark of the metronome: three of its steps are about an eighth. House choice."""

UNKNOWN_LEVEL = 1.5
"""Level taken for a part that has none. House choice."""


@dataclass(frozen=True, slots=True)
class TempoStudy:
    """The tempo before difficulty is known.

    Attributes:
        tempo: Marked tempo and its range; reading tempo still equal to the marked one.
        unit_quarters: Length of the beat it counts.
        quarter_bpm: For each measure, quarters a minute as marked or implied.
        turns: Where the tempo turns, with the words or number that say so.
        spans: The speeds from the first to the last.
    """

    tempo: Tempo
    unit_quarters: Fraction
    quarter_bpm: tuple[float, ...]
    turns: tuple[TempoTurn, ...] = ()
    spans: tuple[SpeedSpan, ...] = ()


def find_tempo(columns: Columns, meters: Sequence[MeterSpan]) -> TempoStudy:
    """The marked or implied tempo of a piece, and of each of its measures.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_tempo(columns_of(Score("Empty", (), ())), ()).tempo.unit
        'quarter'
    """
    spans = tuple(find_speeds(columns, meters))
    opening = spans[0].speed if spans else UNKNOWN_SPEED
    speeds = [opening.quarter_bpm] * len(columns.score.measures)
    turns: list[TempoTurn] = []
    for before, span in pairwise(spans):
        speeds[span.measure :] = [span.speed.quarter_bpm] * (len(speeds) - span.measure)
        if abs(span.speed.quarter_bpm / before.speed.quarter_bpm - 1) > SAME_SPEED:
            turns.append(_turn(span))
    return TempoStudy(_tempo(opening), opening.unit_quarters, tuple(speeds), tuple(turns), spans)


def _turn(span: SpeedSpan) -> TempoTurn:
    """A place where the tempo turns; a printed number in the unit the page counts."""
    speed = span.speed
    is_number = speed.source == "metronome" and (span.has_number or not span.words)
    now, before = _named(span)
    source: TempoSource = "metronome" if is_number else "words" if span.words or now else "playback"
    return TempoTurn(
        span.measure, speed.bpm, BEAT_NAMES[speed.unit_quarters], source, span.words, now, before
    )


def _named(span: SpeedSpan) -> tuple[str, str]:
    """The notes that the page sets equal, the new one first; empty where it sets none that has a name."""
    names = [BEAT_NAMES.get(each, "") for each in span.equal or ()]
    return (names[0], names[1]) if len(names) == 2 and all(names) else ("", "")


def _tempo(opening: Speed) -> Tempo:
    estimate = nearest_mark(opening.bpm)
    return Tempo(
        marked=opening.bpm if opening.is_printed else None,
        unit=BEAT_NAMES[opening.unit_quarters],
        reading=estimate,
        low=opening.low,
        high=opening.high,
        source=opening.source,
        words=opening.words,
        table_word=opening.table_word,
    )


def playing_seconds(columns: Columns, play_order: Sequence[int], quarter_bpm: Sequence[float]) -> float:
    """Seconds the piece takes, roadmap included, each measure at its own tempo."""
    if not len(play_order):
        return 0.0
    return round(float(measure_seconds(columns, quarter_bpm)[list(play_order)].sum()), 1)


def measure_seconds(columns: Columns, quarter_bpm: Sequence[float]) -> Floats:
    """Seconds of each written measure, shape ``(n_measures,)``."""
    quarters = columns.measure_length / TICKS_PER_QUARTER
    seconds: Floats = quarters * 60.0 / np.asarray(quarter_bpm, dtype=np.float64)
    return seconds


@dataclass(frozen=True, slots=True)
class ReadingTempo:
    """Tempo with its reading speeds settled, and which part holds it down (empty when none does).

    Attributes:
        tempo: The opening's.
        busiest, notes_a_second: The part that holds the opening's tempo down, and what it then plays.
        spans: The tempos of all sections with their first readings.
        slower: For each measure, the first reading's time as a multiple of the marked time; 1 or more.
    """

    tempo: Tempo
    busiest: str = ""
    notes_a_second: float = 0.0
    spans: tuple[TempoSpan, ...] = ()
    slower: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class _Reading:
    """Reading tempos of one speed, in its beats."""

    reading: int
    first: int
    busiest: int = -1
    notes_a_second: float = 0.0


def reading_tempo(columns: Columns, study: TempoStudy, levels: Sequence[float | None]) -> ReadingTempo:
    """The tempos at which readers of each part's own level can manage its busy bars, section by section.

    Notes a second may not exceed what the eye–hand span holds: two notes for the
    least experienced, four for professionals, over 0.7 seconds, and less where the instrument speaks
    slowly. Never above the marked tempo. Sections of one speed are read at one speed.

    Args:
        columns: The score.
        study: Its tempo as marked.
        levels: For each part its level, 0.5 to 6, or None when unknown.
    """
    ables = [
        notes_per_second(UNKNOWN_LEVEL if level is None else level, part.part.instrument)
        for part, level in zip(columns.parts, levels, strict=True)
    ]
    densities = densities_of(columns)
    count = len(columns.score.measures)
    ends = [span.measure for span in study.spans[1:]] + [count]
    measures: dict[tuple[float, Fraction], list[int]] = {}
    for span, end in zip(study.spans, ends, strict=False):
        measures.setdefault(_kind(span.speed), []).extend(range(span.measure, end))
    seconds = measure_seconds(columns, study.quarter_bpm)
    readings = {
        kind: _reading(kind[0] / float(kind[1]), densities, ables, seconds, np.array(where, dtype=np.intp))
        for kind, where in measures.items()
    }
    if not study.spans:
        return ReadingTempo(replace(study.tempo, first_reading=marks_below(study.tempo.reading, 3)))
    slower = np.ones(count)
    for kind, where in measures.items():
        slower[where] = max(1.0, kind[0] / float(kind[1]) / readings[kind].first)
    spans = tuple(_span(span, readings[_kind(span.speed)].first) for span in study.spans)
    opening = readings[_kind(study.spans[0].speed)]
    tempo = replace(study.tempo, reading=opening.reading, first_reading=opening.first)
    name = columns.score.parts[opening.busiest].name if opening.busiest >= 0 else ""
    return ReadingTempo(tempo, name, opening.notes_a_second, spans, tuple(slower.tolist()))


def _kind(speed: Speed) -> tuple[float, Fraction]:
    return (round(speed.quarter_bpm, 2), speed.unit_quarters)


def _span(span: SpeedSpan, first: int) -> TempoSpan:
    speed = span.speed
    return TempoSpan(
        span.measure, round(speed.quarter_bpm, 2), float(span.onset), speed.bpm,
        BEAT_NAMES[speed.unit_quarters], speed.source, span.words, first,
    )  # fmt: skip


def _reading(
    bpm: float, densities: Sequence[PartDensity], ables: Sequence[float], seconds: Floats, where: Ints
) -> _Reading:
    """The reading tempos of the measures that go at one speed."""
    shares = []
    for index, (density, able) in enumerate(zip(densities, ables, strict=True)):
        load, rate = density.busy(seconds, where)
        if load > 0:
            shares.append((able / load, index, rate))
    share, busiest, rate = min(shares, default=(1.0, -1, 0.0))
    limit = bpm * min(1.0, share)
    slowest = METRONOME_MARKS[0]
    reading = marks_below(limit, 0) if limit >= slowest else math.floor(limit) or 1
    first = (
        marks_below(reading, FIRST_READING_MARKS)
        if reading >= slowest
        else max(1, math.floor(reading * FIRST_READING_SHARE))
    )
    return _Reading(reading, first) if share >= 1 else _Reading(reading, first, busiest, rate * reading / bpm)


@dataclass(frozen=True, slots=True)
class ReadingStudy:
    """How fast the piece can be read and how long it lasts.

    Attributes:
        tempo: The opening's, with its reading speeds settled.
        seconds: Playing time at the marked or assumed tempo, roadmap included.
        facts: What readers need to know of the tempo.
        first_seconds: Playing time of the first reading, each section at its own tempo.
        spans: The tempos of all sections.
        slower: For each measure, the first reading's time as a multiple of the marked time; 1 or more.
    """

    tempo: Tempo
    seconds: float
    facts: tuple[Fact, ...]
    first_seconds: float = 0.0
    spans: tuple[TempoSpan, ...] = ()
    slower: tuple[float, ...] = ()


def find_reading(
    columns: Columns, study: TempoStudy, play_order: Sequence[int], levels: Sequence[float | None]
) -> ReadingStudy:
    """The tempo of the readings, the playing time, and facts about both.

    Args:
        columns: The score.
        study: Its tempo as marked.
        play_order: Written measures in the order played.
        levels: For each part its level, 0.5 to 6, or None when unknown.
    """
    seconds = playing_seconds(columns, play_order, study.quarter_bpm)
    found = reading_tempo(columns, study, levels)
    slowed = [bpm / slower for bpm, slower in zip(study.quarter_bpm, found.slower, strict=True)]
    first = playing_seconds(columns, play_order, slowed)
    facts = tempo_facts(study, found, seconds, first)
    return ReadingStudy(found.tempo, seconds, facts, first, found.spans, found.slower)


CERTAINTY_OF_SOURCE = {"metronome": 1.0, "words": 0.8, "playback": 0.6, "assumed": 0.3}
"""How sure a tempo is by what gives it. House choice: published tables of tempo words disagree."""


def tempo_facts(
    study: TempoStudy, found: ReadingTempo, seconds: float, first_seconds: float
) -> tuple[Fact, ...]:
    """Facts about the tempo, where it turns, how fast it can be read, and the playing time.

    Args:
        study: The tempo as marked.
        found: The tempo with its reading speeds.
        seconds: Playing time at the marked or assumed tempo, roadmap included.
        first_seconds: The same at the tempos of the first reading.
    """
    tempo = found.tempo
    certainty = CERTAINTY_OF_SOURCE[tempo.source]
    facts = [Fact(FactKind.TEMPO, certainty=certainty, weight=0.7)]
    if study.turns:
        facts.append(Fact(FactKind.TEMPO_TURNS, weight=0.8))
    rate = named(notes_a_second=found.notes_a_second) if found.busiest else ()
    parts = (found.busiest,) if found.busiest else ()
    facts.append(Fact(FactKind.READING_TEMPO, parts=parts, numbers=rate, certainty=0.7, weight=0.6))
    marked = tempo.marked or float(study.tempo.reading)
    lasting = named(seconds=seconds, bpm=marked, first_seconds=first_seconds)
    return (*facts, Fact(FactKind.PLAYING_TIME, numbers=lasting, certainty=certainty, weight=0.4))
