"""What a director's own levels teach the weights, and a level seen together with a published grade."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from planner.core.difficulty import DIMENSIONS
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import Contribution
from planner.study.difficulty.scales import bounded
from planner.study.difficulty.weights import PLAYED

CORRECTION_SHRINKAGE = 15.0
"""How many corrected pieces the shipped weights weigh.

Source: house choice: one director moves them slowly.
"""
PUBLISHED_ERROR = 0.6
"""Standard error of a publisher's grade on the level scale.

Source: house choice; publishers have "no defined industry standards" (Defining the wind-band grading system,
Canadian Music Educator).
"""


@dataclass(frozen=True, slots=True)
class Correction:
    """How far a director set a level from what the dimensions make it, with those dimensions."""

    contributions: tuple[Contribution, ...]
    difference: float


@dataclass(frozen=True, slots=True)
class WeightChange:
    """How corrections moved one weight."""

    name: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Refit:
    """What corrections do to every sum.

    Attributes:
        moves: For each dimension what its weight gains; no weight falls below 0.
        offset: Added to every level.
        changes: Weights of what is played that moved by a hundredth or more, the largest move first.
    """

    moves: tuple[tuple[str, float], ...]
    offset: float
    changes: tuple[WeightChange, ...]


def refit(corrections: Sequence[Correction], shrinkage: float = CORRECTION_SHRINKAGE) -> Refit:
    """Move the shipped weights towards a director's levels, held back by ``shrinkage``.

    Args:
        corrections: The director's levels; none leaves everything as it is.
        shrinkage: Strength of the hold on the shipped weights.

    Source:
        Ridge regression towards a prior (Hoerl & Kennard 1970), weights kept at 0 or more.

    Example:
        >>> refit(()).changes
        ()
    """
    if not corrections:
        return Refit((), 0.0, ())
    features = np.array([_features(each.contributions) for each in corrections])
    missing = np.array([each.difference for each in corrections])
    offset = float(missing.sum() / (len(corrections) + shrinkage / 3.0))
    left = missing - offset
    hold = shrinkage * np.eye(len(DIMENSIONS))
    moved = np.linalg.solve(features.T @ features + hold, features.T @ left)
    moves = tuple(
        (name, round(float(move), 3)) for name, move in zip(DIMENSIONS, moved, strict=True) if round(move, 3)
    )
    changes = []
    for name, move in moves:
        old = PLAYED.weights[name]
        if abs(max(0.0, old + move) - old) >= 0.01:
            changes.append(WeightChange(name, old, round(max(0.0, old + move), 3)))
    changes.sort(key=lambda change: (-abs(change.after - change.before), change.name))
    return Refit(moves, round(offset, 3), tuple(changes))


def _features(contributions: tuple[Contribution, ...]) -> list[float]:
    levels: dict[str, float] = {each.name: each.level - LOWEST_LEVEL for each in contributions}
    return [levels.get(name, 0.0) for name in DIMENSIONS]


def with_published_grade(level: float, error: float, grade: float | None) -> tuple[float, float]:
    """A level and its error once a published grade is known too, each weighed by its certainty.

    Source: inverse-variance weighting of two independent measurements.

    Example:
        >>> with_published_grade(2.0, 0.6, 3.0)
        (2.5, 0.42)
    """
    if grade is None:
        return level, error
    ours, theirs = 1.0 / error**2, 1.0 / PUBLISHED_ERROR**2
    together = (ours * level + theirs * grade) / (ours + theirs)
    return round(bounded(together), 2), round(1.0 / sqrt(ours + theirs), 2)
