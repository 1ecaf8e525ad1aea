"""Music signs inside text (a metronome mark's note): their outlines, put into the drawing itself.

The drawing names a music font for them. A page or a printed sheet need not have
that font, so each sign becomes a ``<g>`` among the drawing's definitions, with its
advance width in thousandths of the text size.
"""

import re
from functools import cache
from pathlib import Path

import verovio
from lxml import etree

_PRIVATE = re.compile(r"[\ue000-\uf8ff]")
_FONT = Path(verovio.__file__).parent / "data"
_NAME = "Leipzig"


def add_text_symbols(svg: str) -> str:
    """The drawing with the outline of every music sign its text uses added as ``text-E1D5`` and the like."""
    signs = sorted(set(_PRIVATE.findall(svg)))
    outlines = "".join(_outline(f"{ord(sign):04X}") for sign in signs)
    if not outlines:
        return svg
    if "<defs>" in svg:
        return svg.replace("<defs>", f"<defs>{outlines}", 1)
    return svg.replace("</desc>", f"</desc><defs>{outlines}</defs>", 1)


@cache
def _outline(code: str) -> str:
    file = _FONT / _NAME / f"{code}.xml"
    if not file.is_file():
        return ""
    paths = [p.get("d", "") for p in etree.fromstring(file.read_bytes()).iter("{*}path")]
    drawn = "".join(f'<path transform="scale(1,-1)" d="{d}"/>' for d in paths)
    return f'<g id="text-{code}" data-advance="{_advances().get(code, 0):g}">{drawn}</g>'


@cache
def _advances() -> dict[str, float]:
    """Advance width by code point, in thousandths of the type size."""
    root = etree.parse(str(_FONT / f"{_NAME}.xml")).getroot()
    return {g.get("c", ""): float(g.get("h-a-x", "0")) for g in root.iter("{*}g")}
