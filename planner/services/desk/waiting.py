"""What waits for the director, or for a section leader."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.job import Job, JobState
from planner.core.term import Plan, Result, Term
from planner.scheduling.problem import OPEN_PIECE
from planner.services.imports.import_job import IMPORT
from planner.services.jobs.manage import list_jobs
from planner.services.plan.proposals import proposal_view
from planner.services.ports.records import JobLocks
from planner.services.ports.work import UnitOfWork
from planner.services.term.wish_notes import waiting_wishes

IMPORTS_SHOWN = timedelta(days=7)
"""An import that refused files is shown so long (house choice: a week)."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """What waits.

    Attributes:
        results: Past days with planned pieces and without a result, the newest first.
        proposed: On how many days a plan that is proposed differs from the one in force; 0 without one.
        wishes: How many wishes the plan does not meet yet.
        stopped: Long work that stopped or failed, the newest first.
        refused: Imports of late that refused files, the newest first.
    """

    results: tuple[date, ...] = ()
    proposed: int = 0
    wishes: int = 0
    stopped: tuple[Job, ...] = ()
    refused: tuple[Job, ...] = ()

    @property
    def is_nothing(self) -> bool:
        """Whether nothing does."""
        return not (self.results or self.proposed or self.wishes or self.stopped or self.refused)


NOTHING_WAITS = Waiting()


def days_without_results(
    term: Term, plan: Plan | None, results: Sequence[Result], today: date
) -> tuple[date, ...]:
    """Past reading days with planned pieces and without any of some results, the newest first."""
    reading, read_on = set(term.reading_dates()), {result.on for result in results}
    planned = {slot.on for slot in (plan.slots if plan else ()) if slot.piece_id != OPEN_PIECE}
    return tuple(sorted((on for on in planned & reading if on < today and on not in read_on), reverse=True))


def waiting_for_director(
    work: UnitOfWork,
    locks: JobLocks,
    term: Term | None,
    plan: Plan | None,
    without: Sequence[date],
    today: date,
) -> Waiting:
    """All that waits, ``without`` being the days without results."""
    jobs = list_jobs(work, locks)
    proposal = proposal_view(work, term.id) if term is not None and plan is not None else None
    wishes = work.terms.wishes(term.id) if term is not None and plan is not None else ()
    return Waiting(
        results=tuple(without),
        proposed=len(proposal.changes) if proposal is not None else 0,
        wishes=len(waiting_wishes(plan, wishes, today)),
        stopped=tuple(job for job in jobs if job.state in (JobState.STOPPED, JobState.FAILED)),
        refused=tuple(job for job in jobs if _refused_of_late(job, today)),
    )


def _refused_of_late(job: Job, today: date) -> bool:
    return (
        job.kind == IMPORT
        and job.state == JobState.DONE
        and bool(job.refusals)
        and job.finished_at is not None
        and today - job.finished_at.date() <= IMPORTS_SHOWN
    )


def own_results(results: Sequence[Result], only: Collection[int] | None) -> tuple[Result, ...]:
    """The results of some sections; None takes all."""
    return tuple(result for result in results if only is None or result.section_id in only)
