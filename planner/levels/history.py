"""A section's level over time: every result in order, with growth and doubt in between."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from planner.levels.belief import DEFAULT_ERROR, Reading, estimate
from planner.levels.curve import clip_level, expected_share
from planner.levels.forecast import DRIFT_A_WEEK, GROWTH_A_WEEK, forecast_level


@dataclass(frozen=True, slots=True)
class LevelPoint:
    """One result as evidence.

    Attributes:
        on: When it was read.
        part_level: Level of the part that was read.
        share: Share of bars right on the first reading, 0 to 1.
        part_error: Standard error of the part's level.
        counts: False where the director set it aside: it changes nothing.
        problems: Focus words naming what went wrong.
        demands: Level of the part in each dimension, as pairs of its name and level; empty where unknown.
    """

    on: date
    part_level: float
    share: float
    part_error: float = 0.0
    counts: bool = True
    problems: tuple[str, ...] = ()
    demands: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class LevelBelief:
    """What is believed about a level at one moment.

    Attributes:
        level: The mean, on the scale from 0.5 to 6.
        error: Standard error, in levels.
        low, high: Ends of the interval that holds the true level 95 times of 100.
    """

    level: float
    error: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class DayBelief:
    """What one day's results did to the belief.

    Attributes:
        on: The day.
        before: The belief carried forward to this day, before its results.
        after: The belief after them.
        growth: Levels the section is believed to gain a week, after this day.
        growth_error: Standard error of the growth.
        expected: Share of bars right that ``before`` lets expect, the mean over the day's parts.
        observed: The mean share that was read.
        surprise: How far ``observed`` is above ``expected``, in standard errors of such a day.
        results: How many results count on this day.
    """

    on: date
    before: LevelBelief
    after: LevelBelief
    growth: float
    growth_error: float
    expected: float
    observed: float
    surprise: float
    results: int


@dataclass(frozen=True, slots=True)
class Misfit:
    """The last days in a row read otherwise than the belief lets expect.

    Attributes:
        kind: Whether they were ``lower`` or ``higher`` than expected.
        since, until: First and last day of the run.
        days: How many days with results.
    """

    kind: Literal["lower", "higher"]
    since: date
    until: date
    days: int


@dataclass(frozen=True, slots=True)
class FocusOffset:
    """How a section reads one skill beside its level.

    Attributes:
        focus: The skill, one of ``core.difficulty.FOCUSES``.
        offset: Levels above (or, below 0, under) its level.
        error: Standard error of the offset.
        named: How many results named it as a problem.
        expected: How many would have named it, had all skills been read alike.
    """

    focus: str
    offset: float
    error: float
    named: int
    expected: float


@dataclass(frozen=True, slots=True)
class LevelTrace:
    """A section's level from its start through all its results.

    Attributes:
        start: The belief before the first result.
        days: The days with results that count, in order.
        misfit: The run of surprising days at the end; None while results are as expected.
        by_focus: Skills read clearly better or worse than the level says; those in doubt are left out.
        start_on: As of which day ``start`` is; None where nobody can say.
    """

    start: LevelBelief
    days: tuple[DayBelief, ...]
    misfit: Misfit | None = None
    by_focus: tuple[FocusOffset, ...] = ()
    start_on: date | None = None

    @property
    def now(self) -> LevelBelief:
        """The belief after the last result, or the start."""
        return self.days[-1].after if self.days else self.start

    def forecast(self, on: date) -> LevelBelief:
        """The belief on a later day without further results; on an earlier one, ``now``."""
        since = self.days[-1].on if self.days else self.start_on
        if since is None or on <= since:
            return self.now
        return _belief(*forecast_level(self.now.level, self.now.error, (on - since).days / 7))


def trace_level(
    start: float, start_error: float | None, points: Sequence[LevelPoint], *, start_on: date | None = None
) -> LevelTrace:
    """The belief about a section's level after each day that has results.

    All results of one day are weighed together, so their order within it does not matter;
    between days the belief is carried forward by the forecast.

    Args:
        start: Level before the first result.
        start_error: Its standard error; None for the director's word alone.
        points: Results in any order.
        start_on: As of which day the start is; None takes the day of the first result.

    Example:
        >>> good = LevelPoint(date(2026, 9, 1), 2.0, 0.97)
        >>> trace_level(2.0, None, [good]).now.level > 2.0
        True
    """
    first = _belief(start, DEFAULT_ERROR if start_error is None else start_error)
    belief, since = first, start_on
    traced: list[DayBelief] = []
    for day in sorted({point.on for point in points if point.counts}):
        there = [p for p in points if p.on == day and p.counts]
        weeks = 0.0 if since is None else max(0.0, (day - since).days / 7)
        before = _belief(*forecast_level(belief.level, belief.error, weeks))
        readings = [Reading(p.part_level, p.share, part_error=p.part_error) for p in there]
        level, error = estimate((before.level, before.error), readings)
        belief, since = _belief(clip_level(level), error), day
        expected = sum(expected_share(before.level, p.part_level) for p in there) / len(there)
        observed = sum(p.share for p in there) / len(there)
        traced.append(
            DayBelief(
                day, before, belief, GROWTH_A_WEEK, DRIFT_A_WEEK, expected, observed,
                (observed - expected) / 0.15, len(there),
            )
        )  # fmt: skip
    return LevelTrace(first, tuple(traced), start_on=start_on)


def _belief(level: float, error: float) -> LevelBelief:
    return LevelBelief(level, error, clip_level(level - 1.96 * error), clip_level(level + 1.96 * error))


def start_from_years(years: float) -> tuple[float, float]:
    """Level and standard error of a section by the years it has played.

    Args:
        years: School years on the instrument, 0 or more.

    Example:
        >>> start_from_years(0)[0]
        0.5
    """
    return clip_level(0.5 + 2.5 * years / 4), DEFAULT_ERROR


def start_from_last_year(level: float, error: float | None, weeks: float) -> tuple[float, float]:
    """Level and standard error at the start of a year, by the level at the end of the last one.

    Args:
        level: Level then.
        error: Its standard error; None for the director's word alone.
        weeks: Weeks since then without rehearsals, 0 or more.
    """
    sure = DEFAULT_ERROR if error is None else error
    return level, math.hypot(sure, DRIFT_A_WEEK * math.sqrt(weeks))


def start_from_placement(part_level: float, share: float, part_error: float = 0.0) -> tuple[float, float]:
    """Level and standard error of a section nothing is known about, by one reading.

    Args:
        part_level: Level of the part that was read.
        share: Share of bars right at first sight, 0 to 1.
        part_error: Standard error of the part's level.
    """
    level, error = estimate((part_level, 1.0), [Reading(part_level, share, part_error=part_error)])
    return clip_level(level), error
