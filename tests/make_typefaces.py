"""Makes the typefaces of scripts that the sheets' own families lack, small enough to be carried along.

    python -m tests.make_typefaces ORIGINALS

``ORIGINALS`` holds the files of ``SCRIPTS`` as their makers publish them (Debian: fonts-noto-core,
fonts-noto-cjk, fonts-droid-fallback; Noto Emoji as a static TrueType file). What printing does not need goes:
hints for screens, glyph names, characters that another face has. Outlines of cubic curves become quadratic
ones, which is what a PDF's TrueType holds.
"""

import sys
from pathlib import Path

from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont, newTable
from fontTools.ttLib.scaleUpem import scale_upem

FOLDER = Path(__file__).parent.parent / "planner" / "adapters" / "exports" / "lettering" / "typefaces"
SCRIPTS = (
    "Arabic", "Bengali", "CanadianAboriginal", "Cherokee", "Devanagari", "Ethiopic", "Gujarati", "Gurmukhi",
    "Hebrew", "Kannada", "Khmer", "Lao", "Malayalam", "Mongolian", "Myanmar", "NKo", "Oriya", "Sinhala",
    "Syriac", "Tamil", "Telugu", "Thaana", "Thai",
)  # fmt: skip
HANGUL = (*range(0x1100, 0x1200), *range(0x3130, 0x3190), *range(0xA960, 0xA980), *range(0xAC00, 0xD800))
KOREAN_FACE = 1
"""Of the faces of NotoSansCJK-Regular.ttc, the Korean one."""


def main(originals: Path) -> None:
    """Write every typeface."""
    for script in SCRIPTS:
        font = TTFont(originals / f"NotoSans{script}-Regular.ttf")
        _write(_subset(font, font.getBestCmap()), f"NotoSans{script}")
    _write(
        _quadratic(_subset(TTFont(originals / "NotoSansCJK-Regular.ttc", fontNumber=KOREAN_FACE), HANGUL)),
        "NotoSansHangul",
    )
    emoji = TTFont(originals / "NotoEmoji_400Regular.ttf")
    scale_upem(emoji, 512)
    _write(_subset(emoji, emoji.getBestCmap()), "NotoEmoji")
    han = TTFont(originals / "DroidSansFallbackFull.ttf")
    _write(_subset(han, han.getBestCmap()), "DroidSansFallback")


def _subset(font: TTFont, codes: object) -> TTFont:
    options = Options()
    options.hinting, options.glyph_names, options.notdef_outline = False, False, True
    options.layout_features, options.name_IDs = ["*"], [0, 1, 2, 3, 4, 5, 6, 13, 14]
    options.drop_tables += ["vhea", "vmtx", "VORG", "BASE", "DSIG", "gasp", "STAT", "meta"]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=codes)
    subsetter.subset(font)
    return font


def _quadratic(font: TTFont) -> TTFont:
    """The same outlines as TrueType holds them, on a grid of 256 units."""
    scale_upem(font, 256)
    order, glyphs = font.getGlyphOrder(), font.getGlyphSet()
    table = newTable("glyf")
    table.glyphOrder, table.glyphs = order, {}
    for name in order:
        pen = TTGlyphPen(None)
        glyphs[name].draw(Cu2QuPen(pen, max_err=0.5, reverse_direction=True))
        table.glyphs[name] = pen.glyph(dropImpliedOnCurves=True)
    font["loca"], font["glyf"] = newTable("loca"), table
    font["maxp"].tableVersion = 0x00010000
    for field in (
        "maxZones", "maxTwilightPoints", "maxStorage", "maxFunctionDefs", "maxInstructionDefs",
        "maxStackElements", "maxSizeOfInstructions", "maxComponentElements", "maxPoints", "maxContours",
        "maxCompositePoints", "maxCompositeContours", "maxComponentDepth",
    ):  # fmt: skip
        setattr(font["maxp"], field, 1 if field == "maxZones" else 0)
    font["post"].formatType = 3.0
    del font["CFF "]
    font.sfntVersion = "\000\001\000\000"
    return font


def _write(font: TTFont, name: str) -> None:
    path = FOLDER / f"{name}.ttf"
    font.recalcTimestamp = False
    font.save(path)
    print(f"{path.name}: {path.stat().st_size:,} bytes, {len(font.getBestCmap()):,} characters")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
