"""From a measured quantity to a level between 0.5 and 6."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from planner.core.difficulty import Dimension, Measured
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.study.notes.arrays import counted
from planner.study.notes.columns import Floats, Ints

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


def power_mean(values: Floats, power: float, weights: "np.ndarray[Any, Any] | None" = None) -> float:
    """A mean in which the larger values count for more, each by its share.

    Args:
        values: At least one, all above 0.
        power: 1 for the plain mean; the larger, the nearer the largest value.
        weights: Weight of each; alike when not given.

    Example:
        >>> [round(power_mean(np.array([1.0, 1.0, 3.0]), power), 2) for power in (1.0, 3.0)]
        [1.67, 2.13]
    """
    return float(np.average(values**power, weights=weights) ** (1.0 / power))


def expected_kinds(values: Ints, drawn: int, total: int = 0) -> float:
    """How many different values so many draws are expected to show, each drawn by its share.

    A long part is so held against a short one, and a value that stands once counts by its share.

    Args:
        values: What is counted; none gives 0.
        drawn: How many are drawn.
        total: Of how many they are; as many as there are when not given.

    Source:
        Rarefaction by drawing with replacement (Heck, van Belle and Simberloff 1975, Ecology 56:1459).

    Example:
        >>> [round(expected_kinds(np.array(values), 16), 2) for values in ([1, 1, 1, 1], [1, 2])]
        [1.0, 2.0]
    """
    if not len(values):
        return 0.0
    shares = counted(values)[1] / (total or len(values))
    return float((1.0 - (1.0 - shares) ** drawn).sum())
