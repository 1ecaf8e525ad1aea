"""What is believed about a section's level, and how results and time move it.

A belief is a table of weights over three things that nobody can see: the level, the growth a week, and how
steadily the section reads. Results multiply the weights by how well each cell explains them; time moves the
levels on by their growth, blurs them, and lets a small part of the weight jump. Nothing is drawn by lot:
the same results give the same belief.

Two tables are kept side by side. The watchful one expects jumps often, so that it gives up the past soon
after one: it gives the level. The calm one expects them as seldom as they are: it gives the doubt. Where the
two part, as they do after a run of surprising results, their distance is added to the doubt.

Source:
    Bayesian filtering on a grid (a point-mass filter: Bucy and Senne 1971, Automatica 7:287-298, from
    memory), with mixtures for the day and for the change between days.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from planner.levels.evidence import CELLS, STEP, WAYS, DayEvidence, Floats, rows_to_one
from planner.levels.forecast import DRIFT_A_WEEK, GROWING_WEEKS, GROWTH_A_WEEK, GROWTH_SPREAD

DEFAULT_ERROR = 0.75
"""Standard error, in levels, of a level that only the director's word stands behind.

Source: house choice; a director's guess is within one level about four times in five.
"""

GROWTHS: Floats = GROWTH_A_WEEK + GROWTH_SPREAD * np.array([-2.0, -1.0, 0.0, 1.0, 2.0])
"""Levels a week that a section may gain."""

JUMP_A_DAY = (0.012, 0.05)
"""How likely the level has jumped (players come or go) since the last day with results: calm, watchful.

Source: house choices. One in 80 days is about once a year for a section that reads twice a week; with one
in 20, eight results after a jump outweigh what was known before.
"""
JUMP_A_WEEK = 0.005
"""How likely it jumps in a week, besides. Source: house choice: one in six within a year of 36 weeks."""

JUMP_SPREAD = 0.5
"""Standard deviation of a jump in levels. Source: house choice."""

_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """A calm and a watchful table of weights, each of which adds up to 1.

    Attributes:
        weights: By ``JUMP_A_DAY``, ``GROWTHS``, ``WAYS`` and ``CELLS``.
        shifts: By ``GROWTHS``: how far, within half a step, the levels of the cells have grown by now.
    """

    weights: Floats
    shifts: Floats

    def carried(self, days: int) -> "Belief":
        """The belief some days later, without results in between; growth stops after ``GROWING_WEEKS``."""
        if days <= 0:
            return self
        tables, growths, ways, cells = self.weights.shape
        flat = self.weights.reshape(tables, growths * ways, cells)
        weights = np.matmul(flat, _drift_and_jumps(days)).reshape(self.weights.shape)
        grown = self.shifts + GROWTHS * min(days / 7, GROWING_WEEKS)
        steps = np.rint(grown / STEP).astype(int)
        for at in np.flatnonzero(steps):
            weights[:, at] = _moved(weights[:, at], int(steps[at]))
        return Belief(weights, grown - steps * STEP)

    def weighed(self, day: DayEvidence) -> "Belief":
        """The belief after the results of a day."""
        here = day.likelihood - day.likelihood.max()
        above = np.concatenate([here[:, 1:], here[:, -1:]], axis=1)
        below = np.concatenate([here[:, :1], here[:, :-1]], axis=1)
        part = (self.shifts / STEP)[:, None, None]
        between = here + np.abs(part) * (np.where(part >= 0.0, above, below) - here)
        weights = self.weights * np.exp(between)[None]
        return Belief(weights / weights.sum(axis=(1, 2, 3), keepdims=True), self.shifts)


@dataclass(frozen=True, slots=True)
class Moments:
    """What a belief comes to, not clipped to the scale.

    Attributes:
        level, error: Mean level and its standard error.
        low, high: Ends of the 95 % interval.
        growth, growth_error: Mean growth in levels a week and its standard error.
        by_level: Weights of the watchful table by way of reading and level.
    """

    level: float
    error: float
    low: float
    high: float
    growth: float
    growth_error: float
    by_level: Floats

    def expects(self, day: DayEvidence) -> tuple[float, float]:
        """Mean share to be expected on a day, and its standard deviation."""
        mean = float((self.by_level * day.mean).sum())
        square = float((self.by_level * day.square).sum())
        return mean, math.sqrt(max(square - mean**2, 1e-12))


def start_belief(level: float, error: float) -> Belief:
    """The belief before any result: normal in level and growth.

    Args:
        level: On the scale.
        error: Its standard error, above 0.
    """
    by_level = np.exp(-0.5 * ((CELLS - level) / error) ** 2)
    by_growth = np.exp(-0.5 * ((GROWTHS - GROWTH_A_WEEK) / GROWTH_SPREAD) ** 2)
    ways = np.array([way.weight for way in WAYS])
    table = by_growth[:, None, None] * ways[None, :, None] * by_level[None, None, :]
    return Belief(np.stack([table / table.sum()] * len(JUMP_A_DAY)), np.zeros(len(GROWTHS)))


def moments(beliefs: Sequence[Belief]) -> list[Moments]:
    """What each of some beliefs comes to, all worked out together.

    Example:
        >>> one = moments([start_belief(2.0, 0.5)])[0]
        >>> round(one.level, 2), round(one.error, 2), round(one.low, 2), round(one.high, 2)
        (2.0, 0.5, 1.02, 2.98)
    """
    if not beliefs:
        return []
    weights = np.stack([belief.weights for belief in beliefs])
    shifts = np.stack([belief.shifts for belief in beliefs])
    by_growth = weights.sum(axis=3)
    levels = CELLS[None, None, :] + shifts[:, :, None]
    means = np.einsum("ktgc,kgc->kt", by_growth, levels)
    calm, mean = means[:, 0], means[:, 1]
    alone = np.sqrt(np.einsum("kgc,kgc->k", by_growth[:, 0], (levels - calm[:, None, None]) ** 2))
    errors = np.hypot(alone, mean - calm)
    growths = by_growth[:, 0].sum(axis=2)
    growth = growths @ GROWTHS
    growth_error = np.sqrt(np.maximum(growths @ GROWTHS**2 - growth**2, 0.0))
    over = _by_level(weights, shifts / STEP)
    below = np.cumsum(over[:, 0].sum(axis=1), axis=1)
    found = []
    for at in range(len(beliefs)):
        wider = errors[at] / alone[at]
        low, high = (
            float(mean[at] + (_quantile(below[at], end) - calm[at]) * wider) for end in (0.025, 0.975)
        )
        found.append(
            Moments(
                float(mean[at]), float(errors[at]), low, high, float(growth[at]), float(growth_error[at]),
                over[at, 1],
            )
        )  # fmt: skip
    return found


def _by_level(weights: Floats, parts: Floats) -> Floats:
    """Weights by belief, table, way and level of ``CELLS``, whatever the growth."""
    over: Floats = np.einsum("kg,ktgwc->ktwc", 1.0 - np.abs(parts), weights)
    rising = np.einsum("kg,ktgwc->ktwc", np.maximum(parts, 0.0), weights)
    falling = np.einsum("kg,ktgwc->ktwc", np.maximum(-parts, 0.0), weights)
    return over + _moved(rising, 1) + _moved(falling, -1)


def _moved(weights: Floats, cells: int) -> Floats:
    """Weights some cells further up; what would leave the table stays at its end."""
    moved = np.zeros_like(weights)
    if cells > 0:
        moved[..., cells:] = weights[..., :-cells]
        moved[..., -1] += weights[..., -cells:].sum(axis=-1)
    else:
        moved[..., :cells] = weights[..., -cells:]
        moved[..., 0] += weights[..., :-cells].sum(axis=-1)
    return moved


def _quantile(below: Floats, share: float) -> float:
    """Level with this share of the weight below it; within a cell as a normal curve runs."""
    at = min(int(np.searchsorted(below, share)), len(below) - 1)
    left, right = float(below[at - 1]) if at else 0.0, float(below[at])
    edge = float(CELLS[at]) - STEP / 2
    if left <= 0.0 or right >= 1.0 or left >= right:
        return edge + STEP / 2
    low, here, high = (_NORMAL.inv_cdf(each) for each in (left, share, right))
    return edge + STEP * (here - low) / (high - low)


@lru_cache(maxsize=128)
def _drift_and_jumps(days: int) -> Floats:
    """By ``JUMP_A_DAY``: from the levels before some days (rows) to those after (columns), growth aside."""
    weeks = days / 7
    variance = (DRIFT_A_WEEK / STEP) ** 2 * weeks
    apart = np.subtract.outer(np.arange(len(CELLS)), np.arange(len(CELLS)))
    if variance <= 1.0:
        drift = np.where(apart == 0, 1.0 - variance, np.where(np.abs(apart) == 1, variance / 2, 0.0))
    else:
        drift = np.exp(-0.5 * apart**2 / variance)
    drift, jumps = rows_to_one(drift), rows_to_one(np.exp(-0.5 * (apart * STEP / JUMP_SPREAD) ** 2))
    jumped = [1.0 - math.exp(-JUMP_A_WEEK * weeks - a_day) for a_day in JUMP_A_DAY]
    return np.array([(1.0 - share) * drift + share * jumps for share in jumped])
