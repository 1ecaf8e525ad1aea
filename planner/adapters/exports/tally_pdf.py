"""The tally sheet of a reading day: boxes to tick for each section and piece, and names to cross out.

It is written on at a stand while the band reads, so rows are as high as the page allows.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name, register_fonts
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
    print_sheet,
    rule,
)
from planner.core.difficulty import FOCUSES
from planner.services.sheets.views import TallyPiece, TallySheet
from planner.wording.words import full_date, full_day

TICKS = ("10", "20", "30", "40", "50", "60", "70", "75", "80", "85", "90", "95", "100")
"""Bars right of 100 that have a box: in fives around the aim, in tens below. Source: house choice."""
APART = "apart"
HIGHEST_ROW, LEAST_ROW, LEAST_ALONE = 25.0, 16.0, 19.0
"""Height of a row in points: at most, at least, and at least for a sheet to stay on one page.

Source: house choice; ruled paper for handwriting has lines about 20 points apart (7.1 mm).
"""
_MARGIN, _FOOT = 12 * mm, 13 * mm
_HEAD, _SHORT_HEAD, _PIECE_HEAD, _NAMES_HEAD = 47.0, 16.0, 41.0, 34.0
_TEMPO_ROOM = 222.0
"""Width that is kept beside a title for the tempo that was taken."""
_NAME_LINE, _NAME_COLUMNS = 13.5, 4
_NAME_SIZE = 9.0
_SECTION_SHARE, _BOX, _SECOND = 0.2, 17.2, 34.0
"""Share of the width for a section's name, width of a box, and of the field for the second reading."""


@dataclass(frozen=True, slots=True)
class _Block:
    """Something that stands on a page whole.

    Attributes:
        height: How high it is.
        draw: Draws it with its upper edge at a height.
        again: What stands above it where it comes first on a page.
        keeps_next: Whether it is never the last on a page.
    """

    height: float
    draw: Callable[[Canvas, float], None]
    again: "_Block | None" = None
    keeps_next: bool = False


class TallyPdf:
    """Fulfils ``ports.writers.TallyWriter``: PDF, the same bytes for the same sheet."""

    def __init__(self, paper: str = "a4") -> None:
        register_fonts()
        named = paper_named(paper)
        self._paper = Paper(named.width, named.height, _MARGIN, _FOOT)

    def write(self, sheet: TallySheet, path: Path) -> Path:
        """Print the sheet."""
        title = f"{full_date(sheet.on)}: tally sheet"

        def draw(canvas: Canvas) -> None:
            bookmark(canvas, title)
            self._draw(canvas, sheet)

        return print_sheet(path, self._paper, draw, title=title, author=sheet.ensemble)

    def _draw(self, canvas: Canvas, sheet: TallySheet) -> None:
        pages = self._laid_out(sheet)
        for number, blocks in enumerate(pages, start=1):
            y = self._paper.height - self._paper.margin
            y = self._head(canvas, sheet, y) if number == 1 else self._short_head(canvas, sheet, y)
            for block in blocks:
                block.draw(canvas, y)
                y -= block.height
            end_page(canvas, self._paper, sheet, number, len(pages))

    def _laid_out(self, sheet: TallySheet) -> list[list[_Block]]:
        """The blocks page by page, on as few pages as it takes, the rows as high as there is room."""
        most_pages = 1
        while True:
            height, least = HIGHEST_ROW, LEAST_ALONE if most_pages == 1 else LEAST_ROW
            while height >= least:
                pages = self._pages(list(self._blocks(sheet, height)))
                if len(pages) <= most_pages:
                    return pages
                height -= 0.5
            most_pages += 1

    def _pages(self, blocks: Sequence[_Block]) -> list[list[_Block]]:
        pages: list[list[_Block]] = [[]]
        full = self._paper.height - self._paper.margin - self._paper.foot
        room = full - _HEAD
        for at, block in enumerate(blocks):
            following = blocks[at + 1].height if block.keeps_next and at + 1 < len(blocks) else 0.0
            if block.height + following > room and pages[-1]:
                pages.append([])
                room = full - _SHORT_HEAD
                if block.again is not None:
                    pages[-1].append(block.again)
                    room -= block.again.height
            pages[-1].append(block)
            room -= block.height
        return pages

    def _blocks(self, sheet: TallySheet, row_height: float) -> Iterator[_Block]:
        for piece in sheet.pieces:
            yield _Block(_PIECE_HEAD, self._piece_head(piece, is_continued=False), keeps_next=True)
            again = _Block(_PIECE_HEAD, self._piece_head(piece, is_continued=True))
            for name, is_away in piece.sections:
                yield _Block(row_height, self._row(name, row_height, is_away=is_away), again)
        if sheet.players:
            yield from self._names(sheet)

    def _head(self, canvas: Canvas, sheet: TallySheet, y: float) -> float:
        left, width = self._paper.margin, self._paper.text_width
        bold, italic = font_name(SERIF, bold=True), font_name(SERIF, italic=True)
        draw_text(canvas, left, y - 13, full_day(sheet.on), bold, 15)
        whose, size = fitted(f"{sheet.ensemble}, {sheet.term}", italic, 10, 0.5 * width, least=7)
        draw_text(canvas, left + width, y - 13, whose, italic, size, color=SOFT, anchor="right")
        sans = font_name(SANS)
        for at, text in enumerate(
            (
                "Tick how many of 100 bars came out right on the first reading; write the second beside it.",
                f"What may have gone wrong: {', '.join(FOCUSES)}.",
            )
        ):
            line, size = fitted(text, sans, 8, width, least=6)
            draw_text(canvas, left, y - 26 - 10 * at, line, sans, size, color=SOFT)
        rule(canvas, left, y - 42, width, thick=1.2)
        return y - _HEAD

    def _short_head(self, canvas: Canvas, sheet: TallySheet, y: float) -> float:
        bold = font_name(SERIF, bold=True)
        draw_text(canvas, self._paper.margin, y - 9, f"{full_day(sheet.on)} (continued)", bold, 10)
        return y - _SHORT_HEAD

    def _piece_head(self, piece: TallyPiece, *, is_continued: bool) -> Callable[[Canvas, float], None]:
        def draw(canvas: Canvas, y: float) -> None:
            left, width, small = self._paper.margin, self._paper.text_width, font_name(SANS)
            bold = font_name(SERIF, bold=True)
            title = f"{piece.title} (continued)" if is_continued else piece.title
            if not is_continued:
                self._tempo_taken(canvas, piece.tempo, y - 17)
            text, size = fitted(title, bold, 12.5, width - _TEMPO_ROOM, least=8)
            draw_text(canvas, left, y - 17, text, bold, size)
            places = self._places()
            for at, label in (
                (places.boxes, "First reading"), (places.second, "Second"), (places.wrong, "Went wrong"),
                (places.remark, "Remark"),
            ):  # fmt: skip
                draw_text(canvas, at, y - 32, label, small, 7.5, color=SOFT)
            rule(canvas, left, y - 37, width, thick=0.8)

        return draw

    def _tempo_taken(self, canvas: Canvas, aim: str, y: float) -> None:
        right, line = self._paper.margin + self._paper.text_width, 62.0
        words = f"Tempo taken (aim {aim})" if aim else "Tempo taken"
        draw_text(canvas, right - line - 4, y, words, font_name(SANS), 8.5, color=SOFT, anchor="right")
        rule(canvas, right - line, y - 2, line, thick=0.7)

    def _places(self) -> "_Places":
        left, width = self._paper.margin, self._paper.text_width
        boxes = left + _SECTION_SHARE * width
        second = boxes + _BOX * (len(TICKS) + 1) + 16
        rest = left + width - second - _SECOND - 8
        wrong = second + _SECOND + 8
        return _Places(boxes, second, wrong, wrong + 0.5 * rest, left + width)

    def _row(self, name: str, height: float, *, is_away: bool) -> Callable[[Canvas, float], None]:
        def draw(canvas: Canvas, y: float) -> None:
            left, places, sans = self._paper.margin, self._places(), font_name(SANS)
            shown = f"{name} (away)" if is_away else name
            text, size = fitted(shown, sans, 10, places.boxes - left - 6, least=6.5)
            middle = y - height / 2 - 1.0
            draw_text(canvas, left, middle - 0.35 * size, text, sans, size, color=SOFT if is_away else INK)
            box = min(height - 3.5, 17.0)
            for at, label in enumerate((APART, *TICKS)):
                wide = _BOX + 8 if not at else _BOX
                x = places.boxes + (at * _BOX + 8 if at else 0)
                _draw_box(canvas, x, middle - box / 2, wide, box, label)
            canvas.setLineWidth(0.7)
            canvas.rect(places.second, middle - box / 2, _SECOND, box)
            rule(canvas, places.wrong, y - height + 1.5, places.remark - places.wrong - 6, thick=0.4)
            rule(canvas, places.remark, y - height + 1.5, places.end - places.remark, thick=0.4)

        return draw

    def _names(self, sheet: TallySheet) -> Iterator[_Block]:
        """The names in columns, section by section, as many lines together as a page holds."""
        lines = [
            line for section, names in sheet.players for line in (("", section), *(("-", n) for n in names))
        ]
        full = self._paper.height - self._paper.margin - self._paper.foot - _SHORT_HEAD - _NAMES_HEAD
        a_page = max(1, int(full / _NAME_LINE)) * _NAME_COLUMNS
        for start in range(0, len(lines), a_page):
            own = lines[start : start + a_page]
            rows = -(-len(own) // _NAME_COLUMNS)
            yield _Block(_NAMES_HEAD + rows * _NAME_LINE, self._names_block(own, rows))

    def _names_block(self, lines: Sequence[tuple[str, str]], rows: int) -> Callable[[Canvas, float], None]:
        def draw(canvas: Canvas, y: float) -> None:
            self._names_head(canvas, y)
            gap = 10.0
            wide = (self._paper.text_width - gap * (_NAME_COLUMNS - 1)) / _NAME_COLUMNS
            for at, (kind, text) in enumerate(lines):
                column, row = divmod(at, rows)
                x = self._paper.margin + column * (wide + gap)
                base = y - _NAMES_HEAD - row * _NAME_LINE - 0.7 * _NAME_LINE
                face = font_name(SANS, bold=not kind)
                indent = 12.0 if kind else 0.0
                line, size = fitted(text, face, _NAME_SIZE, wide - indent - 16, least=6.5)
                draw_text(canvas, x + indent, base, line, face, size)
                if kind:
                    canvas.setLineWidth(0.5)
                    canvas.setStrokeColor(HAIRLINE)
                    canvas.rect(x, base - 1, 8, 8)
                    canvas.setStrokeColor(INK)

        return draw

    def _names_head(self, canvas: Canvas, y: float) -> None:
        left, width, bold = self._paper.margin, self._paper.text_width, font_name(SERIF, bold=True)
        draw_text(canvas, left, y - 18, "Who is missing", bold, 12)
        how = "Cross out who is absent; write L in the box for late, E for excused. All others are here."
        draw_text(canvas, left + width, y - 18, how, font_name(SANS), 8, color=SOFT, anchor="right")
        rule(canvas, left, y - 24, width, thick=0.8)


@dataclass(frozen=True, slots=True)
class _Places:
    """Where the columns of a row begin, and where the last one ends."""

    boxes: float
    second: float
    wrong: float
    remark: float
    end: float


def _draw_box(canvas: Canvas, x: float, y: float, width: float, height: float, label: str) -> None:
    """A box to tick, its number in small print inside it."""
    canvas.setLineWidth(0.6)
    canvas.rect(x, y, width, height)
    face = font_name(SANS)
    draw_text(canvas, x + width / 2, y + height / 2 - 2.6, label, face, 7.2, color=SOFT, anchor="middle")
