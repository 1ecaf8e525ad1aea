"""A backup as a file: a zip with a list of what is in it, each with its hash."""

import hashlib
import json
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import IO, Any, Self
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from planner.errors import BackupError, ExportError
from planner.services.ports.backups import BackupReason

LIBRARY = "library.sqlite"
SCORES, CRITERIA, EXPORTS = "scores", "criteria", "exports"
INBOX, CERTIFICATE = "inbox", "certificate"
FOLDERS = (SCORES, CRITERIA, EXPORTS, INBOX, CERTIFICATE)
"""The folders of a home that a backup holds, beside the library.

What came over a page and was not taken yet is among them, so that an import that was stopped can go on, and
the certificate of the room, so that browsers that know it do not ask anew. The key that signs the cookies of
the pages is not: it is made anew, and all it costs is that everyone logs in once more, while a backup that
somebody finds lets nobody in. Drawings and locks are made anew as well.
"""

SET_ASIDE = "set-aside"
"""Begins the name of the folder to which what is no sound library is copied."""

_LIST = "manifest.json"
_FORMAT, _VERSION = "home-backup", 3
"""Version 1 had no list: the library and the score files alone, whose names are their hashes; version 2 held
neither inbox nor certificate."""

_PACKED = (".mxl", ".zip", ".pdf", ".xlsx")
"""Endings of files that are compressed already."""

_BLOCK_BYTES = 1 << 20
_LARGE_BYTES = 1 << 30
_UNREADABLE = (
    BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    OSError,
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
)
"""What reading a damaged or foreign zip can raise."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One file of a backup: its place in the home, how long it is, its SHA-256 (empty when not known)."""

    name: str
    size_bytes: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Contents:
    """What a backup says of itself.

    Attributes:
        files: Every file but the list itself.
        made_at: When it was made; None in the oldest format.
        why: What it was made for.
        pieces: How many pieces are in the library; None in the oldest format.
        missing: Names of score files that the home did not have.
        program: Version of the program that made it.
        settings: Settings in force then, by name, for whoever looks for them.
    """

    files: tuple[Entry, ...]
    made_at: datetime | None = None
    why: BackupReason = BackupReason.ASKED
    pieces: int | None = None
    missing: tuple[str, ...] = ()
    program: str = ""
    settings: Mapping[str, str] = field(default_factory=dict)

    @property
    def size_bytes(self) -> int:
        """How much room everything takes when it is unpacked."""
        return sum(entry.size_bytes for entry in self.files)


def write_archive(
    path: Path, members: Iterable[tuple[str, Path]], contents: Callable[[tuple[Entry, ...]], Contents]
) -> None:
    """Pack files, and last of all the list of them. A file that has gone meanwhile is left out.

    Args:
        path: The archive, which nobody else looks at yet.
        members: Name in the archive and file, in order.
        contents: Makes the list of what was packed.
    """
    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        entries = tuple(entry for name, file in members if (entry := _pack(archive, name, file)))
        archive.writestr(_LIST, json.dumps(_as_json(contents(entries)), ensure_ascii=False, indent=1))


def _pack(archive: ZipFile, name: str, file: Path) -> Entry | None:
    try:
        source = file.open("rb")
    except FileNotFoundError:
        return None
    with source:
        info = ZipInfo.from_file(file, name, strict_timestamps=False)
        info.compress_type = ZIP_STORED if file.suffix.lower() in _PACKED else ZIP_DEFLATED
        with archive.open(info, "w", force_zip64=info.file_size > _LARGE_BYTES) as packed:
            size, digest = _copy(source, packed.write)
    return Entry(name, size, digest)


def _as_json(contents: Contents) -> dict[str, Any]:
    values = asdict(contents)
    values["made_at"] = contents.made_at.isoformat() if contents.made_at else None
    return {"format": _FORMAT, "version": _VERSION, **values}


class Archive:
    """A backup that is being read; every fault in it is a ``BackupError``."""

    def __init__(self, path: Path, packed: ZipFile) -> None:
        self.path = path
        self._zip = packed
        self.contents = self._read_contents()

    def unpack(self, folder: Path) -> None:
        """Put every file below a folder, each checked against its length and hash.

        Raises:
            BackupError: If one is damaged or missing.
            ExportError: If one cannot be written.
        """
        for entry in self.contents.files:
            target = folder / entry.name
            with _Target(target) as file:
                self._read(entry, file.write)

    def unpack_library(self, target: Path) -> None:
        """Put the library alone somewhere, checked as all files are."""
        entry = next(entry for entry in self.contents.files if entry.name == LIBRARY)
        with _Target(target) as file:
            self._read(entry, file.write)

    def check(self) -> None:
        """Read every file and compare its length and hash.

        Raises:
            BackupError: If one is damaged or missing.
        """
        for entry in self.contents.files:
            self._read(entry, lambda _block: None)

    def _read(self, entry: Entry, write: Callable[[bytes], object]) -> None:
        try:
            with self._zip.open(entry.name) as packed:
                size, digest = _copy(packed, write, entry.size_bytes)
        except KeyError:
            raise damaged(self.path, f"{entry.name} is missing in it") from None
        if size != entry.size_bytes or (entry.sha256 and digest != entry.sha256):
            raise damaged(self.path, f"{entry.name} is not what was put into it")

    def _read_contents(self) -> Contents:
        if _LIST not in self._zip.namelist():
            contents = Contents(
                tuple(_bare_entry(info) for info in self._zip.infolist() if not info.is_dir())
            )
        else:
            values = json.loads(self._zip.read(_LIST))
            if values["format"] != _FORMAT:
                raise BackupError(self.path.name, "is no backup of a home")
            if values["version"] > _VERSION:
                reason = "was made by a newer version of this program"
                raise BackupError(self.path.name, reason, hint="Update the program, then try again.")
            contents = _from_json(values)
        names = [entry.name for entry in contents.files]
        if LIBRARY not in names:
            raise BackupError(
                self.path.name, "holds no library", hint="Choose a file that this program made."
            )
        odd = next((name for name in names if not _belongs(name)), None)
        if odd is not None or len(set(names)) != len(names):
            raise BackupError(self.path.name, f"holds what no backup holds: {odd or 'a file twice'}")
        return contents


class _Target:
    """A file that is being unpacked; what stands in the way of writing it is an ``ExportError``."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def __enter__(self) -> Self:
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._file = self._path.open("wb")
        except OSError as error:
            raise ExportError(self._path, (error.strerror or "no access").lower()) from error
        return self

    def __exit__(self, *_: object) -> None:
        try:
            self._file.close()
        except OSError as error:
            raise ExportError(self._path, (error.strerror or "no access").lower()) from error

    def write(self, block: bytes) -> None:
        try:
            self._file.write(block)
        except OSError as error:
            raise ExportError(self._path, (error.strerror or "no access").lower()) from error


@contextmanager
def opened(path: Path) -> Iterator[Archive]:
    """Open a backup for reading.

    Raises:
        BackupError: If it cannot be read, or is no backup; also when that shows in reading it.
    """
    try:
        with ZipFile(path) as packed:
            yield Archive(path, packed)
    except FileNotFoundError as error:
        raise BackupError(path.name, "is not there", hint="“planner backup --list” shows what is.") from error
    except BadZipFile as error:
        raise damaged(path, "it is no whole zip") from error
    except (PermissionError, IsADirectoryError) as error:
        raise BackupError(
            path.name, f"cannot be opened: {(error.strerror or 'no access').lower()}"
        ) from error
    except _UNREADABLE as error:
        raise damaged(path, "it cannot be read to its end") from error


def damaged(path: Path, reason: str) -> BackupError:
    """The error for a backup that is not what it was."""
    return BackupError(path.name, f"is damaged: {reason}", hint="Nothing was changed. Choose another backup.")


def _from_json(values: Any) -> Contents:
    made_at = values["made_at"]
    return Contents(
        files=tuple(Entry(str(e["name"]), int(e["size_bytes"]), str(e["sha256"])) for e in values["files"]),
        made_at=datetime.fromisoformat(made_at) if made_at else None,
        why=BackupReason(values["why"]),
        pieces=values["pieces"],
        missing=tuple(values["missing"]),
        program=str(values["program"]),
        settings=dict(values["settings"]),
    )


def _bare_entry(info: ZipInfo) -> Entry:
    """A file of the oldest format; a score file is called by its hash."""
    stem = PurePosixPath(info.filename).stem
    is_score = info.filename.startswith(f"{SCORES}/") and len(stem) == hashlib.sha256().digest_size * 2
    return Entry(info.filename, info.file_size, stem if is_score else "")


def _belongs(name: str) -> bool:
    """Whether a file of that name can be part of a home, and stays inside it when it is unpacked."""
    parts = name.split("/")
    is_plain = all(part not in ("", ".", "..") for part in parts) and not set(name) & set("\\:\0")
    return is_plain and (name == LIBRARY or (len(parts) > 1 and parts[0] in FOLDERS))


def _copy(source: IO[bytes], write: Callable[[bytes], object], most: int | None = None) -> tuple[int, str]:
    """Copy to the end, or to just beyond so many bytes; how many it were, and their SHA-256."""
    size, digest = 0, hashlib.sha256()
    while (most is None or size <= most) and (block := source.read(_BLOCK_BYTES)):
        size += len(block)
        digest.update(block)
        write(block)
    return size, digest.hexdigest()
