"""What the speed of a part asks: notes a second, and how much of it runs."""

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.study.difficulty.scales import Anchors, DimensionLevel, on_scale, power_mean
from planner.study.facts import StudyFacts
from planner.study.notes.arrays import quantile
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats

DENSITY: Anchors = (
    (0.5, 0.5), (1.0, 1.05), (1.5, 1.5), (2.0, 1.9), (3.0, 2.6), (4.0, 3.2), (6.0, 4.1), (8.0, 4.8),
    (12.0, 5.5), (16.0, 6.0),
)  # fmt: skip
"""Notes a second to level: about one level for each doubling.

Source: house choice on the charts' order: eighths at quarter = 100 belong to grade 1 and at 120 to grade 2
(Teaching Music through Performance in Beginning Band); twice the notes a second are twice the notes to read
in the span of the eye (Furneaux and Land 1999: about the same second, whatever the tempo).
"""
DENSITY_POWER = 2.0
"""Exponent of the mean over playing bars: busy bars count for more. Source: house choice."""

QUICK = 4.0
"""Notes a second from which a note is quick, as in a run. Source: house choice, as for the spots."""
SLOWEST_QUICK = 2.0
"""Notes a second from which a note begins to count as quick. Source: house choice."""
QUICKEST = 12.0
"""Notes a second at which no note is quicker to a reader. From memory: the limit of fingers and bows."""
RUNS: Anchors = ((0.0, 0.5), (0.1, 1.2), (0.3, 2.4), (0.5, 3.6), (0.7, 4.8), (0.9, 6.0))
"""How much of the part is quick (1: all of it, as quick as can be), to level. Source: house choice."""


def attack_rates(lines: tuple[AttackLine, ...], columns: Columns, facts: StudyFacts) -> Floats:
    """Attacks a second in each written measure, the busiest line's, shape ``(n_measures,)``."""
    count, seconds = len(columns.measure_start), measure_seconds(columns, facts)
    attacks = np.max([np.bincount(line.measure, minlength=count) for line in lines], axis=0)
    rates: Floats = np.divide(attacks, seconds, out=np.zeros(count), where=seconds > 0)
    return rates


def measure_seconds(columns: Columns, facts: StudyFacts) -> Floats:
    """How long each written measure lasts, shape ``(n_measures,)``."""
    seconds: Floats = columns.measure_length / TICKS_PER_QUARTER * 60.0 / np.array(facts.quarter_bpm)
    return seconds


def density_level(rates: Floats, seconds: Floats) -> DimensionLevel:
    """Notes a second in the bars that play, the busier ones counting for more, each by its time.

    Args:
        rates: Attacks a second in each written measure.
        seconds: How long each of them lasts.
    """
    plays = rates > 0
    playing = rates[plays]
    mean = power_mean(playing, DENSITY_POWER, seconds[plays]) if playing.size else 0.0
    busy = quantile(playing, 0.9) if playing.size else 0.0
    return DimensionLevel(Dimension.DENSITY, on_scale(mean, DENSITY), (Measured(Quantity.ATTACKS, busy),))


def runs_level(lines: tuple[AttackLine, ...], facts: StudyFacts) -> DimensionLevel:
    """How much of the part is quick: each note by how far its speed lies between quick and quickest."""
    quick, share = 0.0, 0.0
    bpm = np.array(facts.quarter_bpm)
    for line in lines:
        if len(line) > 1:
            seconds = np.diff(line.onset) / TICKS_PER_QUARTER * 60.0 / bpm[line.measure[:-1]]
            rate = 1.0 / np.maximum(seconds, 1e-3)
            steps = np.log2(rate / SLOWEST_QUICK) / np.log2(QUICKEST / SLOWEST_QUICK)
            quick = max(quick, _running(np.clip(steps, 0.0, 1.0)))
            share = max(share, float((rate >= QUICK - 0.01).mean()))
    evidence = (Measured(Quantity.QUICK_NOTES, round(share, 4)),) if share >= 0.005 else ()
    return DimensionLevel(Dimension.RUNS, on_scale(quick, RUNS), evidence)


def _running(quick: Floats) -> float:
    """Mean quickness of the notes that are reached and left quickly, by the slower of the two."""
    return float(np.minimum(quick[:-1], quick[1:]).mean()) if len(quick) > 1 else 0.0
