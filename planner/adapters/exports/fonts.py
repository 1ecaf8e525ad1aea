"""Typefaces for printed sheets: registered once, with the flat, sharp and natural signs in them.

The files lie beside this module, with their licences, so a printed sheet looks the
same on every computer and nothing has to be installed. Characters a face lacks are set
in another that has them, East Asian names in the typefaces every PDF reader knows.
"""

from collections.abc import Iterator
from functools import cache
from itertools import groupby
from pathlib import Path
from xml.sax.saxutils import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.cidfonts import UnicodeCIDFont
from reportlab.pdfbase.ttfonts import TTFont

from planner.adapters.exports.note_face import STAND_INS, note_face

SERIF, SANS, MUSIC_TEXT, NOTES = "Programme", "ProgrammeSans", "MusicText", "Notes"
"""Families: running text, figures and small print, words inside engraved music, notes that those lack."""

_FILES = {
    SERIF: ("DejaVuSerif", "DejaVuSerif-Bold", "DejaVuSerif-Italic", "DejaVuSerif-BoldItalic"),
    SANS: ("DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-Oblique", "DejaVuSans-BoldOblique"),
    MUSIC_TEXT: ("STIXGeneral", "STIXGeneralBol", "STIXGeneralItalic", "STIXGeneralBolIta"),
}
_STYLES = ("", "-Bold", "-Italic", "-BoldItalic")
_EAST_ASIAN = (
    ("HYSMyeongJo-Medium", ((0x1100, 0x11FF), (0x3130, 0x318F), (0xAC00, 0xD7AF))),
    ("HeiseiMin-W3", ((0x3000, 0x30FF), (0x31F0, 0x31FF), (0xFF00, 0xFFEF))),
    ("STSong-Light", ((0x2E80, 0x2FFF), (0x3400, 0x9FFF), (0xF900, 0xFAFF))),
)
_MISSING = "\N{REPLACEMENT CHARACTER}"


@cache
def register_fonts() -> None:
    """Make the families known to the PDF library; only the first call does anything."""
    folder = Path(__file__).parent / "typefaces"
    for family, files in _FILES.items():
        names = [family + style for style in _STYLES]
        for name, file in zip(names, files, strict=True):
            pdfmetrics.registerFont(TTFont(name, str(folder / f"{file}.ttf")))
        pdfmetrics.registerFontFamily(
            family, normal=names[0], bold=names[1], italic=names[2], boldItalic=names[3]
        )
    pdfmetrics.registerFont(TTFont(NOTES, note_face()))


def font_name(family: str, *, bold: bool = False, italic: bool = False) -> str:
    """Name of a face of a family."""
    return family + _STYLES[2 * italic + bold]


def faced_runs(text: str, face: str) -> Iterator[tuple[str, str]]:
    """The text in pieces, each with the face that has its characters: ``(piece, face)``."""
    register_fonts()
    for found, run in groupby(text.translate(STAND_INS), key=lambda char: _face_for(char, face)):
        piece = "".join(run)
        yield (piece, found) if found else (_MISSING * len(piece), font_name(SERIF))


def marked_up(text: str, face: str) -> str:
    """The text for a ``Paragraph`` in this face: markup escaped, other faces named where needed."""
    return "".join(
        escape(piece) if found == face else f'<font name="{found}">{escape(piece)}</font>'
        for piece, found in faced_runs(text, face)
    )


def text_width(text: str, face: str, size: float) -> float:
    """Width in points, with the faces ``faced_runs`` would use."""
    return sum(float(pdfmetrics.stringWidth(piece, found, size)) for piece, found in faced_runs(text, face))


@cache
def _face_for(char: str, face: str) -> str:
    """The face itself, else one of its weight, else any that has the character; empty for none."""
    style = face[face.index("-") :] if "-" in face else ""
    for name in (face, SERIF + style, SERIF, SANS + style, SANS, MUSIC_TEXT, NOTES):
        if ord(char) in _characters(name):
            return name
    for name, blocks in _EAST_ASIAN:
        if any(low <= ord(char) <= high for low, high in blocks):
            if name not in pdfmetrics.getRegisteredFontNames():
                pdfmetrics.registerFont(UnicodeCIDFont(name))
            return name
    return ""


@cache
def _characters(name: str) -> frozenset[int]:
    font = pdfmetrics.getFont(name)
    return frozenset(font.face.charToGlyph) if isinstance(font, TTFont) else frozenset()
