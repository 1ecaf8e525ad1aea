"""How much each dimension adds to a level."""

import numpy as np

from planner.core.ensemble import LOWEST_LEVEL

WEIGHTS: dict[str, float] = {
    "rhythm": 0.139, "meter": 0.028, "key": 0.116, "range": 0.206, "motion": 0.121,
    "density": 0.138, "independence": 0.744, "roadmap": 0.017, "expression": 0.017, "endurance": 0.035,
}  # fmt: skip
"""Weights in force.

Source: fitted to hymns with an editor's marks and piano pieces with publisher grades by
``python -m tests.benchmarks.levels fit``, where prior and shrinkage stand.
"""


PIECE_SCALE: tuple[tuple[float, float], ...] = (
    (0.5, 0.5), (1.0, 0.7), (1.5, 1.15), (1.75, 1.55), (2.0, 2.15), (2.25, 2.7), (2.6, 3.2), (3.0, 3.75),
    (4.0, 4.6), (5.0, 5.3), (6.0, 5.8), (7.5, 6.0),
)  # fmt: skip
"""From the weighted sum of a whole piece to its level; always rising, so it changes no order.

Source: house choice, set so that band pieces written to the published charts stand at their grade.
"""


def piece_level(raw: float) -> float:
    """Level of a piece from its weighted sum.

    Example:
        >>> piece_level(2.0)
        2.15
    """
    return float(np.interp(raw, [x for x, _ in PIECE_SCALE], [y for _, y in PIECE_SCALE]))


def piece_sum(level: float) -> float:
    """The weighted sum that stands for a level of a piece: the inverse of ``piece_level``.

    Example:
        >>> piece_sum(2.15)
        2.0
    """
    return float(np.interp(level, [y for _, y in PIECE_SCALE], [x for x, _ in PIECE_SCALE]))


def weighted(levels: dict[str, float], weights: dict[str, float]) -> float:
    """A level from the dimensions' levels, not yet held to the scale's ends.

    Example:
        >>> weighted({"meter": 2.5}, {"meter": 0.5})
        1.5
    """
    return LOWEST_LEVEL + sum(weights[name] * (level - LOWEST_LEVEL) for name, level in levels.items())
