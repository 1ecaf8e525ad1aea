"""Going back to a backup."""

from pathlib import Path

from planner.services.jobs.standstill import nothing_begins
from planner.services.jobs.under_way import check_nothing_runs
from planner.services.levels.index import index_the_rest
from planner.services.ports.backups import RestoreReport
from planner.services.toolbox import Toolbox, changing


def restore_backup(tools: Toolbox, path: Path) -> RestoreReport:
    """Bring a backup back in place of what is there, which is backed up first.

    Raises:
        BackupError: If the backup cannot be used; nothing is changed then.
        ConflictError: If long work is under way or another restore is, or others go on writing.
        ExportError: If something could not be written.
    """
    with nothing_begins(tools.locks):
        if tools.backups.has_library():
            check_nothing_runs(tools)
        report = tools.backups.restore(path, tools.now())
        with changing(tools.work) as work:
            index_the_rest(work)
        return report
