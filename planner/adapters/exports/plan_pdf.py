"""The term plan as a printed sheet: a calendar table, one row a piece."""

from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Table, TableStyle

from planner.adapters.exports.head import NEXT_HEAD, Head
from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name, register_fonts
from planner.adapters.exports.lettering.words import Words
from planner.adapters.exports.page import (
    HAIRLINE,
    INK,
    SOFT,
    TINT,
    Paper,
    bookmark,
    end_page,
    height_of,
    paper_named,
    paragraph,
    print_sheet,
    style,
)
from planner.services.sheets.views import DayNote, DayWithoutPiece, PlanRow, PlanSheet
from planner.wording.director.plan import AIM_NOTE
from planner.wording.guide import metronome
from planner.wording.words import MONTHS, WEEKDAYS, count_of, full_date

_COLUMNS: tuple[tuple[str, float], ...] = (
    ("Day", 0.085),
    ("Piece", 0.275),
    ("Level", 0.09),
    ("Focus", 0.145),
    ("Featured", 0.125),
    ("Min.", 0.05),
    ("First reading", 0.1),
    ("Notes", 0.13),
)
"""Heading and share of the text width; the last column is left free to write in."""
_SIZE = 9.0


class PlanPdf:
    """Fulfils ``ports.writers.PlanWriter``: PDF, the same bytes for the same sheet."""

    suffix = ".pdf"
    updates_copies = False

    def __init__(self, paper: str = "a4") -> None:
        register_fonts()
        self._paper = paper_named(paper)

    def write(self, sheet: PlanSheet, path: Path) -> Path:
        """Print the plan."""
        return print_sheet(
            path, self._paper, lambda canvas: _draw(canvas, self._paper, sheet),
            title=f"{sheet.term}: reading plan", author=sheet.ensemble,
        )  # fmt: skip


def _draw(canvas: Canvas, paper: Paper, sheet: PlanSheet) -> None:
    head = _head(sheet)
    pages = _pages(sheet, head, paper)
    for number, blocks in enumerate(pages, start=1):
        if number == 1:
            bookmark(canvas, sheet.term)
        y = head.draw(canvas, paper) if number == 1 else head.draw_next(canvas, paper)
        for block in blocks:
            y -= height_of(block, paper)
            if isinstance(block, _Month) and not block.is_continued:
                bookmark(canvas, block.name, 1)
            block.drawOn(canvas, paper.margin, y)
        end_page(canvas, paper, sheet, number, len(pages))


def _head(sheet: PlanSheet) -> Head:
    small = style(font_name(SANS), _SIZE)
    summary = [paragraph(line, small) for line in _summary(sheet)]
    return Head(sheet.term, f"Sight-reading plan of {sheet.ensemble}", summary)


def _summary(sheet: PlanSheet) -> tuple[str, str]:
    days = len({row.on for row in sheet.rows})
    held = f"{count_of(len(sheet.rows), 'piece')} on {count_of(days, 'reading day')}"
    levels = [row.level for row in sheet.rows if row.level is not None]
    if levels:
        held += f", levels {min(levels):.1f} to {max(levels):.1f}"
    span = f"{full_date(sheet.first)} to {full_date(sheet.last)}, {sheet.minutes:g} minutes a day"
    aim = AIM_NOTE if any(row.target.endswith("%") for row in sheet.rows) else ""
    return f"{span}. {held}.", " ".join(each for each in (sheet.proof, aim) if each)


def _pages(sheet: PlanSheet, head: Head, paper: Paper) -> list[list[Flowable]]:
    """The days page by page: under each month, and at the head of each page, the columns are named."""
    full = paper.height - paper.margin - paper.foot
    pages: list[list[Flowable]] = [[]]
    room, month = full - head.height(paper), ""
    for name, block in _days(sheet, paper):
        left: list[Flowable] = [block]
        while left:
            part = left.pop(0)
            columns = _month(name, paper, is_continued=name == month)
            needed = 0.0 if pages[-1] and name == month else height_of(columns, paper)
            if height_of(part, paper) + needed > room:
                if pages[-1]:
                    pages.append([])
                    room = full - NEXT_HEAD
                    left.insert(0, part)
                    continue
                part, *left = _split(part, paper, room - needed)
            if needed:
                pages[-1].append(columns)
            pages[-1].append(part)
            room -= height_of(part, paper) + needed
            month = name
    return pages


def _split(block: Flowable, paper: Paper, room: float) -> list[Flowable]:
    """A day too long for any page in parts, the first of which fits."""
    parts: list[Flowable] = block.split(paper.text_width, room)
    return parts or [block]


def _days(sheet: PlanSheet, paper: Paper) -> Iterator[tuple[str, Flowable]]:
    """Every day on which the ensemble reads or would read, with its month."""
    days: dict[date, list[PlanRow]] = {}
    for row in sheet.rows:
        days.setdefault(row.on, []).append(row)
    without = {day.on: day for day in sheet.without_piece}
    for on in sorted({*days, *without}):
        notes = [note for note in sheet.notes if note.on == on]
        block = _day(on, days[on], notes, paper) if on in days else _day_without(without[on], paper)
        yield f"{MONTHS[on.month - 1]} {on.year}", block


def _widths(paper: Paper) -> list[float]:
    return [share * paper.text_width for _, share in _COLUMNS]


class _Month(Table):
    """The heading of a month; on a further page it is continued."""

    name, is_continued = "", False


def _month(name: str, paper: Paper, *, is_continued: bool) -> _Month:
    small = style(font_name(SANS), 7.5, color=SOFT)
    heads: list[Words | str] = [paragraph(text, small) for text, _ in _COLUMNS]
    title = f"{name} (continued)" if is_continued else name
    heads[:2] = [paragraph(title, style(font_name(SERIF, bold=True), 10.5, leading=1.1)), ""]
    table = _Month([heads], colWidths=_widths(paper))
    table.name, table.is_continued = name, is_continued
    table.setStyle(_cell_style([
        ("SPAN", (0, 0), (1, 0)), ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
        ("TOPPADDING", (0, 0), (-1, -1), 9), ("LINEBELOW", (0, 0), (-1, -1), 0.8, INK),
    ]))  # fmt: skip
    return table


def _day(on: date, rows: Sequence[PlanRow], notes: Sequence[DayNote], paper: Paper) -> Table:
    body = style(font_name(SANS), _SIZE)
    above = [_words(note.text) for note in notes if note.is_above]
    beneath = [_words(note.text) for note in notes if not note.is_above]
    cells: list[list[object]] = [*above]
    more: list[Any] = []
    for row in rows:
        begin = len(cells)
        cells.append(["", _piece(row), _level(row), *(paragraph(text, body) for text in _values(row)), ""])
        if row.why:
            more.append(("SPAN", (1, len(cells)), (-2, len(cells))))
            cells.append(_words(" ".join(row.why)))
        if row.is_past:
            more.append(("BACKGROUND", (0, begin), (-1, len(cells) - 1), TINT))
        more.append(("LINEBEFORE", (-1, begin), (-1, len(cells) - 1), 0.4, HAIRLINE))
    spans = [*range(len(above)), *range(len(cells), len(cells) + len(beneath))]
    cells += beneath
    cells[0] = [_date(on), *cells[0][1:]]
    return _day_table(cells, [*(("SPAN", (1, at), (-1, at)) for at in spans), *more], paper)


def _day_without(day: DayWithoutPiece, paper: Paper) -> Table:
    cells = [_date(day.on), *_words(day.reason)[1:]]
    return _day_table([cells], [("SPAN", (1, 0), (-1, 0))], paper)


def _words(text: str) -> list[object]:
    """A line of words over all columns but that of the date."""
    words = paragraph(text, style(font_name(SERIF, italic=True), _SIZE, color=SOFT))
    return ["", words, *[""] * (len(_COLUMNS) - 2)]


def _date(on: date) -> Words:
    return paragraph(f"{WEEKDAYS[on.weekday()][:3]} {on.day}", style(font_name(SANS, bold=True), _SIZE))


def _day_table(cells: list[list[object]], more: list[Any], paper: Paper) -> Table:
    table = Table(cells, colWidths=_widths(paper), splitInRow=1)
    table.setStyle(_cell_style([("LINEABOVE", (0, 0), (-1, 0), 0.4, HAIRLINE), *more]))
    return table


def _cell_style(more: list[Any]) -> TableStyle:
    return TableStyle([
        ("FONTNAME", (0, 0), (-1, -1), font_name(SANS)),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 2.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        *more,
    ])  # fmt: skip


def _piece(row: PlanRow) -> list[Words]:
    notes = [
        text for text in (row.room, row.credit, "pinned by the director" if row.is_pinned else "") if text
    ]
    lines = [paragraph(row.title, style(font_name(SERIF, bold=True), _SIZE + 0.5, leading=1.2))]
    if notes:
        lines.append(paragraph("; ".join(notes), style(font_name(SERIF, italic=True), 8.5, color=SOFT)))
    return lines


def _level(row: PlanRow) -> list[Words]:
    level = "" if row.level is None else f"{row.level:.1f}"
    lines = [paragraph(level, style(font_name(SANS), _SIZE))]
    if row.target:
        lines.append(paragraph(row.target, style(font_name(SANS), 7.5, color=SOFT)))
    return lines


def _values(row: PlanRow) -> tuple[str, str, str, str]:
    return row.focus, row.featured, f"{row.minutes:.0f}", metronome(row.beat_unit, row.reading_bpm)
