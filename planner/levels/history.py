"""A section's level over time: every result in order, with growth and doubt in between."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

import numpy as np

from planner.core.difficulty import DIMENSIONS, Dimension
from planner.levels.belief import DEFAULT_ERROR, Belief, Moments, moments, start_belief
from planner.levels.curve import SLOPE, clip_level, expected_share
from planner.levels.evidence import DayEvidence, weigh_days

LEAST_START_ERROR = 0.1
"""No start is surer than this. Source: a level is printed to a tenth."""

MISFIT_DAYS = 3
"""Days in a row before a run is reported. Source: house choice: two bad days are a bad week."""

LEAST_SURPRISE = 0.5
"""Standard errors by which each day of the run is away from what was expected."""

MISFIT_SURPRISE = 2.0
"""Standard errors of the run as a whole. Source: house choice, see the figures for how often it is chance."""

LEAST_NAMING = 6
"""Results with problems named before anything is said about a skill. Source: house choice."""

PRIOR_NAMING = 4.0
"""Times named, as often as expected, that are added to the count of each skill. Source: house choice."""

CLEAR_ERRORS = 2.0
"""Standard errors by which an offset is away from none before it is worth a word. Source: house choice."""


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
    _beliefs: tuple[Belief, ...] = field(default=(), repr=False, compare=False)

    @property
    def now(self) -> LevelBelief:
        """The belief after the last result, or the start."""
        return self.days[-1].after if self.days else self.start

    def forecast(self, on: date) -> LevelBelief:
        """The belief on a later day without further results; on an earlier one, ``now``."""
        return self.forecasts([on])[on]

    def forecasts(self, days: Iterable[date]) -> Mapping[date, LevelBelief]:
        """The beliefs on some days as ``forecast`` of each, all worked out together."""
        since = self.days[-1].on if self.days else self.start_on
        asked = set(days)
        later = [] if since is None else sorted(on for on in asked if on > since)
        begin = self._beliefs[len(self.days)] if later else None
        carried = [begin.carried((on - since).days) for on in later] if begin and since else []
        found = dict.fromkeys(asked, self.now)
        found.update(zip(later, map(_printed, moments(carried)), strict=True))
        return found


def trace_level(
    start: float, start_error: float | None, points: Sequence[LevelPoint], *, start_on: date | None = None
) -> LevelTrace:
    """The belief about a section's level after each day that has results.

    All results of one day are weighed together, so their order within it does not matter; what sways the
    whole section on a day sways all of them. Between days the level grows, drifts, and may jump.

    Args:
        start: Level before the first result.
        start_error: Its standard error; None for the director's word alone.
        points: Results in any order; those that do not count change nothing.
        start_on: As of which day the start is; None takes the day of the first result.

    Example:
        >>> good = LevelPoint(date(2026, 9, 1), 2.0, 0.97)
        >>> trace_level(2.0, None, [good]).now.level > 2.0
        True
    """
    error = DEFAULT_ERROR if start_error is None else max(start_error, LEAST_START_ERROR)
    counted = sorted(
        (p for p in points if p.counts), key=lambda p: (p.on, p.part_level, p.part_error, p.share)
    )
    on = sorted({point.on for point in counted})
    evidence = weigh_days(
        np.array([point.part_level for point in counted]),
        np.array([point.part_error for point in counted]),
        np.array([point.share for point in counted]),
        [on.index(point.on) for point in counted],
    )
    belief, since = start_belief(start, error), start_on
    before, after = [], [belief]
    for day, results in zip(on, evidence, strict=True):
        belief = belief if since is None else belief.carried((day - since).days)
        before.append(belief)
        belief = belief.weighed(results)
        after.append(belief)
        since = day
    days = tuple(_day(*each) for each in zip(on, evidence, moments(before), moments(after[1:]), strict=True))
    first = LevelBelief(start, error, clip_level(start - 1.96 * error), clip_level(start + 1.96 * error))
    return LevelTrace(first, days, misfit_of(days), focus_offsets(counted), start_on, tuple(after))


def _day(on: date, results: DayEvidence, before: Moments, after: Moments) -> DayBelief:
    expected, spread = before.expects(results)
    return DayBelief(
        on, _printed(before), _printed(after), after.growth, after.growth_error, expected, results.observed,
        (results.observed - expected) / spread, results.results,
    )  # fmt: skip


def _printed(found: Moments) -> LevelBelief:
    return LevelBelief(clip_level(found.level), found.error, clip_level(found.low), clip_level(found.high))


def misfit_of(days: Sequence[DayBelief]) -> Misfit | None:
    """The run of surprising days at the end, if it is long and surprising enough."""
    if not days:
        return None
    sign = math.copysign(1.0, days[-1].surprise)
    run: list[DayBelief] = []
    for day in reversed(days):
        if sign * day.surprise < LEAST_SURPRISE:
            break
        run.append(day)
    together = sum(abs(day.surprise) for day in run) / math.sqrt(max(len(run), 1))
    if len(run) < MISFIT_DAYS or together < MISFIT_SURPRISE:
        return None
    return Misfit("higher" if sign > 0 else "lower", run[-1].on, run[0].on, len(run))


def focus_offsets(points: Sequence[LevelPoint]) -> tuple[FocusOffset, ...]:
    """Skills that a section reads clearly better or worse than its level says.

    A skill that a part asks much of is named often by any section. So the times each was named are held
    against the times to be expected: each result's problems, shared out by the bars that a section of the
    part's own level would miss in each dimension.

    Args:
        points: Results; those without problems, or whose part has no dimensions, say nothing here.

    Returns:
        The clearest first; none while the evidence is thin.

    Source:
        A rate against its expectation under a gamma prior (Clayton and Kaldor 1987, Biometrics 43:671-681,
        from memory); the strength of the prior and the bounds of silence are house choices.
    """
    named: dict[str, int] = {}
    expected: dict[str, float] = {}
    naming = [point for point in points if point.counts and point.problems and point.demands]
    for point in naming:
        missed = _missed(point)
        problems = set(point.problems)
        for focus in problems:
            named[focus] = named.get(focus, 0) + 1
        for focus, share in _named_alike(missed, len(problems & missed.keys())).items():
            expected[focus] = expected.get(focus, 0.0) + share
    if len(naming) < LEAST_NAMING:
        return ()
    found = []
    for focus, times in expected.items():
        offset, error = _offset(named.get(focus, 0), times)
        if abs(offset) >= CLEAR_ERRORS * error:
            found.append(FocusOffset(focus, offset, error, named.get(focus, 0), times))
    return tuple(sorted(found, key=lambda each: (-abs(each.offset), each.focus)))


def _missed(point: LevelPoint) -> dict[str, float]:
    """By focus, the share of bars that a section of the part's own level misses for it.

    Dimensions that are no longer measured, as an older study names them, are passed over.
    """
    found: dict[str, float] = {}
    for name, level in point.demands:
        if name not in DIMENSIONS:
            continue
        focus = Dimension(name).skill.value
        found[focus] = max(found.get(focus, 0.0), 1.0 - expected_share(point.part_level, level))
    return found


def _named_alike(missed: dict[str, float], problems: int) -> dict[str, float]:
    """How often each focus is to be expected among some problems of one result, at most once each."""
    left = dict(missed)
    found: dict[str, float] = {}
    share = 0.0
    while left and problems - len(found):
        share = (problems - len(found)) / sum(left.values())
        full = [focus for focus, each in left.items() if share * each >= 1.0]
        if not full:
            break
        for focus in full:
            found[focus] = 1.0
            del left[focus]
    return found | {focus: share * each for focus, each in left.items()}


def _offset(named: int, expected: float) -> tuple[float, float]:
    """Levels above or under the section's, and the standard error."""
    rate = (named + PRIOR_NAMING) / (expected + PRIOR_NAMING)
    return -math.log(rate) / SLOPE, 1.0 / (SLOPE * math.sqrt(named + PRIOR_NAMING))
