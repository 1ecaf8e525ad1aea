"""The first pages of a packet: its sheets, for whom, how many copies, and which parts have none."""

from collections.abc import Sequence
from itertools import accumulate

from reportlab.pdfgen.canvas import Canvas

from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name
from planner.adapters.exports.page import (
    HAIRLINE,
    SOFT,
    Anchor,
    Paper,
    bookmark,
    draw_foot,
    draw_text,
    fitted,
    headline,
    rule,
)
from planner.services.sheets.views import GuidePacket
from planner.wording.director.sheet import SHEET_TITLE
from planner.wording.player_sheet import NO_SHEET, PACKET_HEADINGS
from planner.wording.words import full_day

_ROW = 17.0


def draw_contents(canvas: Canvas, paper: Paper, packet: GuidePacket, lengths: Sequence[int]) -> None:
    """Draw the contents; they take as many pages as they need.

    Args:
        canvas: Where.
        paper: Its paper.
        packet: What is in it.
        lengths: Pages of the director's sheet if it is in it, then of each part's sheet, all its copies and
            its answers together.
    """
    listed = [(SHEET_TITLE, "", 1)] if packet.director else []
    listed += [(packet.name_of(view), view.players, view.copies) for view in packet.sheets]
    rows = len(listed) + (len(packet.without) + 2 if packet.without else 0)
    first = paper.height - paper.margin - 96
    room = int((first - paper.foot - 10) / _ROW)
    own = -(-rows // room)
    starts = list(accumulate(lengths, initial=own + 1))
    lines = [(*who, str(copies), str(start)) for (*who, copies), start in zip(listed, starts, strict=False)]
    if packet.without:
        lines += [("", "", "", ""), (NO_SHEET, "", "", ""), *((*each, "", "") for each in packet.without)]
    bookmark(canvas, "Contents")
    for page in range(own):
        _draw_page(canvas, paper, packet, lines[page * room : (page + 1) * room], first)
        draw_foot(canvas, paper, packet.sheets[0].ensemble, f"Contents, page {page + 1} of {own}")
        canvas.showPage()


def _draw_page(
    canvas: Canvas, paper: Paper, packet: GuidePacket, lines: Sequence[tuple[str, ...]], y: float
) -> None:
    view, left, wide = packet.sheets[0], paper.margin, paper.text_width
    bold, plain = font_name(SANS, bold=True), font_name(SANS)
    titles, size = headline(packet.title or view.title, font_name(SERIF, bold=True), 23, wide, least=16)
    top = paper.height - paper.margin - 24
    for at, title in enumerate(titles):
        draw_text(canvas, left, top - 1.2 * size * at, title, font_name(SERIF, bold=True), size)
    about, small = fitted(f"{view.ensemble}, {full_day(view.on)}", plain, 10, wide, least=7)
    draw_text(canvas, left, y + 32, about, plain, small, color=SOFT)
    for text, x, anchor in _columns(PACKET_HEADINGS, left, wide):
        draw_text(canvas, x, y + 8, text, bold, 9, color=SOFT, anchor=anchor)
    rule(canvas, left, y + 3, wide, thick=0.8)
    for line in lines:
        y -= _ROW
        face = bold if line[0] == NO_SHEET and not line[1] else plain
        for at, (text, x, anchor) in enumerate(_columns(line, left, wide)):
            room = (0.38, 0.38 if line[2] else 0.6, 0.1, 0.1)[at] * wide
            shown, size = fitted(text, face, 10, room, least=7)
            draw_text(canvas, x, y + 4, shown, face, size, anchor=anchor)
        if line[0]:
            rule(canvas, left, y, wide, thick=0.3, color=HAIRLINE)


def _columns(texts: Sequence[str], left: float, wide: float) -> list[tuple[str, float, Anchor]]:
    part, players, copies, page = texts
    return [
        (part, left, "left"), (players, left + 0.4 * wide, "left"), (copies, left + 0.9 * wide, "right"),
        (page, left + wide, "right"),
    ]  # fmt: skip
