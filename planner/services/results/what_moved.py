"""What the results of a day moved: each section's level, why, and what that changes in the days to come."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from planner.core.ensemble import Ensemble, Section
from planner.core.term import Result, Slot, Term
from planner.levels.curve import expected_share
from planner.levels.history import LevelBelief
from planner.levels.readable import Verdict
from planner.scheduling.problem import OPEN_PIECE, Limits, PlanProblem
from planner.services.levels.section_levels import SectionEvidence, section_evidence, trace_without
from planner.services.levels.section_term import belief_before
from planner.services.plan.term_problem import build_problem
from planner.services.ports.work import UnitOfWork
from planner.services.term_page.show_term import TermRead, read_term
from planner.services.term_page.term_picture import forecast


class MoveWhy(StrEnum):
    """Why a level is what it is after the results of a day."""

    READ = "read"
    """Its results say so."""
    SET_ASIDE = "set aside"
    """None of them counts."""
    EARLIER = "earlier"
    """They are from before the section's start, and so in it."""
    UNKNOWN = "unknown"
    """No level is known of what it read."""


@dataclass(frozen=True, slots=True)
class ReadPiece:
    """One result of the day as evidence.

    Attributes:
        piece_id: What was read.
        share: Share of bars right on the first reading.
        expected: The share that was to be expected; None where the level of the part is not known.
        counts: Whether it moves the level.
        fell_apart: The reading stopped before its end.
    """

    piece_id: int
    share: float
    expected: float | None
    counts: bool
    fell_apart: bool


@dataclass(frozen=True, slots=True)
class SectionMove:
    """What a day did to the belief about a section's level.

    Attributes:
        section: Which.
        before: On the morning of the day.
        after: After its results.
        read: What it read that day.
        why: What it follows from.
    """

    section: Section
    before: LevelBelief
    after: LevelBelief
    read: tuple[ReadPiece, ...]
    why: MoveWhy


@dataclass(frozen=True, slots=True)
class FitChange:
    """A planned reading that suits a section otherwise than without the results of the day.

    Attributes:
        slot: Which reading.
        section: For whom.
        before, after: How it would read its part at sight.
        share_before, share_after: Share of bars it should get right.
    """

    slot: Slot
    section: Section
    before: Verdict
    after: Verdict
    share_before: float
    share_after: float


@dataclass(frozen=True, slots=True)
class Moved:
    """What the results of a day moved.

    Attributes:
        sections: Those with results, in the order of the ensemble.
        ahead: Planned readings to come that suit a section otherwise now, in order of date.
        slots_ahead: How many readings to come are planned.
        titles: Titles of the pieces named.
    """

    sections: tuple[SectionMove, ...]
    ahead: tuple[FitChange, ...]
    slots_ahead: int
    titles: Mapping[int, str]


def what_moved(
    work: UnitOfWork,
    term: Term,
    ensemble: Ensemble,
    on: date,
    today: date,
    only: Collection[int] | None = None,
) -> Moved:
    """What the results of a day moved, as they stand now.

    Args:
        work: An open unit of work; nothing is changed.
        term: The term of the day.
        ensemble: Who read.
        on: The day.
        today: Readings before it are past.
        only: Sections that are shown; None shows all.
    """
    results = work.results.list_results(ensemble.id, on)
    read_on = {result.section_id for result in results}
    shown = [s for s in ensemble.sections if s.id in read_on and (only is None or s.id in only)]
    if not shown:
        return Moved((), (), 0, {})
    evidence = section_evidence(work, ensemble, today=today)
    read = read_term(work, term, ensemble, today)
    slots = _slots_ahead(read, on, today)
    return Moved(
        tuple(_move(evidence[section.id], results, on) for section in shown),
        _fit_changes(read, evidence, slots, shown, on),
        len(slots),
        read.titles,
    )


def _move(each: SectionEvidence, results: Sequence[Result], on: date) -> SectionMove:
    section = each.section
    before = belief_before(each.trace, on)
    after = next((day.after for day in each.trace.days if day.on == on), before)
    known = {
        result.piece_id: (point, is_in_start)
        for pairs, is_in_start in (
            (tuple(zip(each.results, each.points, strict=True)), False),
            (each.earlier, True),
        )
        for result, point in pairs
        if result.on == on
    }
    read = tuple(
        ReadPiece(
            r.piece_id,
            r.first_share,
            expected_share(before.level, known[r.piece_id][0].part_level) if r.piece_id in known else None,
            r.counts,
            r.fell_apart,
        )
        for r in results
        if r.section_id == section.id
    )
    return SectionMove(section, before, after, read, _why(read, [late for _, late in known.values()]))


def _why(read: Collection[ReadPiece], in_start: Collection[bool]) -> MoveWhy:
    if not any(each.counts for each in read):
        return MoveWhy.SET_ASIDE
    if not any(each.counts and each.expected is not None for each in read):
        return MoveWhy.UNKNOWN
    return MoveWhy.EARLIER if all(in_start) else MoveWhy.READ


def _slots_ahead(read: TermRead, on: date, today: date) -> tuple[Slot, ...]:
    facts = read.problem.facts
    over = {result.on for result in facts.results}
    return tuple(
        slot
        for slot in (facts.plan.slots if facts.plan else ())
        if slot.on > on and slot.on >= today and slot.on not in over and slot.piece_id != OPEN_PIECE
    )


def _fit_changes(
    read: TermRead,
    evidence: Mapping[int, SectionEvidence],
    slots: Collection[Slot],
    shown: Sequence[Section],
    on: date,
) -> tuple[FitChange, ...]:
    if not slots:
        return ()
    now, without = read.problem.problem, _problem_without(read, evidence, on)
    found = []
    for slot in slots:
        then = {each.section.id: each for each in forecast(without, shown, slot)}
        for each in forecast(now, shown, slot):
            old = then.get(each.section.id)
            if old is not None and old.verdict is not each.verdict:
                found.append(FitChange(slot, each.section, old.verdict, each.verdict, old.share, each.share))
    return tuple(found)


def _problem_without(read: TermRead, evidence: Mapping[int, SectionEvidence], on: date) -> PlanProblem:
    """The term as it would be forecast without the results of a day."""
    facts = read.problem.facts
    asked = [max(day, facts.today) for day in facts.term.reading_dates()]
    forecasts = {}
    for section_id, each in evidence.items():
        beliefs = trace_without(each, on).forecasts(asked)
        forecasts[section_id] = tuple(beliefs[day] for day in asked)
    return build_problem(replace(facts, forecasts=forecasts), Limits()).problem
