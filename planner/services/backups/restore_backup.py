"""Going back to a backup."""

from pathlib import Path

from planner.core.job import JobState
from planner.errors import ConflictError, HomeError
from planner.services.jobs.manage import list_jobs
from planner.services.jobs.standstill import nothing_begins
from planner.services.levels.index import index_the_rest
from planner.services.ports import RestoreReport
from planner.services.toolbox import Toolbox, changing
from planner.wording.director.jobs import job_title


def restore_backup(tools: Toolbox, path: Path) -> RestoreReport:
    """Bring a backup back in place of what is there, which is backed up first.

    Raises:
        BackupError: If the backup cannot be used; nothing is changed then.
        ConflictError: If long work is under way or another restore is, or others go on writing.
        ExportError: If something could not be written.
    """
    with nothing_begins(tools.locks):
        _look_for_work(tools)
        report = tools.backups.restore(path, tools.now())
        with changing(tools.work) as work:
            index_the_rest(work)
        return report


def _look_for_work(tools: Toolbox) -> None:
    """What work under way would still store does not belong into a library that is put back."""
    if not tools.backups.has_library():
        return
    try:
        with tools.work() as work:
            jobs = list_jobs(work, tools.locks, only_open=True)
    except HomeError:
        return  # a library that cannot be opened has no work under way
    running = next((job for job in jobs if job.state == JobState.RUNNING), None)
    if running is not None:
        raise ConflictError(
            f"{job_title(running.kind)} is under way.", hint="Let it end, or stop it, and try again."
        )
