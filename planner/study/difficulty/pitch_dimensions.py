"""What the keys, the range and the motion of a part ask."""

from itertools import pairwise

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.instruments import Instrument
from planner.study.difficulty.scales import Anchors, DimensionLevel, bounded, on_scale
from planner.study.facts import StudyFacts
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import Floats, PartColumns
from planner.study.notes.ranges import RangeFacts, family_of, instrument_of

FIFTHS: Anchors = ((0, 0.5), (1, 0.75), (2, 1.25), (3, 2.0), (4, 2.75), (5, 3.5), (6, 4.5), (7, 5.0))
"""Sharps or flats as the player sees them, to level.

Source: MSHSAA solo matrix (at most 3 flats or 1 sharp, then 4 and 2, then all) and the key columns of
nemusicpub.com/grading, written for a B♭ instrument; steps between are ours.
"""
FIFTHS_SHARE: dict[str, float] = {"voice": 0.0, "keyboard": 0.35}
"""How much the signature counts for those who finger it differently, or not at all.

Source: house choice; the bare number of sharps and flats hardly predicts grade (our count on graded piano
pieces: rank correlation 0.13).
"""
ACCIDENTALS: Anchors = ((0.0, 0.0), (0.01, 0.25), (0.04, 0.8), (0.1, 1.6), (0.2, 2.4), (0.4, 3.2))
SIGNATURE_CHANGES: Anchors = ((0, 0.0), (1, 0.4), (3, 0.9), (6, 1.4))
MINOR = 0.6
"""Source: more reading errors in minor, Lewandowska & Schmuckler 2019; the size is ours."""

WIDTH: Anchors = ((5, 0.5), (9, 1.0), (12, 1.5), (16, 2.25), (19, 3.0), (24, 4.0), (31, 5.0), (40, 6.0))
"""Semitones between lowest and highest note, for instruments without a range by level. Source: MSHSAA
classes 1 and 2 (an octave and a third), 7thlettermusic.com (1½ octaves at 2, two at 3); ends are ours."""
HANDS: Anchors = ((9, 0.5), (14, 1.0), (21, 2.0), (28, 3.0), (36, 4.0), (46, 5.0), (60, 6.0))
"""The same for one hand on a keyboard. Source: house choice."""
LEAP_COST: Anchors = ((2, 0.0), (4, 0.15), (7, 0.5), (12, 1.0), (24, 2.0))
"""Semitones to cost.

Source: hand displacement of Chiu and Chen 2012, who count nothing below a fifth, half from there and all
from an octave; that it rises in between, and on above the octave, is a house choice.
"""
MOTION: Anchors = ((0.05, 0.5), (0.12, 1.0), (0.2, 1.75), (0.3, 2.75), (0.42, 3.75), (0.65, 5.0), (1.0, 6.0))


def key_level(part: PartColumns, facts: StudyFacts) -> DimensionLevel:
    """Sharps or flats as written for the part, printed accidentals, changes of signature, minor."""
    share = FIFTHS_SHARE.get(family_of(part), 1.0)
    signatures = [key.fifths for key in part.part.keys] or [0]
    worst = max(signatures, key=abs)
    at = next((key.measure for key in part.part.keys if key.fifths == worst), None)
    printed = sum(
        1 for n in part.note if part.part.notes[n].accidental and not part.part.notes[n].is_courtesy
    )
    changes = sum(a.fifths != b.fifths for a, b in pairwise(part.part.keys_of(staff=1)))
    is_minor = facts.home_key.endswith("minor")
    level = LOWEST_LEVEL + share * (on_scale(min(7, abs(worst)), FIFTHS) - LOWEST_LEVEL)
    level += on_scale(printed / max(1, int(part.struck.sum())), ACCIDENTALS)
    level += on_scale(changes, SIGNATURE_CHANGES) + (MINOR if is_minor else 0.0)
    evidence = [Measured(Quantity.SIGNATURE, worst, at)]
    evidence += [Measured(Quantity.ACCIDENTALS, printed)] if printed else []
    evidence += [Measured(Quantity.SIGNATURE_CHANGES, changes)] if changes else []
    evidence += [Measured(Quantity.MINOR, 1)] if is_minor else []
    return DimensionLevel(Dimension.KEY, bounded(level), tuple(evidence))


def range_level(part: PartColumns, lines: tuple[AttackLine, ...], compass: RangeFacts) -> DimensionLevel:
    """The player level whose comfortable range holds the part, all of it and nearly all of it."""
    assert compass.written
    instrument = instrument_of(part)
    span = (Measured(Quantity.COMPASS, notes=compass.written),)
    if instrument is None or not instrument.by_level:
        scale = HANDS if len(lines) > 1 else WIDTH
        widths = [float(np.nanmax(line.top) - np.nanmin(line.bottom)) for line in lines if _pitched(line)]
        return DimensionLevel(Dimension.RANGE, bounded(on_scale(float(np.mean(widths)), scale)), span)
    shift = part.part.transposition.semitones - instrument.transposition.semitones
    pitches = part.written[~np.isnan(part.written)] + shift
    inner = np.quantile(pitches, [0.025, 0.975], method="nearest")
    whole = level_for(instrument, float(pitches.min()), float(pitches.max()))
    most = level_for(instrument, float(inner[0]), float(inner[1]))
    level = 0.6 * whole + 0.4 * most
    if instrument.family == "voice":
        level = 0.3 * level + 0.7 * on_scale(float(np.ptp(pitches)), WIDTH)
    return DimensionLevel(Dimension.RANGE, bounded(level), span)


def _pitched(line: AttackLine) -> bool:
    return not bool(np.isnan(line.top).all())


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


def motion_level(
    lines: tuple[AttackLine, ...], extra: float = 0.0, technique: tuple[Measured, ...] = ()
) -> DimensionLevel:
    """How much of the line leaps, and what the instrument's technique adds (``extra`` levels)."""
    moves = [np.abs(line.moves) for line in lines if len(line.moves)]
    if not moves:
        return DimensionLevel(Dimension.MOTION, LOWEST_LEVEL, (Measured(Quantity.ONE_NOTE, 1),))
    cost = float(np.mean([leap_costs(each).mean() for each in moves]))
    widest = int(max(each.max() for each in moves))
    leaps = float(np.mean([(each > 4).mean() for each in moves]))
    evidence = (
        Measured(Quantity.LEAPS, round(leaps, 4)), Measured(Quantity.WIDEST_INTERVAL, widest), *technique,
    )  # fmt: skip
    return DimensionLevel(Dimension.MOTION, bounded(on_scale(cost, MOTION) + extra), evidence)


def leap_costs(semitones: Floats) -> Floats:
    """Cost of each melodic interval, 0 for a step."""
    return np.interp(semitones, [a for a, _ in LEAP_COST], [b for _, b in LEAP_COST])
