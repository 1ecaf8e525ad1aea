"""The folder of exports: what was written is remembered by its hash, what a person changed is never lost."""

import hashlib
import os
import shutil
from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import suppress
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from planner.errors import ExportError
from planner.services.ports.files import Filed

RECORD = ".written"
"""The list of what was written, in the form of ``sha256sum``: a hash and a name a line, newest last."""

HALF = ".half-"
"""Begins the name of what is still being written."""


class ExportFolder:
    """``ExportShelf`` over a folder on disk.

    A line of the list is written before its file gets its name, so that a file of ours is known as ours
    however a run ended. A file is ours and untouched while its content is one that we wrote under its name.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def put(self, name: str, write: Callable[[Path], object]) -> Filed:
        """Write a file in place of the one we wrote before; see the port."""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with TemporaryDirectory(dir=self.folder, prefix=HALF) as half:
                made = Path(half) / PurePosixPath(name).name
                write(made)
                made.chmod(0o600)
                place, kept = self._free(name)
                if (digest := _hash(made)) not in self.record().get(place, ()):
                    self._note(digest, place)
                (self.folder / place).parent.mkdir(parents=True, exist_ok=True)
                made.replace(self.folder / place)
        except OSError as error:
            raise ExportError(self.folder / name, _reason(error)) from error
        return Filed(self.folder / place, tuple(self.folder / each for each in kept))

    def tidy(self, folder: str, current: Collection[Path]) -> None:
        """Take away what we wrote below a folder, is not current and was not changed; empty folders too."""
        record, below = self.record(), f"{folder}/"
        for name in sorted(record):
            path = self.folder / name
            if name.startswith(below) and path not in current and _is_untouched(path, record[name]):
                with suppress(OSError):
                    path.unlink()
        for inside in (self.folder / folder).glob("*/"):
            with suppress(OSError):
                inside.rmdir()  # refused unless it is empty

    def find(self, folder: str, ending: str) -> Sequence[Path]:
        """All files below a folder with that ending; none that is hidden."""
        found = (self.folder / folder).rglob(f"*{ending}")
        return sorted(path for path in found if not path.name.startswith(".") and path.is_file())

    def record(self) -> dict[str, set[str]]:
        """By name, the hashes of all that we ever wrote under it."""
        found: dict[str, set[str]] = defaultdict(set)
        with suppress(FileNotFoundError):
            for line in (self.folder / RECORD).read_text("utf-8", errors="replace").splitlines():
                digest, _, name = line.partition("  ")
                found[name].add(digest)
        return found

    def names(self) -> Iterator[str]:
        """The names of the files that we wrote and that are still there."""
        return (name for name in sorted(self.record()) if (self.folder / name).is_file())

    def is_ours(self, name: str) -> bool:
        """Whether the file of that name is as we wrote it."""
        return _is_untouched(self.folder / name, self.record().get(name, ()))

    def forget_gone(self) -> None:
        """Strike the names of files that are no longer there from the list of what was written.

        A line that another run adds at that moment may be lost: its file then counts as changed and stays.
        """
        lines = [
            f"{digest}  {name}\n"
            for name, digests in self.record().items()
            if (self.folder / name).is_file()
            for digest in sorted(digests)
        ]
        if not self.folder.is_dir():
            return
        with TemporaryDirectory(dir=self.folder, prefix=HALF) as half:
            anew = Path(half) / RECORD
            anew.write_text("".join(lines), "utf-8")
            anew.chmod(0o600)
            anew.replace(self.folder / RECORD)

    def put_back(self, name: str, content: Path) -> Filed:
        """Put a file from a backup in place of what we wrote under that name; a file changed since stays.

        That it was ours is known from the list of the backup, not from its coming back.
        """
        if self.folder.joinpath(name).is_file() and _hash(self.folder / name) == _hash(content):
            return Filed(self.folder / name)
        place, kept = self._free(name)
        target = self.folder / place
        target.parent.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=self.folder, prefix=HALF) as half:
            copy = Path(shutil.copyfile(content, Path(half) / target.name))
            copy.chmod(0o600)
            copy.replace(target)
        return Filed(target, tuple(self.folder / each for each in kept))

    def remember(self, lines: str) -> None:
        """Take over the list of a backup."""
        self.folder.mkdir(parents=True, exist_ok=True)
        known = {(digest, name) for name, digests in self.record().items() for digest in digests}
        for line in lines.splitlines():
            digest, _, name = line.partition("  ")
            if (digest, name) not in known:
                self._note(digest, name)

    def _free(self, name: str) -> tuple[str, list[str]]:
        """The name itself, or the next one at which nothing lies but an untouched file of ours.

        The list is read after the file: whatever of ours lies there by then stands in it, whoever wrote it.
        """
        wanted, kept = PurePosixPath(name), []
        number = 1
        place = name
        while _is_there(path := self.folder / place) and not (
            _is_plain(path) and _hash(path) in self.record().get(place, ())
        ):
            kept.append(place)
            number += 1
            place = str(wanted.with_name(f"{wanted.stem}-{number}{wanted.suffix}"))
        return place, kept

    def _note(self, digest: str, name: str) -> None:
        line = f"{digest}  {name}\n".encode()
        handle = os.open(self.folder / RECORD, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        try:
            os.write(handle, line)  # one short line at the end of the file: whole, also beside other writers
            os.fsync(handle)
        finally:
            os.close(handle)


def _is_there(path: Path) -> bool:
    return path.exists() or path.is_symlink()


def _is_plain(path: Path) -> bool:
    return path.is_file() and not path.is_symlink()


def _is_untouched(path: Path, digests: Collection[str]) -> bool:
    return _is_plain(path) and _hash(path) in digests


def _hash(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _reason(error: OSError) -> str:
    return (error.strerror or "no access").lower()
