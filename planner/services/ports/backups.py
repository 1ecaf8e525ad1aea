"""Backups of a home."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import IO, Protocol


class BackupReason(StrEnum):
    """What a backup was made for."""

    ASKED = "asked"
    UPDATE = "before-update"
    RESTORE = "before-restore"
    SET_ASIDE = "set-aside"
    """No backup but a copy of what lay in the place of the library and was not sound."""


@dataclass(frozen=True, slots=True)
class BackupReport:
    """A backup that was written.

    Attributes:
        path: The file.
        pieces: How many pieces it holds.
        files: How many files it holds.
        missing: Names of score files that were not in the home, so they are not in the backup.
    """

    path: Path
    pieces: int
    files: int
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KeptBackup:
    """A backup that lies in the home.

    Attributes:
        path: The file.
        size_bytes: How large it is.
        made_at: When it was made.
        why: What it was made for; None when it cannot be read.
        pieces: How many pieces it holds; None when it does not say.
    """

    path: Path
    size_bytes: int
    made_at: datetime
    why: BackupReason | None
    pieces: int | None


@dataclass(frozen=True, slots=True)
class RestoreReport:
    """A backup that was brought back.

    Attributes:
        pieces: How many pieces the home holds now.
        missing: Names of score files that neither the home nor the backup has.
        before: The backup of what was there until then; None where there was nothing, or nothing sound.
        set_aside: The folder with what was there, where it was no sound library.
        kept: Exported files that stay because somebody changed them.
    """

    pieces: int
    missing: tuple[str, ...] = ()
    before: Path | None = None
    set_aside: Path | None = None
    kept: tuple[Path, ...] = ()


class BackupKeeper(Protocol):
    """Keeps copies of the whole home, each one file, and brings them back."""

    def back_up(self, now: datetime, why: BackupReason = BackupReason.ASKED) -> BackupReport:
        """Write a backup; pages and commands may go on meanwhile.

        Raises:
            HomeError: If the library is not there or damaged.
            ExportError: If the backup could not be written.
        """
        ...

    def has_library(self) -> bool:
        """Whether anything lies where the library should be."""
        ...

    def list_backups(self) -> Sequence[KeptBackup]:
        """The backups of the home, newest first."""
        ...

    def find(self, name: str) -> Path:
        """The backup of that name in the home.

        Raises:
            NotFoundError: If there is none.
            BackupError: If it is no backup but what was set aside.
        """
        ...

    def remove(self, name: str) -> KeptBackup:
        """Delete a backup, or what was set aside, for good; what it was.

        Raises:
            NotFoundError: If there is none of that name.
            ExportError: If it cannot be deleted.
        """
        ...

    def take_in(self, content: IO[bytes]) -> BackupReport:
        """Put a backup from elsewhere among those of the home, once it is found to be sound to its end.

        Raises:
            BackupError: If it is damaged or no backup; nothing is kept then.
            ExportError: If it cannot be written.
        """
        ...

    def check(self, path: Path) -> BackupReport:
        """Read a backup to its end, each file against its hash, and look whether its library is sound.

        Raises:
            BackupError: If it is damaged or no backup.
        """
        ...

    def restore(self, path: Path, now: datetime) -> RestoreReport:
        """Bring a backup back in place of what is there, which is backed up or set aside first.

        Nothing is changed unless the whole backup is sound.

        Raises:
            BackupError: If it is damaged or no backup.
            ConflictError: If others go on writing for too long.
            ExportError: If something could not be written.
        """
        ...
