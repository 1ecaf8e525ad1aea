"""What the rhythm and the meter of a part ask."""

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.study.difficulty.scales import (
    Anchors,
    DimensionLevel,
    bounded,
    expected_kinds,
    on_scale,
    power_mean,
)
from planner.study.facts import StudyFacts
from planner.study.notes.arrays import counted, differences, numbered, quantile
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Floats, Ints, PartColumns

SIMPLE_CELLS: dict[int, float] = {1: 0.5, 2: 1.0, 4: 2.25, 3: 2.5, 8: 4.5, 6: 3.75, 16: 5.5, 5: 5.0, 7: 5.5}
"""Level of a beat divided into so many in simple time.

Source: nemusicpub.com/grading (quarters at half, eighths at 1, dotted eighth and sixteenth at 1½) and
Teaching Music through Performance in Beginning Band (basic sixteenths and one-beat triplets at 2);
thirty-seconds and irregular groups at 4 to 5 from memory.
"""
COMPOUND_CELLS: dict[int, float] = {
    1: 0.5,
    3: 1.5,
    2: 3.0,
    6: 2.75,
    4: 3.75,
    12: 4.75,
    9: 5.0,
    5: 5.5,
    7: 5.5,
}
"""The same for a beat of three: 6/8 enters at 1½, its sixteenths later. Source: as above."""
OTHER_CELL = 5.5
NO_ATTACK_ON_BEAT = 0.5
"""Added when a beat is entered late: dotted figures and ties over the beat (1½ for the dotted quarter)."""
UNEVEN = 0.25
"""Added when the parts of the beat are not all struck. Source: both house choice on the charts' order."""

FIGURE_LEVELS = (0.5, 1.0, 1.5, 2.0, 2.75, 3.75, 4.75)
"""Levels from which the hardest common figure is of the next rank: whole beats, beats in two, figures that
begin after the beat, beats in three or four, broken figures of short notes, fine or crossed divisions, the
finest divisions."""
FIGURE_POWER = 2.0
"""Exponent of the mean over beats: harder figures count for more, a single one by its share. House choice."""

BARS_DRAWN = 16
"""Bars in which different rhythms are counted: two eight-bar phrases. Source: house choice."""
VARIETY: Anchors = ((1, 0.5), (2, 1.0), (4, 2.0), (6, 2.9), (8, 3.7), (10, 4.5), (12, 5.2), (16, 6.0))
"""Different bar rhythms expected in sixteen bars, to level.

Source: house choice. A reader takes in a rhythm at a glance when the bar before had it (Thul and Toussaint,
ISMIR 2008, on the information in rhythms); how many must be taken in anew is the load.
"""
SURPRISE: Anchors = ((0.3, 0.0), (0.8, 0.3), (1.3, 0.7), (1.8, 1.1), (2.5, 1.6))
"""Bits by which the next note value surprises who knows the last one, to what they add. Source: house choice
on Shannon's conditional entropy."""
SYNCOPATION: Anchors = ((0.0, 0.5), (0.05, 1.5), (0.15, 3.0), (0.3, 4.5), (0.6, 6.0))
"""Share of notes syncopated or tied, to level.

Source: house choice; charts have "very easy" syncopation at 1½ and all of it from 4.
"""
TIED = 0.5
"""What a tied head weighs beside a syncopated attack. Source: house choice."""
LEAST_SYNCOPATED = 0.005
"""Share of syncopated notes that rounds to one in a hundred; fewer are not worth a word."""

METERS: dict[str, float] = {
    "2/4": 0.5, "4/4": 0.5, "3/4": 0.75, "2/2": 1.5, "6/8": 1.5, "3/8": 1.25, "3/2": 1.5, "4/2": 1.0,
    "6/4": 1.75, "9/8": 2.5, "12/8": 2.5, "4/8": 1.0, "2/8": 1.0, "5/4": 3.0, "5/8": 4.0, "7/8": 4.0,
    "7/4": 4.0, "8/8": 4.0, "10/8": 4.0, "11/8": 5.0, "1/4": 0.5, "1/2": 1.0, "2/1": 2.0, "3/1": 2.0,
    "8/4": 1.0, "5/2": 3.5, "6/2": 2.25, "7/2": 4.5, "9/4": 3.0, "12/4": 3.0, "8/2": 2.0, "2/16": 1.5,
    "3/16": 1.75, "4/16": 1.5, "6/16": 2.0, "9/16": 3.0, "12/16": 3.0, "5/16": 4.5, "7/16": 4.5,
}  # fmt: skip
"""Source: nemusicpub.com/grading up to 2; zicatomusic.com/grade-levels (easy 5/4 and 7/8 at 3 for strings);
5/8 and 7/8 at 4 in band from memory. Meters over 2 and 8 that are counted like those over 4 stand nearer to
these than in the charts, for the same time in other values is little harder (house choice)."""
OTHER_METER = 5.0
NO_METER = 2.0
METER_CHANGES: Anchors = ((0, 0.0), (1, 0.3), (3, 0.8), (8, 1.5), (20, 2.0))
METER_POWER = 3.0
"""Exponent of the mean over bars, so that one odd bar counts by its share. Source: house choice."""


SIXTY_FOURTH = TICKS_PER_QUARTER // 16


@dataclass(frozen=True, eq=False)
class Beats:
    """The felt pulses: start and length in ticks, and where they fall into three; shape ``(n_pulses,)``."""

    start: Ints
    length: Ints
    is_compound: Bools


LONGEST_BEAT = 1.0
"""Seconds from which a pulse of several units of the meter is counted in its units: a slow 6/8 in six.

Source: conductors subdivide below about 60 a minute (common practice).
"""
SHORTEST_BEAT = 0.288
"""Seconds below which pulses are counted by threes or twos, as a scherzo's bars in one.

Source: house choice: quicker than a metronome goes, which ends at 208.
"""


def beats_of(columns: Columns, facts: StudyFacts) -> Beats:
    """The beats that players count, at their tempo; one beat a measure where none is felt."""
    start = facts.pulse_ticks(columns)
    if not len(start):
        start = columns.measure_start
    start = _joined(start, columns, facts)
    length = differences(start, columns.total)
    measure = _measures_at(columns, start)
    seconds = _seconds(length, measure, facts)
    unit = _units(columns, facts)[measure]
    parts = np.where((seconds > LONGEST_BEAT) & (length > 0) & (length % unit == 0), length // unit, 1)
    parts = np.where(parts <= MOST_UNITS, parts, 1)
    if (parts > 1).any():
        inside = np.arange(int(parts.sum())) - np.repeat(np.cumsum(parts) - parts, parts)
        start = np.repeat(start, parts) + inside * np.repeat(length // parts, parts)
        length = np.repeat(length // parts, parts)
    return Beats(start, length, _is_ternary(length))


def _joined(start: Ints, columns: Columns, facts: StudyFacts) -> Ints:
    """The pulses that are counted: every third or every second one of a bar whose pulses are too quick."""
    measure = _measures_at(columns, start)
    is_quick = _seconds(differences(start, columns.total), measure, facts) < SHORTEST_BEAT
    inside = np.bincount(measure, minlength=len(columns.measure_start))
    all_quick = np.bincount(measure[is_quick], minlength=len(inside)) == inside
    by = np.where(all_quick & (inside % 3 == 0), 3, np.where(all_quick & (inside % 2 == 0), 2, 1))[measure]
    opens = np.flatnonzero(np.append(True, measure[1:] != measure[:-1]))
    place = np.arange(len(start)) - np.repeat(opens, differences(opens, len(start)))
    found: Ints = start[place % by == 0]
    return found


def _measures_at(columns: Columns, start: Ints) -> Ints:
    found: Ints = np.maximum(np.searchsorted(columns.measure_start, start, side="right") - 1, 0)
    return found


def _seconds(length: Ints, measure: Ints, facts: StudyFacts) -> Floats:
    found: Floats = length / TICKS_PER_QUARTER * 60.0 / np.array(facts.quarter_bpm)[measure]
    return found


MOST_UNITS = 4
"""Units of the meter in a pulse that may be counted one by one."""


def _units(columns: Columns, facts: StudyFacts) -> Ints:
    """Ticks of the lower number of the meter in each measure; a quarter where there is none."""
    found = np.full(max(1, len(columns.measure_start)), TICKS_PER_QUARTER, dtype=np.int64)
    for span in facts.meters:
        lower = span.time.rpartition("/")[2]
        found[span.measure :] = 4 * TICKS_PER_QUARTER // int(lower) if lower.isdigit() else TICKS_PER_QUARTER
    return found


def _is_ternary(length: Ints) -> Bools:
    units = length // SIXTY_FOURTH
    found: Bools = (length % SIXTY_FOURTH == 0) & (units > 0) & (units % 3 == 0)
    return found


@dataclass(frozen=True, eq=False)
class RhythmFacts:
    """Figures of one line.

    Attributes:
        beat: Index of each beat where it attacks, ascending, shape ``(n_struck_beats,)``.
        finest: Into how many parts that beat is divided, same shape.
        levels: Level of its figure, same shape.
        off: True for each attack off the beat that sounds over the next beat, shape ``(n_attacks,)``.
    """

    beat: Ints
    finest: Ints
    levels: Floats
    off: Bools

    @property
    def syncopated(self) -> float:
        """Share of the attacks that are syncopated."""
        return float(self.off.mean()) if len(self.off) else 0.0


def measure_rhythm(line: AttackLine, beats: Beats) -> RhythmFacts:
    """Level of each beat's figure, and how many notes begin off the beat and sound over the next."""
    at = np.maximum(np.searchsorted(beats.start, line.onset, side="right") - 1, 0)
    offset, length = line.onset - beats.start[at], np.maximum(beats.length[at], 1)
    parts = length // np.gcd(np.maximum(offset, 0), length)
    groups = np.flatnonzero(np.append(True, at[1:] != at[:-1]))
    finest = np.maximum.reduceat(parts, groups)
    struck = differences(groups, len(at))
    on_beat = offset[groups] == 0
    compound = beats.is_compound[at[groups]]
    levels = _cell_levels(finest, compound)
    levels += np.where(~on_beat, NO_ATTACK_ON_BEAT, 0.0)
    levels += np.where((finest > struck) & (finest > 2), UNEVEN, 0.0)
    after = np.append(beats.start, beats.start[-1] + beats.length[-1])[np.minimum(at + 1, len(beats.start))]
    syncopated = (offset > 0) & (line.end > after)
    return RhythmFacts(at[groups], finest, levels, syncopated)


def _cell_levels(finest: Ints, compound: Bools) -> Floats:
    kinds, back = numbered(finest)
    simple = np.array([SIMPLE_CELLS.get(k, OTHER_CELL) for k in kinds.tolist()])[back]
    ternary = np.array([COMPOUND_CELLS.get(k, OTHER_CELL) for k in kinds.tolist()])[back]
    levels: Floats = np.where(compound, ternary, simple)
    return levels


def rhythm_level(found: tuple[RhythmFacts, ...]) -> DimensionLevel:
    """The figures of its beats, the harder ones counting for more."""
    levels = np.concatenate([each.levels for each in found])
    rank = bisect_right(FIGURE_LEVELS, quantile(levels, 0.95)) - 1
    level = power_mean(levels, FIGURE_POWER)
    return DimensionLevel(Dimension.RHYTHM, bounded(level), (Measured(Quantity.FIGURE, rank),))


def variety_level(lines: tuple[AttackLine, ...], columns: Columns) -> DimensionLevel:
    """How many different bar rhythms sixteen of its bars hold, and how often the next value surprises."""
    kinds = max(
        expected_kinds(codes[codes != 0], BARS_DRAWN)
        for codes in (bar_rhythms(columns, line) for line in lines)
    )
    surprise = max(surprise_bits(np.diff(line.onset)) for line in lines)
    level = on_scale(kinds, VARIETY) + on_scale(surprise, SURPRISE)
    return DimensionLevel(
        Dimension.VARIETY, bounded(level), (Measured(Quantity.BAR_RHYTHMS, round(kinds, 2)),)
    )


def surprise_bits(values: Ints) -> float:
    """Mean surprise of each value after the one before it, in bits (conditional entropy).

    Source: Shannon 1948, entropy of pairs less entropy of singles.

    Example:
        >>> surprise_bits(np.array([1, 2, 1, 2, 1, 2]))
        0.0
    """
    if len(values) < 2:
        return 0.0
    before, after = values[:-1], values[1:]
    pairs = before * (int(values.max()) + 1) + after
    return max(0.0, _entropy(pairs) - _entropy(before))


def _entropy(values: Ints) -> float:
    counts = counted(values)[1] / len(values)
    return float(-(counts * np.log2(counts)).sum())


def bar_rhythms(columns: Columns, line: AttackLine) -> Ints:
    """A number for the rhythm of each measure, equal for equal attack places; 0 where nothing is struck."""
    offset = (line.onset - columns.measure_start[line.measure]).astype(np.uint64)
    mixed = (offset + np.uint64(0x9E3779B97F4A7C15)) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(29))) * np.uint64(0x94D049BB133111EB)
    codes = np.zeros(len(columns.measure_start), dtype=np.uint64)
    starts = np.flatnonzero(np.append(True, line.measure[1:] != line.measure[:-1]))
    codes[line.measure[starts]] = np.add.reduceat(mixed ^ (mixed >> np.uint64(32)), starts)
    return codes.view(np.int64)


def syncopation_level(found: tuple[RhythmFacts, ...], part: PartColumns) -> DimensionLevel:
    """Notes that begin off the beat and sound over the next, and notes held on by a tie."""
    off = max(each.syncopated for each in found)
    tied = 1.0 - float(part.struck.mean())
    share = off + TIED * tied
    evidence = (Measured(Quantity.SYNCOPATED_NOTES, round(share, 4)),) if share >= LEAST_SYNCOPATED else ()
    return DimensionLevel(Dimension.SYNCOPATION, on_scale(share, SYNCOPATION), evidence)


def meter_level(facts: StudyFacts, count: int) -> DimensionLevel:
    """The meters by the bars that stand in them, the harder ones counting for more, and their changes.

    Args:
        facts: What the study settled.
        count: Measures of the score.
    """
    if not facts.meters:
        return DimensionLevel(Dimension.METER, NO_METER, (Measured(Quantity.METER),))
    levels = [METERS.get(plain_meter(span.time), OTHER_METER) for span in facts.meters]
    bars = np.diff([*(span.measure for span in facts.meters), max(count, facts.meters[-1].measure + 1)])
    hardest = max(zip(levels, facts.meters, strict=True), key=lambda pair: pair[0])[1]
    changes = sum(a.time != b.time for a, b in pairwise(facts.meters))
    level = power_mean(np.array(levels), METER_POWER, bars) + on_scale(changes, METER_CHANGES)
    evidence = [Measured(Quantity.METER, measure=hardest.measure, terms=(hardest.time,))]
    evidence += [Measured(Quantity.METER_CHANGES, changes)] if changes else []
    return DimensionLevel(Dimension.METER, bounded(level), tuple(evidence))


def plain_meter(time: str) -> str:
    """A time signature with its printed groups added up.

    Example:
        >>> plain_meter("2+2+3/8")
        '7/8'
    """
    upper, _, lower = time.partition("/")
    return f"{sum(int(n) for n in upper.split('+'))}/{lower}" if upper.replace("+", "").isdigit() else time
