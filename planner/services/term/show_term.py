"""A term with its plan, as the page shows it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from planner.core.ensemble import Ensemble
from planner.core.job import Job
from planner.core.piece import Piece
from planner.core.term import Plan, Slot, Term
from planner.matching.outlook import outlook_of
from planner.scheduling.problem import OPEN_PIECE, Limits
from planner.services.jobs.manage import list_jobs
from planner.services.levels.in_force import outlines_and_corrections
from planner.services.levels.section_term import forecast_levels
from planner.services.ports import JobLocks, UnitOfWork
from planner.services.read_once import read_once
from planner.services.term.freshness import unlogged_slots
from planner.services.term.term_picture import TermPicture, term_picture
from planner.services.term.term_problem import TermFacts, build_problem


@dataclass(frozen=True, slots=True)
class UnloggedSlot:
    """A reading of a past day of which nobody logged whether it took place."""

    slot: Slot
    piece: Piece


@dataclass(frozen=True, slots=True)
class TermView:
    """What a page shows of a term.

    Attributes:
        picture: Day by day.
        plan: In force; None while there is none.
        unlogged: Past readings without a result.
        titles: Of the pieces of the plan and of the wishes.
    """

    picture: TermPicture
    plan: Plan | None
    unlogged: tuple[UnloggedSlot, ...]
    titles: Mapping[int, str]


def show_term(work: UnitOfWork, term: Term, ensemble: Ensemble, today: date) -> TermView:
    """A term with its plan; whether somebody can know a planned piece is not asked here.

    Args:
        work: An open unit of work; nothing is changed.
        term, ensemble: What is shown.
        today: Days before it are past.
    """
    work = read_once(work)
    plan, results = work.terms.plan(term.id), work.results.list_results(ensemble.id)
    planned = {slot.piece_id for slot in plan.slots if slot.piece_id != OPEN_PIECE} if plan else set()
    wishes = tuple(work.terms.wishes(term.id))
    wished = {wish.piece_id for wish in wishes}
    pieces = work.pieces.get_all(planned | wished | {result.piece_id for result in results})
    profiles, corrections = outlines_and_corrections(work, pieces.values())
    outlooks = tuple(
        outlook_of(pieces[i], profiles[i], ensemble, own_level=corrections.own_level(i))
        for i in sorted(planned)
        if i in profiles
    )
    of_term = tuple(result for result in results if result.on <= term.last)
    facts = TermFacts(
        term=term,
        ensemble=ensemble,
        outlooks=outlooks,
        plan=plan,
        wishes=wishes,
        results=of_term,
        today=today,
        forecasts=forecast_levels(work, ensemble, term.reading_dates(), today),
        known={},
        away={},
        linked={},
        copies={},
        printed={},
    )
    levels = {outlook.piece.id: outlook.level for outlook in outlooks}
    return TermView(
        picture=term_picture(build_problem(facts, Limits()), pieces, levels),
        plan=plan,
        unlogged=tuple(
            UnloggedSlot(slot, pieces[slot.piece_id]) for slot in unlogged_slots(plan, of_term, today)
        ),
        titles={piece.id: piece.title for piece in pieces.values()},
    )


def plan_job(work: UnitOfWork, locks: JobLocks, term_id: int) -> Job | None:
    """The planning of a term that is under way or waits; None when none is."""
    open_jobs = list_jobs(work, locks, only_open=True)
    return next((job for job in open_jobs if job.kind == PLAN and job.request.get("term") == term_id), None)


PLAN = "plan"
