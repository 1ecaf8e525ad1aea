"""A backup of a home: one zip that holds the library and its scores, and is itself a home when unpacked."""

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

from planner.core.piece import ON_PAPER
from planner.errors import ExportError, HomeError
from planner.services.ports import BackupReport

_PACKED = (".mxl", ".zip")
"""Endings of files that are compressed already."""


@dataclass(frozen=True, slots=True)
class HomeBackups:
    """``BackupWriter`` for a home with a SQLite library.

    Attributes:
        library: The database file.
        scores: Folder of score files.
        folder: Where backups go.
    """

    library: Path
    scores: Path
    folder: Path

    def back_up(self, today: date) -> BackupReport:
        """Write a backup; pages and commands may go on meanwhile.

        The copy is made with SQLite's online backup, checked, and only then packed; the
        zip gets its name when it is whole.

        Raises:
            HomeError: If there is no library, or it is damaged.
            ExportError: If the backup could not be written.
        """
        if not self.library.is_file():
            raise HomeError(self.library, "is not there", hint="Add some scores first.")
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with TemporaryDirectory(dir=self.folder, prefix=".half-") as half:
                copy = Path(half) / self.library.name
                names = _copy_library(self.library, copy)
                packed = Path(half) / "backup.zip"
                missing = self._pack(packed, copy, names)
                target = _free_name(self.folder, today)
                packed.replace(target)
        except OSError as error:
            raise ExportError(self.folder, (error.strerror or "no access").lower()) from error
        return BackupReport(target, len(names), tuple(missing))

    def _pack(self, packed: Path, copy: Path, names: dict[str, str]) -> list[str]:
        """Pack the library and the score files it speaks of; the names of those that are not there."""
        missing = []
        with packed.open("wb") as file:
            with ZipFile(file, "w", ZIP_DEFLATED) as archive:
                archive.write(copy, copy.name)
                for stored, name in sorted(names.items()):
                    score = self.scores / stored
                    if score.is_file():
                        how = ZIP_STORED if score.suffix in _PACKED else ZIP_DEFLATED
                        archive.write(score, f"{self.scores.name}/{stored}", how)
                    elif not stored.startswith(ON_PAPER):
                        missing.append(name)
            file.flush()
            os.fsync(file.fileno())
        return missing


def _copy_library(library: Path, copy: Path) -> dict[str, str]:
    """Copy a database that may be in use; stored file name to given name of its score files."""
    try:
        with (
            closing(sqlite3.connect(f"{library.absolute().as_uri()}?mode=rw", uri=True)) as source,
            closing(sqlite3.connect(copy)) as target,
        ):
            source.backup(target)
            target.execute("PRAGMA journal_mode=DELETE")
            if target.execute("PRAGMA integrity_check").fetchone() != ("ok",):
                raise HomeError(library, "is damaged", hint="Unpack the newest backup in its place.")
            rows = target.execute("SELECT sha256, suffix, name FROM source_files").fetchall()
    except sqlite3.DatabaseError as error:
        if "full" in str(error) or "readonly" in str(error):
            raise ExportError(copy.parent.parent, str(error)) from error
        raise HomeError(
            library, "is damaged or is not a library", hint="Unpack the newest backup."
        ) from error
    return {f"{sha256}{suffix}": name for sha256, suffix, name in rows}


def _free_name(folder: Path, today: date) -> Path:
    """A name for today's backup that is not taken."""
    number = 1
    while (path := folder / f"home-{today.isoformat()}{f'-{number}' if number > 1 else ''}.zip").exists():
        number += 1
    return path
