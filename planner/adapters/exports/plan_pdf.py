"""The term plan as a printed sheet: a calendar table, one row a piece."""

from collections.abc import Sequence
from datetime import date
from itertools import groupby
from pathlib import Path
from typing import Any, BinaryIO

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph, Table, TableStyle

from planner.adapters.exports.base import write_export
from planner.adapters.exports.fonts import SANS, SERIF, font_name, register_fonts
from planner.adapters.exports.page import (
    HAIRLINE,
    INK,
    SOFT,
    TINT,
    Paper,
    draw_foot,
    draw_text,
    fitted,
    new_canvas,
    paper_named,
    paragraph,
    rule,
    shortened,
    style,
)
from planner.services.sheets.views import PlanRow, PlanSheet
from planner.wording.guide import metronome
from planner.wording.words import MONTHS, WEEKDAYS, count_of, full_date, listed_dates

_COLUMNS: tuple[tuple[str, float], ...] = (
    ("Day", 0.095),
    ("Piece", 0.385),
    ("Level", 0.065),
    ("Focus", 0.15),
    ("Featured", 0.145),
    ("Min.", 0.05),
    ("First reading", 0.11),
)
"""Heading and share of the text width."""
_SIZE = 9.0


class PlanPdf:
    """Fulfils ``services.ports.PlanWriter``: PDF, the same bytes for the same sheet."""

    suffix = ".pdf"
    updates_copies = False

    def __init__(self, paper: str = "a4") -> None:
        register_fonts()
        self._paper = paper_named(paper)

    def write(self, sheet: PlanSheet, path: Path) -> Path:
        """Print the plan."""

        def writer(out: BinaryIO) -> None:
            canvas = new_canvas(out, self._paper, title=f"{sheet.term}: reading plan", author=sheet.ensemble)
            _draw(canvas, self._paper, sheet)
            canvas.save()

        return write_export(path, writer)


def _draw(canvas: Canvas, paper: Paper, sheet: PlanSheet) -> None:
    pages = _pages(_blocks(sheet, paper), paper)
    for number, blocks in enumerate(pages, start=1):
        y = _head(canvas, paper, sheet) if number == 1 else _short_head(canvas, paper, sheet)
        for block in blocks:
            y -= _height(block, paper)
            block.drawOn(canvas, paper.margin, y)
        made = f"Made {full_date(sheet.made_on)} by the sight-reading program planner {sheet.library_version}"
        draw_foot(canvas, paper, f"{sheet.ensemble}  ·  {made}", f"page {number} of {len(pages)}")
        canvas.showPage()


_FIRST_HEAD, _NEXT_HEAD = 84.0, 24.0


def _head(canvas: Canvas, paper: Paper, sheet: PlanSheet) -> float:
    y, bold = paper.height - paper.margin, font_name(SERIF, bold=True)
    title, size = fitted(sheet.term, bold, 20, paper.text_width, least=12)
    draw_text(canvas, paper.margin, y - 16, title, bold, size)
    italic = font_name(SERIF, italic=True)
    about = f"Sight-reading plan of {sheet.ensemble}"
    about, size = fitted(about, italic, 11, paper.text_width, least=8)
    draw_text(canvas, paper.margin, y - 33, about, italic, size, color=SOFT)
    rule(canvas, paper.margin, y - 42, paper.text_width, thick=1.6)
    rule(canvas, paper.margin, y - 45, paper.text_width, thick=0.4)
    small = font_name(SANS)
    for at, line in enumerate(_summary(sheet)):
        text, size = fitted(line, small, 9, paper.text_width, least=7)
        draw_text(canvas, paper.margin, y - 59 - 12 * at, text, small, size)
    return y - _FIRST_HEAD


def _summary(sheet: PlanSheet) -> tuple[str, str]:
    days = len({row.on for row in sheet.rows})
    held = f"{count_of(len(sheet.rows), 'piece')} on {count_of(days, 'reading day')}"
    levels = [row.level for row in sheet.rows if row.level is not None]
    if levels:
        held += f", levels {min(levels):.1f} to {max(levels):.1f}"
    span = f"{full_date(sheet.first)} to {full_date(sheet.last)}, {sheet.minutes:g} minutes a day"
    return f"{span}. {held}.", sheet.proof


def _short_head(canvas: Canvas, paper: Paper, sheet: PlanSheet) -> float:
    y, bold = paper.height - paper.margin, font_name(SERIF, bold=True)
    title = shortened(f"{sheet.term} (continued)", bold, 11, paper.text_width)
    draw_text(canvas, paper.margin, y - 9, title, bold, 11)
    rule(canvas, paper.margin, y - 16, paper.text_width, thick=0.8)
    return y - _NEXT_HEAD


def _pages(blocks: Sequence[tuple[Flowable, bool]], paper: Paper) -> list[list[Flowable]]:
    """Blocks page by page; one marked to stay with the next is not left alone at the foot."""
    pages: list[list[Flowable]] = [[]]
    room = paper.height - paper.margin - _FIRST_HEAD - paper.foot
    for at, (block, stays) in enumerate(blocks):
        height = _height(block, paper)
        needed = height + (_height(blocks[at + 1][0], paper) if stays and at + 1 < len(blocks) else 0.0)
        if needed > room and pages[-1]:
            pages.append([])
            room = paper.height - paper.margin - _NEXT_HEAD - paper.foot
        pages[-1].append(block)
        room -= height
    return pages


def _height(block: Flowable, paper: Paper) -> float:
    return float(block.wrap(paper.text_width, paper.height)[1])


def _blocks(sheet: PlanSheet, paper: Paper) -> list[tuple[Flowable, bool]]:
    """A heading for each month, its days beneath, and the days off at the end."""
    days: dict[date, list[PlanRow]] = {day: [] for day in sheet.empty_days}
    for row in sheet.rows:
        days.setdefault(row.on, []).append(row)
    blocks: list[tuple[Flowable, bool]] = []
    for (year, month), group in groupby(sorted(days), key=lambda day: (day.year, day.month)):
        blocks.append((_month(f"{MONTHS[month - 1]} {year}", paper), True))
        blocks += [(_day(day, days[day], paper), False) for day in group]
    if sheet.days_off:
        off = listed_dates(sheet.days_off)
        blocks.append((paragraph(f"No reading: {off}.", style(font_name(SERIF, italic=True), 9.5)), False))
    return blocks


def _widths(paper: Paper) -> list[float]:
    return [share * paper.text_width for _, share in _COLUMNS]


def _month(name: str, paper: Paper) -> Table:
    small = style(font_name(SANS), 7.5, color=SOFT)
    heads: list[Paragraph | str] = [paragraph(text, small) for text, _ in _COLUMNS]
    heads[:2] = [paragraph(name, style(font_name(SERIF, bold=True), 10.5, leading=1.1)), ""]
    table = Table([heads], colWidths=_widths(paper))
    table.setStyle(_cell_style([
        ("SPAN", (0, 0), (1, 0)), ("VALIGN", (0, 0), (-1, -1), "BOTTOM"),
        ("TOPPADDING", (0, 0), (-1, -1), 9), ("LINEBELOW", (0, 0), (-1, -1), 0.8, INK),
    ]))  # fmt: skip
    return table


def _day(day: date, rows: Sequence[PlanRow], paper: Paper) -> Table:
    name = f"{WEEKDAYS[day.weekday()][:3]} {day.day}"
    when = paragraph(name, style(font_name(SANS, bold=True), _SIZE))
    body = style(font_name(SANS), _SIZE)
    cells: list[list[object]] = [
        [when if at == 0 else "", _piece(row), *(paragraph(text, body) for text in _values(row))]
        for at, row in enumerate(rows)
    ] or [
        [
            when,
            paragraph("nothing planned", style(font_name(SERIF, italic=True), _SIZE, color=SOFT)),
            *[""] * 5,
        ]
    ]
    past = [("BACKGROUND", (0, at), (-1, at), TINT) for at, row in enumerate(rows) if row.is_past]
    table = Table(cells, colWidths=_widths(paper))
    table.setStyle(_cell_style([("LINEABOVE", (0, 0), (-1, 0), 0.4, HAIRLINE), *past]))
    return table


def _cell_style(more: list[Any]) -> TableStyle:
    return TableStyle([
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 2.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        *more,
    ])  # fmt: skip


def _piece(row: PlanRow) -> list[Paragraph]:
    notes = [text for text in (row.credit, "pinned by the director" if row.is_pinned else "") if text]
    lines = [paragraph(row.title[:200], style(font_name(SERIF, bold=True), _SIZE + 0.5, leading=1.2))]
    if notes:
        lines.append(paragraph("; ".join(notes)[:200], style(font_name(SERIF, italic=True), 8.5, color=SOFT)))
    return lines


def _values(row: PlanRow) -> tuple[str, str, str, str, str]:
    level = "" if row.level is None else f"{row.level:.1f}"
    return level, row.focus, row.featured, f"{row.minutes:.0f}", metronome(row.beat_unit, row.reading_bpm)
