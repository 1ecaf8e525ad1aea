"""Words on a terminal or a pipe that may not know every letter: none is lost, and none stops a command."""

import codecs
import sys
from collections.abc import Iterable
from typing import Any

_PLAIN = {
    "“": '"', "”": '"', "‘": "'", "’": "'", "–": "-", "—": "-", "…": "...", "·": "-", "×": "x", "±": "+/-",
    "½": " 1/2", "♭": "b", "♯": "#", "♮": " natural", "→": "->", "≤": "<=", "≥": ">=", "\xa0": " ",
    "♩": "quarter", "♪": "eighth", "█": "#", "━": "-", "╸": "-", "╺": "-",
}  # fmt: skip
"""Signs of the program's own sentences, and what stands for them where only plain letters are known."""
_HANDLER = "planner.plain"


def speak_plainly(streams: Iterable[Any] = ()) -> None:
    r"""Make streams write a letter they lack by its number (``\u05d0``), and the program's signs plainly.

    Args:
        streams: Those to be changed; without any, the output and the errors of the program.
    """
    codecs.register_error(_HANDLER, _in_plain_letters)
    for stream in tuple(streams) or (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=_HANDLER)


def has_every_letter(stream: Any) -> bool:
    """Whether a stream can write every letter."""
    name = getattr(stream, "encoding", None) or "ascii"
    try:
        return codecs.lookup(name).name.startswith("utf")
    except LookupError:
        return False


def _in_plain_letters(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(map(_plain, error.object[error.start : error.end])), error.end


def _plain(sign: str) -> str:
    return _PLAIN.get(sign) or sign.encode("ascii", "backslashreplace").decode("ascii")
