"""What the range and the motion of a part ask."""

from functools import cache

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.instruments import Instrument
from planner.study.difficulty.scales import (
    Anchors,
    DimensionLevel,
    bounded,
    expected_kinds,
    on_scale,
    power_mean,
)
from planner.study.lines.strings import positions_needed
from planner.study.lines.technique_tables import POSITION_LEVEL
from planner.study.notes.arrays import counted, quantile
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import Floats, Ints, PartColumns
from planner.study.notes.ranges import RangeFacts

WIDTH: Anchors = ((5, 0.5), (9, 1.0), (12, 1.5), (16, 2.25), (19, 3.0), (24, 4.0), (31, 5.0), (40, 6.0))
"""Semitones between lowest and highest note, for instruments without a range by level. Source: MSHSAA
classes 1 and 2 (an octave and a third), 7thlettermusic.com (1½ octaves at 2, two at 3); ends are ours."""
HANDS: Anchors = ((9, 0.5), (14, 1.0), (21, 2.0), (28, 3.0), (36, 4.0), (46, 5.0), (60, 6.0))
"""The same for one hand on a keyboard. Source: house choice."""
NOTE_POWER = 2.0
"""Exponent of the mean over notes: notes further out count for more, each by its share. House choice."""
VOICE_WIDTH = 0.7
"""How much of a singer's range is its width; the rest is where it lies. Source: house choice."""
ENDS = (0.01, 0.04, 0.1)
"""Shares of the notes left aside at either end for a width; the mean of three widths counts. House choice."""

LEAP_COST: Anchors = ((1, 0.0), (2, 0.15), (4, 0.5), (7, 1.0), (14, 1.25))
"""Staff steps to cost.

Source: hand displacement of Chiu and Chen 2012, who count nothing below a fifth, half from there and all
from an octave; that it rises in between, and a little above the octave, is a house choice.
"""
MOTION: Anchors = ((0.05, 0.5), (0.12, 1.0), (0.2, 1.75), (0.3, 2.75), (0.42, 3.75), (0.65, 5.0), (1.0, 6.0))

NOTES_DRAWN = 64
STAFF_PLACES: Anchors = ((1, 0.5), (3, 0.8), (5, 1.2), (8, 2.2), (11, 3.3), (14, 4.4), (17, 5.3), (21, 6.0))
"""Different places on the staff expected among 64 notes, to level.

Source: on graded piano pieces the number of pitches in use follows the grade best (entropy of pitches, rank
correlation 0.71 on the 660 pieces of Ramoneda and others, ISMIR 2024); the steps are a house choice on the
charts' "first six notes" at ½ and an octave at 1.
"""
CHORDS: Anchors = ((0.0, 0.5), (0.1, 1.4), (0.4, 2.6), (1.0, 4.0), (2.0, 5.3), (3.0, 6.0))
"""Further notes to an attack, to level. Source: house choice; string charts allow open double stops at 1½."""
CHORDS_OF_A_PLAYER = frozenset({"keyboard", "strings", "plucked", "percussion"})
"""Families that play several notes at once; elsewhere they are several players."""


def range_level(
    part: PartColumns, lines: tuple[AttackLine, ...], compass: RangeFacts, instrument: Instrument | None
) -> DimensionLevel:
    """The player level whose comfortable range holds the notes, those further out counting for more."""
    assert compass.written
    span = (Measured(Quantity.COMPASS, notes=compass.written),)
    if instrument is None or not instrument.by_level:
        scale = HANDS if len(lines) > 1 else WIDTH
        widths = [_width(line.top, line.bottom) for line in lines if not np.isnan(line.top).all()]
        return DimensionLevel(Dimension.RANGE, on_scale(float(np.mean(widths)), scale), span)
    shift = part.part.transposition.semitones - instrument.transposition.semitones
    pitches = part.written[~np.isnan(part.written)] + shift
    numbers, counts = counted(pitches)
    levels = np.array([level_for(instrument, float(number), float(number)) for number in numbers])
    level = power_mean(levels, NOTE_POWER, counts)
    if instrument.family == "voice":
        level = (1.0 - VOICE_WIDTH) * level + VOICE_WIDTH * on_scale(_width(pitches, pitches), WIDTH)
    return DimensionLevel(Dimension.RANGE, bounded(level), span)


def _width(top: Floats, bottom: Floats) -> float:
    """Semitones of the compass, the mean of what more and fewer of the notes keep within."""
    high, low = top[~np.isnan(top)], bottom[~np.isnan(bottom)]
    return float(np.mean([quantile(high, 1.0 - end) - quantile(low, end) for end in ENDS]))


def position_level(written: Ints, group: str) -> DimensionLevel:
    """The left-hand positions of a bowed part, the higher ones counting for more.

    Args:
        written: Written MIDI numbers as the instrument reads them, at least one.
        group: Violin, viola, cello or double bass.
    """
    needed = np.maximum(1, positions_needed(group, written))
    numbers, counts = counted(needed)
    anchors = _levels_of_positions(group)
    levels = np.array([on_scale(float(number), anchors) for number in numbers])
    above = float((needed > 1).mean())
    evidence = (Measured(Quantity.ABOVE_POSITION, round(above, 4)),) if above >= 0.005 else ()
    return DimensionLevel(Dimension.POSITION, bounded(power_mean(levels, NOTE_POWER, counts)), evidence)


@cache
def _levels_of_positions(group: str) -> Anchors:
    """From a position to the lowest level at which it is expected; the first comes with the first lessons."""
    found: list[tuple[float, float]] = [(1.0, LOWEST_LEVEL)]
    for level, position in POSITION_LEVEL[group]:
        if position > found[-1][0]:
            found.append((float(position), level))
    return tuple(found)


def level_for(instrument: Instrument, low: float, high: float) -> float:
    """Lowest level at which written MIDI numbers ``low`` to ``high`` lie in the comfortable range.

    Example:
        >>> from planner.core.instruments import get_instrument
        >>> level_for(get_instrument("clarinet-bflat"), 52, 70)
        1.0
    """
    levels = [level for level, _ in instrument.by_level]
    lows = [cell.low_midi for _, cell in instrument.by_level]
    highs = [cell.high_midi for _, cell in instrument.by_level]
    return max(_crossing(levels, [-n for n in lows], -low), _crossing(levels, highs, high))


def _crossing(levels: list[float], borders: list[int], pitch: float) -> float:
    """Where a border that rises with level reaches a pitch; the highest level when it never does."""
    if pitch <= borders[0]:
        return LOWEST_LEVEL
    for below, above, at, to in zip(borders, borders[1:], levels, levels[1:], strict=False):
        if pitch <= above:
            return at + (to - at) * (pitch - below) / (above - below)
    return HIGHEST_LEVEL


def motion_level(part: PartColumns) -> DimensionLevel:
    """How much of each line leaps, in staff steps."""
    moves = [np.abs(np.diff(line)) for line in _staff_lines(part) if len(line) > 1]
    if not moves:
        return DimensionLevel(Dimension.MOTION, LOWEST_LEVEL, (Measured(Quantity.ONE_NOTE, 1),))
    cost = float(np.mean([leap_costs(each).mean() for each in moves]))
    widest = int(max(each.max() for each in moves))
    leaps = float(np.mean([(each > 2).mean() for each in moves]))
    evidence = (Measured(Quantity.LEAPS, round(leaps, 4)), Measured(Quantity.WIDEST_INTERVAL, widest))
    return DimensionLevel(Dimension.MOTION, on_scale(cost, MOTION), evidence)


def leap_costs(steps: Floats) -> Floats:
    """Cost of each melodic interval in staff steps, 0 for a step."""
    return np.interp(steps, [a for a, _ in LEAP_COST], [b for _, b in LEAP_COST])


def notes_level(part: PartColumns) -> DimensionLevel:
    """How many different places on the staff a player must take in."""
    places = max((expected_kinds(line, NOTES_DRAWN) for line in _staff_lines(part)), default=0.0)
    return DimensionLevel(
        Dimension.NOTES, on_scale(places, STAFF_PLACES), (Measured(Quantity.STAFF_PLACES, round(places, 1)),)
    )


def _staff_lines(part: PartColumns) -> list[Ints]:
    """Staff steps of the highest head at each attack, for each staff in order of time."""
    found = []
    for staff in range(1, max(1, part.part.staves) + 1):
        here = part.struck & (part.staff == staff) & ~np.isnan(part.written)
        onset, steps = part.onset[here], part.diatonic[here]
        order = np.lexsort((-steps, onset))
        onset, steps = onset[order], steps[order]
        if len(onset):
            found.append(steps[np.append(True, onset[1:] != onset[:-1])])
    return found


def chords_level(lines: tuple[AttackLine, ...]) -> DimensionLevel:
    """How many notes are struck at once, in the fuller of the hands."""
    further = max(float(np.minimum(line.heads - 1, 3).mean()) for line in lines)
    share = max(float((line.heads > 1).mean()) for line in lines)
    evidence = (Measured(Quantity.CHORDS, round(share, 4)),) if share >= 0.005 else ()
    return DimensionLevel(Dimension.CHORDS, on_scale(further, CHORDS), evidence)
