"""A report as a printed sheet: its words, pictures and tables, page by page."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Spacer, Table, TableStyle

from planner.adapters.drawing.report_charts import draw, legend_of
from planner.adapters.exports.chart import Chart
from planner.adapters.exports.head import NEXT_HEAD, Head
from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name, register_fonts
from planner.adapters.exports.lettering.words import Words
from planner.adapters.exports.page import (
    HAIRLINE,
    INK,
    SOFT,
    Paper,
    bookmark,
    end_page,
    height_of,
    paper_named,
    paragraph,
    print_sheet,
    style,
)
from planner.services.reports.views import Picture, ReportPart, ReportTable, ReportView

_SIZE = 9.5
_UNITS = 660.0
"""Width of a picture in its own units: its letters are then about 9 points high."""
_AFTER_RULE = 4.0
_LEAST_ROWS = 60.0
"""Room in points that a table, or a heading with what follows, needs at least at the foot of a page."""


class ReportPdf:
    """Fulfils ``ports.writers.ReportWriter``: PDF, the same bytes for the same report."""

    suffix = ".pdf"

    def __init__(self, paper: str = "a4") -> None:
        register_fonts()
        self._paper = paper_named(paper)

    def write(self, view: ReportView, path: Path) -> Path:
        """Print the report."""
        return print_sheet(
            path, self._paper, lambda canvas: _draw(canvas, self._paper, view),
            title=f"{view.title}: {view.about}", author=view.ensemble,
        )  # fmt: skip


def _draw(canvas: Canvas, paper: Paper, view: ReportView) -> None:
    head = Head(view.title, view.about, [_sentence(each) for each in view.lead])
    pages = _pages(view, head, paper)
    for number, blocks in enumerate(pages, start=1):
        if number == 1:
            bookmark(canvas, view.title)
            y = head.draw(canvas, paper)
        else:
            y = head.draw_next(canvas, paper)
        for block in blocks:
            y -= height_of(block, paper)
            if isinstance(block, _Heading) and block.is_first:
                bookmark(canvas, block.text, 1)
            block.drawOn(canvas, paper.margin, y)
        end_page(canvas, paper, view, number, len(pages))


class _Heading(Table):
    """The heading of a part; on a further page it is not the first."""

    def __init__(self, text: str, width: float, *, is_first: bool = True) -> None:
        self.text, self.is_first = text, is_first
        shown = text if is_first else f"{text} (continued)"
        super().__init__([[paragraph(shown, style(font_name(SERIF, bold=True), 13, leading=1.2))]], [width])
        self.setStyle(
            TableStyle([
                ("FONTNAME", (0, 0), (-1, -1), font_name(SANS)), ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 12), ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
                ("LINEBELOW", (0, 0), (-1, -1), 0.5, HAIRLINE),
            ])
        )  # fmt: skip


def _sentence(text: str) -> Words:
    return paragraph(text, style(font_name(SERIF), 10.5, leading=1.35))


def _pages(view: ReportView, head: Head, paper: Paper) -> list[list[Flowable]]:
    """The blocks page by page; a heading stays with what follows, a table names its columns on each page."""
    full = paper.height - paper.margin - paper.foot
    pages: list[list[Flowable]] = [[]]
    room = full - head.height(paper)
    for part in view.parts:
        blocks = list(_blocks(part, paper))
        heading: Flowable = _Heading(part.heading, paper.text_width)
        if height_of(heading, paper) + _least(blocks, paper) > room and pages[-1]:
            pages.append([])
            room = full - NEXT_HEAD
        pages[-1].append(heading)
        room -= height_of(heading, paper)
        while blocks:
            block = blocks.pop(0)
            if height_of(block, paper) <= room:
                pages[-1].append(block)
                room -= height_of(block, paper)
                continue
            pieces = block.split(paper.text_width, room) if room >= _LEAST_ROWS else []
            if len(pieces) > 1:
                pages[-1].append(pieces[0])
                blocks[:0] = pieces[1:]
            else:
                blocks.insert(0, block)
            again: Flowable = _Heading(part.heading, paper.text_width, is_first=False)
            pages.append([again])
            room = full - NEXT_HEAD - height_of(again, paper)
    return pages


def _least(blocks: Sequence[Flowable], paper: Paper) -> float:
    """Room that the first blocks of a part need: all up to its picture, or to some rows of its table."""
    room = 0.0
    for block in blocks:
        height = height_of(block, paper)
        room += min(height, _LEAST_ROWS) if isinstance(block, Table) else height
        if isinstance(block, Table | _Whole):
            break
    return room


def _blocks(part: ReportPart, paper: Paper) -> Iterator[Flowable]:
    yield Spacer(1, _AFTER_RULE)
    for sentence in part.sentences:
        yield _sentence(sentence)
    if part.picture is not None:
        yield _picture(part.picture, paper)
    if part.table is not None and part.table.rows:
        yield _table(part.table, paper)


def _picture(picture: Picture, paper: Paper) -> Flowable:
    """The picture with what its shapes mean; they stay together."""
    small = style(font_name(SANS), 7.5, color=SOFT, leading=1.3)
    cells: list[list[Any]] = [
        [Chart(draw(picture, _UNITS), paper.text_width)],
        [paragraph(legend_of(picture), small)],
    ]
    table = Table(cells, colWidths=[paper.text_width])
    table.setStyle(_cells([("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0)]))
    return _Whole(table)


class _Whole(Flowable):
    """A block that is never parted."""

    def __init__(self, inner: Flowable) -> None:
        super().__init__()
        self._inner = inner

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Size on the page, in points."""
        self.width, self.height = self._inner.wrap(width, height)
        return self.width, self.height

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        self._inner.drawOn(self.canv, 0, 0)


def _table(table: ReportTable, paper: Paper) -> Table:
    total = sum(column.width for column in table.columns)
    widths = [column.width / total * paper.text_width for column in table.columns]
    small = style(font_name(SANS, bold=True), 7.5, color=SOFT)
    body, first = (
        style(font_name(SANS), 8.5, leading=1.25),
        style(font_name(SANS, bold=True), 8.5, leading=1.25),
    )
    heads = [paragraph(column.head, small) for column in table.columns]
    rows = [
        [paragraph(text, first if at == 0 else body) for at, text in enumerate(row)] for row in table.rows
    ]
    drawn = Table([heads, *rows], colWidths=widths, repeatRows=1, splitInRow=1)
    drawn.setStyle(
        _cells([("LINEBELOW", (0, 0), (-1, 0), 0.8, INK), ("LINEABOVE", (0, 2), (-1, -1), 0.4, HAIRLINE)])
    )
    return drawn


def _cells(more: list[Any]) -> TableStyle:
    return TableStyle([
        ("FONTNAME", (0, 0), (-1, -1), font_name(SANS)),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 2.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        *more,
    ])  # fmt: skip
