"""The files of a home: what came in, scores, exports, and where a name may stand in them."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import IO, Protocol

from planner.core.person_name import NameSearch
from planner.core.piece import SourceFile


class Inbox(Protocol):
    """Files that came in over a page and wait to be read: each arrival has a place of its own."""

    def open(self) -> str:
        """Make room for an arrival; its name. Rooms that nobody came back to for days are given up."""
        ...

    def put(self, arrival: str, name: str, content: IO[bytes]) -> None:
        """Write a file of an arrival; ``name`` is its name, or its place in a folder, as a browser gives it.

        Raises:
            NotFoundError: If there is no such arrival.
            ExportError: If it cannot be written.
        """
        ...

    def paths(self, arrival: str) -> Sequence[Path]:
        """The files and folders of an arrival.

        Raises:
            NotFoundError: If there is no such arrival.
        """
        ...

    def remove(self, arrival: str) -> None:
        """Take an arrival away with all its files; nothing happens when it is not there."""
        ...


class FileStore(Protocol):
    """Keeps the bytes of each score file under its content hash, whole or not at all."""

    def keep(self, path: Path, source: SourceFile) -> None:
        """Copy the file in, unless its content is there already.

        Raises:
            InputError: If the file is gone or no longer has that content.
            ExportError: If the copy could not be written.
        """
        ...

    def path_of(self, source: SourceFile) -> Path: ...
    def keep_clean(self, source: SourceFile, clean: bytes) -> None:
        """Keep the clean score that was made of a file, beside it.

        Raises:
            ExportError: If it could not be written.
        """
        ...

    def clean_path_of(self, source: SourceFile) -> Path:
        """Where the clean score of a file lies; it is made now when there is none of today's making.

        Raises:
            NotFoundError: If the file is not there.
            ScoreReadError: If it cannot be read any more.
            ExportError: If the clean score could not be written.
        """
        ...

    def remove(self, source: SourceFile) -> None: ...


@dataclass(frozen=True, slots=True)
class Filed:
    """A file that was written for people.

    Attributes:
        path: Where it lies.
        kept: Files in whose place it would have come, had not somebody changed them since they were written.
    """

    path: Path
    kept: tuple[Path, ...] = ()


class ExportShelf(Protocol):
    """The folder of printed sheets, workbooks and calendars: what a person may have changed is never lost."""

    def put(self, name: str, write: Callable[[Path], object]) -> Filed:
        """Put a file in place of what was written under that name before.

        A file there that was changed since, or that somebody else made, stays; the new one then gets the
        next free name.

        Args:
            name: Its place in the folder, with slashes.
            write: Writes it whole to the path it is given.

        Raises:
            ExportError: If it cannot be written; nothing half-written is left.
        """
        ...

    def tidy(self, folder: str, current: Collection[Path]) -> None:
        """Take away what was written below a folder, is not current any more, and was not changed since."""
        ...

    def find(self, folder: str, ending: str) -> Sequence[Path]:
        """All files below a folder with that ending, in the order of their names."""
        ...


class TracePlace(StrEnum):
    """What a file is in which a name stands."""

    OURS = "export"
    """A sheet or workbook as the program wrote it: it can be written anew."""
    CHANGED = "changed-export"
    """One that somebody changed since, or put there."""
    INBOX = "inbox"
    """What came in over a page and was not taken yet."""
    BACKUP = "backup"
    """A backup, or what was set aside before one was brought back."""
    OTHER = "other"
    """A file of the director's own: limits, a list that lies in the home."""


@dataclass(frozen=True, slots=True)
class FileTrace:
    """A file of the home in whose name or content a person's name stands.

    Attributes:
        path: The file; of a backup that was set aside, its folder.
        place: What it is.
        name: Its place in the home, or its path where it lies outside.
        is_read: Whether its content could be looked through; a sheet (PDF) cannot.
    """

    path: Path
    place: TracePlace
    name: str
    is_read: bool = True


class HomeTraces(Protocol):
    """The files of a home, looked through for a person's name; the score files aside."""

    def find(self, search: NameSearch, *, but_backups: bool = False) -> Sequence[FileTrace]:
        """The files in which a name stands, in the order of their places.

        A sheet that a person changed is among them whatever it says: it cannot be looked through.
        """
        ...

    def named(self, stems: Collection[str]) -> Sequence[FileTrace]:
        """Exports with one of these names, their ending aside, or with a number behind it.

        ``reports/player-3`` names ``band/fall/reports/player-3.pdf`` and ``…/player-3-2.pdf``.
        """
        ...

    def sheets(self) -> Sequence[FileTrace]:
        """All printed sheets and workbooks as the program wrote them."""
        ...

    def remove(self, traces: Collection[FileTrace]) -> None:
        """Delete files, and what the home remembers of their names.

        Raises:
            ExportError: If one cannot be deleted.
        """
        ...

    def write_library_anew(self) -> None:
        """Leave nothing of what was deleted in the files of the library.

        Raises:
            ConflictError: If another window or command holds on to what was there before.
        """
        ...
