"""Is this file safe and worth parsing? Answered from its bytes, before any parser sees it.

A score is let through with its kind and its bytes (unpacked, when it came in a
zip container); everything else is refused by name and cause.
"""

import io
import re
import zipfile
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from planner.core.issue import Issue
from planner.core.piece import MOST_BYTES
from planner.errors import ScoreReadError, UnsupportedScoreError

MAX_FILE_BYTES = MOST_BYTES

MAX_UNPACKED_BYTES = 200 * 1024 * 1024
"""Largest sum of what a container may unpack to. Source: house choice, four times the file limit."""

MAX_ENTRIES = 2000
_ZIP_MAGIC = b"PK\x03\x04"
_EMPTY_ZIP_MAGIC = b"PK\x05\x06"
_CONTAINER = "META-INF/container.xml"
_ROOTFILE = re.compile(r"<(?:\w+:)?rootfile\b([^>]*)>", re.DOTALL)
_FULL_PATH = re.compile(r"full-path\s*=\s*[\"']([^\"']+)[\"']")
_MEDIA_TYPE = re.compile(r"media-type\s*=\s*[\"']([^\"']+)[\"']")

FOREIGN: tuple[tuple[bytes, str], ...] = (
    (b"MThd", "it is a MIDI file, which has no note spelling and no parts as written"),
    (b"RIFF", "it is a sound or MIDI file, not a score"),
    (b"%PDF", "it is a PDF, a picture of the pages, not the notes"),
    (b"\x89PNG", "it is a picture, not the notes"),
    (b"\xff\xd8\xff", "it is a picture, not the notes"),
    (b"GIF8", "it is a picture, not the notes"),
    (b"II*\x00", "it is a picture, not the notes"),
    (b"MM\x00*", "it is a picture, not the notes"),
    (b"ID3", "it is a sound recording, not a score"),
    (b"OggS", "it is a sound recording, not a score"),
    (b"fLaC", "it is a sound recording, not a score"),
    (b"\x1f\x8b", "it is packed with gzip; unpack it first"),
    (b"7z\xbc\xaf", "it is an archive; unpack it first"),
    (b"Rar!", "it is an archive; unpack it first"),
    (b"\xd0\xcf\x11\xe0", "it is an office document, not a score"),
    (b"{\\rtf", "it is a text document, not a score"),
)
"""First bytes of kinds of file that are no score, with the reason to give."""


@dataclass(frozen=True, slots=True)
class RawScore:
    """The bytes of one score that passed the pre-check.

    Attributes:
        name: File name, for sentences.
        data: The score's own bytes, unpacked.
        suffix: Lower-case suffix of the score itself (inside a container: that of the entry).
        issues: What was odd about the file.
    """

    name: str
    data: bytes
    suffix: str
    issues: tuple[Issue, ...] = ()


def load_raw(path: Path) -> RawScore:
    """Read a file's score bytes after checking size, kind and zip contents.

    Raises:
        ScoreReadError: If it is missing, empty, too large, encrypted, or a damaged or tricky container.
        UnsupportedScoreError: If it is a kind of file that holds no score.
    """
    name = path.name
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise ScoreReadError(name, "it is not a file")
        if size > MAX_FILE_BYTES:
            raise ScoreReadError(name, f"it has {size / 2**20:.0f} MB, and 50 MB is the most that is read")
        data = path.read_bytes()
    except OSError as error:
        raise ScoreReadError(name, f"it cannot be opened ({error.strerror or error})") from error
    return check_raw(name, data, path.suffix.lower())


def check_raw(name: str, data: bytes, suffix: str) -> RawScore:
    """The same check on bytes already in memory (an upload); see ``load_raw``."""
    if len(data) > MAX_FILE_BYTES:
        raise ScoreReadError(name, f"it has {len(data) / 2**20:.0f} MB, and 50 MB is the most that is read")
    if not data.strip(b"\x00 \t\r\n"):
        raise ScoreReadError(name, "it is empty")
    if data.startswith((_ZIP_MAGIC, _EMPTY_ZIP_MAGIC)):
        inner_name, data = _unpack(name, data)
        suffix = PurePosixPath(inner_name).suffix.lower()
        if not data.strip(b"\x00 \t\r\n"):
            raise ScoreReadError(name, "the score inside it is empty")
    _refuse_foreign(name, data)
    return RawScore(name, data, suffix)


def _refuse_foreign(name: str, data: bytes) -> None:
    for magic, reason in FOREIGN:
        if data.startswith(magic):
            raise UnsupportedScoreError(name, reason)


def _unpack(name: str, data: bytes) -> tuple[str, bytes]:
    """Name and bytes of the score inside a compressed MusicXML container."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _check_entries(name, archive)
            inner = _root_file(name, archive)
            return inner, _read_entry(name, archive, inner)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, ValueError) as error:
        raise ScoreReadError(name, "it is a damaged compressed file") from error
    except Exception as error:  # zlib and lzma raise their own classes on damaged streams
        if isinstance(error, ScoreReadError):
            raise
        raise ScoreReadError(name, "it is a damaged compressed file") from error


def _check_entries(name: str, archive: zipfile.ZipFile) -> None:
    entries = archive.infolist()
    if len(entries) > MAX_ENTRIES:
        raise ScoreReadError(name, f"it packs {len(entries)} files, which no score does")
    if any(entry.flag_bits & 0x1 for entry in entries):
        raise ScoreReadError(name, "it is encrypted; save it without a password")
    for entry in entries:
        path = PurePosixPath(entry.filename.replace("\\", "/"))
        if path.is_absolute() or ".." in path.parts or ":" in (path.parts or ("",))[0]:
            raise ScoreReadError(name, "a file packed in it points outside of its folder")
    if sum(entry.file_size for entry in entries) > MAX_UNPACKED_BYTES:
        raise ScoreReadError(name, "it would unpack to more than 200 MB")


def _root_file(name: str, archive: zipfile.ZipFile) -> str:
    """Path of the score inside the container, as its table of contents says."""
    names = set(archive.namelist())
    if _CONTAINER not in names:
        raise ScoreReadError(
            name, f"it is a compressed file without {_CONTAINER}, so not compressed MusicXML"
        )
    contents = _read_entry(name, archive, _CONTAINER)
    if b"<!ENTITY" in contents.replace(b"\x00", b""):
        raise ScoreReadError(name, "its table of contents declares XML entities, which are not allowed")
    for attributes in _ROOTFILE.findall(contents.decode("utf-8", "replace")):
        path = _FULL_PATH.search(attributes)
        media = _MEDIA_TYPE.search(attributes)
        if path and (not media or "musicxml" in media.group(1) or "xml" in media.group(1)):
            if path.group(1) not in names:
                raise ScoreReadError(name, "its table of contents names a score that is not in it")
            return path.group(1)
    raise ScoreReadError(name, "its table of contents names no score")


def _read_entry(name: str, archive: zipfile.ZipFile, entry: str) -> bytes:
    """Bytes of one entry, never more than the limit whatever its header claims."""
    with archive.open(entry) as stream:
        data = stream.read(MAX_UNPACKED_BYTES + 1)
    if len(data) > MAX_UNPACKED_BYTES:
        raise ScoreReadError(name, "it would unpack to more than 200 MB")
    return data
