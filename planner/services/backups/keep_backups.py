"""Making a backup of the home, and looking whether one is sound."""

from datetime import datetime
from pathlib import Path

from planner.services.ports import BackupKeeper, BackupReport


def make_backup(keeper: BackupKeeper, now: datetime) -> BackupReport:
    """Back up the whole home; pages and commands may go on meanwhile.

    Raises:
        HomeError: If the library is not there or damaged.
        ExportError: If the backup could not be written.
    """
    return keeper.back_up(now)


def check_backup(keeper: BackupKeeper, path: Path) -> BackupReport:
    """Read a backup to its end, and look whether its library is sound.

    Raises:
        BackupError: If it is damaged or no backup.
    """
    return keeper.check(path)
