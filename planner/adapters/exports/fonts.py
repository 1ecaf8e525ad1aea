"""Typefaces for printed sheets: registered once, with the flat, sharp and natural signs in them.

The files come with matplotlib, so a printed sheet looks the same on every
computer and nothing has to be installed.
"""

from functools import cache
from pathlib import Path

import matplotlib
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

SERIF, SANS, MUSIC_TEXT = "Programme", "ProgrammeSans", "MusicText"
"""Families: running text, figures and small print, words inside engraved music."""

_FILES = {
    SERIF: ("DejaVuSerif", "DejaVuSerif-Bold", "DejaVuSerif-Italic", "DejaVuSerif-BoldItalic"),
    SANS: ("DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-Oblique", "DejaVuSans-BoldOblique"),
    MUSIC_TEXT: ("STIXGeneral", "STIXGeneralBol", "STIXGeneralItalic", "STIXGeneralBolIta"),
}
_STYLES = ("", "-Bold", "-Italic", "-BoldItalic")


@cache
def register_fonts() -> None:
    """Make the families known to the PDF library; only the first call does anything."""
    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for family, files in _FILES.items():
        names = [family + style for style in _STYLES]
        for name, file in zip(names, files, strict=True):
            pdfmetrics.registerFont(TTFont(name, str(folder / f"{file}.ttf")))
        pdfmetrics.registerFontFamily(
            family, normal=names[0], bold=names[1], italic=names[2], boldItalic=names[3]
        )


def font_name(family: str, *, bold: bool = False, italic: bool = False) -> str:
    """Name of a face of a family."""
    return family + _STYLES[2 * italic + bold]
