"""The files of a home, looked through for a person's name."""

import html
import re
import zlib
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import IO
from zipfile import BadZipFile, ZipFile, is_zipfile

from planner.adapters.store.exports import HALF, RECORD, ExportFolder
from planner.core.person_name import NameSearch
from planner.errors import ExportError
from planner.services.ports.files import FileTrace, TracePlace

_NOT_LOOKED_AT = re.compile(
    r"library\.sqlite(-wal|-shm|-journal)?|scores|drawings|locks|certificate|session\.key|made-by-the-demo"
)
"""What holds no name of a player, or is written anew as a whole."""

_BLOCK_BYTES, _OVERLAP = 1 << 22, 1 << 12
_TEXT_BYTES = 1 << 24
"""Files up to that size are read as text, larger ones looked through byte by byte (house choice)."""

_DEEPEST = 2
"""Zips in zips that are opened."""

_UNREAD = (".pdf",)
"""Endings of files whose text is drawn, not written."""

_ESCAPED = re.compile(r"\\u([0-9a-fA-F]{4})")
_FAULTS = (OSError, BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError)


@dataclass(frozen=True)
class HomeFiles:
    """``HomeTraces`` of a home folder.

    Attributes:
        folder: The home.
        exports: The folder of exports; where it lies elsewhere, only what was written there is looked at.
        rewrite: Writes the library anew.
    """

    folder: Path
    exports: ExportFolder
    rewrite: Callable[[], None]

    def find(self, search: NameSearch, *, but_backups: bool = False) -> Sequence[FileTrace]:
        """The files in which a name stands; see the port."""
        found = [*self._exports(search), *self._others(search)]
        return found if but_backups else [*found, *self._backups(search)]

    def sheets(self) -> Sequence[FileTrace]:
        """What was exported and is as it was written."""
        return [self._export(name) for name in self.exports.names() if self.exports.is_ours(name)]

    def named(self, stems: Collection[str]) -> Sequence[FileTrace]:
        """What was exported under some names, whatever is in it now; see the port."""
        wanted = [re.compile(rf"(.*/)?{re.escape(stem)}(-\d+)?\.\w+") for stem in stems]
        names = self._export_names() if wanted else ()
        return [self._export(name) for name in names if any(each.fullmatch(name) for each in wanted)]

    def remove(self, traces: Collection[FileTrace]) -> None:
        """Delete files, and the names of those that were exported from the list of exports."""
        for trace in traces:
            try:
                trace.path.unlink(missing_ok=True)
                _remove_empty(trace.path.parent, (self.folder, self.exports.folder))
            except OSError as error:
                raise ExportError(trace.path, (error.strerror or "no access").lower()) from error
        self.exports.forget_gone()

    def write_library_anew(self) -> None:
        """Leave nothing of what was deleted in the files of the library."""
        self.rewrite()

    def _export_names(self) -> Sequence[str]:
        """The files of the folder of exports; where it lies elsewhere, those that were written there."""
        folder = self.exports.folder
        if folder.resolve().is_relative_to(self.folder.resolve()):
            inside = (path for path in _files(folder) if path.name != RECORD)
            return [path.relative_to(folder).as_posix() for path in inside]
        return list(self.exports.names())

    def _exports(self, search: NameSearch) -> Iterator[FileTrace]:
        for name in self._export_names():
            trace = self._export(name)
            is_drawn = trace.path.suffix.lower() in _UNREAD
            if search.is_in(name) or (not is_drawn and _stands_in(trace.path, search)):
                yield trace
            elif is_drawn and trace.place is TracePlace.CHANGED:
                yield FileTrace(trace.path, trace.place, trace.name, is_read=False)

    def _export(self, name: str) -> FileTrace:
        is_ours = self.exports.is_ours(name) or _is_half_written(Path(name))
        place = TracePlace.OURS if is_ours else TracePlace.CHANGED
        return FileTrace(self.exports.folder / name, place, f"exports/{name}")

    def _others(self, search: NameSearch) -> Iterator[FileTrace]:
        """What lies beside exports and backups, and what a run that was killed left half-written."""
        backups = self.folder / "backups"
        for path in (path for top in sorted(self.folder.glob("*")) for path in self._looked_at(top)):
            within = path.relative_to(self.folder)
            if within.is_relative_to(backups.name) and not _is_half_written(within):
                continue
            place = TracePlace.INBOX if within.parts[0] == "inbox" else TracePlace.OTHER
            place = TracePlace.OURS if _is_half_written(within) else place
            if search.is_in(within.as_posix()) or _stands_in(path, search):
                yield FileTrace(path, place, within.as_posix())

    def _looked_at(self, top: Path) -> Iterator[Path]:
        """The files at or below something in the home that may hold a name; not those of the exports."""
        if not _NOT_LOOKED_AT.fullmatch(top.name):
            for path in _files(top) if top.is_dir() else [top]:
                if not path.is_relative_to(self.exports.folder):
                    yield path

    def _backups(self, search: NameSearch) -> Iterator[FileTrace]:
        for path in sorted((self.folder / "backups").glob("*")):
            inside = list(_files(path)) if path.is_dir() else [path]
            is_made = not _is_half_written(path.relative_to(self.folder))
            if is_made and any(_stands_in(each, search, is_whole=False) for each in inside):
                yield FileTrace(path, TracePlace.BACKUP, path.relative_to(self.folder).as_posix())


def _is_half_written(within: Path) -> bool:
    """Whether a file is one that a run has not finished; what is killed leaves such."""
    return any(part.startswith(HALF) for part in within.parts)


def _files(folder: Path) -> Iterator[Path]:
    """The plain files below a folder in order, hidden ones too; no links."""
    yield from sorted(path for path in folder.rglob("*") if path.is_file() and not path.is_symlink())


def _remove_empty(folder: Path, but: Collection[Path]) -> None:
    """Take a folder away with nothing in it, and those above it."""
    while folder not in but and not any(folder.iterdir()):
        folder.rmdir()
        folder = folder.parent


def _stands_in(path: Path, search: NameSearch, *, is_whole: bool = True) -> bool:
    """Whether a name stands in a file; of one that cannot be read it is not known, and so it may."""
    try:
        with path.open("rb") as file:
            return _is_in(file, search, is_whole=is_whole, depth=0)
    except FileNotFoundError:
        return False
    except _FAULTS:
        return not is_whole


def _is_in(file: IO[bytes], search: NameSearch, *, is_whole: bool, depth: int) -> bool:
    """Whether a name stands in the bytes of a file, or in a file of a zip; ``is_whole``: as a whole word."""
    if depth <= _DEEPEST and is_zipfile(file):
        file.seek(0)
        with ZipFile(file) as archive:
            return any(
                search.is_in(info.filename) or _is_in_member(archive, info.filename, search, is_whole, depth)
                for info in archive.infolist()
                if not info.is_dir()
            )
    file.seek(0)
    start = file.read(_TEXT_BYTES + 1)
    if is_whole and len(start) <= _TEXT_BYTES and (text := _as_text(start)) is not None:
        return search.is_in(text)
    return _is_in_blocks(start, file, search)


def _is_in_member(archive: ZipFile, name: str, search: NameSearch, is_whole: bool, depth: int) -> bool:
    with archive.open(name) as member:
        if name.lower().endswith((".zip", ".xlsx", ".docx", ".mxl")):
            return _is_in(BytesIO(member.read()), search, is_whole=is_whole, depth=depth + 1)
        start = member.read(_TEXT_BYTES + 1)
        if is_whole and len(start) <= _TEXT_BYTES and (text := _as_text(start)) is not None:
            return search.is_in(text)
        return _is_in_blocks(start, member, search)


def _is_in_blocks(start: bytes, rest: IO[bytes], search: NameSearch) -> bool:
    block = start
    while block:
        if search.is_in_bytes(block):
            return True
        more = rest.read(_BLOCK_BYTES)
        block = block[-_OVERLAP:] + more if more else b""
    return False


def _as_text(data: bytes) -> str | None:
    """A file as text, what is escaped in XML or JSON spelled out; None where it is no text."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = data.decode("utf-16", "replace")
    elif b"\0" in data:
        return None
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252", "replace")
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), html.unescape(text))
