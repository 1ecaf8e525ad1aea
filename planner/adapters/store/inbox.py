"""Files that came in over a page, each arrival in a folder of its own, until they are in the library."""

import re
import secrets
import shutil
import time
from collections.abc import Sequence
from pathlib import Path
from typing import IO

from planner.errors import ExportError, NotFoundError

_NAME = re.compile(r"[0-9a-f]{32}")
_GIVEN_UP_S = 30 * 24 * 3600.0
"""Age at which nobody will come back to an arrival: a month (house choice)."""

_LONGEST = 200
"""Bytes of a name that are kept, its ending included. Source: house choice; file systems allow 255."""

_DEEPEST = 20
"""Folders of an arrival that may lie one in the other (house choice)."""

_FORBIDDEN = '<>:"|?*\\'
"""Signs that some file system does not allow in a name."""


class FolderInbox:
    """``Inbox``: ``<folder>/<arrival>/<place of the file as the browser gave it>``."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def open(self) -> str:
        """Make room for an arrival; its name."""
        self._give_up_old()
        name = secrets.token_hex(16)
        try:
            (self._folder / name).mkdir(parents=True)
            self._folder.chmod(0o700)
        except OSError as error:
            raise _failed(self._folder, error) from error
        return name

    def put(self, arrival: str, name: str, content: IO[bytes]) -> None:
        """Write a file of an arrival; a second one of the same name gets a number."""
        room = self._room(arrival)
        parts = [_safe(part) for part in name.replace("\\", "/").split("/") if part not in ("", ".", "..")]
        parts = parts[-_DEEPEST:] or ["score.musicxml"]
        place = room.joinpath(*parts)
        number = 1
        while place.exists():
            number += 1
            place = place.with_name(_safe(f"{Path(parts[-1]).stem} ({number}){Path(parts[-1]).suffix}"))
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            with place.open("wb") as target:
                shutil.copyfileobj(content, target)
        except OSError as error:
            raise _failed(place, error) from error

    def paths(self, arrival: str) -> Sequence[Path]:
        """The files and folders of an arrival, in order of their names."""
        return tuple(sorted(self._room(arrival).iterdir()))

    def remove(self, arrival: str) -> None:
        """Take an arrival away with all its files."""
        if _NAME.fullmatch(arrival):
            shutil.rmtree(self._folder / arrival, ignore_errors=True)

    def _room(self, arrival: str) -> Path:
        room = self._folder / arrival
        if not _NAME.fullmatch(arrival) or not room.is_dir():
            raise NotFoundError("upload", arrival[:40], hint="Choose the files again.")
        return room

    def _give_up_old(self) -> None:
        for room in self._folder.glob("*"):
            try:
                if time.time() - room.stat().st_mtime > _GIVEN_UP_S:
                    shutil.rmtree(room, ignore_errors=True)
            except OSError:
                continue  # another window is quicker


def _safe(part: str) -> str:
    """A name as every file system takes it, its ending kept."""
    clean = "".join("_" if sign in _FORBIDDEN or ord(sign) < 32 else sign for sign in part)
    clean = clean.encode("utf-8", "replace").decode().rstrip(". ") or "_"
    stem, dot, suffix = clean.rpartition(".")
    room = _LONGEST - len(suffix.encode())
    if not stem or room <= 0:
        return clean.encode()[:_LONGEST].decode(errors="ignore")
    return stem.encode()[:room].decode(errors="ignore") + dot + suffix


def _failed(place: Path, error: OSError) -> ExportError:
    return ExportError(place, (error.strerror or "no access").lower())
