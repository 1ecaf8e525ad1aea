"""What density, independence, roadmap, expression and endurance ask."""

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.study.difficulty.scales import Anchors, DimensionLevel, bounded, on_scale
from planner.study.difficulty.texture import Texture
from planner.study.facts import StudyFacts
from planner.study.notes.arrays import quantile
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, PartColumns

DENSITY: Anchors = (
    (1.6, 0.5), (3.3, 1.0), (4.0, 2.0), (5.5, 3.0), (7.5, 4.0), (10.0, 5.0), (14.0, 6.0),
)  # fmt: skip
"""Attacks a second in the busiest bars to level.

Source: eighths at quarter = 100 belong to grade 1 and at 120 to grade 2, 3.3 and 4 a second (Teaching Music
through Performance in Beginning Band). Steps above are ours.
"""
ALONE: Anchors = ((0, 0.5), (1, 0.9), (3, 1.4), (8, 2.1), (20, 3.0), (50, 4.0), (120, 5.2), (200, 6.0))
"""Attacks not shared by the others in the loneliest 16 bars, to level. Source: house choice."""
BESIDE: Anchors = ((0, 0.5), (1, 0.9), (3, 1.4), (7, 2.0), (15, 2.9), (30, 4.0), (60, 5.2), (100, 6.0))
"""Bar rhythms beside the top line's own in 16 bars, to level. Source: house choice."""
JUMPS: Anchors = ((0, 0.5), (1, 1.0), (3, 2.0), (6, 3.0), (12, 4.0), (24, 5.0))
MARKS: Anchors = ((0, 0.5), (3, 1.0), (6, 2.0), (10, 3.0), (16, 4.0), (24, 5.0), (36, 6.0))
STRETCH: Anchors = ((48, 0.5), (96, 1.0), (160, 2.0), (256, 3.0), (400, 4.0), (800, 5.0), (1500, 6.0))
"""Quarters played without a rest, to level.

Counted in notated time, for a faster tempo must not make a part easier. Source: house choice; 48 quarters
are half a minute at a usual tempo.
"""
ENTRANCES: Anchors = ((0, 0.0), (1, 0.1), (4, 0.25), (12, 0.5), (40, 0.8))
"""Entrances, each counted by the doublings of its bars of rest, to what they add. House choice."""


def attack_rates(lines: tuple[AttackLine, ...], columns: Columns, facts: StudyFacts) -> Floats:
    """Attacks a second in each written measure, the busiest line's, shape ``(n_measures,)``."""
    count = len(columns.measure_start)
    attacks = np.max([np.bincount(line.measure, minlength=count) for line in lines], axis=0)
    seconds = columns.measure_length / TICKS_PER_QUARTER * 60.0 / np.array(facts.quarter_bpm)
    rates: Floats = np.divide(attacks, seconds, out=np.zeros(count), where=seconds > 0)
    return rates


def density_level(rates: Floats) -> DimensionLevel:
    """Attacks a second that the busiest tenth of the playing bars asks for, the rest a little."""
    playing = rates[rates > 0]
    busy = quantile(playing, 0.9) if playing.size else 0.0
    usual = float(playing.mean()) if playing.size else 0.0
    level = on_scale(0.75 * busy + 0.25 * usual, DENSITY)
    evidence = (Measured(Quantity.ATTACKS, busy),)
    return DimensionLevel(Dimension.DENSITY, bounded(level), evidence)


def independence_level(
    part: PartColumns, lines: tuple[AttackLine, ...], columns: Columns, texture: Texture
) -> DimensionLevel:
    """How alone the part is with its rhythm, and how often it must find its way in after a rest."""
    alone, unshared = texture.alone[part.index], texture.unshared[part.index]
    bars = np.concatenate([rests_before(line, columns) for line in lines])
    level = on_scale(alone, ALONE) + on_scale(float(np.log2(1.0 + bars).sum()), ENTRANCES)
    evidence = [Measured(Quantity.UNSHARED_ATTACKS, round(unshared, 4))]
    if len(bars):
        evidence.append(Measured(Quantity.ENTRANCES, len(bars)))
    return DimensionLevel(Dimension.INDEPENDENCE, bounded(level), tuple(evidence))


def rests_before(line: AttackLine, columns: Columns) -> Floats:
    """Whole bars of rest before each entrance that has at least one, shape ``(n_entrances,)``."""
    before = np.append(columns.measure_start[0], np.maximum.accumulate(line.end)[:-1])
    bar = np.maximum(columns.measure_length[line.measure], 1)
    bars = np.floor(np.maximum(0, line.onset - before) / bar)
    found: Floats = bars[bars >= 1.0]
    return found


def whole_independence(texture: Texture, shares: tuple[float, ...]) -> DimensionLevel:
    """How independently the parts move as a whole; ``shares`` is each part's weight, 0 when it is silent."""
    weight = np.array(shares)
    mean = float((np.array(texture.alone) * weight).sum() / weight.sum()) if weight.any() else 0.0
    level = (2.0 * on_scale(mean, ALONE) + on_scale(texture.beside, BESIDE)) / 3.0
    evidence = (Measured(Quantity.RHYTHMS_BESIDE, texture.beside),)
    return DimensionLevel(Dimension.INDEPENDENCE, bounded(level), evidence)


def roadmap_level(facts: StudyFacts) -> DimensionLevel:
    """How often the eye must go to another place."""
    order = np.array(facts.roadmap.play_order, dtype=np.int64)
    jumps = int((np.diff(order) != 1).sum()) if len(order) else 0
    return DimensionLevel(Dimension.ROADMAP, on_scale(jumps, JUMPS), (Measured(Quantity.JUMPS, jumps),))


def expression_level(part: PartColumns) -> DimensionLevel:
    """How many different marks the page asks for."""
    kinds = {d.mark for d in part.part.dynamics} | {h.kind for h in part.part.hairpins}
    for note in part.part.notes:
        if note.articulations or note.ornaments or note.technical:
            kinds.update(note.articulations, note.ornaments, note.technical)
    evidence = (Measured(Quantity.MARKS, len(kinds)),)
    return DimensionLevel(Dimension.EXPRESSION, on_scale(len(kinds), MARKS), evidence)


def endurance_level(lines: tuple[AttackLine, ...]) -> DimensionLevel:
    """Longest stretch without a rest."""
    longest = max(longest_stretch(line) for line in lines)
    evidence = (Measured(Quantity.LONGEST_STRETCH, round(longest, 3)),)
    return DimensionLevel(Dimension.ENDURANCE, on_scale(longest, STRETCH), evidence)


def longest_stretch(line: AttackLine) -> float:
    """Quarters of the longest unbroken playing in written order."""
    reach = np.maximum.accumulate(line.end)
    breaks = np.flatnonzero(line.onset[1:] > reach[:-1]) + 1
    starts, stops = np.append(0, breaks), np.append(breaks, len(line)) - 1
    return float(((reach[stops] - line.onset[starts]) / TICKS_PER_QUARTER).max())
