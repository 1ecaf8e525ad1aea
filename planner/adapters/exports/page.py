"""The page that printed sheets share: paper, margins, ink, rules, lines of text and the foot."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate
from pathlib import Path
from typing import BinaryIO, Literal, Protocol

from reportlab.lib.colors import Color, black
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from planner.adapters.exports.base import write_export
from planner.adapters.exports.lettering.fonts import SANS, font_name
from planner.adapters.exports.lettering.lines import clusters, draw_line, text_width
from planner.adapters.exports.lettering.words import NARROWEST, Look, Words
from planner.wording.words import made_words

Anchor = Literal["left", "middle", "right"]

INK = black
SOFT = Color(0.36, 0.34, 0.31)
"""For small print: still 7 to 1 against white, so it survives a weak printer.

Source: contrast as in W3C, WCAG 2.1, success criterion 1.4.6.
"""
HAIRLINE = Color(0.62, 0.59, 0.54)
TINT = Color(0.953, 0.945, 0.925)

_SIZES = {"a4": A4, "letter": LETTER}


@dataclass(frozen=True, slots=True)
class Paper:
    """Page size and margins, in points."""

    width: float
    height: float
    margin: float = 17 * mm
    foot: float = 16 * mm

    @property
    def text_width(self) -> float:
        """Between the margins."""
        return self.width - 2 * self.margin


def paper_named(name: str) -> Paper:
    """Paper by its setting (``a4`` or ``letter``), whatever the case.

    Raises:
        KeyError: For another name; settings are checked before they come here.
    """
    return Paper(*_SIZES[name.lower()])


def new_canvas(out: BinaryIO, paper: Paper, *, title: str, author: str) -> Canvas:
    """A canvas whose bytes depend on nothing but what is drawn."""
    canvas = Canvas(
        out, pagesize=(paper.width, paper.height), invariant=1, pageCompression=1,
        initialFontName=font_name(SANS),  # type: ignore[arg-type]
    )  # fmt: skip
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject(title)
    canvas.setCreator("Sight-reading program planner")
    canvas.setCatalogEntry("Lang", "en-US")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    return canvas


def print_sheet(
    path: Path, paper: Paper, draw: Callable[[Canvas], None], *, title: str, author: str
) -> Path:  # fmt: skip
    """Write a PDF whole or not at all; its path.

    Raises:
        ExportError: If the folder or the file cannot be written.
    """

    def writer(out: BinaryIO) -> None:
        canvas = new_canvas(out, paper, title=title, author=author)
        draw(canvas)
        canvas.save()

    return write_export(path, writer)


def bookmark(canvas: Canvas, text: str, depth: int = 0, place: str = "") -> None:
    """A bookmark of this page; ``place`` tells it from others of the same text."""
    key = place or f"{depth}-{text}"
    canvas.bookmarkPage(key)
    canvas.addOutlineEntry(text, key, depth)


def style(
    face: str, size: float, *, leading: float = 1.3, color: Color = INK, after: float = 0.0
) -> Look:  # fmt: skip
    """How a paragraph looks; ``leading`` is in lines of the size, ``after`` the space below in points."""
    return Look(face, size, leading, color, after)


def paragraph(text: str, look: Look) -> Words:
    """Plain text (no markup in it) as a paragraph."""
    return Words(text, look)


def draw_text(
    canvas: Canvas, x: float, y: float, text: str, face: str, size: float,
    *, color: Color = INK, anchor: Anchor = "left",
) -> None:  # fmt: skip
    """One line of text from, around or up to ``x``."""
    if anchor != "left":
        x -= text_width(text, face, size) * (1.0 if anchor == "right" else 0.5)
    canvas.setFillColor(color)
    draw_line(canvas, x, y, text, face, size, color=color)
    canvas.setFillColor(INK)


def shortened(text: str, face: str, size: float, width: float) -> str:
    """The text, or its beginning and an ellipsis, so that it is at most this wide."""
    if text_width(text, face, size) <= width:
        return text
    letters = list(clusters(text[: int(width / (NARROWEST * size)) + 2]))
    low, high = 0, len(letters)
    while low < high:
        middle = (low + high + 1) // 2
        fits = text_width("".join(letters[:middle]).rstrip() + "…", face, size) <= width
        low, high = (middle, high) if fits else (low, middle - 1)
    return "".join(letters[:low]).rstrip() + "…"


def fitted(text: str, face: str, size: float, width: float, *, least: float) -> tuple[str, float]:
    """The text and the size in which it fits this width: smaller down to ``least``, then shortened."""
    wide = text_width(text, face, 1.0)
    size = max(least, min(size, 0.995 * width / wide)) if wide else size
    return shortened(text, face, size, width), size


def headline(
    text: str, face: str, size: float, width: float, *, least: float
) -> tuple[tuple[str, ...], float]:
    """A title on one line, or on two of about equal length where one would be too small; and its size."""
    wide = text_width(text, face, 1.0)
    words = text.split()
    if wide * least <= width or len(words) < 2:
        line, size = fitted(text, face, size, width, least=least)
        return (line,), size
    ends = list(accumulate(text_width(f"{word} ", face, 1.0) for word in words))
    at = min(range(1, len(words)), key=lambda at: max(ends[at - 1], ends[-1] - ends[at - 1]))
    first, second = " ".join(words[:at]), " ".join(words[at:])
    size = min(fitted(line, face, least, width, least=0.75 * least)[1] for line in (first, second))
    return (shortened(first, face, size, width), shortened(second, face, size, width)), size


def rule(canvas: Canvas, x: float, y: float, width: float, *, thick: float = 0.5, color: Color = INK) -> None:
    """A horizontal line."""
    canvas.setStrokeColor(color)
    canvas.setLineWidth(thick)
    canvas.setLineCap(0)
    canvas.line(x, y, x + width, y)
    canvas.setStrokeColor(INK)


def draw_foot(canvas: Canvas, paper: Paper, left: str, right: str) -> None:
    """The foot of a page: a hairline, where the sheet comes from, and its page."""
    face, y = font_name(SANS), paper.foot - 4 * mm
    rule(canvas, paper.margin, y + 10, paper.text_width, thick=0.4, color=HAIRLINE)
    room = paper.text_width - text_width(right, face, 7.5) - 12
    left, size = fitted(left, face, 7.5, room, least=6)
    draw_text(canvas, paper.margin, y, left, face, size, color=SOFT)
    draw_text(canvas, paper.width - paper.margin, y, right, face, 7.5, color=SOFT, anchor="right")


class Signed(Protocol):
    """A sheet that tells at its foot whose it is, and by which version of the library it was made when."""

    @property
    def ensemble(self) -> str:
        """Whose it is."""
        ...

    @property
    def made_on(self) -> date:
        """The day it was made."""
        ...

    @property
    def library_version(self) -> str:
        """What made it."""
        ...


def end_page(canvas: Canvas, paper: Paper, sheet: Signed, number: int, pages: int) -> None:
    """Draw the foot of page ``number`` of so many, and go on to the next."""
    made = made_words(sheet.made_on, sheet.library_version)
    draw_foot(canvas, paper, f"{sheet.ensemble}  ·  {made}", f"page {number} of {pages}")
    canvas.showPage()


def height_of(block: Flowable, paper: Paper) -> float:
    """Height of a block between the margins, in points."""
    return float(block.wrap(paper.text_width, paper.height)[1])


def draw_down(canvas: Canvas, paper: Paper, blocks: Sequence[Flowable], y: float) -> float:
    """Draw blocks one beneath the other from ``y`` on; where the last of them ends."""
    for block in blocks:
        y -= height_of(block, paper)
        block.drawOn(canvas, paper.margin, y)
    return y
