"""A small typeface with the notes that the sheets' typefaces lack: whole, half and sixteenth.

They are drawn here, in the proportions of the quarter note of the other faces, so that the beats of all
metronome marks look alike.
"""

import math
from io import BytesIO

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

_UNITS = 2048
_STEM_LEFT, _STEM_RIGHT, _STEM_TOP = 609, 695, 1493
_HEAD = (433, 151, 262, 162)
"""Middle and radii of a note's head."""
_ADVANCE = 966
_FLAGGED_ADVANCE = 1307
_ARC = math.pi / 4

STAND_INS = {0x1D15D: 0xECA2, 0x1D15E: 0xECA3, 0x1D161: 0xECA9}
"""The character of each note, and the one that stands for it here: a PDF's table of characters is written
with four digits for each, which those of music do not fit.

Source: Unicode, Musical Symbols; SMuFL, metronome marks (metNoteWhole, metNoteHalfUp, metNote16thUp).
"""


def note_face() -> BytesIO:
    """The typeface as a TrueType file: the same bytes every time."""
    glyphs = {
        ".notdef": TTGlyphPen(None).glyph(),
        "whole": _whole(),
        "half": _half(),
        "sixteenth": _sixteenth(),
    }
    advances = {".notdef": _ADVANCE, "whole": _ADVANCE, "half": _ADVANCE, "sixteenth": _FLAGGED_ADVANCE}
    builder = FontBuilder(_UNITS, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap(dict(zip(STAND_INS.values(), ("whole", "half", "sixteenth"), strict=True)))
    builder.setupGlyf(glyphs)
    builder.setupHorizontalMetrics({name: (advance, 0) for name, advance in advances.items()})
    builder.setupHorizontalHeader(ascent=1556, descent=-492)
    builder.setupNameTable({"familyName": "Notes", "styleName": "Regular", "psName": "Notes"})
    builder.setupOS2()
    builder.setupPost()
    builder.updateHead(created=0, modified=0)
    builder.font.recalcTimestamp = False
    out = BytesIO()
    builder.save(out)
    out.seek(0)
    return out


def _whole() -> object:
    pen = TTGlyphPen(None)
    _ellipse(pen, (483, 165, 360, 185))
    _ellipse(pen, (483, 165, 150, 105), tilt=2.0, is_hole=True)
    return pen.glyph()


def _half() -> object:
    pen = TTGlyphPen(None)
    _stem(pen)
    _ellipse(pen, _HEAD)
    _ellipse(pen, (433, 151, 198, 58), tilt=0.42, is_hole=True)
    return pen.glyph()


def _sixteenth() -> object:
    pen = TTGlyphPen(None)
    _stem(pen)
    _ellipse(pen, _HEAD)
    for top in (_STEM_TOP, _STEM_TOP - 330):
        pen.moveTo((_STEM_LEFT, top))
        pen.lineTo((_STEM_RIGHT, top))
        pen.qCurveTo((720, top - 120), (900, top - 200))
        pen.qCurveTo((1150, top - 330), (1030, top - 590))
        pen.lineTo((985, top - 570))
        pen.qCurveTo((1060, top - 370), (850, top - 300))
        pen.qCurveTo((720, top - 260), (_STEM_LEFT, top - 230))
        pen.closePath()
    return pen.glyph()


def _stem(pen: TTGlyphPen) -> None:
    pen.moveTo((_STEM_LEFT, 151))
    pen.lineTo((_STEM_LEFT, _STEM_TOP))
    pen.lineTo((_STEM_RIGHT, _STEM_TOP))
    pen.lineTo((_STEM_RIGHT, 151))
    pen.closePath()


def _ellipse(
    pen: TTGlyphPen, middle_and_radii: tuple[int, int, int, int], *, tilt: float = 0.0, is_hole: bool = False
) -> None:
    """Eight quadratic arcs: clockwise, or the other way round for a hole; ``tilt`` is in radians."""
    x, y, wide, high = middle_and_radii

    def at(arc: float, reach: float = 1.0) -> tuple[int, int]:
        across, up = reach * wide * math.cos(arc), reach * high * math.sin(arc)
        return (
            round(x + across * math.cos(tilt) - up * math.sin(tilt)),
            round(y + across * math.sin(tilt) + up * math.cos(tilt)),
        )

    turn = _ARC if is_hole else -_ARC
    pen.moveTo(at(0.0))
    for step in range(8):
        pen.qCurveTo(at((step + 0.5) * turn, 1 / math.cos(_ARC / 2)), at((step + 1) * turn))
    pen.closePath()
