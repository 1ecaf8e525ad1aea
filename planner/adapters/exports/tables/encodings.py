"""Which encoding a text file is in: from its first bytes, from what can be, from which words come of it."""

import codecs
import re

from planner.errors import InputError

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
ENCODINGS = ("utf-8", "utf-16", "cp1252", "latin-1", "mac_roman")
"""Those that a director may name; ``latin-1`` is taken by itself only where ``cp1252`` has no sign."""

_APOSTROPHE = re.compile(r"(?:\b\w{1,2}’\w)|(?:\w’(?:s|t|d|m|ll|re|ve|em|clock)\b)")
_HARMLESS = frozenset("©®™°§½¼¾ªº·«»¡¿…–—“”‘’♭♯\N{NO-BREAK SPACE}")


def decoded(name: str, data: bytes, encoding: str = "") -> tuple[str, str]:
    """The text of a file, and the encoding it was read by.

    Args:
        name: Of the file.
        data: Its bytes.
        encoding: As the director says; empty: find out.

    Raises:
        InputError: If it cannot be read so, or is no text.
    """
    text, found = _read(name, data, encoding)
    if "\0" in text:
        raise InputError(f"{name} is not a table.", hint="Save it as .xlsx or as .csv.")
    return text, found


def _read(name: str, data: bytes, encoding: str) -> tuple[str, str]:
    if encoding:
        try:
            return data.decode(encoding).removeprefix("\N{ZERO WIDTH NO-BREAK SPACE}"), encoding
        except (UnicodeError, LookupError) as error:
            raise InputError(
                f"{name} cannot be read as {encoding}.", hint="Let the program find the encoding."
            ) from error
    for mark, marked in _MARKS:
        if data.startswith(mark):
            return _decoded(name, data, marked), marked
    wide = _wide(data)
    if wide:
        return _decoded(name, data, wide), wide
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        pass
    readings = []
    for each in ("cp1252", "mac_roman", "latin-1"):
        try:
            readings.append((data.decode(each), each))
        except UnicodeDecodeError:
            continue
    return max(readings, key=lambda reading: _likeness(reading[0]))


def _decoded(name: str, data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeError as error:
        raise InputError(f"{name} breaks off in the middle of a letter.", hint="Save it again.") from error


def _wide(data: bytes) -> str:
    """UTF-16 without a mark: every second byte of plain words is 0."""
    start = data[:4096]
    if len(start) < 4:
        return ""
    for first, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        every = start[first::2]
        if every.count(0) > 0.4 * len(every) and start[1 - first :: 2].count(0) < 0.1 * len(every):
            return encoding
    return ""


def _likeness(text: str) -> float:
    """How much a text looks like words: by its letters with accents and its signs, and what stands beside.

    Source: house choice, held by files of five languages written in each encoding.
    """
    likeness = 0.0
    apostrophes = {found.start() + found[0].index("’") for found in _APOSTROPHE.finditer(text)}
    for at, sign in enumerate(text):
        if sign.isascii():
            continue
        before, after = text[at - 1] if at else " ", text[at + 1] if at + 1 < len(text) else " "
        if sign == "’":
            likeness += 1.0 if at in apostrophes or not after.isalnum() else -1.0
        elif sign in _HARMLESS:
            likeness += 0.25 if not (before.isalnum() and after.isalnum()) else -0.25
        elif sign.isalpha():
            likeness += _of_letter(sign, before, after)
        else:
            likeness -= 2.0
    return likeness


def _of_letter(sign: str, before: str, after: str) -> float:
    if not before.isalpha() and not after.isalpha():
        return -1.0 if sign not in "àéèÀÉØøåÅöÖ" else 0.0
    if sign.islower():
        return 1.0
    if before.islower():
        return -2.0
    return 0.75 if not before.isalpha() or before.isupper() else 0.0
