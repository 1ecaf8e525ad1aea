"""The player's sheet in print: one part's page, or a packet of all of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Table

from planner.adapters.exports.base import write_export
from planner.adapters.exports.guide_contents import draw_contents
from planner.adapters.exports.guide_drawings import AfterReading, Boxes, DynamicsLine, Road, StartStrip
from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name, register_fonts
from planner.adapters.exports.lettering.lines import text_width
from planner.adapters.exports.page import (
    HAIRLINE,
    SOFT,
    Paper,
    draw_foot,
    draw_text,
    fitted,
    headline,
    new_canvas,
    paper_named,
    paragraph,
    rule,
    shortened,
    style,
)  # fmt: skip
from planner.adapters.exports.svg_music import EngravedMusic
from planner.services.sheets.views import GuideBlock, GuideLine, GuidePacket, GuideView
from planner.wording.player_sheet import AFTER_FIRST_READING, DYNAMICS_HEADING
from planner.wording.words import count_of, full_date, full_day


@dataclass(frozen=True, slots=True)
class _Layout:
    """Text size, and how many lines are left to write on after the first reading."""

    size: float
    notes: int = 3


_LAYOUTS = (
    *(_Layout(size) for size in (14.0, 13.0, 12.5, 12.0, 11.5, 11.0, 10.5, 10.0)),
    _Layout(10.0, notes=2),
    _Layout(10.0, notes=1),
)
"""Tried in this order to keep a sheet on one page.

Source: House choice; 10 point is the smallest that reads on a stand at arm's length.
"""
_HEADING_MM = 26
_BESIDE_MM = 100
"""Widest music that stands beside its words."""
_CONTINUED_HEAD = 24
_HEADINGS_FACE = font_name(SANS, bold=True)


class GuidePdf:
    """Fulfils ``services.ports.GuideWriter``: PDF, the same bytes for the same views."""

    suffix = ".pdf"

    def __init__(self, paper: str = "a4") -> None:
        register_fonts()
        self._paper = paper_named(paper)

    def write(self, views: Sequence[GuideView], path: Path) -> Path:
        """Print the guides, each from a new page on."""

        def writer(out: BinaryIO) -> None:
            canvas = self._canvas(out, views, views[0].part)
            for view in views:
                _draw_guide(canvas, self._paper, view, _laid_out(view, self._paper))
            canvas.save()

        return write_export(path, writer)

    def write_packet(self, packet: GuidePacket, path: Path) -> Path:
        """Print the contents, then each sheet in its copies."""

        def writer(out: BinaryIO) -> None:
            sheets = packet.sheets
            canvas = self._canvas(out, sheets, f"sheets for {count_of(len(sheets), 'part')}")
            laid_out = [_laid_out(view, self._paper) for view in sheets]
            draw_contents(canvas, self._paper, packet, [len(pages) for pages in laid_out])
            for view, pages in zip(sheets, laid_out, strict=True):
                for copy in range(view.copies):
                    _draw_guide(canvas, self._paper, view, pages, is_first=copy == 0)
            canvas.save()

        return write_export(path, writer)

    def _canvas(self, out: BinaryIO, views: Sequence[GuideView], what: str) -> Canvas:
        first = views[0]
        return new_canvas(out, self._paper, title=f"{first.title}: {what}", author=first.ensemble)


def _laid_out(view: GuideView, paper: Paper) -> list[list[Flowable]]:
    return _pages(view, paper, _Head(paper, view).top)


def _draw_guide(
    canvas: Canvas, paper: Paper, view: GuideView, pages: list[list[Flowable]], *, is_first: bool = True
) -> None:
    head = _Head(paper, view)
    if is_first:
        place = f"{view.position}-{view.part}"
        canvas.bookmarkPage(place)
        canvas.addOutlineEntry(view.part, place, 0)
    for number, blocks in enumerate(pages, start=1):
        if number == 1:
            head.draw(canvas)
            y = head.top
        else:
            y = _continued(canvas, paper, view)
        for block in blocks:
            y -= _height(block, paper)
            block.drawOn(canvas, paper.margin, y)
        _draw_page_foot(canvas, paper, view, number, len(pages))
        canvas.showPage()


def _pages(view: GuideView, paper: Paper, top: float) -> list[list[Flowable]]:
    """The blocks page by page, in the largest layout that needs no more pages than the tightest."""
    tightest = _broken(_body(view, paper, _LAYOUTS[-1]), paper, top)
    needed = len(tightest)
    for layout in _LAYOUTS[:-1]:
        pages = _broken(_body(view, paper, layout), paper, top)
        if len(pages) <= needed:
            return pages
    return tightest


def _broken(blocks: Sequence[Flowable], paper: Paper, top: float) -> list[list[Flowable]]:
    pages: list[list[Flowable]] = [[]]
    room = top - paper.foot
    for block in blocks:
        height = _height(block, paper)
        if height > room and pages[-1]:
            pages.append([])
            room = paper.height - paper.margin - _CONTINUED_HEAD - paper.foot
        pages[-1].append(block)
        room -= height
    return pages


def _height(block: Flowable, paper: Paper) -> float:
    return float(block.wrap(paper.text_width, paper.height)[1])


@dataclass(frozen=True, slots=True)
class _Head:
    """The head of a guide's first page: whose part, which piece, which day, how fast."""

    paper: Paper
    view: GuideView

    @property
    def _title(self) -> tuple[tuple[str, ...], float]:
        bold = font_name(SERIF, bold=True)
        return headline(self.view.title, bold, 23, self.paper.text_width, least=16)

    @property
    def top(self) -> float:
        """Where the body begins."""
        lines, size = self._title
        return self.paper.height - self.paper.margin - 72 - 1.2 * size * (len(lines) - 1)

    def draw(self, canvas: Canvas) -> None:
        """Draw it at the top of the page."""
        paper, view, left = self.paper, self.view, self.paper.margin
        right, y = paper.width - paper.margin, paper.height - paper.margin
        small, bold = font_name(SANS), font_name(SERIF, bold=True)
        when = full_day(view.on)
        draw_text(canvas, right, y - 8, when, small, 9, color=SOFT, anchor="right")
        room = paper.text_width - text_width(when, small, 9) - 16
        part, size = fitted(view.part, bold, 17, room, least=11)
        draw_text(canvas, left, y - 12, part, bold, size)
        rule(canvas, left, y - 20, paper.text_width, thick=1.6)
        rule(canvas, left, y - 23, paper.text_width, thick=0.4)
        lines, size = self._title
        for line in lines:
            draw_text(canvas, left, y - 48, line, bold, size)
            y -= 1.2 * size
        y += 1.2 * size
        about = "  ·  ".join(text for text in (view.credit, view.ensemble, view.players) if text)
        italic = font_name(SERIF, italic=True)
        about, size = fitted(about, italic, 10, paper.text_width, least=8)
        draw_text(canvas, left, y - 63, about, italic, size, color=SOFT)


def _continued(canvas: Canvas, paper: Paper, view: GuideView) -> float:
    """The short head of a second page; the top of its body."""
    y, bold = paper.height - paper.margin, font_name(SERIF, bold=True)
    draw_text(canvas, paper.margin, y - 9, shortened(view.part, bold, 11, paper.text_width * 0.45), bold, 11)
    italic = font_name(SERIF, italic=True)
    title = shortened(f"{view.title} (continued)", italic, 10, paper.text_width * 0.5)
    draw_text(canvas, paper.width - paper.margin, y - 9, title, italic, 10, color=SOFT, anchor="right")
    rule(canvas, paper.margin, y - 16, paper.text_width, thick=0.8)
    return y - _CONTINUED_HEAD


def _draw_page_foot(canvas: Canvas, paper: Paper, view: GuideView, page: int, pages: int) -> None:
    made = f"Made {full_date(view.made_on)} by the sight-reading program planner {view.library_version}"
    draw_foot(
        canvas,
        paper,
        f"{view.ensemble}  ·  {made}",
        f"{shortened(view.part, font_name(SANS), 7.5, 110)}, page {page} of {pages}",
    )


def _body(view: GuideView, paper: Paper, layout: _Layout) -> list[Flowable]:
    width = paper.text_width
    found: list[Flowable] = [StartStrip(view.start, width)]
    if view.start.road:
        found.append(Road(view.start.road, width))
    found += [_block(block, paper, layout) for block in view.blocks]
    if view.dynamics:
        line = DynamicsLine(view.dynamics, width - _HEADING_MM * mm)
        found.append(_under(DYNAMICS_HEADING, [line], paper, layout))
    if view.boxes:
        found.append(Boxes(view.boxes, width))
    found.append(AfterReading(AFTER_FIRST_READING, view.start.second_tempo, layout.notes, width))
    look = style(font_name(SERIF, italic=True), 9.0, leading=1.25)
    return [*found, _rows([[paragraph(view.care, look)]], [width], layout)]


def _block(block: GuideBlock, paper: Paper, layout: _Layout) -> Table:
    width = paper.text_width - _HEADING_MM * mm
    lines = [flowable for line in block.lines for flowable in _line(line, width, layout)]
    return _under(block.heading, lines, paper, layout)


def _line(line: GuideLine, width: float, layout: _Layout) -> list[Flowable]:
    look = style(font_name(SERIF), layout.size, leading=1.25, after=layout.size * 0.2)
    words = paragraph(line.text, look)
    if not line.svg:
        return [words]
    music = EngravedMusic(line.svg, min(line.width_mm * mm, width))
    if line.width_mm > _BESIDE_MM:
        return [words, music]
    return [_rows([[words, music]], [width - music.width - 6, music.width + 6], layout, pad=0.0)]


def _under(heading: str, content: list[Flowable], paper: Paper, layout: _Layout) -> Table:
    name = paragraph(heading, style(_HEADINGS_FACE, 9.0, leading=layout.size * 1.25 / 9.0, color=SOFT))
    widths = [_HEADING_MM * mm, paper.text_width - _HEADING_MM * mm]
    return _rows([[name, content]], widths, layout, ruled=True)


def _rows(
    cells: list[list[object]], widths: list[float], layout: _Layout, *, pad: float = 0.25, ruled: bool = False
) -> Table:
    edges = [("LINEABOVE", (0, 0), (-1, 0), 0.4, HAIRLINE)] if ruled else []
    return Table(
        cells,
        colWidths=widths,
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("FONTNAME", (0, 0), (-1, -1), font_name(SANS)),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), layout.size * pad),
            ("BOTTOMPADDING", (0, 0), (-1, -1), layout.size * pad),
            *edges,
        ],
    )
