"""How much each dimension adds to a level, and how those weights are fitted to graded music."""

from collections.abc import Sequence

import numpy as np
from scipy.optimize import nnls

from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import DIMENSIONS
from planner.study.notes.columns import Floats

PRIOR: dict[str, float] = {
    "rhythm": 0.17, "meter": 0.04, "key": 0.13, "range": 0.21, "motion": 0.13,
    "density": 0.15, "independence": 0.72, "roadmap": 0.03, "expression": 0.03, "endurance": 0.04,
}  # fmt: skip
"""Weights before any graded music is seen.

Source: house choice. How independently the lines move leads, because reading several lines at once is
what separates graded four-part hymns and, after range and density, graded piano music.
"""
SHRINKAGE = 100.0
"""How many graded pieces the prior weighs in the fit. Source: house choice, against over-fitting."""

WEIGHTS: dict[str, float] = {
    "rhythm": 0.139, "meter": 0.028, "key": 0.116, "range": 0.206, "motion": 0.121,
    "density": 0.138, "independence": 0.744, "roadmap": 0.017, "expression": 0.017, "endurance": 0.035,
}  # fmt: skip
"""Weights in force. Refit with ``python -m tests.benchmarks.levels fit``."""


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


def fit_weights(
    groups: Sequence[tuple[Floats, Floats]], prior: dict[str, float], shrinkage: float = SHRINKAGE
) -> dict[str, float]:
    """Weights of 0 or more that follow the grades within each group, held near a prior.

    Only differences within a group count: two sets of grades need not share a scale's beginning.

    Args:
        groups: For each set, dimension levels of shape ``(n_pieces, n_dimensions)`` in the order of
            ``DIMENSIONS``, and its grades as levels, shape ``(n_pieces,)``.
        prior: Weight of each dimension to hold to.
        shrinkage: Strength of the hold, 0 for none.

    Returns:
        A weight for each dimension.

    Source:
        Least squares with non-negative coefficients (Lawson & Hanson 1974) and a ridge towards the prior.

    Example:
        >>> nothing = (np.zeros((0, 10)), np.zeros(0))
        >>> fit_weights([nothing], PRIOR)["meter"]
        0.04
    """
    start = np.array([prior[name] for name in DIMENSIONS])
    rows = [np.sqrt(shrinkage) * np.eye(len(DIMENSIONS))]
    answers = [np.sqrt(shrinkage) * start]
    for levels, grades in groups:
        if len(grades):
            rows.append(levels - levels.mean(axis=0))
            answers.append(grades - grades.mean())
    found, _ = nnls(np.vstack(rows), np.concatenate(answers))
    return {name: round(float(w), 3) for name, w in zip(DIMENSIONS, found, strict=True)}


def weighted(levels: dict[str, float], weights: dict[str, float]) -> float:
    """A level from the dimensions' levels, not yet held to the scale's ends.

    Example:
        >>> weighted({"meter": 2.5}, {"meter": 0.5})
        1.5
    """
    return LOWEST_LEVEL + sum(weights[name] * (level - LOWEST_LEVEL) for name, level in levels.items())
