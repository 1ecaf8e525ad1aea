"""The list of long work: asking for it, stopping it, going on with it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from planner.core.change import Author, Values
from planner.core.job import SIDE_BY_SIDE, Job, JobState
from planner.errors import ConflictError
from planner.services.ports.records import JobLocks
from planner.services.ports.work import UnitOfWork

OPEN = tuple(state for state in JobState if state.is_open)

LISTED = 50
"""Jobs shown at most (house choice)."""


def start_job(work: UnitOfWork, kind: str, request: Values, by: Author) -> Job:
    """Queue work of a kind. When some of that kind is open it is that which goes on, not a second.

    Where several of a kind may be open it is the one of which the same was asked.
    """
    for job in work.jobs.list_jobs(LISTED, OPEN):
        if job.kind == kind and (kind not in SIDE_BY_SIDE or dict(job.request) == dict(request)):
            if job.state == JobState.STOPPED:
                work.jobs.queue_again(job.id)
            return work.jobs.get(job.id)
    return work.jobs.get(work.jobs.add(kind, request, by))


def list_jobs(work: UnitOfWork, locks: JobLocks, *, only_open: bool = False) -> Sequence[Job]:
    """Jobs, newest first; one whose program was killed counts as stopped."""
    found = work.jobs.list_jobs(LISTED, OPEN if only_open else ())
    return tuple(as_it_stands(job, locks) for job in found)


def as_it_stands(job: Job, locks: JobLocks) -> Job:
    """A job as it really stands: one left running by a program that is gone is stopped, one in hand runs."""
    if job.state == JobState.QUEUED and locks.is_held(job.id):
        return replace(job, state=JobState.RUNNING)
    if job.state == JobState.RUNNING and not locks.is_held(job.id):
        return replace(job, state=JobState.STOPPED, is_stop_asked=False)
    return job


def stop_job(work: UnitOfWork, locks: JobLocks, job_id: int) -> Job:
    """Ask a job to stop; it ends after the thing it is at, and what it finished is kept.

    Raises:
        NotFoundError: If there is no such job.
        ConflictError: If it is done or failed.
    """
    job = work.jobs.get(job_id)
    if not job.state.is_open:
        raise ConflictError("That work has ended; there is nothing to stop.")
    if as_it_stands(job, locks).state == JobState.STOPPED:
        work.jobs.finish(job_id, JobState.STOPPED, job.finished_at or job.started_at or job.by.at, {})
    else:
        work.jobs.ask_stop(job_id)
    return work.jobs.get(job_id)


def resume_job(work: UnitOfWork, locks: JobLocks, job_id: int) -> Job:
    """Put a stopped or failed job back among those that wait; what it finished is not done again.

    Raises:
        NotFoundError: If there is no such job.
        ConflictError: If it is done, or other work of its kind is open.
    """
    job = as_it_stands(work.jobs.get(job_id), locks)
    if job.state == JobState.DONE:
        raise ConflictError("That work is done already.")
    if job.state in (JobState.STOPPED, JobState.FAILED):
        others = (each for each in work.jobs.list_jobs(LISTED, OPEN) if each.id != job_id)
        if job.kind not in SIDE_BY_SIDE and any(other.kind == job.kind for other in others):
            raise ConflictError("Newer work of the same kind is under way already.")
        work.jobs.queue_again(job_id)
    return work.jobs.get(job_id)


def close_job(work: UnitOfWork, locks: JobLocks, job_id: int, at: datetime) -> Job:
    """Leave a stopped or failed job at what it finished: it will not go on any more.

    Raises:
        NotFoundError: If there is no such job.
        ConflictError: If it is done, waiting or under way.
    """
    job = as_it_stands(work.jobs.get(job_id), locks)
    if job.state not in (JobState.STOPPED, JobState.FAILED):
        raise ConflictError("Only work that is stopped can be left at that.", hint="Stop it first.")
    work.jobs.finish(job_id, JobState.DONE, at, {"closed": True})
    return work.jobs.get(job_id)


def queue_interrupted(work: UnitOfWork, locks: JobLocks) -> int:
    """Put jobs back among those that wait which a program left running when it was killed; how many."""
    left = [job for job in work.jobs.list_jobs(LISTED, (JobState.RUNNING,)) if not locks.is_held(job.id)]
    for job in left:
        work.jobs.queue_again(job.id)
    return len(left)
