"""The head of a sheet that may run over several pages: whole on the first, its title alone on the others."""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas

from planner.adapters.exports.lettering.fonts import SERIF, font_name
from planner.adapters.exports.lettering.words import Words
from planner.adapters.exports.page import (
    SOFT,
    Paper,
    draw_down,
    draw_text,
    height_of,
    paragraph,
    rule,
    shortened,
    style,
)

NEXT_HEAD = 24.0
"""Height of the head of a further page, in points."""
_RULES = 14.0
"""Height of the two rules beneath the title, with the room around them."""
_LONG_TITLE = 48
"""Letters of a title from which it is set smaller. House choice: what a line holds."""


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the head of a sheet.

    Attributes:
        title: Its title.
        about: Whose it is, or what it is for.
        beneath: Paragraphs beneath the rules of the first page.
    """

    title: str
    about: str
    beneath: Sequence[Words]

    def height(self, paper: Paper) -> float:
        """Height on the first page, in points."""
        return _RULES + sum(height_of(each, paper) for each in (*self._above(), *self.beneath))

    def draw(self, canvas: Canvas, paper: Paper) -> float:
        """Draw it on the first page; where the body begins."""
        y = draw_down(canvas, paper, self._above(), paper.height - paper.margin)
        rule(canvas, paper.margin, y - 5, paper.text_width, thick=1.6)
        rule(canvas, paper.margin, y - 8, paper.text_width, thick=0.4)
        return draw_down(canvas, paper, self.beneath, y - _RULES)

    def draw_next(self, canvas: Canvas, paper: Paper) -> float:
        """Draw it on a further page; where the body begins."""
        y, bold = paper.height - paper.margin, font_name(SERIF, bold=True)
        title = shortened(f"{self.title} (continued)", bold, 11, paper.text_width)
        draw_text(canvas, paper.margin, y - 9, title, bold, 11)
        rule(canvas, paper.margin, y - 16, paper.text_width, thick=0.8)
        return y - NEXT_HEAD

    def _above(self) -> tuple[Words, Words]:
        size = 20 if len(self.title) <= _LONG_TITLE else 14
        return (
            paragraph(self.title, style(font_name(SERIF, bold=True), size, leading=1.2)),
            paragraph(self.about, style(font_name(SERIF, italic=True), 11, color=SOFT)),
        )
