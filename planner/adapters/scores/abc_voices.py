"""ABC tune books: one text a tune, each voice in one block.

music21 reads a voice only where it stands in one block after its ``V:`` line:
voices named inside the line (``[V:S]``) become one merged part, and of voices
that take turns only the first block is kept. So the lines are put in order first.
Source: ABC notation standard 2.1, section 7 (multiple voices).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

_INLINE = re.compile(r"\[V:\s*([^\s\]]+)([^\]]*)\]")
_LINE = re.compile(r"^V:\s*(\S+)(.*)$")
_NAME = re.compile(r"\b(?:name|nm)\s*=\s*(?:\"([^\"]*)\"|(\S+))")
_FIELD = re.compile(r"^[A-Za-z]:")
_BODY_FIELDS = ("M:", "L:", "K:", "Q:", "P:")


@dataclass(frozen=True, slots=True)
class Tune:
    """One tune, its voices in blocks; ``names`` has one entry a voice, empty where it has no name."""

    text: str
    names: tuple[str, ...]


def split_tunes(text: str) -> Iterator[Tune]:
    r"""Each tune of a tune book.

    Example:
        >>> book = "X:1\nK:C\n[V:S]C|\n[V:A]E|\n[V:S]D|\n[V:A]F|\n"
        >>> print(next(split_tunes(book)).text)
        X:1
        K:C
        V:S
        C|
        D|
        V:A
        E|
        F|
    """
    starts = [m.start() for m in re.finditer(r"(?m)^X:", text)]
    preamble = text[: starts[0]] if starts else ""
    shared = [line for line in preamble.split("\n") if re.match(r"^[LMQU]:", line)]
    for start, stop in zip(starts, [*starts[1:], len(text)], strict=True):
        lines = [line.rstrip() for line in text[start:stop].split("\n")]
        yield _tune([lines[0], *shared, *lines[1:]])


def _tune(lines: list[str]) -> Tune:
    lines = [line for line in lines if line and not line.startswith("%")]
    key = next((at for at, line in enumerate(lines) if line.startswith("K:")), len(lines) - 1)
    header = lines[: key + 1]
    names: dict[str, str] = {}
    properties: dict[str, str] = {}
    head = []
    for line in header:
        found = _LINE.match(line)
        if found:
            _note_voice(found.group(1), found.group(2), names, properties)
        else:
            head.append(line)
    blocks: dict[str, list[str]] = {}
    current = next(iter(names), "")
    for line in lines[key + 1 :]:
        current = _place_line(line, current, blocks, names, properties)
    voices = [voice for voice in {**names, **blocks} if _has_music(blocks.get(voice, []))]
    if len(voices) <= 1:
        return Tune(
            "\n".join([*head, *(line for voice in voices for line in blocks[voice])]), ("",) * len(voices)
        )
    text = list(head)
    for voice in voices:
        text += [f"V:{voice}{properties.get(voice, '')}", *blocks[voice]]
    return Tune("\n".join(text), tuple(names.get(voice, "") for voice in voices))


def _note_voice(voice: str, rest: str, names: dict[str, str], properties: dict[str, str]) -> None:
    found = _NAME.search(rest)
    if found or voice not in names:
        names[voice] = (
            (found.group(1) or found.group(2) or "").replace("\\n", " ") if found else names.get(voice, "")
        )
    if rest.strip() and voice not in properties:
        clef = re.search(r"\bclef\s*=\s*\S+", rest)
        properties[voice] = f" {clef.group()}" if clef else ""


def _place_line(
    line: str, current: str, blocks: dict[str, list[str]], names: dict[str, str], properties: dict[str, str]
) -> str:
    """Put one line of the body under its voice; the voice that goes on after it."""
    whole = _LINE.match(line)
    if whole:
        _note_voice(whole.group(1), whole.group(2), names, properties)
        return whole.group(1)
    if _FIELD.match(line) and not line.startswith(_BODY_FIELDS):
        return current
    if line.startswith(_BODY_FIELDS):
        blocks.setdefault(current, []).append(line)
        return current
    at = 0
    for found in _INLINE.finditer(line):
        _add(line[at : found.start()], current, blocks)
        current, at = found.group(1), found.end()
        _note_voice(current, found.group(2), names, properties)
    _add(line[at:], current, blocks)
    return current


def _add(music: str, voice: str, blocks: dict[str, list[str]]) -> None:
    if music.strip():
        blocks.setdefault(voice, []).append(music.strip())


def _has_music(lines: list[str]) -> bool:
    return any(not _FIELD.match(line) for line in lines)
