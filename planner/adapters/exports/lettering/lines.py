"""One line of words as it is printed: letters in the order of the page, joined, each in a face that has it.

Source: Unicode Standard Annex 9 (order of right-to-left words), worked out by python-bidi; letters are
joined and marks placed by HarfBuzz.
"""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from typing import Literal

import uharfbuzz
from bidi import algorithm
from reportlab.lib.colors import Color, black
from reportlab.pdfgen.canvas import Canvas

from planner.adapters.exports.lettering.fonts import SANS, face_for, face_named, font_name, is_thickened
from planner.adapters.exports.lettering.note_face import STAND_INS

_JOINS = re.compile(
    "[\u0300-\u036f\u0483-\u0489\u0590-\u109f\u1100-\u11ff\u135d-\u135f\u1700-\u1cff\u1dc0-\u1dff"
    "\u200b-\u200f\u202a-\u202e\u2060-\u206f\u20d0-\u20ff\u302a-\u302f\u3099\u309a\ua66f-\ua67f"
    "\ua800-\uabff\ud7b0-\ud7ff\ufb1d-\ufdff\ufe00-\ufe0f\ufe20-\ufe2f\ufe70-\ufeff"
    "\U00010800-\U00011fff\U0001e000-\U0001efff\U0001f1e6-\U0001f1ff\U0001f3fb-\U0001f3ff\U000e0000-\U000e0fff]"
)
"""Letters that join, carry marks or run from right to left; all others stand one beside the other."""
_UNSEEN = dict.fromkeys((0xAD, 0x200B, 0x2060, 0xFEFF))
_JOINERS = "\u200c\u200d"
_QUOTED = re.compile("“([^“”]*)”")
_HELD = "\N{OBJECT REPLACEMENT CHARACTER}"
"""Holds the place of a quoted name, which is put in order by itself."""
_EMBEDDING = ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI", "BN", "B")
_OUTLINED: Literal[2] = 2
"""Letters filled and outlined. Source: PDF 32000-1, 9.3.6 (text rendering mode)."""
_THICKER = 0.035
"""Width of the outline that makes a face look bold, in sizes. House choice."""


@dataclass(frozen=True, slots=True)
class Glyph:
    """A character as it is printed.

    Attributes:
        sign: The character that prints it in its face.
        advance: From here to the next, in thousandths of the size.
        right, up: Where it is printed, beside its place.
    """

    sign: str
    advance: float
    right: float = 0.0
    up: float = 0.0


@dataclass(frozen=True, slots=True)
class Run:
    """Neighbors on a line in one face, from left to right."""

    face: str
    glyphs: tuple[Glyph, ...]

    @property
    def width(self) -> float:
        """In thousandths of the size."""
        return sum(glyph.advance for glyph in self.glyphs)


def runs_of(text: str, face: str, *, leftward: bool | None = None) -> tuple[Run, ...]:
    """A line from left to right; ``leftward`` says where it begins, otherwise its letters do.

    Args:
        text: Words of one line.
        face: The face wanted.
        leftward: Whether the line runs from right to left as a whole.
    """
    text = unicodedata.normalize("NFC", text.translate(STAND_INS)).translate(_UNSEEN)
    if not _JOINS.search(text):
        return tuple(_plain(piece, found) for piece, found in _faced(text, face))
    leftward = is_leftward(text) if leftward is None else leftward
    quoted = (
        [] if leftward or _HELD in text else [each for each in _QUOTED.findall(text) if is_leftward(each)]
    )
    for name in quoted:
        text = text.replace(f"“{name}”", f"“{_HELD}”", 1)
    names = iter(quoted)
    return tuple(
        run
        for piece, level in _in_page_order(text, leftward)
        for part in re.split(f"({_HELD})", piece)
        for run in (
            runs_of(next(names), face, leftward=True)
            if quoted and part == _HELD
            else _level_runs(part, face, level)
        )
    )


def is_leftward(text: str) -> bool:
    """Whether a text by itself runs from right to left: it has letters that do, and no Latin ones.

    House choice: a sentence that quotes a name stays a sentence.
    """
    kinds = {unicodedata.bidirectional(letter) for letter in text}
    return bool(kinds & {"R", "AL"}) and "L" not in kinds


@lru_cache(maxsize=65536)
def _unit_width(text: str, face: str) -> float:
    return sum(run.width for run in runs_of(text, face)) / 1000


def text_width(text: str, face: str, size: float) -> float:
    """Width in points of words on one line."""
    return _unit_width(text, face) * size


def draw_line(
    canvas: Canvas, x: float, y: float, text: str, face: str, size: float,
    *, color: Color = black, leftward: bool | None = None,
) -> float:  # fmt: skip
    """Draw one line of words from ``x`` on; where it ends."""
    for run in runs_of(text, face, leftward=leftward):
        thick = is_thickened(run.face, face)
        if thick:
            canvas.saveState()
            canvas.setStrokeColor(color)
            canvas.setLineWidth(_THICKER * size)
        canvas.setFont(run.face, size)
        for right, up, signs in _strokes(run):
            canvas.drawString(
                x + right * size / 1000, y + up * size / 1000, signs, mode=_OUTLINED if thick else None
            )  # fmt: skip
        if thick:
            canvas.restoreState()
        x += run.width * size / 1000
    return x


def _strokes(run: Run) -> Iterator[tuple[float, float, str]]:
    """Signs that can be printed in one go: where, and which."""
    face, x, start, signs = face_named(run.face), 0.0, 0.0, ""
    for glyph in run.glyphs:
        is_odd = bool(glyph.right or glyph.up) or abs(glyph.advance - face.width_of(glyph.sign)) > 1
        if is_odd and signs:
            yield start, 0.0, signs
            signs = ""
        if is_odd:
            yield x + glyph.right, glyph.up, glyph.sign
        else:
            start = start if signs else x
            signs += glyph.sign
        x += glyph.advance
    if signs:
        yield start, 0.0, signs


def _faced(text: str, face: str) -> Iterator[tuple[str, str]]:
    """The text in pieces, each with the face that has its letters; a letter of no face by its number."""
    seen = (each for each in clusters(text) if unicodedata.category(each[0]) != "Cf")
    faces = ((cluster, face_for(cluster, face)) for cluster in seen)
    for found, group in groupby(faces, key=lambda each: each[1]):
        letters = [cluster for cluster, _ in group]
        if found:
            yield "".join(letters), found
        else:
            yield "".join(f"[U+{ord(letter):04X}]" for each in letters for letter in each), font_name(SANS)


def clusters(text: str) -> Iterator[str]:
    """Letters, each with the marks and joiners that belong to it."""
    start = 0
    for at in range(1, len(text)):
        is_mark = unicodedata.category(text[at])[0] == "M" or text[at] in _JOINERS
        if not (is_mark or text[at - 1] == _JOINERS[1] or 0x1F3FB <= ord(text[at]) <= 0x1F3FF):
            yield text[start:at]
            start = at
    if text:
        yield text[start:]


def _plain(piece: str, found: str) -> Run:
    face = face_named(found)
    return Run(found, tuple(Glyph(letter, face.width_of(letter)) for letter in piece))


def _level_runs(piece: str, face: str, level: int) -> list[Run]:
    runs = [
        _shaped(part, found, is_leftward=bool(level % 2))
        if _JOINS.search(part) or level % 2
        else _plain(part, found)
        for part, found in _faced(piece, face)
    ]
    return runs[::-1] if level % 2 else runs


def _shaped(piece: str, found: str, *, is_leftward: bool) -> Run:
    face, buffer = face_named(found), uharfbuzz.Buffer()
    buffer.cluster_level = uharfbuzz.BufferClusterLevel.MONOTONE_GRAPHEMES
    buffer.add_str(piece)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if is_leftward else "ltr"
    uharfbuzz.shape(face.shaper, buffer)
    scale = 1000 / face.units
    read_as = _letters_of_glyphs(
        [info.cluster for info in buffer.glyph_infos], piece, is_leftward=is_leftward
    )
    return Run(found, tuple(
        Glyph(
            face.sign(info.codepoint, letters),
            place.x_advance * scale, place.x_offset * scale, place.y_offset * scale,
        )
        for info, place, letters in zip(buffer.glyph_infos, buffer.glyph_positions, read_as, strict=True)
    ))  # fmt: skip


def _letters_of_glyphs(starts: Sequence[int], piece: str, *, is_leftward: bool) -> list[str]:
    """What each glyph is read as: the letters of each cluster dealt out over its glyphs, first to last.

    Args:
        starts: Where the cluster of each glyph begins in the piece.
        piece: The letters.
        is_leftward: Whether the glyphs stand from the last letter to the first.
    """
    known = sorted(set(starts))
    ends = dict(zip(known, [*known[1:], len(piece)], strict=True))
    left = {start: piece[start : ends[start]] for start in known}
    glyphs = Counter(starts)
    texts = []
    for start in reversed(starts) if is_leftward else starts:
        glyphs[start] -= 1
        cut = 1 if glyphs[start] else len(left[start])
        texts.append(left[start][:cut])
        left[start] = left[start][cut:]
    return texts[::-1] if is_leftward else texts


def _in_page_order(text: str, leftward: bool) -> list[tuple[str, int]]:
    """The pieces of a line from left to right, each with its level: odd ones run from right to left.

    Source: Unicode Standard Annex 9, rule L2.
    """
    levels = _levels(text, leftward)
    pieces = [
        ("".join(letter for letter, _ in group), level)
        for level, group in groupby(levels, key=lambda each: each[1])
    ]  # fmt: skip
    if not pieces:
        return []
    for level in range(max(level for _, level in pieces), 0, -1):
        pieces = list(_turned(pieces, level))
    return pieces


def _turned(pieces: Sequence[tuple[str, int]], level: int) -> Iterator[tuple[str, int]]:
    for is_high, group in groupby(pieces, key=lambda each: each[1] >= level):
        together = list(group)
        yield from reversed(together) if is_high else together


def _levels(text: str, leftward: bool) -> list[tuple[str, int]]:
    """Each letter of a line, with its marks, and its level; signs that embed or isolate are left out."""
    letters = [each for each in clusters(text) if unicodedata.bidirectional(each[0]) not in _EMBEDDING]
    storage = algorithm.get_empty_storage()
    storage["base_level"], storage["base_dir"] = int(leftward), "R" if leftward else "L"
    known = (each[0] if unicodedata.bidirectional(each[0]) else "x" for each in letters)
    algorithm.get_embedding_levels("".join(known), storage)
    algorithm.explicit_embed_and_overrides(storage)
    algorithm.resolve_weak_types(storage)
    algorithm.resolve_neutral_types(storage, False)
    algorithm.resolve_implicit_levels(storage, False)
    return [(each, found["level"]) for each, found in zip(letters, storage["chars"], strict=True)]
