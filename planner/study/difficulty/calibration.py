"""How well levels follow graded music that the weights have not seen."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import spearmanr

from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import DIMENSIONS, Contribution
from planner.study.difficulty.weights import PRIOR, SHRINKAGE, WEIGHTS, fit_weights
from planner.study.notes.columns import Floats

FOLDS, DRAWS = 10, 10
"""Ten folds drawn at random from all pieces of a set, ten times; the number of the draw is its seed."""
SLOPE = 0.7
"""Levels to a step of a set's own marks; only differences within a set count."""
FLOOR = 0.75
"""Rank correlation the levels must reach on music that was kept aside."""


@dataclass(frozen=True, slots=True)
class GradedSet:
    """A set of graded pieces.

    Attributes:
        name: Such as ``"hymns"``.
        grades: The set's own marks, one a piece.
        contributions: What the study found in each piece.
        levels: The level the study gave; None where it gave none.
    """

    name: str
    grades: tuple[float, ...]
    contributions: tuple[tuple[Contribution, ...], ...]
    levels: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class SetFigures:
    """Rank correlation (Spearman) of levels and grades on one set.

    Attributes:
        name: Of the set.
        pieces: How many.
        kept_aside: Mean over the draws when each piece is rated by weights fitted without its fold.
        lowest: The lowest of the draws.
        as_given: Of the levels as the program gives them.
    """

    name: str
    pieces: int
    kept_aside: float
    lowest: float
    as_given: float

    @property
    def holds(self) -> bool:
        """The floor is reached on music kept aside."""
        return self.kept_aside >= FLOOR


@dataclass(frozen=True, slots=True)
class Calibration:
    """Figures of every set, and each dimension's weight as shipped and as a new fit to all sets gives it."""

    sets: tuple[SetFigures, ...]
    weights: tuple[tuple[str, float, float], ...]


def calibrate(sets: Sequence[GradedSet]) -> Calibration:
    """Cross-validate the levels on graded sets, fitted together, and fit the weights anew.

    Source:
        k-fold cross-validation (Stone 1974); Spearman's rank correlation.

    Example:
        >>> calibrate(()).weights[0][0]
        'rhythm'
    """
    levels = [dimension_levels(each) for each in sets]
    grades = [SLOPE * np.array(each.grades) for each in sets]
    draws = np.array([_one_draw(levels, grades, draw) for draw in range(DRAWS)]).reshape(DRAWS, len(sets))
    figures = tuple(
        SetFigures(
            each.name,
            len(each.grades),
            float(draws[:, at].mean()),
            float(draws[:, at].min()),
            agreement(np.array([level or LOWEST_LEVEL for level in each.levels]), grades[at]),
        )
        for at, each in enumerate(sets)
    )
    fitted = fit_weights(list(zip(levels, grades, strict=True)), PRIOR, SHRINKAGE)
    return Calibration(figures, tuple((name, WEIGHTS[name], fitted[name]) for name in DIMENSIONS))


def dimension_levels(graded: GradedSet) -> Floats:
    """Levels above the lowest by piece and dimension, shape ``(n_pieces, n_dimensions)``."""
    found = np.zeros((len(graded.grades), len(DIMENSIONS)))
    place = {name: at for at, name in enumerate(DIMENSIONS)}
    for row, contributions in zip(found, graded.contributions, strict=True):
        for each in contributions:
            row[place[each.name]] = each.level - LOWEST_LEVEL
    return found


def agreement(levels: Floats, grades: Floats) -> float:
    """Spearman's rank correlation.

    Example:
        >>> agreement(np.array([1.0, 2.0, 3.0]), np.array([1.0, 2.0, 9.0]))
        1.0
    """
    return round(float(spearmanr(levels, grades).statistic), 6)


def _one_draw(levels: list[Floats], grades: list[Floats], draw: int) -> list[float]:
    """Agreement on each set when every piece is rated by weights that never saw its fold."""
    random = np.random.default_rng(draw)
    orders = [random.permutation(len(each)) for each in grades]
    held = [np.zeros(len(each)) for each in grades]
    for fold in range(FOLDS):
        tests = [order[fold::FOLDS] for order in orders]
        groups = []
        for found, marks, test in zip(levels, grades, tests, strict=True):
            train = np.setdiff1d(np.arange(len(marks)), test)
            groups.append((found[train], marks[train]))
        weights = fit_weights(groups, PRIOR, SHRINKAGE)
        vector = np.array([weights[name] for name in DIMENSIONS])
        for found, test, out in zip(levels, tests, held, strict=True):
            out[test] = found[test] @ vector
    return [agreement(out, marks) for out, marks in zip(held, grades, strict=True)]
