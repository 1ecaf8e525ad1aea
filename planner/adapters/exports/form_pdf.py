"""Scoring forms on paper: a page for each, blank to be filled in by hand, or with the points given."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name, register_fonts
from planner.adapters.exports.lettering.words import Words
from planner.adapters.exports.page import (
    HAIRLINE,
    INK,
    SOFT,
    Paper,
    bookmark,
    draw_text,
    end_page,
    fitted,
    paper_named,
    paragraph,
    print_sheet,
    rule,
    style,
)
from planner.services.sheets.views import FormLine, FormSheet
from planner.wording.words import full_date

_SIZES = (11.0, 10.0, 9.0, 8.0, 7.0, 6.0, 5.0)
"""Sizes of a caption's name; the largest with which the form fits its page is taken (house choice)."""
_BOX = 74.0
"""Width of the box for points, in points of print."""


class FormPdf:
    """Fulfils ``ports.writers.FormWriter``: PDF, the same bytes for the same forms."""

    def __init__(self, paper: str = "a4") -> None:
        register_fonts()
        self._paper = paper_named(paper)

    def write(self, sheets: Sequence[FormSheet], path: Path) -> Path:
        """Print the forms, a page each."""

        def draw(canvas: Canvas) -> None:
            for number, sheet in enumerate(sheets, start=1):
                name = ", ".join(text for text in (sheet.whom, sheet.piece) if text) or sheet.form
                bookmark(canvas, name, place=str(number))
                _draw(canvas, self._paper, sheet)
                end_page(canvas, self._paper, sheet, number, len(sheets))

        first = sheets[0]
        return print_sheet(
            path, self._paper, draw, title=f"{first.form}: {first.term}", author=first.ensemble
        )  # fmt: skip


def _draw(canvas: Canvas, paper: Paper, sheet: FormSheet) -> None:
    y = _head(canvas, paper, sheet)
    below = [
        paragraph(text, style(font_name(SANS), 8.5, color=SOFT)) for text in (sheet.ratings, sheet.bands_note)
    ]
    foot = sum(block.wrap(paper.text_width, 0)[1] + 4 for block in below) + 40
    room = y - paper.foot - foot - 6
    size, rows = _fitting(paper, sheet.lines, room)
    for (line, words), height in rows:
        _draw_line(canvas, paper, line, words, y, height, size)
        y -= height
    rule(canvas, paper.margin, y, paper.text_width, thick=0.8)
    y -= 24
    draw_text(canvas, paper.margin, y, "Total", font_name(SANS, bold=True), 12)
    if sheet.outcome:
        text, total_size = fitted(
            sheet.outcome, font_name(SERIF, bold=True), 12, paper.text_width - 60, least=7
        )  # fmt: skip
        draw_text(
            canvas,
            paper.width - paper.margin,
            y,
            text,
            font_name(SERIF, bold=True),
            total_size,
            anchor="right",
        )
    else:
        canvas.rect(paper.width - paper.margin - _BOX, y - 8, _BOX, 24)
    y -= 18
    for block in below:
        y -= block.wrap(paper.text_width, 0)[1]
        block.drawOn(canvas, paper.margin, y)
        y -= 4


def _head(canvas: Canvas, paper: Paper, sheet: FormSheet) -> float:
    """Title, and what the form is for: filled in, or lines to write on; the height beneath."""
    y = paper.height - paper.margin - 8
    title, size = fitted(sheet.form, font_name(SERIF, bold=True), 20, paper.text_width, least=9)
    draw_text(canvas, paper.margin, y, title, font_name(SERIF, bold=True), size)
    about, size = fitted(f"{sheet.ensemble}, {sheet.term}", font_name(SANS), 9.5, paper.text_width, least=6)
    draw_text(canvas, paper.margin, y - 17, about, font_name(SANS), size, color=SOFT)
    y -= 42
    fields = (
        ("Day", full_date(sheet.on) if sheet.on else "", 0.28), ("For", sheet.whom, 0.28),
        ("Piece", sheet.piece, 0.44),
    )  # fmt: skip
    x = paper.margin
    for label, text, share in fields:
        width = share * paper.text_width - 10
        draw_text(canvas, x, y, label, font_name(SANS), 8, color=SOFT)
        shown, size = fitted(text, font_name(SERIF), 11, width - 32, least=6)
        draw_text(canvas, x + 32, y, shown, font_name(SERIF), size)
        rule(canvas, x + 30, y - 4, width - 30, thick=0.5, color=HAIRLINE)
        x += share * paper.text_width
    return y - 18


def _fitting(
    paper: Paper, lines: Sequence[FormLine], room: float
) -> tuple[float, list[tuple[tuple[FormLine, Words], float]]]:
    """The lines in the largest size in which they fit the room; without their bands where none does."""
    bare = [replace(line, bands="") for line in lines]
    for size, shown in ((size, shown) for shown in (lines, bare) for size in _SIZES):
        rows = _rows(paper, shown, size)
        if sum(height for _, height in rows) <= room:
            break
    return size, rows


def _rows(paper: Paper, lines: Sequence[FormLine], size: float) -> list[tuple[tuple[FormLine, Words], float]]:
    """Each line with its bands as words, and the height it needs in this size."""
    found = []
    for line in lines:
        words = paragraph(line.bands, style(font_name(SERIF), size - 1.5, leading=1.25, color=SOFT))
        height = words.wrap(paper.text_width - _BOX - 14, 0)[1] if line.bands else 0.0
        found.append(((line, words), max(2.3 * size, 1.9 * size + height + 4)))
    return found


def _draw_line(
    canvas: Canvas, paper: Paper, line: FormLine, words: Words, y: float, height: float, size: float
) -> None:
    width = paper.text_width - _BOX - 14
    rule(canvas, paper.margin, y, paper.text_width, thick=0.4, color=HAIRLINE)
    name, own = fitted(line.name, font_name(SANS, bold=True), size, 0.66 * width, least=4)
    draw_text(canvas, paper.margin, y - 1.35 * size, name, font_name(SANS, bold=True), own)
    draw_text(
        canvas, paper.margin + width, y - 1.35 * size, line.range, font_name(SANS), size - 1.5, color=SOFT,
        anchor="right",
    )  # fmt: skip
    if line.bands:
        words.wrap(width, 0)
        words.drawOn(canvas, paper.margin, y - height + 4)
    left, tall = paper.width - paper.margin - _BOX, min(height - 4, 26.0)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.7)
    canvas.rect(left, y - 2 - tall, _BOX, tall)
    if line.points:
        draw_text(
            canvas, left + _BOX / 2, y - 2 - tall / 2 - 0.35 * size, line.points, font_name(SERIF, bold=True),
            size + 1, anchor="middle",
        )  # fmt: skip
