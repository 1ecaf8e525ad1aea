"""A term with its plan, as the page shows it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from planner.core.ensemble import Ensemble
from planner.core.job import Job
from planner.core.piece import Piece
from planner.core.term import Plan, Slot, Term, Wish
from planner.matching.outlook import outlook_of
from planner.scheduling.problem import OPEN_PIECE, Limits
from planner.services.jobs.manage import list_jobs
from planner.services.levels.in_force import outlines_and_corrections
from planner.services.levels.section_term import forecast_levels
from planner.services.plan.freshness import unlogged_slots
from planner.services.plan.plan_job import PLAN
from planner.services.plan.proposals import breaches_of
from planner.services.plan.term_problem import Breach, TermFacts, TermProblem, build_problem
from planner.services.ports.records import JobLocks
from planner.services.ports.work import UnitOfWork
from planner.services.read_once import read_once
from planner.services.term_page.term_picture import TermPicture, term_picture


@dataclass(frozen=True, slots=True)
class UnloggedSlot:
    """A reading of a past day of which nobody logged whether it took place."""

    slot: Slot
    piece: Piece


@dataclass(frozen=True, slots=True)
class BrokenDay:
    """A day to come whose plan breaks a rule as things are now.

    Attributes:
        breach: The day and the rule.
        title: Of the piece that breaks it; empty where it is not one piece alone.
        lost: Names of the sections that are likely to be lost in it.
    """

    breach: Breach
    title: str = ""
    lost: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TermView:
    """What a page shows of a term.

    Attributes:
        picture: Day by day.
        plan: In force; None while there is none.
        unlogged: Past readings without a result.
        broken: Days to come whose plan breaks a rule as levels and sections are now.
        wishes: The director's.
        titles: Of the pieces of the plan and of the wishes.
    """

    picture: TermPicture
    plan: Plan | None
    unlogged: tuple[UnloggedSlot, ...]
    broken: tuple[BrokenDay, ...]
    wishes: tuple[Wish, ...]
    titles: Mapping[int, str]


@dataclass(frozen=True, slots=True)
class TermRead:
    """What is read of a term for its pages.

    Attributes:
        problem: The term, with the pieces of its plan and those asked for as candidates.
        pieces: These and the pieces of wishes and results, by id.
        levels: Levels of the candidates for the ensemble.
    """

    problem: TermProblem
    pieces: Mapping[int, Piece]
    levels: Mapping[int, float | None]

    @property
    def titles(self) -> dict[int, str]:
        """Titles by piece."""
        return {piece.id: piece.title for piece in self.pieces.values()}


def read_term(
    work: UnitOfWork, term: Term, ensemble: Ensemble, today: date, *, also: Collection[int] = ()
) -> TermRead:
    """The problem of a term with the pieces of its plan alone.

    Whether somebody can know a piece, and where its folders are, is not asked.

    Args:
        work: An open unit of work; nothing is changed.
        term: What is shown.
        ensemble: Who reads.
        today: Days before it are past.
        also: Further pieces.
    """
    plan, results = work.terms.plan(term.id), work.results.list_results(ensemble.id)
    wishes = tuple(work.terms.wishes(term.id))
    planned = {slot.piece_id for slot in plan.slots if slot.piece_id != OPEN_PIECE} if plan else set()
    wanted = planned | set(also)
    others = {wish.piece_id for wish in wishes} | {result.piece_id for result in results}
    pieces = work.pieces.get_all(wanted | others)
    profiles, corrections = outlines_and_corrections(work, pieces.values())
    outlooks = tuple(
        outlook_of(pieces[i], profiles[i], ensemble, own_level=corrections.own_level(i))
        for i in sorted(wanted)
        if i in profiles
    )
    facts = TermFacts(
        term=term,
        ensemble=ensemble,
        outlooks=outlooks,
        plan=plan,
        wishes=wishes,
        results=tuple(result for result in results if result.on <= term.last),
        today=today,
        forecasts=forecast_levels(work, ensemble, term.reading_dates(), today),
        known={},
        away={},
        linked={},
        copies={},
        printed=work.terms.printed(term.id),
    )
    levels = {outlook.piece.id: outlook.level for outlook in outlooks}
    return TermRead(build_problem(facts, Limits()), pieces, levels)


def show_term(work: UnitOfWork, term: Term, ensemble: Ensemble, today: date) -> TermView:
    """A term with its plan; arguments as for ``read_term``."""
    read = read_term(read_once(work), term, ensemble, today)
    facts, picture = read.problem.facts, term_picture(read.problem, read.pieces, read.levels)
    breaches = breaches_of(read.problem, facts.plan.slots) if facts.plan else ()
    return TermView(
        picture=picture,
        plan=facts.plan,
        unlogged=tuple(
            UnloggedSlot(slot, read.pieces[slot.piece_id])
            for slot in unlogged_slots(facts.plan.slots if facts.plan else (), facts.results, today)
        ),
        broken=tuple(_broken(breach, picture, read.titles) for breach in breaches),
        wishes=facts.wishes,
        titles=read.titles,
    )


def _broken(breach: Breach, picture: TermPicture, titles: Mapping[int, str]) -> BrokenDay:
    here = [each for day in picture.days if day.on == breach.on for each in day.slots]
    lost = [
        forecast.section.name
        for each in here
        for forecast in each.forecasts
        if each.slot.piece_id == breach.piece_id and forecast.lost > Limits().lost
    ]
    return BrokenDay(breach, titles.get(breach.piece_id or 0, ""), tuple(lost))


def last_planning(work: UnitOfWork, locks: JobLocks, term_id: int) -> Job | None:
    """The last time a term was planned, under way or over; None when it is not among the latest work."""
    found = list_jobs(work, locks)
    return next((job for job in found if job.kind == PLAN and job.request.get("term") == term_id), None)
