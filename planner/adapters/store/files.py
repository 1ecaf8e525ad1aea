"""Where a home folder keeps its library, its score files, its drawings and its exports."""

import hashlib
import os
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO

from planner.core.piece import SourceFile
from planner.errors import ExportError, InputError, NotFoundError, ScoreReadError

_BLOCK_BYTES = 1 << 20
_HALF = ".half-"
"""Begins the name of a file that is still being written."""

_NEWER_MAKINGS = 5
"""Makings of clean scores by newer programs that are cleared away as well (house choice)."""

_STALE_S = 24 * 3600.0
"""Age at which a half-written file is surely left over from a run that was killed."""


@dataclass(frozen=True, slots=True)
class Home:
    """The layout of a home folder."""

    folder: Path

    @property
    def library(self) -> Path:
        """The database file."""
        return self.folder / "library.sqlite"

    @property
    def scores(self) -> Path:
        """Score files, named by their content."""
        return self.folder / "scores"

    @property
    def drawings(self) -> Path:
        """Engraved passages, to be shown again; may be deleted at any time."""
        return self.folder / "drawings"

    @property
    def exports(self) -> Path:
        """Printed sheets and workbooks."""
        return self.folder / "exports"

    @property
    def locks(self) -> Path:
        """Locks of the jobs that are under way."""
        return self.folder / "locks"

    @property
    def session_key(self) -> Path:
        """The key that signs session cookies."""
        return self.folder / "session.key"

    @property
    def certificates(self) -> Path:
        """The certificate with which pages are served to the room, and its key."""
        return self.folder / "certificate"

    @property
    def inbox(self) -> Path:
        """Files that came in over a page and wait to be read."""
        return self.folder / "inbox"

    @property
    def backups(self) -> Path:
        """Backups of the whole home."""
        return self.folder / "backups"


@dataclass(frozen=True, slots=True)
class Cleaner:
    """Makes the clean score of a file; ``version`` counts its makings."""

    version: int
    make: Callable[[Path], bytes]


class FolderStore:
    """``FileStore``: one file for each content, at ``<folder>/<sha256><suffix>``.

    The clean score made of it lies below, at ``clean/<sha256>-<version>.mxl``.

    Args:
        folder: Where the files lie.
        cleaner: Makes clean scores; without one there are only those that were kept.
    """

    def __init__(self, folder: Path, cleaner: Cleaner | None = None) -> None:
        self._folder = folder
        self._cleaner = cleaner
        self._is_swept = False
        self._making = threading.Lock()
        self._refused: dict[Path, ScoreReadError] = {}

    def keep(self, path: Path, source: SourceFile) -> None:
        """Copy a file in, unless its content is there already; see the port."""
        if not self._is_swept:
            self._is_swept = True
            self.sweep()
        target = self._place(source)
        if target.is_file() and target.stat().st_size == source.size_bytes:
            return
        try:
            original = path.open("rb")
        except OSError as error:
            raise InputError(f"{path.name} cannot be opened any more: {_reason(error)}.") from error
        with original:
            self._copy(original, path, source, target)

    def path_of(self, source: SourceFile) -> Path:
        """Where the file of a piece lies.

        Raises:
            NotFoundError: If it is not there.
        """
        place = self._place(source)
        if not place.is_file():
            raise NotFoundError("score file of", source.name, hint="Add the file again.")
        return place

    def keep_clean(self, source: SourceFile, clean: bytes) -> None:
        """Keep the clean score of a file, in place of those of older makings."""
        place = self._clean_place(source)
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            with NamedTemporaryFile(dir=self._folder, prefix=_HALF, delete=False) as copy:
                copy.write(clean)
            half = Path(copy.name)
            half.replace(place)
        except OSError as error:
            raise ExportError(place, _reason(error)) from error
        self._remove_clean(source, but=place)

    def clean_path_of(self, source: SourceFile) -> Path:
        """Where the clean score of a file lies, made now when it is not there; see the port.

        A file that could not be read is not tried again while the program runs.
        """
        place = self._clean_place(source)
        if place.is_file():
            return place
        original = self.path_of(source)
        with self._making:
            if place in self._refused:
                raise self._refused[place]
            if not place.is_file():
                if self._cleaner is None:
                    raise NotFoundError("clean score of", source.name, hint="Add the file again.")
                try:
                    self.keep_clean(source, self._cleaner.make(original))
                except ScoreReadError as error:
                    self._refused[place] = error
                    raise
        return place

    def remove(self, source: SourceFile) -> None:
        """Delete the file and its clean score, if they are there."""
        self._remove_clean(source)
        try:
            self._place(source).unlink(missing_ok=True)
        except OSError as error:
            raise ExportError(self._place(source), _reason(error)) from error

    def sweep(self, older_than_s: float = _STALE_S) -> int:
        """Delete what killed runs left half-written; how many files that were."""
        swept = 0
        for left in self._folder.glob(f"{_HALF}*"):
            try:
                if time.time() - left.stat().st_mtime >= older_than_s:
                    left.unlink()
                    swept += 1
            except OSError:
                continue  # another run is quicker, or it is not ours to delete
        return swept

    def _place(self, source: SourceFile) -> Path:
        return self._folder / f"{source.sha256}{source.suffix}"

    def _clean_place(self, source: SourceFile) -> Path:
        return self._clean_of(source, self._cleaner.version if self._cleaner else 0)

    def _clean_of(self, source: SourceFile, version: int) -> Path:
        return self._folder / "clean" / f"{source.sha256}-{version}.mxl"

    def _remove_clean(self, source: SourceFile, but: Path | None = None) -> None:
        """Delete the clean scores of a file by their names: looking for them costs more with each piece."""
        newest = (self._cleaner.version if self._cleaner else 0) + _NEWER_MAKINGS
        for path in (self._clean_of(source, version) for version in range(newest + 1)):
            if path != but:
                with suppress(OSError):
                    path.unlink(missing_ok=True)

    def _copy(self, original: IO[bytes], path: Path, source: SourceFile, target: Path) -> None:
        half: Path | None = None
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with NamedTemporaryFile(dir=self._folder, prefix=_HALF, delete=False) as copy:
                half = Path(copy.name)
                content = _copy_blocks(original, copy)
                copy.flush()
                os.fsync(copy.fileno())
            if content != source.sha256:
                raise InputError(f"{path.name} changed while it was read.", hint="Add it again.")
            half.replace(target)
            _sync_folder(self._folder)
        except OSError as error:
            raise ExportError(target, _reason(error)) from error
        finally:
            if half is not None:
                half.unlink(missing_ok=True)


def _copy_blocks(original: IO[bytes], copy: IO[bytes]) -> str:
    """Copy to the end; the SHA-256 of what was copied, in hex."""
    content = hashlib.sha256()
    while block := original.read(_BLOCK_BYTES):
        content.update(block)
        copy.write(block)
    return content.hexdigest()


def _sync_folder(folder: Path) -> None:
    """Make the new name itself last through a power cut, where the system allows it."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _reason(error: OSError) -> str:
    return (error.strerror or "no access").lower()
