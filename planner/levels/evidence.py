"""What results say about a section's level: how likely each is at every level, and what was to be expected.

A share of bars right is swayed by three things besides the level: the part is harder or easier than its
level says, the whole section has a better or worse day, and bars come out right or wrong by chance.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from planner.levels.curve import SLOPE, TARGET_LOGIT

Floats = NDArray[np.float64]

STEP = 0.1
"""Levels between neighbouring cells. Source: house choice; cells of half the size move no level by 0.002."""

CELLS: Floats = np.round(np.arange(-2.0, 8.5 + STEP / 2, STEP), 3)
"""Levels of the cells. They reach past the scale: its ends are no walls, and what is printed is clipped."""

STRAY_DAYS = 0.2
"""Share of days on which the whole section reads better or worse than its level by more than the usual sway.

Source: house choice, with ``STRAY_SCALE``: such a day is off by more than a level one time in 17.
"""
STRAY_SCALE = 0.35
"""Mean size, in levels, of the effect of such a day (a Laplace distribution)."""

LEAST_PART_ERROR = 0.3
"""No part's level is taken to be surer. Source: graders of one page differ by 0.2 of a level and more."""


@dataclass(frozen=True, slots=True)
class Steadiness:
    """One way of reading from day to day.

    Attributes:
        weight: How likely a section reads so, before its results say more.
        trials: Right-or-wrong trials that the share of one reading is worth.
        day_error: Standard deviation, in levels, of the usual sway of a day.
    """

    weight: float
    trials: float
    day_error: float


WAYS = (Steadiness(0.25, 60.0, 0.1), Steadiness(0.45, 22.0, 0.25), Steadiness(0.3, 9.0, 0.5))
"""Steady, usual, unsteady.

Source: house choice. Bars of one reading are not independent and are counted by ear: 22 trials near the
target share scatter by 0.08, the size of such a count; 9 by 0.12 and 60 by 0.05. Which of them a section is
follows from its own results.
"""


@dataclass(frozen=True, slots=True)
class DayEvidence:
    """The results of one day.

    Attributes:
        likelihood: Logarithms: how likely they are, by way of reading (``WAYS``) and level (``CELLS``).
        observed: Their mean share.
        mean: The mean share to be expected, by level.
        square: The mean square of that mean share, by way of reading and level.
        results: How many.
    """

    likelihood: Floats
    observed: float
    mean: Floats
    square: Floats
    results: int


def weigh_days(parts: Floats, errors: Floats, shares: Floats, days: Sequence[int]) -> tuple[DayEvidence, ...]:
    """What results say, day by day; those of one day share its effect.

    Args:
        parts: Levels of the parts that were read.
        errors: Their standard errors; each result is averaged over its part's level.
        shares: Shares of bars right, 0 to 1.
        days: For each result the number of its day, from 0 on and never falling.

    Returns:
        One for each day.

    Source:
        Binomial with its coefficients carried on between whole numbers by the gamma function; the curve of
        ``levels.curve``; Gauss-Hermite quadrature over the part's level (Abramowitz and Stegun 25.4.46).
    """
    likelihoods, means, squares = _by_result(parts, np.maximum(errors, LEAST_PART_ERROR), shares)
    trials = np.array([way.trials for way in WAYS])[:, None]
    found = []
    for day in range(days[-1] + 1 if days else 0):
        at = [index for index, of in enumerate(days) if of == day]
        mean = means[at].mean(axis=0)
        by_part = (squares[at] - means[at] ** 2).sum(axis=0)
        by_chance = (means[at] - squares[at]).sum(axis=0)[None] / trials
        square = mean[None] ** 2 + (by_part[None] + by_chance) / len(at) ** 2
        found.append((likelihoods[at].sum(axis=0), float(shares[at].mean()), mean, square, len(at)))
    swayed = _over_day_effects(np.array([each[0] for each in found]).reshape(-1, len(WAYS), len(CELLS)))
    effects = day_effects()
    return tuple(
        DayEvidence(
            likelihood, observed, np.matmul(effects, mean), np.matmul(effects, square[:, :, None])[:, :, 0],
            results,
        )
        for likelihood, (_, observed, mean, square, results) in zip(swayed, found, strict=True)
    )  # fmt: skip


def _by_result(parts: Floats, errors: Floats, shares: Floats) -> tuple[Floats, Floats, Floats]:
    """Log-likelihoods by result, way and level; mean share and its mean square by result and level."""
    nodes, weights = _normal_nodes()
    at = (parts[:, None] + errors[:, None] * nodes[None, :])[:, :, None]
    logits = TARGET_LOGIT + SLOPE * (CELLS[None, None, :] - at)
    right = -np.logaddexp(0.0, -logits)
    core = shares[:, None, None] * logits + (right - logits)
    rows = []
    for way in WAYS:
        n = way.trials
        ways = math.lgamma(n + 1) + math.log(n + 1)
        same = [math.lgamma(n * share + 1) + math.lgamma(n * (1 - share) + 1) for share in shares.tolist()]
        rows.append(ways - np.array(same)[:, None] + _log(weights @ np.exp(n * core)))
    likely = np.exp(right)
    return np.stack(rows, axis=1), weights @ likely, weights @ (likely * likely)


def _over_day_effects(results: Floats) -> Floats:
    """Log-likelihoods by day, way and level, averaged over the effect of the day."""
    top: Floats = results.max(axis=(1, 2), keepdims=True)
    there = np.exp(results - top)
    return top + _log(np.einsum("wlr,dwr->dwl", day_effects(), there, optimize=True))


def _log(values: Floats) -> Floats:
    logs: Floats = np.log(np.maximum(values, 1e-300))
    return logs


@lru_cache(maxsize=1)
def _normal_nodes() -> tuple[Floats, Floats]:
    """Nodes and weights for a mean over the standard normal distribution."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(9)
    return nodes, weights / weights.sum()


@lru_cache(maxsize=1)
def day_effects() -> Floats:
    """By way of reading: from a section's level (rows) to the level it reads at on a day (columns)."""
    apart = np.abs(CELLS[:, None] - CELLS[None, :])
    stray = rows_to_one(np.exp(-apart / STRAY_SCALE))
    usual = [rows_to_one(np.exp(-0.5 * (apart / way.day_error) ** 2)) for way in WAYS]
    return np.array([(1.0 - STRAY_DAYS) * each + STRAY_DAYS * stray for each in usual])


def rows_to_one(table: Floats) -> Floats:
    """A table whose rows add up to 1."""
    made: Floats = table / table.sum(axis=1, keepdims=True)
    return made
