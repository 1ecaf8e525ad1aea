"""The level of parts that are read together."""

from collections.abc import Sequence

import numpy as np

from planner.study.difficulty.scales import bounded

WEAKEST_LINK = 6.0
"""Exponent of the mean over parts: the hardest part weighs most. Source: house choice."""


def level_together(levels: Sequence[float], weights: Sequence[float] | None = None) -> float | None:
    """Level of a piece for those who read it: a mean of their parts' levels in which the hardest weighs most.

    Never above the hardest part nor below the easiest, so that parts of one level make a piece of that level.

    Args:
        levels: Level of each part that is read, 0.5 to 6.
        weights: Weight of each; alike when not given.

    Returns:
        The level; None of no parts.

    Example:
        >>> level_together([2.0, 2.0, 2.0]), level_together([])
        (2.0, None)
    """
    if not len(levels):
        return None
    each = np.array(levels, dtype=float)
    weight = np.ones(len(each)) if weights is None else np.array(weights, dtype=float)
    if not weight.sum():
        return None
    return round(bounded(float((weight @ each**WEAKEST_LINK / weight.sum()) ** (1 / WEAKEST_LINK))), 2)
