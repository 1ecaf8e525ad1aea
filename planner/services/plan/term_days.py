"""The reading days of a term: how long, for whom, and how far above or below the sections they aim."""

from collections.abc import Collection, Mapping
from datetime import date
from itertools import pairwise
from math import log

from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.levels.curve import SLOPE, TARGET_LOGIT
from planner.levels.history import LevelBelief
from planner.levels.readable import EASY_ABOVE, HARD_BELOW
from planner.scheduling.problem import PlanDay

EASIER = 0.3
"""Levels by which the reading before a concert, and the first after a break, aims lower (house choice)."""

BREAK_DAYS = 7
"""Days in a row without a reading that make a break (house choice: a week of holidays)."""

BEFORE_CONCERT_DAYS = 7
"""Most days between an easier reading and its concert (house choice)."""


def _stretch_for(share: float) -> float:
    """Levels above a section of a part that it gets this share of right."""
    return (TARGET_LOGIT - log(share / (1 - share))) / SLOPE


MOST_STRETCH, LEAST_STRETCH = _stretch_for(HARD_BELOW), _stretch_for(EASY_ABOVE)
"""Levels above and below the sections' own within which a day aims, whatever the line of the term asks for:
beyond, what is read is no longer just readable. Source: the ends of ``levels.readable``."""


def plan_days(
    term: Term,
    ensemble: Ensemble,
    forecasts: Mapping[int, tuple[LevelBelief, ...]],
    settled: Collection[date],
) -> tuple[PlanDay, ...]:
    """Every reading day of a term.

    Args:
        term: Its dates, its line and its days that differ.
        ensemble: Who reads.
        forecasts: What is believed of each section on each reading day, by section.
        settled: Days on which nothing may change.
    """
    dates = term.reading_dates()
    means = mean_levels(term, ensemble, forecasts)
    line, easier = line_of(term, means), easier_days(term)
    days = []
    for on, level, mean in zip(dates, line, means, strict=True):
        shape = term.shape_on(on)
        stretch = level - mean - (EASIER if on in easier else 0.0)
        days.append(
            PlanDay(
                on=on,
                minutes=term.minutes_on(on),
                slots=term.slots_on(on),
                stretch=round(min(MOST_STRETCH, max(LEAST_STRETCH, stretch)), 3),
                is_settled=on in settled,
                stations=shape.stations,
                absent=frozenset(shape.absent),
            )
        )
    return tuple(days)


def mean_levels(
    term: Term, ensemble: Ensemble, forecasts: Mapping[int, tuple[LevelBelief, ...]]
) -> tuple[float, ...]:
    """The mean level of all sections on each reading day, each counting once; 0 without sections."""
    return tuple(
        sum(forecasts[section.id][at].level for section in ensemble.sections) / max(1, len(ensemble.sections))
        for at in range(len(term.reading_dates()))
    )


def line_of(term: Term, means: tuple[float, ...]) -> tuple[float, ...]:
    """The level at which each reading day should lie.

    The line passes the levels that the director set, straight from one to the next; where the start or the
    end is not set, it begins or ends at the sections' own mean. Without any it is their mean throughout.

    Example:
        >>> term = Term(0, 1, "T", date(2026, 9, 1), date(2026, 9, 15), (1,), target_level=3.0)
        >>> line_of(term, (2.0, 2.1, 2.2))
        (2.0, 2.5, 3.0)
    """
    dates = term.reading_dates()
    if not dates or (term.start_level is None and term.target_level is None and not term.aims):
        return means
    points = {
        dates[0]: means[0] if term.start_level is None else term.start_level,
        dates[-1]: means[-1] if term.target_level is None else term.target_level,
        **{on: level for on, level in term.aims if dates[0] <= on <= dates[-1]},
    }
    return tuple(_between(sorted(points.items()), on) for on in dates)


def easier_days(term: Term) -> frozenset[date]:
    """The last reading before each concert, and the first after each break."""
    dates = term.reading_dates()
    before_concerts = {
        max(on for on in dates if on <= concert)
        for concert in term.concerts
        if any(0 <= (concert - on).days <= BEFORE_CONCERT_DAYS for on in dates)
    }
    after_breaks = {after for before, after in pairwise(dates) if (after - before).days > BREAK_DAYS}
    return frozenset(before_concerts | after_breaks)


def _between(points: list[tuple[date, float]], on: date) -> float:
    before = max((point for point in points if point[0] <= on), default=points[0])
    after = min((point for point in points if point[0] >= on), default=points[-1])
    if before[0] == after[0]:
        return before[1]
    share = (on - before[0]).days / (after[0] - before[0]).days
    return before[1] + share * (after[1] - before[1])
