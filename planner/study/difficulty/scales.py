"""From a measured quantity to a level between 0.5 and 6."""

from dataclasses import dataclass
from itertools import pairwise

from planner.core.difficulty import Dimension, Measured
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL

Anchors = tuple[tuple[float, float], ...]
"""Pairs of quantity and level in rising order; levels never fall, so more is never easier."""


@dataclass(frozen=True, slots=True)
class DimensionLevel:
    """What one dimension asks: its level from 0.5 to 6, and what was measured for it."""

    name: Dimension
    level: float
    evidence: tuple[Measured, ...]


def on_scale(x: float, anchors: Anchors) -> float:
    """Level by straight lines between the anchors, held at the ends.

    Example:
        >>> on_scale(1.5, ((1.0, 0.5), (2.0, 1.5)))
        1.0
    """
    if x <= anchors[0][0]:
        return float(anchors[0][1])
    for (left, low), (right, high) in pairwise(anchors):
        if x < right:
            return float((high - low) / (right - left) * (x - left) + low)
    return float(anchors[-1][1])


def bounded(level: float) -> float:
    """The level held between the lowest and the highest.

    Example:
        >>> bounded(7.2)
        6.0
    """
    return min(HIGHEST_LEVEL, max(LOWEST_LEVEL, level))
