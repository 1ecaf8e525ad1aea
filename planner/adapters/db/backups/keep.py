"""Making, listing and checking the backups of a home."""

import os
import shutil
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO

from planner import __version__
from planner.adapters.db.backups.archive import (
    EXPORTS,
    LIBRARY,
    SCORES,
    SET_ASIDE,
    Contents,
    Entry,
    opened,
    write_archive,
)
from planner.adapters.db.backups.databases import copy_library, make_ready
from planner.adapters.db.backups.places import HomePlaces
from planner.adapters.db.backups.restore import Restorer
from planner.adapters.db.first_look import look_first
from planner.errors import BackupError, ExportError, HomeError, NewerHomeError, NotFoundError
from planner.services.ports.backups import BackupReason, BackupReport, KeptBackup, RestoreReport

HALF = ".half-"
"""Begins the name of what is still being written."""

_STALE_S = 24 * 3600.0
"""Age at which something half-written is surely left over from a run that was killed."""

_NAMES: Mapping[BackupReason, str] = {
    BackupReason.ASKED: "home",
    BackupReason.UPDATE: "before-update",
    BackupReason.RESTORE: "before-restore",
    BackupReason.SET_ASIDE: SET_ASIDE,
}
"""What the file of a backup is called before its date."""


@dataclass(frozen=True, slots=True)
class HomeBackups:
    """``BackupKeeper`` for a home with a SQLite library.

    Attributes:
        places: Where everything lies.
        settings: Settings in force, noted in each backup.
        let_go: Closes this program's own connections to the library before it is replaced.
    """

    places: HomePlaces
    settings: Mapping[str, str] = field(default_factory=dict)
    let_go: Callable[[], None] = lambda: None

    def back_up(self, now: datetime, why: BackupReason = BackupReason.ASKED) -> BackupReport:
        """Write a backup; see the port.

        The library is copied with SQLite's online backup and checked; the zip gets its name when it is whole.
        """
        library = self.places.library
        if not library.is_file():
            raise HomeError(library, "is not there", hint="Add some scores first.")
        with suppress(NewerHomeError):  # what a newer program made can be copied all the same
            look_first(library)
        with self._half_written() as half:
            copy, packed = half / LIBRARY, half / "backup.zip"
            facts = copy_library(library, copy)
            missing = [name for stored, name in facts.scores.items() if not self._score(stored).is_file()]
            describe = partial(self._contents, now, why, facts.pieces, tuple(sorted(missing)))
            write_archive(packed, self._members(copy), describe)
            with packed.open("rb+") as file:
                os.fsync(file.fileno())
            packed.chmod(0o600)
            with opened(packed) as archive:
                files = len(archive.contents.files)
            target = _named(packed, self.places.backups, f"{_NAMES[why]}-{now.date().isoformat()}")
        return BackupReport(target, facts.pieces, files, tuple(sorted(missing)))

    def has_library(self) -> bool:
        """Whether anything lies where the library should be."""
        return self.places.library.exists()

    def list_backups(self) -> Sequence[KeptBackup]:
        """The backups in the home's folder, newest first."""
        paths = (path for path in self.places.backups.glob("*.zip") if path.is_file())
        found = [_kept(path) for path in paths if not path.name.startswith(".")]
        found += [_set_aside(path) for path in self.places.backups.glob(f"{SET_ASIDE}*") if path.is_dir()]
        return sorted(found, key=lambda each: (each.made_at, each.path.name), reverse=True)

    def find(self, name: str) -> Path:
        """The backup of that name."""
        found = self._find(name)
        if found.why is BackupReason.SET_ASIDE:
            raise BackupError(name, "is what lay in the place of the library, and no sound one")
        return found.path

    def remove(self, name: str) -> KeptBackup:
        """Delete a backup; see the port."""
        found = self._find(name)
        try:
            if found.path.is_dir():
                shutil.rmtree(found.path)
            else:
                found.path.unlink()
        except OSError as error:
            raise ExportError(found.path, (error.strerror or "no access").lower()) from error
        return found

    def take_in(self, content: IO[bytes]) -> BackupReport:
        """Put a backup that came from elsewhere among the others; see the port."""
        with self._half_written() as half:
            came = half / "came.zip"
            with came.open("wb") as file:
                shutil.copyfileobj(content, file)
            came.chmod(0o600)
            try:
                report = self.check(came)
            except BackupError as error:
                raise BackupError("that was sent", error.reason, hint=error.hint) from error
            kept = _kept(came)
            stem = f"{_NAMES[kept.why or BackupReason.ASKED]}-{kept.made_at.date().isoformat()}"
            return replace(report, path=_named(came, self.places.backups, stem))

    def _find(self, name: str) -> KeptBackup:
        found = next((each for each in self.list_backups() if each.path.name == name), None)
        if found is None:
            raise NotFoundError("backup", name, hint="“planner backup --list” shows what is there.")
        return found

    def check(self, path: Path) -> BackupReport:
        """Read a backup to its end; see the port."""
        with self._half_written() as half:
            with opened(path) as archive:
                archive.check()
                archive.unpack_library(half / LIBRARY)
            contents = archive.contents
            try:
                facts = make_ready(half / LIBRARY, f"in {path.name}")
            except HomeError as error:
                raise BackupError(path.name, f"cannot be used: its library {error.reason}") from error
        return BackupReport(path, facts.pieces, len(contents.files), contents.missing)

    def restore(self, path: Path, now: datetime) -> RestoreReport:
        """Bring a backup back; see the port."""
        self.places.folder.mkdir(parents=True, exist_ok=True)
        return Restorer(self.places, partial(self.back_up, now, BackupReason.RESTORE), self.let_go).restore(
            path, now.date()
        )

    def _score(self, stored: str) -> Path:
        return self.places.scores / stored

    def _members(self, copy: Path) -> Iterator[tuple[str, Path]]:
        """Name in the archive and file, of everything a home is."""
        yield LIBRARY, copy
        places, exports = self.places, self.places.exports.folder
        yield from ((f"{SCORES}/{_below(path, places.scores)}", path) for path in _files(places.scores))
        for folder in (places.criteria, places.inbox, places.certificate):
            yield from ((f"{folder.name}/{_below(path, folder)}", path) for path in _files(folder))
        if exports.resolve().is_relative_to(places.folder.resolve()):
            written = [_below(path, exports) for path in _files(exports)]
        else:
            written = list(places.exports.names())  # what others keep in a folder outside is not ours to copy
        if (exports / places.record).is_file():
            written.append(places.record)
        yield from ((f"{EXPORTS}/{name}", exports / name) for name in written)

    def _contents(
        self,
        now: datetime,
        why: BackupReason,
        pieces: int,
        missing: tuple[str, ...],
        files: tuple[Entry, ...],
    ) -> Contents:
        return Contents(files, now.astimezone(UTC), why, pieces, missing, __version__, dict(self.settings))

    @contextmanager
    def _half_written(self) -> Iterator[Path]:
        """A folder of one's own beside the backups, gone afterwards; what killed runs left is swept."""
        folder = self.places.backups
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            _sweep(folder)
            with TemporaryDirectory(dir=folder, prefix=HALF) as half:
                yield Path(half)
        except OSError as error:
            raise ExportError(folder, (error.strerror or "no access").lower()) from error


def _files(folder: Path) -> list[Path]:
    """The plain files below a folder, in order; nothing hidden, no link, nothing half-written."""
    found = (path for path in folder.rglob("*") if path.is_file() and not path.is_symlink())
    return sorted(
        path for path in found if not any(part.startswith(".") for part in path.relative_to(folder).parts)
    )


def _below(path: Path, folder: Path) -> str:
    return path.relative_to(folder).as_posix()


def _kept(path: Path) -> KeptBackup:
    looks = path.stat()
    changed = datetime.fromtimestamp(looks.st_mtime, UTC)
    try:
        with opened(path) as archive:
            contents = archive.contents
    except BackupError:
        return KeptBackup(path, looks.st_size, changed, None, None)
    return KeptBackup(path, looks.st_size, contents.made_at or changed, contents.why, contents.pieces)


def _set_aside(folder: Path) -> KeptBackup:
    """What lay in the place of the library before a backup was brought back."""
    size = sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())
    changed = datetime.fromtimestamp(folder.stat().st_mtime, UTC)
    return KeptBackup(folder, size, changed, BackupReason.SET_ASIDE, None)


def _named(half: Path, folder: Path, stem: str) -> Path:
    """Give a file the first free name; two who do it at once get two names."""
    number = 1
    while True:
        target = folder / f"{stem}{f'-{number}' if number > 1 else ''}.zip"
        try:
            os.link(half, target)
        except FileExistsError:
            number += 1
        except OSError:  # a file system without links
            if not target.exists():
                return half.replace(target)
            number += 1
        else:
            return target


def _sweep(folder: Path) -> None:
    for left in folder.glob(f"{HALF}*"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime >= _STALE_S:
                shutil.rmtree(left)
