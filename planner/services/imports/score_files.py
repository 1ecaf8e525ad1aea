"""Which files of the given paths are scores, and what each holds.

Nothing here waits or runs on without end: pipes, devices, sockets, links that lead nowhere and files too
large for a score are refused in one sentence each, and the others go on.
"""

import errno
import hashlib
import os
import stat
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from planner.core.piece import MOST_BYTES, SourceFile
from planner.core.text import shown

SCORE_SUFFIXES = (".musicxml", ".xml", ".mxl", ".krn", ".abc", ".mei")
"""Endings, in lower case, of the files in a folder that are taken for scores."""

ARCHIVE_SUFFIX = ".zip"
"""Ending of the files that are looked into as into a folder."""

_BLOCK_BYTES = 1 << 20
_READ_ONLY = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
"""How files are opened: without waiting for a pipe's other end, and as they are on systems that know text."""

_SPECIAL = (
    (stat.S_ISFIFO, "is a pipe, not a file"),
    (stat.S_ISSOCK, "is a socket, not a file"),
    (stat.S_ISCHR, "is a device, not a file"),
    (stat.S_ISBLK, "is a device, not a file"),
    (stat.S_ISDIR, "is a folder, not a file"),
)


@dataclass(frozen=True, slots=True)
class Refusal:
    """A file that did not become a piece, and why, in one sentence."""

    path: Path
    sentence: str


@dataclass(frozen=True, slots=True)
class Found:
    """A file that is taken for a score.

    Attributes:
        path: Where it can be read now.
        named: How people know it: the same path; of a file in a zip, the zip's path and its place in there.
    """

    path: Path
    named: Path


@dataclass(frozen=True, slots=True)
class ScoreFile:
    """A file with what identifies it."""

    path: Path
    source: SourceFile
    named: Path


@dataclass(frozen=True, slots=True)
class Listing:
    """What lies at some paths: score files, zips to look into, and what was refused."""

    files: tuple[Found, ...]
    archives: tuple[Path, ...]
    refused: tuple[Refusal, ...]


def find_score_files(
    paths: Sequence[Path], suffixes: Collection[str] = SCORE_SUFFIXES, but: Path | None = None
) -> Listing:
    """The score files and zips among paths, folders walked through, in order and each once.

    Hidden files and folders (names that begin with a dot) inside a folder are passed over, and so are files
    of other kinds. A link to a folder is refused, not followed: it may lead back, or out of what was meant. A
    file named outright is always taken: whether it is a score, and if not why, is for the reader to say.

    Args:
        paths: Files and folders.
        suffixes: Endings that count inside a folder, in lower case.
        but: A folder that is not walked into from another: what lies there is the library's own.
    """
    own = _real(but) if but is not None else None
    files: dict[Path, Path] = {}
    archives: dict[Path, Path] = {}
    refused: list[Refusal] = []
    for path in paths:
        mode = _mode_of(path)
        if isinstance(mode, Refusal):
            refused.append(mode)
        elif stat.S_ISDIR(mode):
            for inside in _walk(path, suffixes, refused, own):
                (archives if _is_archive(inside) else files).setdefault(_real(inside), inside)
        else:
            (archives if _is_archive(path) else files).setdefault(_real(path), path)
    found = tuple(Found(path, path) for path in files.values())
    return Listing(found, tuple(archives.values()), tuple(refused))


def lies_at(path: Path) -> str:
    """Where a file lies, for good: its absolute path, as it can be stored."""
    return shown(str(_real(path)))


def lies_nowhere(_path: Path) -> str:
    """For files that only pass through, such as an upload."""
    return ""


def identify(found: Found, place: Callable[[Path], str] = lies_at) -> ScoreFile | Refusal:
    """Hash a file and say where it lies; a refusal when it cannot be opened, is no file or is too large."""
    content, size = hashlib.sha256(), 0
    opened = open_plain(found.path, found.named)
    if isinstance(opened, Refusal):
        return opened
    try:
        with opened as file:
            while size <= MOST_BYTES and (block := file.read(_BLOCK_BYTES)):
                content.update(block)
                size += len(block)
    except OSError as error:
        return _refused(found.named, f"cannot be read: {_reason(error)}")
    if size > MOST_BYTES:
        return _too_large(found.named)
    named = found.named
    source = SourceFile(
        content.hexdigest(), shown(named.name), size, shown(named.suffix.lower()), place(named)
    )
    return ScoreFile(found.path, source, named)


def open_plain(path: Path, named: Path) -> IO[bytes] | Refusal:
    """A file opened for reading, if it is a plain one and no larger than a score may be; never waits for it.

    Args:
        path: Where it lies.
        named: How a refusal calls it.
    """
    mode = _mode_of(path, named)
    if isinstance(mode, Refusal):
        return mode
    why = _special(mode)
    if why:
        return _refused(named, why)
    try:
        file = os.fdopen(os.open(path, _READ_ONLY), "rb")
    except OSError as error:
        return _refused(named, f"cannot be opened: {_reason(error)}")
    state = os.fstat(file.fileno())
    why = _special(state.st_mode)  # it may have been exchanged since
    if not why and (state.st_size <= MOST_BYTES or _is_archive(named)):
        return file
    file.close()
    return _refused(named, why) if why else _too_large(named)


def _refused(named: Path, why: str) -> Refusal:
    return Refusal(named, f"{shown(named.name)} {why}.")


def _too_large(named: Path) -> Refusal:
    return _refused(named, f"is larger than {MOST_BYTES // 2**20} MB, the most that is read as a score")


def _special(mode: int) -> str:
    """Why something that is no plain file cannot be read; empty for a plain file."""
    if stat.S_ISREG(mode):
        return ""
    return next((why for is_such, why in _SPECIAL if is_such(mode)), "is not a file")


def _mode_of(path: Path, named: Path | None = None) -> int | Refusal:
    """What kind of thing lies at a path, a link followed; a refusal where nothing can be reached."""
    named = path if named is None else named
    try:
        return path.stat().st_mode
    except OSError as error:
        if error.errno == errno.ELOOP:
            return _refused(named, "is a link that leads back to itself")
        if _is_link(path):
            return _refused(named, "is a link to something that is not there")
        if isinstance(error, FileNotFoundError):
            return Refusal(named, f"There is no file or folder {shown(str(named))}.")
        return _refused(named, f"cannot be opened: {_reason(error)}")
    except ValueError:
        return Refusal(named, f"There is no file or folder {shown(str(named))}.")


def _is_link(path: Path) -> bool:
    try:
        return path.is_symlink()
    except (OSError, ValueError):
        return False


def _is_archive(path: Path) -> bool:
    return path.suffix.lower() == ARCHIVE_SUFFIX


def _real(path: Path) -> Path:
    """The path with its links followed, as far as they lead somewhere."""
    try:
        return path.resolve()
    except (OSError, RuntimeError):
        return path.absolute()


def _reason(error: OSError) -> str:
    return (error.strerror or "no access").lower()


def _walk(
    folder: Path, suffixes: Collection[str], refused: list[Refusal], but: Path | None
) -> Iterator[Path]:
    """Files in a folder and the folders in it that may be scores or zips, in order of their names."""
    waiting = [folder]
    while waiting:
        here = waiting.pop()
        try:
            with os.scandir(here) as listing:
                entries = sorted(listing, key=lambda entry: entry.name)
        except OSError as error:
            where = shown(str(here))
            refused.append(Refusal(here, f"The folder {where} cannot be opened: {_reason(error)}."))
            continue
        folders = []
        for entry in entries:
            path = here / entry.name
            if entry.name.startswith("."):
                continue
            if _is_folder(entry):
                if entry.is_symlink():
                    refused.append(_refused(path, "is a link to a folder and was not followed"))
                elif but is None or _real(path) != but:
                    folders.append(path)
            elif path.suffix.lower() in suffixes or _is_archive(path):
                yield path
        waiting += reversed(folders)


def _is_folder(entry: "os.DirEntry[str]") -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False
