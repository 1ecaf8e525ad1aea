"""Where a home folder keeps its library, its score files and its exports."""

import hashlib
import os
import time
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO

from planner.core.piece import SourceFile
from planner.errors import ExportError, InputError, NotFoundError

_BLOCK_BYTES = 1 << 20
_HALF = ".half-"
"""Begins the name of a file that is still being written."""

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
    def exports(self) -> Path:
        """Printed sheets and workbooks."""
        return self.folder / "exports"

    @property
    def locks(self) -> Path:
        """Locks of the jobs that are under way."""
        return self.folder / "locks"

    @property
    def backups(self) -> Path:
        """Backups of the whole home."""
        return self.folder / "backups"


class FolderStore:
    """``FileStore``: one file for each content, at ``<folder>/<sha256><suffix>``."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._is_swept = False

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

    def remove(self, source: SourceFile) -> None:
        """Delete the file, if it is there."""
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
            half.chmod(0o644)
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
