"""A section's level over a term: the belief day by day, its results, what was expected, what is to come."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.core.ensemble import Ensemble, Section
from planner.core.term import Result, Term
from planner.levels.curve import SLOPE, TARGET_SHARE, clip_level, expected_share
from planner.levels.history import LevelBelief, LevelPoint, LevelTrace
from planner.services.levels.section_levels import SectionEvidence, section_evidence
from planner.services.ports.work import UnitOfWork

WEEKS_SHOWN = 8
"""Weeks that are shown ahead of today where no term is set (house choice)."""

SURE_SHARE = 0.99
"""Beyond it, and below its counterpart, a single result speaks for no level in particular (house choice)."""


@dataclass(frozen=True, slots=True)
class ResultPoint:
    """One result of a section in the picture of a term.

    Attributes:
        on: When it was read.
        title, piece_id: The piece.
        part_level: Level of the part.
        share: Share of bars right on the first reading.
        expected: The share that was to be expected on that day, before its results.
        alone: The level at which just this share is expected: what the result says by itself.
        counts: False where the director set it aside.
        is_in_start: It is from before the section's start, and so in it.
    """

    on: date
    title: str
    part_level: float
    share: float
    expected: float
    alone: float
    counts: bool
    is_in_start: bool = False
    piece_id: int = 0


@dataclass(frozen=True, slots=True)
class Moment:
    """The belief at a moment of the term; two on a day with results, before and after them."""

    on: date
    belief: LevelBelief


@dataclass(frozen=True, slots=True)
class SectionTerm:
    """A section's level over a term.

    Attributes:
        section: Which.
        trace: The belief from its start on.
        first, last: The days that are shown.
        today: The day it is looked at.
        so_far: The belief from the first day, or the start, to the last result; empty before the start.
        ahead: The forecast from there to the last day; empty where there are results after it.
        results: Those of the days shown, in order of date.
    """

    section: Section
    trace: LevelTrace
    first: date
    last: date
    today: date
    so_far: tuple[Moment, ...]
    ahead: tuple[Moment, ...]
    results: tuple[ResultPoint, ...]

    @property
    def now(self) -> LevelBelief:
        """The belief today, carried forward from the last result."""
        return self.trace.forecast(self.today)


def sections_over_term(
    work: UnitOfWork, ensemble: Ensemble, term: Term | None, today: date, *, only: int | None = None
) -> Mapping[int, SectionTerm]:
    """Every section's level over a term, or that of one alone, by its id.

    Without a term, it runs from the first result on.
    """
    evidence = section_evidence(work, ensemble, today=today, only=only)
    read = {r.piece_id for each in evidence.values() for r in (*each.results, *(e[0] for e in each.earlier))}
    titles = work.pieces.titles(read)
    first, last = _span(tuple(evidence.values()), term, today)
    return {i: _over_term(each, titles, first, last, today) for i, each in evidence.items()}


def forecast_levels(
    work: UnitOfWork, ensemble: Ensemble, days: Sequence[date], today: date
) -> Mapping[int, tuple[LevelBelief, ...]]:
    """What every section's level will be on some days, with its error, by section: one belief a day.

    A section without results, whose start has no date, stands at its start today. On a day that is past
    the belief is that of today.

    Args:
        work: An open unit of work; nothing is changed.
        ensemble: Whose sections.
        days: Which days.
        today: From when on there are no results.
    """
    evidence = section_evidence(work, ensemble, today=today)
    asked = [max(on, today) for on in days]
    beliefs = {i: each.trace.forecasts(asked) for i, each in evidence.items()}
    return {i: tuple(by_day[on] for on in asked) for i, by_day in beliefs.items()}


def belief_before(trace: LevelTrace, on: date) -> LevelBelief:
    """What was believed on the morning of a day, whatever came later."""
    for day in trace.days:
        if day.on == on:
            return day.before
    earlier = tuple(day for day in trace.days if day.on < on)
    return replace(trace, days=earlier).forecast(on)


def level_alone(share: float, part_level: float) -> float:
    """The level at which a share of bars right is just what is expected of a part.

    Example:
        >>> round(level_alone(expected_share(2.3, 2.0), 2.0), 6)
        2.3
    """
    held = min(SURE_SHARE, max(1 - SURE_SHARE, share))
    logit = math.log(held / (1 - held)) - math.log(TARGET_SHARE / (1 - TARGET_SHARE))
    return clip_level(part_level + logit / SLOPE)


def _span(evidence: Sequence[SectionEvidence], term: Term | None, today: date) -> tuple[date, date]:
    if term is not None:
        return term.first, term.last
    read = [result.on for each in evidence for result in each.results]
    return min([today, *read]), today + timedelta(weeks=WEEKS_SHOWN)


def _over_term(
    each: SectionEvidence, titles: Mapping[int, str], first: date, last: date, today: date
) -> SectionTerm:
    trace = each.trace
    inside = [day for day in trace.days if first <= day.on <= last]
    begin = max(first, trace.start_on or first)
    so_far = [Moment(begin, belief_before(trace, begin))] if begin <= last else []
    for day in inside:
        so_far += [Moment(day.on, day.before), Moment(day.on, day.after)]
    ahead = []
    if so_far and all(day.on <= last for day in trace.days):
        at = so_far[-1]
        steps = [at.on + timedelta(weeks=n) for n in range(1, (last - at.on).days // 7 + 1)]
        later = trace.forecasts(on for on in [*steps, last] if on > at.on)
        ahead = [at, *(Moment(on, later[on]) for on in sorted(later))]
    return SectionTerm(
        section=each.section,
        trace=trace,
        first=first,
        last=last,
        today=today,
        so_far=tuple(so_far),
        ahead=tuple(ahead),
        results=tuple(
            [
                replace(_point(result, point, titles, trace), is_in_start=True)
                for result, point in each.earlier
                if first <= point.on <= last
            ]
            + [
                _point(result, point, titles, trace)
                for result, point in zip(each.results, each.points, strict=True)
                if first <= point.on <= last
            ]
        ),
    )


def _point(result: Result, point: LevelPoint, titles: Mapping[int, str], trace: LevelTrace) -> ResultPoint:
    before = belief_before(trace, point.on)
    return ResultPoint(
        on=point.on,
        title=titles.get(result.piece_id, ""),
        part_level=point.part_level,
        share=point.share,
        expected=expected_share(before.level, point.part_level),
        alone=level_alone(point.share, point.part_level),
        counts=point.counts,
        piece_id=result.piece_id,
    )
