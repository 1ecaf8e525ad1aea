"""How fast a piece is marked, how fast it can be read, and how long it lasts."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from planner.analysis.columns import TICKS_PER_QUARTER, Columns
from planner.analysis.tempo_words import tempo_word
from planner.core.profile import MeterSpan, Statement, Tempo
from planner.core.score import Score, TempoMark
from planner.core.units import marks_below, nearest_mark

UNMARKED_RANGE = (80, 120)
"""Beats a minute assumed where the page says nothing: moderate. House choice (the range of Moderato)."""

SLOWEST_QUARTER_BPM, FASTEST_QUARTER_BPM = 10.0, 800.0
"""Marks outside these are misprints. House choice."""

SPAN_NOTES = (2.0, 4.0)
"""Notes read ahead by amateurs and by professionals.

Source: Furneaux and Land, "The effects of skill on the eye–hand span during musical
sight-reading", Proc. R. Soc. Lond. B 266 (1999).
"""

SPAN_SECONDS = 0.7
"""Seconds read ahead at a fast tempo. Source: Furneaux and Land (1999)."""

FIRST_READING_MARKS = 3
"""Metronome marks by which the first reading stays below. Source: common rehearsal practice ("a few")."""

BEAT_NAMES: dict[Fraction, str] = {
    Fraction(4): "whole",
    Fraction(3): "dotted half",
    Fraction(2): "half",
    Fraction(3, 2): "dotted quarter",
    Fraction(1): "quarter",
    Fraction(3, 4): "dotted eighth",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "sixteenth",
}


@dataclass(frozen=True, slots=True)
class TempoStudy:
    """The tempo before difficulty is known.

    Attributes:
        tempo: Marked tempo and its range; reading tempo still equal to the marked one.
        unit_quarters: Length of the beat it counts.
        quarter_bpm: For each measure, quarters a minute as marked or implied.
    """

    tempo: Tempo
    unit_quarters: Fraction
    quarter_bpm: tuple[float, ...]


def find_tempo(columns: Columns, meters: Sequence[MeterSpan]) -> TempoStudy:
    """The marked or implied tempo of a piece, and of each of its measures.

    Example:
        >>> from planner.analysis.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_tempo(columns_of(Score("Empty", (), ())), ()).tempo.unit
        'quarter'
    """
    score = columns.score
    beats = _felt_beats(score, meters)
    per_measure = [0.0] * len(score.measures)
    for mark in score.tempos:
        speed = _quarter_bpm(mark, beats[mark.measure])
        if speed is not None:
            per_measure[mark.measure :] = [speed] * (len(per_measure) - mark.measure)
    opening = next((m for m in score.tempos if _quarter_bpm(m, beats[m.measure]) is not None), None)
    tempo, unit = _marked(opening, beats[opening.measure if opening else 0] if beats else Fraction(1))
    implied = float((tempo.marked or _middle(tempo)) * unit)
    return TempoStudy(tempo, unit, tuple(speed or implied for speed in per_measure))


def _felt_beats(score: Score, meters: Sequence[MeterSpan]) -> list[Fraction]:
    """For each measure, the beat in quarters."""
    beats, at = [], -1
    for measure in score.measures:
        while at + 1 < len(meters) and meters[at + 1].measure <= measure.index:
            at += 1
        groups = meters[at].grouping if at >= 0 else ()
        unit = Fraction(4, measure.time.unit)
        beats.append(unit * 3 if groups and set(groups) == {3} else unit)
    return beats


def _quarter_bpm(mark: TempoMark, beat: Fraction) -> float | None:
    if mark.bpm and mark.beat_unit_quarters:
        speed: float | None = mark.bpm * float(mark.beat_unit_quarters)
    elif word := tempo_word(mark.text):
        speed = (word[1] + word[2]) / 2 * float(beat)
    else:
        speed = mark.quarter_bpm
    return speed if speed and SLOWEST_QUARTER_BPM <= speed <= FASTEST_QUARTER_BPM else None


def _middle(tempo: Tempo) -> float:
    return nearest_mark(((tempo.low or UNMARKED_RANGE[0]) + (tempo.high or UNMARKED_RANGE[1])) / 2)


def _marked(mark: TempoMark | None, beat: Fraction) -> tuple[Tempo, Fraction]:
    if mark is not None and mark.bpm and mark.beat_unit_quarters in BEAT_NAMES:
        unit = mark.beat_unit_quarters or beat
        bpm = round(mark.bpm, 2)
        return Tempo(bpm, BEAT_NAMES[unit], nearest_mark(bpm), bpm, bpm, source="metronome mark"), unit
    name = BEAT_NAMES.get(beat, "quarter")
    unit = beat if beat in BEAT_NAMES else Fraction(1)
    if mark is not None and (word := tempo_word(mark.text)):
        low, high = float(word[1]), float(word[2])
        return Tempo(
            None, name, nearest_mark((low + high) / 2), low, high, source=f"the word {mark.text}"
        ), unit
    low, high = (float(bound) for bound in UNMARKED_RANGE)
    return Tempo(None, name, nearest_mark((low + high) / 2), low, high, source="nothing printed"), unit


def playing_seconds(columns: Columns, play_order: Sequence[int], quarter_bpm: Sequence[float]) -> float:
    """Seconds the piece takes, roadmap included, each measure at its own tempo."""
    quarters = columns.measure_length / TICKS_PER_QUARTER
    seconds = quarters * 60.0 / np.asarray(quarter_bpm, dtype=np.float64) if len(quarters) else quarters
    return round(float(seconds[list(play_order)].sum()), 1) if len(play_order) else 0.0


def reading_tempo(columns: Columns, study: TempoStudy, levels: Sequence[float | None]) -> Tempo:
    """The tempo at which readers of each part's own level can manage its busy bars.

    Notes a second may not exceed what the eye–hand span holds: two notes for the
    least experienced, four for professionals, over 0.7 seconds. A part's busy bars
    are the busiest tenth of those it plays in. Never above the marked tempo, never
    below half of it.

    Args:
        columns: The score.
        study: Its tempo as marked.
        levels: For each part its level, 0.5 to 6, or None when unknown.
    """
    tempo = study.tempo
    marked = tempo.marked or _middle(tempo)
    limit = marked
    for part, level in zip(columns.parts, levels, strict=True):
        density = busy_density(columns, part.onset[part.struck], part.measure[part.struck])
        if density > 0:
            rate = notes_per_second(1.5 if level is None else level)
            limit = min(limit, rate * 60.0 / (density * float(study.unit_quarters)))
    limit = max(limit, marked / 2, 40)
    reading = marks_below(limit, 0)
    first = marks_below(reading, FIRST_READING_MARKS)
    return Tempo(tempo.marked, tempo.unit, reading, tempo.low, tempo.high, first, tempo.source)


def notes_per_second(level: float) -> float:
    """Notes a second that a reader of a level can take in.

    Example:
        >>> round(notes_per_second(0.5), 2), round(notes_per_second(6.0), 2)
        (2.86, 5.71)
    """
    share = (min(max(level, 0.5), 6.0) - 0.5) / 5.5
    return (SPAN_NOTES[0] + share * (SPAN_NOTES[1] - SPAN_NOTES[0])) / SPAN_SECONDS


def busy_density(columns: Columns, onsets: np.ndarray, measures: np.ndarray) -> float:
    """Notes a quarter in the busiest tenth of a part's sounding measures; chords count once."""
    if not len(onsets):
        return 0.0
    distinct, first = np.unique(onsets, return_index=True)
    counts = np.bincount(measures[first], minlength=len(columns.measure_length))
    quarters = columns.measure_length / TICKS_PER_QUARTER
    sounding = (counts > 0) & (quarters > 0)
    if not len(distinct) or not sounding.any():
        return 0.0
    return float(np.quantile(counts[sounding] / quarters[sounding], 0.9))


def say_tempo(tempo: Tempo, seconds: float) -> tuple[Statement, ...]:
    """Sentences about the tempo and the playing time."""
    if tempo.marked is not None:
        opening = f"Marked {tempo.unit} = {tempo.marked:g}"
    else:
        opening = f"{tempo.unit.capitalize()} = {tempo.low:g}–{tempo.high:g} ({tempo.source})"
    said = [Statement("tempo", f"{opening}; about {_minutes(seconds)} with the roadmap.")]
    if tempo.first_reading is not None:
        said.append(
            Statement(
                "tempo",
                f"Manageable for reading at {tempo.unit} = {tempo.reading}; "
                f"take the first reading at {tempo.first_reading}.",
            )
        )
    return tuple(said)


def _minutes(seconds: float) -> str:
    whole = round(seconds)
    if whole < 60:
        return f"{whole} s"
    return f"{whole // 60} min {whole % 60:02d} s"
