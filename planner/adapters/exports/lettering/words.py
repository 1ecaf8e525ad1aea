"""Words that fill as many lines as they need: a block of a sheet."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from reportlab.lib.colors import Color
from reportlab.platypus import Flowable

from planner.adapters.exports.lettering.lines import clusters, draw_line, is_leftward, text_width

_ASCENT = 0.93
"""From the top of a line down to its letters' feet, in sizes. Source: DejaVu, hhea table."""
_ROOM_ERROR = 0.01
"""In points; a line may be so much wider than its room."""
NARROWEST = 0.15
"""Width of the letters of a long word at least, on the average, in sizes: how many are tried at once."""
_HAN = "\u2e80-\u2fff\u3040-\u30ff\u3100-\u312f\u3190-\u9fff\uac00-\ud7af\uf900-\ufaff\uff66-\uff9f"
_CLOSING, _OPENING = "、。〉》」』】〕〗！％），．：；？］｝～", "〈《「『【〔〖（［｛"
_STAYS = "ーっゃゅょぁぃぅぇぉゎッャュョァィゥェォヮ々〻・"
"""What never begins a line, though a Han letter may."""
_BETWEEN = re.compile(
    f"(?<=[{_HAN}{_CLOSING}])(?=[{_HAN}{_OPENING}])(?![{_STAYS}])"
    f"|(?<=[{_HAN}{_CLOSING}])(?=[A-Za-z0-9])|(?<=[A-Za-z0-9])(?=[{_HAN}{_OPENING}])(?![{_STAYS}])"
)
"""Where a line may end without a space. Source: Unicode Standard Annex 14, classes ID, CL, OP and NS."""


@dataclass(frozen=True, slots=True)
class Look:
    """How words are printed: ``leading`` from line to line in sizes, ``after`` the room below in points."""

    face: str
    size: float
    leading: float
    color: Color
    after: float = 0.0


class Words(Flowable):
    """Plain words (no markup in them), broken into lines."""

    def __init__(self, text: str, look: Look) -> None:
        super().__init__()
        self._text, self._look = text, look
        self._leftward = is_leftward(text)
        self._lines: list[str] = []
        self._broken_at = -1.0
        self.spaceAfter = look.after

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Size on the page, in points."""
        if width != self._broken_at:
            self._lines = list(broken(self._text, self._look.face, self._look.size, width))
            self._broken_at = width
        self.width, self.height = width, len(self._lines) * self._line_height
        return self.width, self.height

    def split(self, width: float, height: float) -> list[Flowable]:
        """The lines that fit this height, and the others; nothing when not even one fits."""
        self.wrap(width, height)
        fit = int((height + _ROOM_ERROR) / self._line_height)
        if fit >= len(self._lines):
            return [self]
        return [self._part(self._lines[:fit]), self._part(self._lines[fit:])] if fit else []

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        look, y = self._look, self.height - _ASCENT * self._look.size
        self.canv.setFillColor(look.color)
        for line in self._lines:
            draw_line(
                self.canv, 0, y, line, look.face, look.size, color=look.color, leftward=self._leftward
            )  # fmt: skip
            y -= self._line_height

    @property
    def _line_height(self) -> float:
        return self._look.size * self._look.leading

    def _part(self, lines: list[str]) -> "Words":
        part = Words(" ".join(lines), self._look)
        part._leftward, part._lines, part._broken_at = self._leftward, lines, self._broken_at
        return part


def broken(text: str, face: str, size: float, width: float) -> Iterator[str]:
    """The lines that words fill; a word wider than a line goes on in the next."""
    line, taken = "", 0.0
    space, most = text_width(" ", face, size), int(width / (NARROWEST * size)) + 2
    for gap, chunk in _chunks(text):
        word, room = chunk, space if gap and line else 0.0
        wide = text_width(word[:most], face, size)
        if line and taken + room + wide > width + _ROOM_ERROR:
            yield line
            line, taken, room = "", 0.0, 0.0
        while wide > width + _ROOM_ERROR:
            head = _head(word[:most], face, size, width)
            yield head
            word = word[len(head) :]
            wide = text_width(word[:most], face, size)
        line, taken = f"{line} {word}" if room else line + word, taken + room + wide
    if line:
        yield line


def _chunks(text: str) -> Iterator[tuple[bool, str]]:
    """What a line may end after: words, with whether a space stands before, and Han letters one by one."""
    for word in re.split(r"[ \t\r\n\f\v]+", text):
        for at, chunk in enumerate(_BETWEEN.split(word) if _BETWEEN.search(word) else [word]):
            if chunk:
                yield not at, chunk


def _head(word: str, face: str, size: float, width: float) -> str:
    """As much of a word as fits a line, at least one letter with its marks."""
    letters = list(clusters(word))
    low, high = 1, len(letters)
    while low < high:
        middle = (low + high + 1) // 2
        fits = text_width("".join(letters[:middle]), face, size) <= width + _ROOM_ERROR
        low, high = (middle, high) if fits else (low, middle - 1)
    return "".join(letters[:low])
