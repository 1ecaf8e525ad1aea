"""``levels.readable`` for thousands of pieces at once: the same figures from tables of piece by section."""

import math

import numpy as np
from numpy.typing import NDArray

from planner.levels.curve import SLOPE, TARGET_LOGIT
from planner.levels.readable import (
    EASY_ABOVE,
    HARD_BELOW,
    LOSS_UNIT,
    LOST_GAP,
    LOST_WEIGHT,
    MEAN_WEIGHT,
    MIDDLE_WEIGHT,
    OUT_WEIGHT,
    WORST_WEIGHT,
)

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def expected_shares(gap: Floats) -> Floats:
    """Expected share of bars right where parts lie so many levels above their sections.

    Example:
        >>> expected_shares(np.array([0.0, 1.0])).round(2).tolist()
        [0.84, 0.6]
    """
    shares: Floats = 1.0 / (1.0 + np.exp(-(TARGET_LOGIT - SLOPE * gap)))
    return shares


def greatest_lost(gap: Floats, error: Floats, reads: Bools) -> Floats:
    """Of each piece the greatest chance over its sections that one is lost in it; 0 where nobody reads.

    Args:
        gap: Levels that the parts lie above their sections.
        error: Standard error of that.
        reads: Where a section reads a part of known level.
    """
    beyond = gap - LOST_GAP
    with np.errstate(divide="ignore", invalid="ignore"):
        scaled = np.where(error > 0, beyond / (error * math.sqrt(2)), np.where(beyond > 0, np.inf, -np.inf))
    worst = np.where(reads, scaled, -np.inf).max(axis=1, initial=-np.inf)
    return np.array([0.5 * math.erfc(-each) for each in worst.tolist()])


def reading_costs(share: Floats, lost: Floats, reads: Bools, aim: float) -> Floats:
    """What it costs that the sections read each piece, as ``readable.reading_cost``; 0 where nobody does.

    Args:
        share: Expected shares of bars right.
        lost: Of each piece the greatest chance that a section is lost.
        reads: Where a section reads a part of known level.
        aim: Share of bars they should get right, 0 to 1.
    """
    off = np.where(reads, (share - aim) / LOSS_UNIT, 0.0)
    losses = off**2
    out = reads & ((share < HARD_BELOW) | (share > EASY_ABOVE))
    many = reads.sum(axis=1)
    readers = np.maximum(many, 1)
    cost: Floats = (
        WORST_WEIGHT * losses.max(axis=1, initial=0.0)
        + MEAN_WEIGHT * losses.sum(axis=1) / readers
        + MIDDLE_WEIGHT * (off.sum(axis=1) / readers) ** 2
        + OUT_WEIGHT * out.sum(axis=1) / readers
        + LOST_WEIGHT * lost
    )
    return np.where(many > 0, cost, 0.0)
