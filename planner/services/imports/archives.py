"""Zips as folders of scores: unpacked within limits, and never where a name in them says."""

import io
import stat
import zipfile
import zlib
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory
from typing import IO

from planner.core.piece import MOST_BYTES
from planner.core.text import shown
from planner.errors import ExportError
from planner.services.imports.score_files import (
    ARCHIVE_SUFFIX,
    SCORE_SUFFIXES,
    Found,
    Refusal,
    open_plain,
)

MOST_MEMBERS = 20_000
"""Entries of a zip that are looked at. Source: house choice, four times the largest library planned for."""

MOST_UNPACKED_BYTES = 2**30
"""What the scores of a zip, and of the zips in it, may unpack to in all. Source: house choice."""

MOST_LISTED_BYTES = 6 * 2**20
"""Largest list of contents of a zip: that of ``MOST_MEMBERS`` long names. Source: house choice."""

DEEPEST = 3
"""How many zips may lie one in the other. Source: house choice."""

_END, _END_BYTES = b"PK\x05\x06", 22
_LARGE_END, _LARGE_END_BYTES, _LOCATOR_BYTES = b"PK\x06\x06", 56, 20
"""What ends a zip, and what stands before that in a large one. Source: APPNOTE.TXT 6.3, 4.3.14 to 4.3.16."""

_ENTRY, _ENTRY_BYTES = b"PK\x01\x02", 46
"""What begins an entry of the list of contents. Source: the same, 4.3.12."""

_MOST_MENDED_BYTES = 200 * 2**20
"""Largest zip whose list of contents is mended, in memory (house choice)."""

_CONTAINER = "META-INF/container.xml"
"""An entry of every compressed MusicXML file: such a zip is one score."""

_BLOCK_BYTES = 1 << 20
_IS_LOCKED = 0x1
_IS_UTF8 = 0x800
_LONGEST_NAME = 200
"""Bytes of a member's name that are kept when it is unpacked (house choice: file systems allow 255)."""

_DAMAGED = (
    zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, RuntimeError, NotImplementedError,
    IndexError,
)  # fmt: skip
"""What reading a damaged zip raises; ``UnicodeError`` is a ``ValueError``."""


@dataclass
class Unpacked:
    """The scores of a zip as files, until it is let go, and what was refused."""

    files: list[Found] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)


@dataclass
class _Unpacking:
    """The work under way: where to, how much is left of the limits, what came of it."""

    folder: Path
    suffixes: Collection[str]
    left_bytes: int
    left_members: int
    count: int = 0
    out: Unpacked = field(default_factory=Unpacked)

    def refuse(self, named: Path, why: str) -> None:
        self.out.refused.append(Refusal(named, f"{shown(named.name)} {why}."))


class _FullError(Exception):
    """A limit of the whole zip is reached."""


@contextmanager
def unpacked(archive: Path, suffixes: Collection[str] = SCORE_SUFFIXES) -> Iterator[Unpacked]:
    """The scores of a zip, and of the zips in it, as files in a folder of their own that goes with the block.

    A zip that is one compressed score is taken as it is. What is locked, damaged, a link, too large, or named
    so that it would lie outside the zip is refused by name; the others are there.

    Raises:
        ExportError: If there is no room to unpack it.
    """
    with TemporaryDirectory(prefix="planner-zip-") as folder:
        work = _Unpacking(Path(folder), suffixes, MOST_UNPACKED_BYTES, MOST_MEMBERS)
        try:
            _unpack(work, archive, archive, depth=1)
        except _FullError:
            work.refuse(
                archive,
                f"unpacks to more than {MOST_UNPACKED_BYTES // 2**20} MB or holds more than {MOST_MEMBERS} "
                "entries; what was left out goes in when you unpack it and add the folder",
            )
        yield work.out


def count_scores(archive: Path, suffixes: Collection[str] = SCORE_SUFFIXES) -> int:
    """About how many scores a zip holds, by its list of contents; 1 when it cannot be told."""
    opened = _opened(archive, archive)
    if isinstance(opened, Refusal):
        return 1
    with opened as file:
        try:
            with _listed(file) as zipped:
                return max(1, sum(_is_wanted(each, suffixes) for each in zipped.infolist()))
        except _DAMAGED:
            return 1


def _unpack(work: _Unpacking, archive: Path, named: Path, depth: int) -> None:
    opened = _opened(archive, named)
    if isinstance(opened, Refusal):
        work.out.refused.append(opened)
        return
    with opened as file:
        try:
            zipped = _listed(file)
        except _DAMAGED:
            work.refuse(named, "is a damaged zip: its list of contents cannot be read")
            return
        with zipped:
            if any(each.filename == _CONTAINER for each in zipped.infolist()):
                work.out.files.append(Found(archive, named))
                return
            for member in sorted(zipped.infolist(), key=lambda each: each.filename):
                work.left_members -= 1
                if work.left_members < 0:
                    raise _FullError
                if _is_wanted(member, work.suffixes):
                    _take(work, zipped, member, named, depth)


def _opened(archive: Path, named: Path) -> IO[bytes] | Refusal:
    """A zip opened, if its list of contents is no larger than is read."""
    opened = open_plain(archive, named)
    if isinstance(opened, Refusal):
        return opened
    try:
        listed = _listed_bytes(opened)
    except OSError:
        listed = 0
    if listed <= MOST_LISTED_BYTES:
        return opened
    opened.close()
    return Refusal(named, f"{shown(named.name)} holds too many entries; unpack it and add the folder.")


def _listed_bytes(file: IO[bytes]) -> int:
    """Size that the end of a zip gives for its list of contents; 0 when there is no such end."""
    size = file.seek(0, 2)
    file.seek(max(0, size - _END_BYTES - 2**16))
    tail = file.read()
    file.seek(0)
    at = tail.rfind(_END)
    large = tail[max(0, at - _LOCATOR_BYTES - _LARGE_END_BYTES) : max(0, at - _LOCATOR_BYTES)]
    if large.startswith(_LARGE_END):
        return int.from_bytes(large[40:48], "little")
    return int.from_bytes(tail[at + 12 : at + 16], "little") if at >= 0 else 0


def _listed(file: IO[bytes]) -> zipfile.ZipFile:
    """A zip with its list of contents read; names that are marked as UTF-8 and are none are read unmarked."""
    try:
        return zipfile.ZipFile(file)
    except UnicodeDecodeError:
        size = file.seek(0, 2)
        file.seek(0)
        if size > _MOST_MENDED_BYTES:
            raise
        return zipfile.ZipFile(io.BytesIO(_unmarked(bytearray(file.read()))))


def _unmarked(data: bytearray) -> bytearray:
    """A zip without the marks of UTF-8 at names that are none, in its list of contents and at the members.

    Raises:
        IndexError: If it is damaged.
    """
    end = data.rfind(_END)
    at = end - int.from_bytes(data[end + 12 : end + 16], "little")
    while data[at : at + 4] == _ENTRY:
        name, extra, remark = (int.from_bytes(data[at + n : at + n + 2], "little") for n in (28, 30, 32))
        try:
            data[at + _ENTRY_BYTES : at + _ENTRY_BYTES + name].decode()
        except UnicodeDecodeError:
            member = int.from_bytes(data[at + 42 : at + 46], "little")
            for mark in (at + 9, member + 7):
                data[mark] &= ~(_IS_UTF8 >> 8) & 0xFF
        at += _ENTRY_BYTES + name + extra + remark
    return data


def _is_wanted(member: zipfile.ZipInfo, suffixes: Collection[str]) -> bool:
    place = PurePosixPath(_name_of(member).replace("\\", "/"))
    hidden = any(part.startswith(".") and part not in (".", "..") for part in place.parts)
    if member.is_dir() or hidden or "__MACOSX" in place.parts:
        return False
    return place.suffix.lower() in (*suffixes, ARCHIVE_SUFFIX)


def _name_of(member: zipfile.ZipInfo) -> str:
    """A member's name; without a mark of its encoding it is UTF-8 if it can be, else of the old code page."""
    if member.flag_bits & _IS_UTF8:
        return member.filename
    try:
        return member.filename.encode("cp437").decode("utf-8")
    except UnicodeError:
        return member.filename


def _take(
    work: _Unpacking, zipped: zipfile.ZipFile, member: zipfile.ZipInfo, named: Path, depth: int
) -> None:
    """Unpack one member: a score to its file, a zip to be looked into."""
    name = _name_of(member).replace("\\", "/")
    place = PurePosixPath(name)
    inside = named / shown("/".join(part for part in place.parts if part not in ("/", "..", ".")))
    is_zip = place.suffix.lower() == ARCHIVE_SUFFIX
    why = _why_not(member, name, depth if is_zip else 0)
    if why:
        work.refuse(inside, why)
        return
    work.count += 1
    path = work.folder / str(work.count) / _short(inside.name)
    try:
        most = min(work.left_bytes, MOST_UNPACKED_BYTES if is_zip else MOST_BYTES)
        size = _write(zipped, member, path, most)
    except _DAMAGED:
        work.refuse(inside, "is damaged in the zip and cannot be unpacked")
        return
    work.left_bytes -= min(size, most)
    if size > most:
        path.unlink()
        if most < MOST_BYTES or is_zip:
            raise _FullError
        work.refuse(
            inside, f"unpacks to more than {MOST_BYTES // 2**20} MB, the most that is read as a score"
        )
    elif is_zip:
        _unpack(work, path, inside, depth + 1)
    else:
        work.out.files.append(Found(path, inside))


def _why_not(member: zipfile.ZipInfo, name: str, depth: int) -> str:
    """Why a member is not unpacked; empty when it is. ``depth`` is that of the zip a zip lies in, else 0."""
    if name.startswith("/") or name[1:2] == ":" or ".." in PurePosixPath(name).parts:
        return "is named so that it would lie outside the zip, and was left out"
    if member.flag_bits & _IS_LOCKED:
        return "is locked with a password; unpack the zip yourself and add the folder"
    if stat.S_ISLNK(member.external_attr >> 16):
        return "is a link in the zip, not a file"
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return "is packed in a way that is not read here; unpack the zip yourself and add the folder"
    if depth >= DEEPEST:
        return f"lies {depth} zips deep; unpack it and add the folder"
    return ""


def _write(zipped: zipfile.ZipFile, member: zipfile.ZipInfo, path: Path, most: int) -> int:
    """Unpack a member to a file, no more than a little over ``most`` bytes; how many were unpacked.

    Raises:
        ExportError: If the file cannot be written.
    """
    size = 0
    try:
        path.parent.mkdir()
        target = path.open("wb")
    except OSError as error:
        raise _no_room(path, error) from error
    with target, zipped.open(member) as packed:
        while size <= most and (block := packed.read(_BLOCK_BYTES)):
            size += len(block)
            try:
                target.write(block)
            except OSError as error:
                raise _no_room(path, error) from error
    return size


def _no_room(path: Path, error: OSError) -> ExportError:
    return ExportError(path, (error.strerror or "no access").lower())


def _short(name: str) -> str:
    """A name as a file can have it on any system, with its ending."""
    clean = "".join("_" if sign in '<>:"|?*\\/' or ord(sign) < 32 else sign for sign in name)
    stem, dot, suffix = clean.rpartition(".")
    return stem.encode()[: _LONGEST_NAME - len(suffix.encode())].decode(errors="ignore") + dot + suffix
