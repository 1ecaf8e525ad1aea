"""Bringing a backup back: looked through first, what is there kept, then put in place."""

import os
import shutil
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.adapters.db.backups.archive import (
    CERTIFICATE,
    CRITERIA,
    EXPORTS,
    INBOX,
    LIBRARY,
    SCORES,
    SET_ASIDE,
    opened,
)
from planner.adapters.db.backups.databases import BESIDE, make_ready, replace_content
from planner.adapters.db.backups.places import HomePlaces
from planner.errors import BackupError, DamagedHomeError, ExportError, ForeignHomeError, HomeError
from planner.services.ports.backups import BackupReport, RestoreReport


@dataclass(frozen=True, slots=True)
class Restorer:
    """Brings one backup back.

    Killed at any moment it leaves the library as it was or as it is in the backup: files are put beside
    those that are there, then the library changes in one step.

    Attributes:
        places: The home.
        back_up: Backs up what is there.
        let_go: Closes this program's own connections to the library.
    """

    places: HomePlaces
    back_up: Callable[[], BackupReport]
    let_go: Callable[[], None]

    def restore(self, path: Path, today: date) -> RestoreReport:
        """Look through the whole backup, keep what is there, put the backup in place."""
        try:
            with TemporaryDirectory(dir=self.places.folder, prefix=".half-") as half:
                return self._put_in_place(path, Path(half), today)
        except OSError as error:
            raise ExportError(self.places.folder, (error.strerror or "no access").lower()) from error

    def _put_in_place(self, path: Path, half: Path, today: date) -> RestoreReport:
        with opened(path) as archive:
            self._look_for_room(archive.contents.size_bytes)
            archive.unpack(half)
        try:
            facts = make_ready(half / LIBRARY, path.name)
        except HomeError as error:
            raise BackupError(path.name, f"cannot be used: its library {error.reason}") from error
        before, is_sound = self._keep_present()
        set_aside = None if is_sound else self._set_aside(today)
        self._put_files(half)
        self._put_library(half / LIBRARY, is_sound=is_sound)
        kept = self._put_exports(half / EXPORTS)
        missing = [
            name for stored, name in facts.scores.items() if not (self.places.scores / stored).is_file()
        ]
        return RestoreReport(facts.pieces, tuple(sorted(missing)), before, set_aside, kept)

    def _look_for_room(self, needed: int) -> None:
        """What is unpacked, and the backup of what is there, need room at the same time."""
        if shutil.disk_usage(self.places.folder).free < 2 * needed:
            raise ExportError(self.places.folder, "there is too little free space to unpack the backup")

    def _keep_present(self) -> tuple[Path | None, bool]:
        """Back up what is there; whether the library there is one that can be written over."""
        if not self.places.library.is_file():
            return None, False
        try:
            return self.back_up().path, True
        except (DamagedHomeError, ForeignHomeError):
            return None, False

    def _set_aside(self, today: date) -> Path | None:
        """Copy what is no sound library, and the limits beside it, into a folder of their own."""
        places = self.places
        there = [path for ending in ("", *BESIDE) if (path := Path(f"{places.library}{ending}")).exists()]
        if not there:
            return None
        places.backups.mkdir(parents=True, exist_ok=True, mode=0o700)
        folder = _new_folder(places.backups, f"{SET_ASIDE}-{today.isoformat()}")
        for path in there:
            copy = shutil.copytree if path.is_dir() else shutil.copy2
            copy(path, folder / path.name)
        if places.criteria.is_dir():
            shutil.copytree(places.criteria, folder / CRITERIA)
        return folder

    def _put_files(self, half: Path) -> None:
        rooms = [SCORES, CRITERIA, INBOX]
        if not self.places.certificate.is_dir():  # one that is there is known to browsers by now
            rooms.append(CERTIFICATE)
        for room in rooms:
            for path in sorted((half / room).rglob("*")):
                if path.is_file():
                    target = self.places.folder / path.relative_to(half)
                    target.parent.mkdir(parents=True, exist_ok=True)
                    path.chmod(0o600)
                    path.replace(target)

    def _put_library(self, incoming: Path, *, is_sound: bool) -> None:
        library = self.places.library
        self.let_go()
        if is_sound:
            replace_content(library, incoming)
            return
        for ending in BESIDE:  # their changes belong to what was set aside
            Path(f"{library}{ending}").unlink(missing_ok=True)
        if library.is_dir():
            shutil.rmtree(library)
        incoming.chmod(0o600)
        with incoming.open("rb+") as file:
            os.fsync(file.fileno())
        incoming.replace(library)

    def _put_exports(self, half: Path) -> tuple[Path, ...]:
        exports = self.places.exports
        kept: list[Path] = []
        record = half / self.places.record
        if record.is_file():
            exports.remember(record.read_text("utf-8", errors="replace"))
            record.unlink()
        for path in sorted(half.rglob("*")):
            if path.is_file():
                kept += exports.put_back(path.relative_to(half).as_posix(), path).kept
        return tuple(kept)


def _new_folder(where: Path, stem: str) -> Path:
    number = 1
    while True:
        folder = where / f"{stem}{f'-{number}' if number > 1 else ''}"
        with suppress(FileExistsError):
            folder.mkdir(mode=0o700)
            return folder
        number += 1
