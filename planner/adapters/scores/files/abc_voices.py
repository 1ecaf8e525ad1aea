r"""ABC tune books: one text a tune, and how many voices with music each must give.

Voices are the one thing an ABC reader can lose without an error (named inside the
line, they may run together into one part), so they are counted here from the text.
Source: ABC notation standard 2.1, sections 2.2 (tune book) and 7 (multiple voices).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

_INLINE = re.compile(r"\[V:\s*([^\s\]]+)[^\]]*\]")
_LINE = re.compile(r"^V:\s*(\S+)")
_FIELD = re.compile(r"^(?:[A-Za-z+]:|%|\s*$)")


@dataclass(frozen=True, slots=True)
class Tune:
    """One tune: its text, and the voices that have music, in order of their first note."""

    text: str
    voices: tuple[str, ...]


def split_tunes(text: str) -> Iterator[Tune]:
    r"""Each tune of a tune book.

    Example:
        >>> book = "X:1\nK:C\n[V:S]C|\n[V:A]E|\nX:2\nK:G\nG|\n"
        >>> [tune.voices for tune in split_tunes(book)]
        [('S', 'A'), ('',)]
    """
    starts = [m.start() for m in re.finditer(r"(?m)^X:", text)]
    preamble = text[: starts[0]] if starts else ""
    shared = [line for line in preamble.split("\n") if re.match(r"^[LMQU]:", line)]
    for start, stop in zip(starts, [*starts[1:], len(text)], strict=True):
        lines = [line.rstrip() for line in text[start:stop].split("\n")]
        yield Tune("\n".join([lines[0], *shared, *lines[1:]]), _voices(lines))


def _voices(lines: list[str]) -> tuple[str, ...]:
    key = next((at for at, line in enumerate(lines) if line.startswith("K:")), len(lines))
    found: dict[str, None] = {}
    current = next((m.group(1) for m in map(_LINE.match, lines[:key]) if m), "")
    for line in lines[key + 1 :]:
        whole = _LINE.match(line)
        if whole:
            current = whole.group(1)
        elif not _FIELD.match(line):
            at = 0
            for inline in _INLINE.finditer(line):
                _add(line[at : inline.start()], current, found)
                current, at = inline.group(1), inline.end()
            _add(line[at:], current, found)
    return tuple(found)


def _add(music: str, voice: str, found: dict[str, None]) -> None:
    if re.search(r"[A-Ga-gzxZX]", music):
        found.setdefault(voice)
