"""The pre-read guide as a printed sheet: one part's page, or a packet of all of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Table

from planner.adapters.exports.base import write_export
from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name, register_fonts
from planner.adapters.exports.lettering.lines import text_width
from planner.adapters.exports.lettering.words import Look, Words
from planner.adapters.exports.page import (
    HAIRLINE,
    SOFT,
    TINT,
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
from planner.services.sheets.views import GuideExcerpt, GuideTopic, GuideView
from planner.wording.words import full_date, full_day


@dataclass(frozen=True, slots=True)
class _Layout:
    """Text size, share of the width for the music, and whether sentences follow each other on a line."""

    size: float
    music: float = 1.0
    run_in: bool = False


_LAYOUTS = (
    *(_Layout(size) for size in (12.5, 12.0, 11.5, 11.0, 10.5)),
    _Layout(11.0, run_in=True),
    _Layout(10.5, run_in=True),
    _Layout(10.0, run_in=True),
    _Layout(10.0, 0.9, run_in=True),
    _Layout(10.0, 0.8, run_in=True),
)
"""Tried in this order to keep a guide on one page.

Source: House choice; 10 point is the smallest that reads on a stand at arm's length.
"""
_HEADING_MM = 29
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
            first = views[0]
            canvas = new_canvas(
                out, self._paper, title=f"{first.title}: {_parts(views)}", author=first.ensemble
            )
            for view in views:
                _draw_guide(canvas, self._paper, view)
            canvas.save()

        return write_export(path, writer)


def _parts(views: Sequence[GuideView]) -> str:
    return views[0].part if len(views) == 1 else f"guides for {len(views)} parts"


def _draw_guide(canvas: Canvas, paper: Paper, view: GuideView) -> None:
    head = _Head(paper, view)
    pages = _pages(view, paper, head.top)
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
        return self.paper.height - self.paper.margin - 97 - 1.2 * size * (len(lines) - 1)

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
        self._draw_facts(canvas, y - 90)

    def _draw_facts(self, canvas: Canvas, y: float) -> None:
        paper, view = self.paper, self.view
        facts = ((("First reading", view.tempo),) if view.tempo else ()) + view.facts
        canvas.setFillColor(TINT)
        canvas.rect(paper.margin, y - 5, paper.text_width, 21, stroke=0, fill=1)
        label, value = font_name(SANS), font_name(SANS, bold=True)
        size = 10.0
        while size > 7 and _facts_width(facts, size) > paper.text_width - 12:
            size -= 0.25
        while facts and _facts_width(facts, size) > paper.text_width - 12:
            facts = facts[:-1]
        x = paper.margin + 6
        for name, text in facts:
            draw_text(canvas, x, y + 2, name, label, size * 0.85, color=SOFT)
            x += text_width(name, label, size * 0.85) + size * 0.5
            draw_text(canvas, x, y + 2, text, value, size)
            x += text_width(text, value, size) + size * 1.6


def _facts_width(facts: Sequence[tuple[str, str]], size: float) -> float:
    label, value = font_name(SANS), font_name(SANS, bold=True)
    words = sum(text_width(n, label, size * 0.85) + text_width(t, value, size) for n, t in facts)
    return words + size * (2.1 * len(facts) - 1.6)


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
    blocks: list[Flowable] = [_excerpt(excerpt, paper, layout) for excerpt in view.excerpts[:1]]
    blocks += [_topic(topic, paper, layout) for topic in view.topics]
    blocks += [_excerpt(excerpt, paper, layout) for excerpt in view.excerpts[1:]]
    if view.cautions:
        blocks.append(_cautions(view.cautions, paper, layout))
    return blocks


def _excerpt(excerpt: GuideExcerpt, paper: Paper, layout: _Layout) -> Table:
    size = layout.size
    caption = paragraph(excerpt.caption, style(_HEADINGS_FACE, size * 0.82, color=SOFT))
    music = [[EngravedMusic(excerpt.svg, layout.music * paper.text_width)]] if excerpt.svg else []
    return Table(
        [[caption], *music],
        colWidths=[paper.text_width],
        style=[
            ("FONTNAME", (0, 0), (-1, -1), font_name(SANS)),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), size * 0.35),
            ("BOTTOMPADDING", (0, 0), (-1, -1), size * 0.2),
            ("LINEABOVE", (0, 0), (-1, 0), 0.4, HAIRLINE),
        ],
    )


def _topic(topic: GuideTopic, paper: Paper, layout: _Layout) -> Table:
    size = layout.size
    heading = paragraph(topic.heading, style(_HEADINGS_FACE, size * 0.82, leading=1.55, color=SOFT))
    look = style(font_name(SERIF), size, leading=1.25, after=size * 0.15)
    sentences = _sentences(topic.sentences, look, layout)
    return Table(
        [[heading, sentences]],
        colWidths=[_HEADING_MM * mm, paper.text_width - _HEADING_MM * mm],
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("FONTNAME", (0, 0), (-1, -1), font_name(SANS)),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (0, 0), 6),
            ("RIGHTPADDING", (1, 0), (1, 0), 0),
            ("TOPPADDING", (0, 0), (-1, -1), size * 0.22),
            ("BOTTOMPADDING", (0, 0), (-1, -1), size * 0.3),
            ("LINEABOVE", (0, 0), (-1, 0), 0.4, HAIRLINE),
        ],
    )


def _sentences(sentences: Sequence[str], look: Look, layout: _Layout) -> list[Words]:
    lines = ("\N{NO-BREAK SPACE} ".join(sentences),) if layout.run_in else sentences
    return [paragraph(line, look) for line in lines]


def _cautions(cautions: Sequence[str], paper: Paper, layout: _Layout) -> Table:
    size = layout.size
    look = style(font_name(SERIF, italic=True), size * 0.86, leading=1.25)
    return Table(
        [[paragraph("Take care", style(_HEADINGS_FACE, size * 0.82, color=SOFT)),
          _sentences(cautions, look, layout)]],
        colWidths=[_HEADING_MM * mm, paper.text_width - _HEADING_MM * mm],
        style=[
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("FONTNAME", (0, 0), (-1, -1), font_name(SANS)),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), size * 0.3),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
            ("LINEABOVE", (0, 0), (-1, 0), 0.8, SOFT),
        ],
    )  # fmt: skip
