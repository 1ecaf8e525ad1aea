"""Whether long work is under way that would write into a library which is to be replaced or written anew."""

from planner.core.job import JobState
from planner.errors import ConflictError, HomeError
from planner.services.jobs.manage import list_jobs
from planner.services.toolbox import Toolbox
from planner.wording.director.jobs import job_title


def check_nothing_runs(tools: Toolbox) -> None:
    """Refuse while long work is under way; a library that cannot be opened has none.

    Raises:
        ConflictError: If some is.
    """
    try:
        with tools.work() as work:
            jobs = list_jobs(work, tools.locks, only_open=True)
    except HomeError:
        return
    running = next((job for job in jobs if job.state == JobState.RUNNING), None)
    if running is not None:
        raise ConflictError(
            f"{job_title(running.kind)} is under way.", hint="Let it end, or stop it, and try again."
        )
