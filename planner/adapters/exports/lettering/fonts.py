"""Typefaces for printed sheets: the file of each, registered when it is first used, and which has a letter.

The files lie beside this module, with their licences, so a printed sheet looks the
same on every computer and nothing has to be installed. Letters that the sheets' own
families lack are set in the face of their script.
"""

from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics

from planner.adapters.exports.lettering.face import Face
from planner.adapters.exports.lettering.note_face import STAND_INS, note_face

SERIF, SANS, MUSIC_TEXT, NOTES = "Programme", "ProgrammeSans", "MusicText", "Notes"
"""Families: running text, figures and small print, words inside engraved music, notes that those lack."""

_FILES = {
    SERIF: ("DejaVuSerif", "DejaVuSerif-Bold", "DejaVuSerif-Italic", "DejaVuSerif-BoldItalic"),
    SANS: ("DejaVuSans", "DejaVuSans-Bold", "DejaVuSans-Oblique", "DejaVuSans-BoldOblique"),
    MUSIC_TEXT: ("STIXGeneral", "STIXGeneralBol", "STIXGeneralItalic", "STIXGeneralBolIta"),
}
_STYLES = ("", "-Bold", "-Italic", "-BoldItalic")
_SCRIPTS: tuple[tuple[str, tuple[tuple[int, int], ...]], ...] = (
    ("NotoSansHebrew", ((0x590, 0x5FF), (0xFB1D, 0xFB4F))),
    ("NotoSansArabic", ((0x600, 0x6FF), (0x750, 0x77F), (0x8A0, 0x8FF), (0xFB50, 0xFDFF), (0xFE70, 0xFEFC))),
    ("NotoSansSyriac", ((0x700, 0x74F), (0x860, 0x86F))),
    ("NotoSansThaana", ((0x780, 0x7BF),)),
    ("NotoSansNKo", ((0x7C0, 0x7FF),)),
    ("NotoSansDevanagari", ((0x900, 0x97F), (0xA8E0, 0xA8FF), (0x1CD0, 0x1CFF))),
    ("NotoSansBengali", ((0x980, 0x9FF),)),
    ("NotoSansGurmukhi", ((0xA00, 0xA7F),)),
    ("NotoSansGujarati", ((0xA80, 0xAFF),)),
    ("NotoSansOriya", ((0xB00, 0xB7F),)),
    ("NotoSansTamil", ((0xB80, 0xBFF),)),
    ("NotoSansTelugu", ((0xC00, 0xC7F),)),
    ("NotoSansKannada", ((0xC80, 0xCFF),)),
    ("NotoSansMalayalam", ((0xD00, 0xD7F),)),
    ("NotoSansSinhala", ((0xD80, 0xDFF),)),
    ("NotoSansThai", ((0xE00, 0xE7F),)),
    ("NotoSansLao", ((0xE80, 0xEFF),)),
    ("NotoSansMyanmar", ((0x1000, 0x109F), (0xA9E0, 0xA9FF), (0xAA60, 0xAA7F))),
    ("NotoSansEthiopic", ((0x1200, 0x139F), (0x2D80, 0x2DDF), (0xAB00, 0xAB2F))),
    ("NotoSansCherokee", ((0x13A0, 0x13FF), (0xAB70, 0xABBF))),
    ("NotoSansCanadianAboriginal", ((0x1400, 0x167F), (0x18B0, 0x18FF))),
    ("NotoSansKhmer", ((0x1780, 0x17FF), (0x19E0, 0x19FF))),
    ("NotoSansMongolian", ((0x1800, 0x18AF),)),
    ("NotoSansHangul", ((0x1100, 0x11FF), (0x3130, 0x318F), (0xA960, 0xA97F), (0xAC00, 0xD7FF))),
    ("DroidSansFallback", ((0x2E80, 0x312F), (0x3190, 0x9FFF), (0xF900, 0xFAFF), (0xFE30, 0xFE4F),
                           (0xFF00, 0xFFEF))),
    ("NotoEmoji", ((0x1F000, 0x1FAFF), (0xE0020, 0xE007F))),
)  # fmt: skip
"""The face of each script, with its blocks. Chinese, Japanese and Korean share the shapes of one set of Han
characters, as they are printed in China.

Source: blocks after the Unicode Standard, Blocks.txt.
"""
_FOLDER = Path(__file__).parent / "typefaces"
_EMOJI_LOOK = "\N{VARIATION SELECTOR-16}"
"""What asks for a picture where a letter would do."""


@cache
def register_fonts() -> None:
    """Make the sheets' own families known to the PDF library; only the first call does anything."""
    for family, files in _FILES.items():
        for style, file in zip(_STYLES, files, strict=True):
            pdfmetrics.registerFont(Face(family + style, str(_FOLDER / f"{file}.ttf")))
    drawn = {stand_in: chr(note) for note, stand_in in STAND_INS.items()}
    pdfmetrics.registerFont(Face(NOTES, note_face(), read_as=drawn))


@cache
def face_named(name: str) -> Face:
    """A typeface by its name, its file read at the first call."""
    register_fonts()
    if name in dict(_SCRIPTS):
        pdfmetrics.registerFont(Face(name, str(_FOLDER / f"{name}.ttf")))
    face = pdfmetrics.getFont(name)
    assert isinstance(face, Face)
    return face


def font_name(family: str, *, bold: bool = False, italic: bool = False) -> str:
    """Name of a face of a family."""
    return family + _STYLES[2 * italic + bold]


def is_thickened(found: str, wanted: str) -> bool:
    """Whether letters in this face are to look bold though it has no bold face."""
    return found in dict(_SCRIPTS) and "Bold" in wanted


@cache
def face_for(letter: str, face: str) -> str:
    """Name of the face for a letter with the marks on it; empty when none has the letter.

    The face of its script, else the face wanted, else one of its weight, else any that has it.
    """
    register_fonts()
    style = face[face.index("-") :] if "-" in face else ""
    own = (face, SERIF + style, SERIF, SANS + style, SANS, MUSIC_TEXT, NOTES)
    of_script = [
        name for name, blocks in _SCRIPTS if any(low <= ord(letter[0]) <= high for low, high in blocks)
    ]
    wanted = ("NotoEmoji", *of_script, *own) if _EMOJI_LOOK in letter else (*of_script, *own, "NotoEmoji")
    having = [name for name in wanted if face_named(name).has(letter[0])]
    whole = (name for name in having if all(face_named(name).has(mark) for mark in letter[1:]))
    return next(whole, having[0] if having else "")
