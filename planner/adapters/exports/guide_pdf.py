"""The player's sheet in print: one part's page, or a packet of all of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Table

from planner.adapters.exports.base import write_export
from planner.adapters.exports.director_pdf import director_pages, draw_director_sheet
from planner.adapters.exports.guide_contents import draw_contents
from planner.adapters.exports.guide_drawings import (
    AfterReading,
    Boxes,
    Drawn,
    DynamicsLine,
    Enlarged,
    Road,
    StartStrip,
    WritingLine,
)
from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name, register_fonts
from planner.adapters.exports.lettering.lines import text_width
from planner.adapters.exports.page import (
    HAIRLINE,
    SOFT,
    Paper,
    bookmark,
    draw_foot,
    draw_text,
    fitted,
    headline,
    height_of,
    new_canvas,
    paper_named,
    paragraph,
    rule,
    shortened,
    style,
)  # fmt: skip
from planner.adapters.exports.svg_music import EngravedMusic
from planner.services.sheets.views import GuideBlock, GuideLine, GuidePacket, GuideView
from planner.wording.blanks import BLANKS_HEADING
from planner.wording.player_sheet import (
    AFTER_FIRST_READING,
    ANSWERS_HEADING,
    DYNAMICS_HEADING,
    QUESTIONS_HEADING,
)
from planner.wording.words import count_of, full_day, made_words


@dataclass(frozen=True, slots=True)
class _Layout:
    """How a sheet is set.

    Attributes:
        size: Of its text, in points.
        notes: Lines to write on after the first reading.
        questions: Most of them.
        times: By how much drawings and small print are larger than on a usual sheet.
    """

    size: float
    notes: int = 3
    questions: int = 2
    times: float = 1.0

    @property
    def is_large(self) -> bool:
        """Whether headings stand above their lines, and music takes the whole width."""
        return self.times > 1.0


_LAYOUTS = (
    *(_Layout(size) for size in (14.0, 13.0, 12.5, 12.0, 11.5, 11.0, 10.5, 10.0)),
    _Layout(10.0, notes=2),
    _Layout(10.0, notes=1),
    _Layout(10.0, notes=1, questions=1),
    _Layout(10.0, notes=1, questions=0),
)
"""Tried in this order to keep a sheet on one page.

Source: House choice; 10 point is the smallest that reads on a stand at arm's length.
"""
_LARGE = 18.0
"""Size of large print in points. Source: common practice of publishers of large print."""
_LARGE_LAYOUTS = (
    _Layout(_LARGE, times=2.0),
    _Layout(_LARGE, notes=2, times=1.8),
    _Layout(_LARGE, notes=1, times=1.6),
    _Layout(_LARGE, notes=1, questions=1, times=1.6),
    _Layout(_LARGE, notes=1, questions=0, times=1.6),
)
_LARGE_PAGES = 2
"""Pages that a sheet in large print may take: tighter layouts are tried only beyond them."""
_HEADING_MM = 26
_BESIDE_MM = 100
"""Widest music that stands beside its words."""
_CONTINUED_HEAD = 24
_HEADINGS_FACE = font_name(SANS, bold=True)


class GuidePdf:
    """Fulfils ``ports.writers.GuideWriter``: PDF, the same bytes for the same views."""

    suffix = ".pdf"

    def __init__(self, paper: str = "a4") -> None:
        register_fonts()
        self._paper = paper_named(paper)

    def write(self, views: Sequence[GuideView], path: Path) -> Path:
        """Print the guides, each from a new page on."""

        def writer(out: BinaryIO) -> None:
            canvas = self._canvas(out, views, views[0].part)
            for view in views:
                _draw_guide(canvas, self._paper, view, _laid_out(view, self._paper), bookmarked=view.part)
                _draw_answers(canvas, self._paper, view)
            canvas.save()

        return write_export(path, writer)

    def write_packet(self, packet: GuidePacket, path: Path) -> Path:
        """Print the contents, the director's sheet, then each sheet in its copies."""

        def writer(out: BinaryIO) -> None:
            sheets = packet.sheets
            what = f"sheets for {count_of(len(sheets), 'part')}"
            canvas = self._canvas(out, sheets, what, packet.title)
            laid_out = [_laid_out(view, self._paper) for view in sheets]
            lengths = [
                len(pages) * view.copies + len(answer_pages(view, self._paper))
                for view, pages in zip(sheets, laid_out, strict=True)
            ]
            director = director_pages(packet.director, self._paper) if packet.director else []
            draw_contents(canvas, self._paper, packet, [len(director)] * bool(director) + lengths)
            if packet.director:
                draw_director_sheet(canvas, self._paper, packet.director, director)
            for view, pages in zip(sheets, laid_out, strict=True):
                for copy in range(view.copies):
                    name = packet.name_of(view) if copy == 0 else ""
                    _draw_guide(canvas, self._paper, view, pages, bookmarked=name)
                _draw_answers(canvas, self._paper, view)
            canvas.save()

        return write_export(path, writer)

    def _canvas(self, out: BinaryIO, views: Sequence[GuideView], what: str, title: str = "") -> Canvas:
        first = views[0]
        return new_canvas(out, self._paper, title=f"{title or first.title}: {what}", author=first.ensemble)


def _laid_out(view: GuideView, paper: Paper) -> list[list[Flowable]]:
    return _pages(view, paper, _Head(paper, view).top)


def _draw_guide(
    canvas: Canvas, paper: Paper, view: GuideView, pages: list[list[Flowable]], *, bookmarked: str
) -> None:
    """Draw the pages of a sheet, with a bookmark of that name unless it is empty."""
    head = _Head(paper, view)
    if bookmarked:
        bookmark(canvas, bookmarked, place=f"{view.position}-{view.part}")
    for number, blocks in enumerate(pages, start=1):
        if number == 1:
            head.draw(canvas)
            y = head.top
        else:
            y = _continued(canvas, paper, view, f"{view.title} (continued)")
        for block in blocks:
            y -= height_of(block, paper)
            block.drawOn(canvas, paper.margin, y)
        name = shortened(view.part, font_name(SANS), 7.5, 110)
        _draw_page_foot(canvas, paper, view, f"{name}, page {number} of {len(pages)}")
        canvas.showPage()


def _pages(view: GuideView, paper: Paper, top: float) -> list[list[Flowable]]:
    """The blocks page by page, in the largest layout that needs no more pages than the tightest."""
    layouts = _LARGE_LAYOUTS if view.is_large else _LAYOUTS
    tightest = _broken(_body(view, paper, layouts[-1]), paper, top)
    needed = max(len(tightest), _LARGE_PAGES if view.is_large else 1)
    for layout in layouts[:-1]:
        pages = _broken(_body(view, paper, layout), paper, top)
        if len(pages) <= needed:
            return pages
    return tightest


def _broken(blocks: Sequence[Flowable], paper: Paper, top: float) -> list[list[Flowable]]:
    pages: list[list[Flowable]] = [[]]
    room = top - paper.foot
    for block in blocks:
        height = height_of(block, paper)
        if height > room and pages[-1]:
            pages.append([])
            room = paper.height - paper.margin - _CONTINUED_HEAD - paper.foot
        pages[-1].append(block)
        room -= height
    return pages


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


def _continued(canvas: Canvas, paper: Paper, view: GuideView, title: str) -> float:
    """The short head of a second page; the top of its body."""
    y, bold = paper.height - paper.margin, font_name(SERIF, bold=True)
    draw_text(canvas, paper.margin, y - 9, shortened(view.part, bold, 11, paper.text_width * 0.45), bold, 11)
    italic = font_name(SERIF, italic=True)
    title = shortened(title, italic, 10, paper.text_width * 0.5)
    draw_text(canvas, paper.width - paper.margin, y - 9, title, italic, 10, color=SOFT, anchor="right")
    rule(canvas, paper.margin, y - 16, paper.text_width, thick=0.8)
    return y - _CONTINUED_HEAD


def _draw_page_foot(canvas: Canvas, paper: Paper, view: GuideView, page: str) -> None:
    made = made_words(view.made_on, view.library_version)
    draw_foot(canvas, paper, f"{view.ensemble}  ·  {made}", page)


def _body(view: GuideView, paper: Paper, layout: _Layout) -> list[Flowable]:
    found = _start(view, paper, layout)
    for block in view.blocks:
        found += _block(block, paper, layout)
    if view.blanks:
        found += _under(BLANKS_HEADING, _blanks(view, paper, layout), paper, layout)
    if view.dynamics:
        wide = _column(paper, layout) / layout.times
        rows = [_sized(DynamicsLine(row, wide), layout) for row in view.dynamics]
        found += _under(DYNAMICS_HEADING, rows, paper, layout)
    if view.questions and layout.questions:
        asked = [
            row
            for each in view.questions[: layout.questions]
            for row in _question(each.question, _column(paper, layout), layout)
        ]
        found += _under(QUESTIONS_HEADING, asked, paper, layout)
    return [*found, *_end(view, paper, layout)]


def _start(view: GuideView, paper: Paper, layout: _Layout) -> list[Flowable]:
    """What is taken in first; in large print the tempo on a line of its own."""
    width, start = paper.text_width / layout.times, view.start
    tempo = replace(start, count_off="", meter="", strokes=(), bars="")
    strips = [tempo, replace(start, tempo="", feel="")] if layout.is_large else [start]
    has_any = (each for each in strips if each.tempo or each.count_off or each.meter or each.bars)
    found = [_sized(StartStrip(each, width), layout) for each in has_any]
    if start.road:
        found.append(_sized(Road(start.road, width), layout))
    return found


def _end(view: GuideView, paper: Paper, layout: _Layout) -> list[Flowable]:
    """What is ticked off and written down, and the caution."""
    width = paper.text_width / layout.times
    half = (len(view.boxes) + 1) // 2
    rows = [view.boxes[:half], view.boxes[half:]] if layout.is_large else [view.boxes]
    found = [_sized(Boxes(row, width), layout) for row in rows if row]
    notes = AfterReading(AFTER_FIRST_READING, view.start.second_tempo, layout.notes, width)
    look = style(font_name(SERIF, italic=True), layout.size if layout.is_large else 9.0, leading=1.25)
    return [
        *found,
        _sized(notes, layout),
        _rows([[paragraph(view.care, look)]], [paper.text_width], layout),
    ]


def _sized(drawing: Drawn, layout: _Layout) -> Flowable:
    return Enlarged(drawing, layout.times) if layout.is_large else drawing


def _column(paper: Paper, layout: _Layout) -> float:
    """How wide the lines are: beside their headings, or in large print beneath them."""
    return paper.text_width - (0.0 if layout.is_large else _HEADING_MM * mm)


def _block(block: GuideBlock, paper: Paper, layout: _Layout) -> list[Flowable]:
    """A block as one piece; in large print a piece for each line, so that a page holds them."""
    lines = [_line(line, _column(paper, layout), layout) for line in block.lines]
    if not layout.is_large:
        return _under(block.heading, [each for line in lines for each in line], paper, layout)
    first, *others = lines
    bare = [_rows([[line]], [paper.text_width], layout, pad=0.1) for line in others]
    return [*_under(block.heading, first, paper, layout), *bare]


def _line(line: GuideLine, width: float, layout: _Layout) -> list[Flowable]:
    look = style(font_name(SERIF), layout.size, leading=1.25, after=layout.size * 0.2)
    words = paragraph(line.text, look)
    if not line.svg:
        return [words]
    music = EngravedMusic(line.svg, min(line.width_mm * mm, width))
    if layout.is_large or line.width_mm > _BESIDE_MM:
        return [words, music]
    return [_rows([[words, music]], [width - music.width - 6, music.width + 6], layout, pad=0.0)]


def _question(text: str, width: float, layout: _Layout) -> list[Flowable]:
    look = style(font_name(SERIF), layout.size, leading=1.25)
    return [paragraph(text, look), WritingLine(width)]


def _blanks(view: GuideView, paper: Paper, layout: _Layout) -> list[Flowable]:
    """What is to be filled in, each with a line, or music to write beneath."""
    width, height = _column(paper, layout), max(7.0, 0.62 * layout.size) * mm
    look = style(font_name(SERIF), layout.size, leading=1.25)
    found: list[Flowable] = []
    for number, blank in enumerate(view.blanks, start=1):
        found.append(paragraph(f"{number}. {blank.prompt}", look))
        if blank.svg:
            found.append(EngravedMusic(blank.svg, min(blank.width_mm * mm, width)))
        found.append(WritingLine(width, height))
    return found


def answer_pages(view: GuideView, paper: Paper) -> list[list[Flowable]]:
    """The answers to what a sheet leaves to be filled in, page by page; none where nobody knows them."""
    answered = [(at, each) for at, each in enumerate(view.blanks, start=1) if each.answer]
    if not answered:
        return []
    layout, look = _LAYOUTS[3], style(font_name(SERIF), _LAYOUTS[3].size, leading=1.25)
    bold = style(font_name(SERIF, bold=True), _LAYOUTS[3].size, leading=1.25)
    gap, half = 12.0, paper.text_width / 2
    rows = [
        _rows(
            [[paragraph(f"{at}. {each.prompt}", look), "", paragraph(each.answer, bold)]],
            [half - gap, gap, half],
            layout,
            ruled=True,
        )
        for at, each in answered
    ]
    return _broken(rows, paper, paper.height - paper.margin - _CONTINUED_HEAD)


def _draw_answers(canvas: Canvas, paper: Paper, view: GuideView) -> None:
    pages = answer_pages(view, paper)
    for number, blocks in enumerate(pages, start=1):
        if number == 1:
            place = f"answers-{view.position}-{view.part}"
            bookmark(canvas, f"{view.part}: {ANSWERS_HEADING.lower()}", 1, place)
        y = _continued(canvas, paper, view, f"{view.title}: {ANSWERS_HEADING.lower()}")
        for block in blocks:
            y -= height_of(block, paper)
            block.drawOn(canvas, paper.margin, y)
        _draw_page_foot(canvas, paper, view, f"{ANSWERS_HEADING}, page {number} of {len(pages)}")
        canvas.showPage()


def _under(heading: str, content: list[Flowable], paper: Paper, layout: _Layout) -> list[Flowable]:
    """Lines with their heading: beside it, or in large print beneath."""
    if layout.is_large:
        name = paragraph(heading, style(_HEADINGS_FACE, layout.size, leading=1.25, color=SOFT))
        return [_rows([[[name, *content]]], [paper.text_width], layout, pad=0.15, ruled=True)]
    name = paragraph(heading, style(_HEADINGS_FACE, 9.0, leading=layout.size * 1.25 / 9.0, color=SOFT))
    widths = [_HEADING_MM * mm, paper.text_width - _HEADING_MM * mm]
    return [_rows([[name, content]], widths, layout, ruled=True)]


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
