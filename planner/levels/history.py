"""A section's level over time: every result in order, with growth and doubt in between."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

import numpy as np

from planner.core.difficulty import Dimension
from planner.levels.belief import DEFAULT_ERROR, Belief, Moments, moments, start_belief
from planner.levels.curve import SLOPE, clip_level, expected_share
from planner.levels.evidence import DayEvidence, weigh_days
from planner.levels.forecast import DRIFT_A_WEEK, GROWTH_A_WEEK

LEAST_START_ERROR = 0.1
"""No start is surer than this. Source: a level is printed to a tenth."""

MISFIT_DAYS = 3
"""Days in a row before a run is reported. Source: house choice: two bad days are a bad week."""

LEAST_SURPRISE = 0.5
"""Standard errors by which each day of the run is away from what was expected."""

LEAST_NAMING = 6
"""Results with problems named before anything is said about a skill. Source: house choice."""

PRIOR_NAMING = 4.0
"""Times named, as often as expected, that are added to the count of each skill. Source: house choice."""

CLEAR_ERRORS = 2.0
"""Standard errors by which an offset is away from none before it is told. Source: house choice."""

MISFIT_SURPRISE = 2.0
"""Standard errors of the run as a whole. Source: house choice, see the figures for how often it is chance."""


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
        since = self.days[-1].on if self.days else self.start_on
        if since is None or on <= since:
            return self.now
        return _printed(moments([self._beliefs[len(self.days)].carried((on - since).days)])[0])


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
    told = [point for point in points if point.counts and point.problems and point.demands]
    for point in told:
        missed = _missed(point)
        problems = set(point.problems)
        for focus in problems:
            named[focus] = named.get(focus, 0) + 1
        for focus, share in _named_alike(missed, len(problems & missed.keys())).items():
            expected[focus] = expected.get(focus, 0.0) + share
    if len(told) < LEAST_NAMING:
        return ()
    found = []
    for focus, times in expected.items():
        offset, error = _offset(named.get(focus, 0), times)
        if abs(offset) >= CLEAR_ERRORS * error:
            found.append(FocusOffset(focus, offset, error, named.get(focus, 0), times))
    return tuple(sorted(found, key=lambda each: (-abs(each.offset), each.focus)))


def _missed(point: LevelPoint) -> dict[str, float]:
    """By focus, the share of bars that a section of the part's own level misses for it."""
    found: dict[str, float] = {}
    for name, level in point.demands:
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


YEARS_PLAYED = ((0.0, 0.5, 0.3), (1.0, 0.75, 0.4), (3.0, 1.5, 0.6), (5.0, 2.5, 0.8), (7.0, 3.5, 0.9),
                (11.0, 4.5, 1.0), (20.0, 5.5, 1.0))  # fmt: skip
"""Years played, level, standard error.

Source: halfway between two customs. A band performs level 1 at the end of its first year, about 2 in eighth
grade, 3 in the middle of high school, 4 as seniors, 5 in college and 6 as professionals, and reads one level
below (a music dealer's page of a director's rules, tapestrymusic.com). A state festival's sight-reading asks
2 of most middle schools and 4 to 6 of high schools (Michigan, District 10, 2025). School bands begin in sixth
grade. The errors are house choices, wide enough for either.
"""

SUMMER_LOSS_WEEKS = 4.0
"""Weeks of growth that a summer without rehearsals costs.

Source: about a month of school learning, in reading and arithmetic (Cooper, Nye, Charlton, Lindsay and
Greathouse 1996, Review of Educational Research 66:227-268, from memory); that reading music is lost like it
is a house choice.
"""
SUMMER_WEEKS = 10.0
"""Weeks after which all of it is lost; of a shorter break in proportion."""

NEW_YEAR_SPREAD = 0.3
"""Standard deviation, in levels, by which a new year's players differ from the old. Source: house choice."""

PLACEMENT_SPREAD = 1.0
"""Standard error, in levels, of the guess by which a placement part is chosen. Source: house choice."""


def start_from_years(years: float) -> tuple[float, float]:
    """Level and standard error of a section by the years it has played.

    Args:
        years: School years on the instrument, 0 or more; beyond twenty nothing is added.

    Example:
        >>> start_from_years(0), start_from_years(4)
        ((0.5, 0.3), (2.0, 0.7))
    """
    known, levels, errors = zip(*YEARS_PLAYED, strict=True)
    return float(np.interp(years, known, levels)), round(float(np.interp(years, known, errors)), 3)


def start_from_last_year(level: float, error: float | None, weeks: float) -> tuple[float, float]:
    """Level and standard error at the start of a year, by the level at the end of the last one.

    Args:
        level: Level then.
        error: Its standard error; None for the director's word alone.
        weeks: Weeks since then without rehearsals, 0 or more.

    Example:
        >>> start, error = start_from_last_year(2.5, 0.2, 10)
        >>> round(start, 2), round(error, 2)
        (2.4, 0.38)
    """
    sure = DEFAULT_ERROR if error is None else error
    gone = min(1.0, weeks / SUMMER_WEEKS)
    lost = GROWTH_A_WEEK * SUMMER_LOSS_WEEKS * gone
    doubt = math.hypot(sure, DRIFT_A_WEEK * math.sqrt(weeks), NEW_YEAR_SPREAD * math.sqrt(gone))
    return clip_level(level - lost), doubt


def start_from_placement(part_level: float, share: float, part_error: float = 0.0) -> tuple[float, float]:
    """Level and standard error of a section nothing is known about, by one reading.

    Args:
        part_level: Level of the part that was read, chosen near what the section might read.
        share: Share of bars right at first sight, 0 to 1.
        part_error: Standard error of the part's level.

    Example:
        >>> low, high = start_from_placement(2.0, 0.6)[0], start_from_placement(2.0, 0.95)[0]
        >>> 1.0 < low < 1.6 and 2.2 < high < 2.8
        True
    """
    once = LevelPoint(date.min, part_level, share, part_error)
    now = trace_level(part_level, PLACEMENT_SPREAD, [once]).now
    return now.level, now.error
