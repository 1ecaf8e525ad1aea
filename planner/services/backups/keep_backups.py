"""Making a backup of the home, looking whether one is sound, taking one in, and deleting one."""

from datetime import datetime
from pathlib import Path
from typing import IO

from planner.errors import NotFoundError, QuestionError
from planner.services.ports.backups import BackupKeeper, BackupReport, KeptBackup


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


def remove_backup(keeper: BackupKeeper, name: str, *, is_sure: bool) -> KeptBackup:
    """Delete a backup, or what was set aside, for good; what it was.

    Raises:
        NotFoundError: If there is none of that name.
        QuestionError: If it was not said that this is meant.
        ExportError: If it cannot be deleted.
    """
    if not is_sure:
        kept = next((each for each in keeper.list_backups() if each.path.name == name), None)
        if kept is None:
            raise NotFoundError("backup", name, hint="“planner backup --list” shows what is there.")
        raise QuestionError(
            f"{name} would be deleted, which cannot be undone. Do you want that?",
            hint="Say so; on the command line with --yes.",
        )
    return keeper.remove(name)


def take_in_backup(keeper: BackupKeeper, content: IO[bytes]) -> BackupReport:
    """Put a backup that lies elsewhere among those of the home, each file held against its hash first.

    Raises:
        BackupError: If it is damaged or no backup; nothing is kept then.
        ExportError: If it cannot be written.
    """
    return keeper.take_in(content)
