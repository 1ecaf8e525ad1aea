"""Files that were handed in on a page and are looked at before anything of them is stored."""

import re
import secrets
import time
from contextlib import suppress
from pathlib import Path

from planner.errors import ExportError, NotFoundError

_KEPT_S = 24 * 3600.0
"""How long a file waits to be taken (house choice)."""
_TOKEN = re.compile(r"[0-9a-f]{32}")


class FolderInbox:
    """Fulfils ``services.ports.Inbox``: one file each, under a random name, readable by its owner alone."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def keep(self, data: bytes) -> str:
        """Keep a file for a day; the word by which it is found again.

        Raises:
            ExportError: If it cannot be written.
        """
        token = secrets.token_hex(16)
        try:
            self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._sweep()
            path = self._folder / token
            path.touch(mode=0o600)
            path.write_bytes(data)
        except OSError as error:
            raise ExportError(self._folder, (error.strerror or "no access").lower()) from error
        return token

    def path_of(self, token: str) -> Path:
        """Where a kept file lies.

        Raises:
            NotFoundError: If it is not there any more.
        """
        path = self._folder / token
        if not _TOKEN.fullmatch(token) or not path.is_file():
            raise NotFoundError("file", "of that name any more", hint="Choose the file again.")
        return path

    def drop(self, token: str) -> None:
        """Take a file out; nothing happens when it is not there."""
        if _TOKEN.fullmatch(token):
            with suppress(OSError):
                (self._folder / token).unlink(missing_ok=True)

    def _sweep(self) -> None:
        oldest = time.time() - _KEPT_S
        for path in self._folder.iterdir():
            with suppress(OSError):
                if path.stat().st_mtime < oldest:
                    path.unlink()
