"""Which jobs a living program has in hand, told by locks that the system lets go when a program dies."""

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from planner.errors import ExportError

_PATIENCE_S = 1.0
"""How long to wait for a lock that someone only looks at (house choice)."""


class FolderLocks:
    """``JobLocks``: one small file a job in a folder, locked while its work goes on."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @contextmanager
    def hold(self, job_id: int) -> Iterator[bool]:
        """Take a job in hand; the value says whether it was free.

        Raises:
            ExportError: If the folder cannot be written to.
        """
        with self._opened(job_id) as file:
            is_ours = _take(file, _PATIENCE_S)
            try:
                yield is_ours
            finally:
                if is_ours:
                    _let_go(file)

    def is_held(self, job_id: int) -> bool:
        """Whether some living program has it in hand."""
        if not self._place(job_id).is_file():
            return False
        with self._opened(job_id) as file:
            if _take(file, 0.0):
                _let_go(file)
                return False
        return True

    def _place(self, job_id: int) -> Path:
        return self._folder / f"job-{job_id}.lock"

    @contextmanager
    def _opened(self, job_id: int) -> Iterator[IO[bytes]]:
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            file = self._place(job_id).open("a+b")
        except OSError as error:
            raise ExportError(self._place(job_id), (error.strerror or "no access").lower()) from error
        with file:
            yield file


def _take(file: IO[bytes], patience_s: float) -> bool:
    give_up = time.monotonic() + patience_s
    while not _lock(file):
        if time.monotonic() >= give_up:
            return False
        time.sleep(0.02)
    return True


if sys.platform == "win32":
    import msvcrt

    def _lock(file: IO[bytes]) -> bool:
        try:
            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _let_go(file: IO[bytes]) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _lock(file: IO[bytes]) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True

    def _let_go(file: IO[bytes]) -> None:
        fcntl.flock(file, fcntl.LOCK_UN)
