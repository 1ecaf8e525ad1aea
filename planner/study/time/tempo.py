"""How fast a piece is marked, how fast it can be read, and how long it lasts."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import MeterSpan, Tempo, TempoTurn
from planner.core.units import marks_below, nearest_mark
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, PartColumns
from planner.study.time.tempo_marks import BEAT_NAMES, Speed, felt_beats, opening_speed, speeds_by_measure

SPAN_NOTES = (2.0, 4.0)
"""Notes read ahead by amateurs and by professionals, at the piano.

Source: Furneaux and Land, "The effects of skill on the eye-hand span during musical sight-reading",
Proc. R. Soc. Lond. B 266 (1999): about two and about four. That they are the two ends of the level scale is
a house choice.
"""

SPAN_SECONDS = 0.7
"""Seconds read ahead at a fast tempo.

Source: the same paper: about 0.7 s when the tempo is fast, 1 s on the whole, 1.3 s when it is slow. That the
span in notes over this time is the most a reader can take in is a house choice.
"""

BUSY_QUANTILE = 0.9
"""The busiest tenth of a part's playing bars sets its tempo. House choice."""

REPEATED_WEIGHT = 0.5
"""What a repeated note counts towards the notes to be read. House choice."""

FIRST_READING_MARKS = 3
"""Metronome marks by which the first reading stays below. Source: rehearsal practice, "a few marks"."""

SLOWEST_SHARE = 0.5
"""No reading tempo below this share of the marked one: slower, the music is another one. House choice."""

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
    """

    tempo: Tempo
    unit_quarters: Fraction
    quarter_bpm: tuple[float, ...]
    turns: tuple[TempoTurn, ...] = ()


def find_tempo(columns: Columns, meters: Sequence[MeterSpan]) -> TempoStudy:
    """The marked or implied tempo of a piece, and of each of its measures.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_tempo(columns_of(Score("Empty", (), ())), ()).tempo.unit
        'quarter'
    """
    beats = felt_beats(columns.score, meters)
    opening = opening_speed(columns.score, beats)
    quarter_bpm, turns = speeds_by_measure(columns.score, beats, opening)
    return TempoStudy(_tempo(opening), opening.unit_quarters, quarter_bpm, turns)


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
    """Tempo with its reading speeds settled, and which part holds it down (empty when none does)."""

    tempo: Tempo
    busiest: str = ""
    notes_a_second: float = 0.0


def reading_tempo(columns: Columns, study: TempoStudy, levels: Sequence[float | None]) -> ReadingTempo:
    """The tempo at which readers of each part's own level can manage its busy bars.

    Notes a second may not exceed what the eye–hand span holds: two notes for the
    least experienced, four for professionals, over 0.7 seconds. Never above the
    marked tempo, never below half of it.

    Args:
        columns: The score.
        study: Its tempo as marked.
        levels: For each part its level, 0.5 to 6, or None when unknown.
    """
    tempo = study.tempo
    marked = tempo.marked or float(tempo.reading)
    seconds = measure_seconds(columns, study.quarter_bpm)
    shares = []
    for part, level in zip(columns.parts, levels, strict=True):
        load, rate = busy_rates(part, seconds)
        if load > 0:
            able = notes_per_second(UNKNOWN_LEVEL if level is None else level)
            shares.append((able / load, part.index, rate))
    share, busiest, rate = min(shares, default=(1.0, -1, 0.0))
    limit = marked * max(SLOWEST_SHARE, min(1.0, share))
    reading = marks_below(limit, 0) if limit >= 40 else round(limit) or 1
    first = marks_below(reading, FIRST_READING_MARKS) if reading >= 40 else reading
    settled = replace(tempo, reading=reading, first_reading=first)
    if share >= 1.0:
        return ReadingTempo(settled)
    return ReadingTempo(settled, columns.score.parts[busiest].name, rate * reading / marked)


def notes_per_second(level: float) -> float:
    """Notes a second that a reader of a level can take in.

    Example:
        >>> round(notes_per_second(0.5), 2), round(notes_per_second(6.0), 2)
        (2.86, 5.71)
    """
    share = (min(max(level, 0.5), 6.0) - 0.5) / 5.5
    return (SPAN_NOTES[0] + share * (SPAN_NOTES[1] - SPAN_NOTES[0])) / SPAN_SECONDS


def busy_rates(part: PartColumns, seconds: Floats) -> tuple[float, float]:
    """Notes a second in the busiest tenth of a part's playing measures, as read and as played.

    Chords count once. As read, a note on the same place as the one before counts by
    ``REPEATED_WEIGHT``: it is seen at a glance.

    Args:
        part: The part.
        seconds: Length of each measure, shape ``(n_measures,)``.
    """
    struck = np.flatnonzero(part.struck)
    onsets, first = np.unique(part.onset[struck], return_index=True)
    if not len(onsets):
        return 0.0, 0.0
    heads = struck[first]
    places = part.diatonic[heads]
    weights = np.ones(len(heads))
    weights[1:][places[1:] == places[:-1]] = REPEATED_WEIGHT
    measures = part.measure[heads]
    counts = np.bincount(measures, minlength=len(seconds))
    loads = np.bincount(measures, weights=weights, minlength=len(seconds))
    playing = (counts > 0) & (seconds > 0)
    if not playing.any():
        return 0.0, 0.0
    load, rate = (
        float(np.quantile(each[playing] / seconds[playing], BUSY_QUANTILE)) for each in (loads, counts)
    )
    return load, rate


@dataclass(frozen=True, slots=True)
class ReadingStudy:
    """How fast the piece can be read and how long it lasts.

    Attributes:
        tempo: With its reading speeds settled.
        seconds: Playing time at the marked or assumed tempo, roadmap included.
        facts: What readers need to know of the tempo.
    """

    tempo: Tempo
    seconds: float
    facts: tuple[Fact, ...]


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
    return ReadingStudy(found.tempo, seconds, tempo_facts(study, found, seconds))


CERTAINTY_OF_SOURCE = {"metronome": 1.0, "words": 0.8, "playback": 0.6, "assumed": 0.3}
"""How sure a tempo is by what gives it. House choice: published tables of tempo words disagree."""


def tempo_facts(study: TempoStudy, found: ReadingTempo, seconds: float) -> tuple[Fact, ...]:
    """Facts about the tempo, where it turns, how fast it can be read, and the playing time.

    Args:
        study: The tempo as marked.
        found: The tempo with its reading speeds.
        seconds: Playing time at the marked or assumed tempo, roadmap included.
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
    lasting = named(seconds=seconds, bpm=marked)
    return (*facts, Fact(FactKind.PLAYING_TIME, numbers=lasting, certainty=certainty, weight=0.4))
