"""Music signs inside words (the note of a metronome mark), drawn as outlines in place of letters.

The engraver writes them as letters of a music font. A page or a printed sheet
need not have that font, so each becomes a ``<use>`` of its outline, and the words
before and after it keep their places.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import groupby
from pathlib import Path

import verovio
from lxml import etree

_SVG = "{http://www.w3.org/2000/svg}"
_PRIVATE = re.compile(r"[\ue000-\uf8ff]")
_SIGNS = re.compile(r"([\ue000-\uf8ff]+(?:\s+[\ue000-\uf8ff]+)*)")
"""Signs with nothing but space between them (a note and its dot) belong together."""
_DATA = Path(verovio.__file__).parent / "data"
_FONT = "Leipzig"
_BOLD, _ITALIC = {"ending", "fing", "reh", "tempo"}, {"dir", "dynam", "mNum"}
"""Classes the engraver's own style sheet sets in bold and italic."""
_ROOM = 0.3
"""Least room between words and a sign, in the size of the words. Source: House choice."""


@dataclass(frozen=True, slots=True)
class _Run:
    """Letters of one look."""

    text: str
    size: float
    bold: bool
    italic: bool


def draw_text_signs(svg: str) -> str:
    """The drawing with every music sign inside words as an outline; unchanged when there is none."""
    if not _PRIVATE.search(svg):
        return svg
    root = etree.fromstring(svg.encode("utf-8"))
    used: set[str] = set()
    for text in list(root.iter(f"{_SVG}text")):
        if _PRIVATE.search("".join(map(str, text.itertext()))):
            _replace(text, used)
    definitions = root.find(f"{_SVG}defs")
    if definitions is None:
        definitions = etree.Element(f"{_SVG}defs")
        root.insert(0, definitions)
    for code in sorted(used):
        definitions.append(_outline(code))
    return etree.tostring(root, encoding="unicode")


def _replace(text: etree._Element, used: set[str]) -> None:
    parent = text.getparent()
    if parent is None:
        return
    runs = list(_joined(_runs(text, _inherited(text))))
    shift = {"middle": 0.5, "end": 1.0}.get(text.get("text-anchor", ""), 0.0) * _total(runs)
    x, y = float(text.get("x", "0")) - shift, text.get("y", "0")
    place = parent.index(text)
    parent.remove(text)
    for run, room in zip(runs, _rooms(runs), strict=True):
        x += room
        if _PRIVATE.match(run.text):
            for sign in "".join(run.text.split()):
                code = f"{ord(sign):04X}"
                used.add(code)
                scale = f"translate({x:.0f}, {y}) scale({run.size / 1000:g}, {run.size / 1000:g})"
                use = etree.Element(f"{_SVG}use", {"href": f"#text-{code}", "transform": scale})
                parent.insert(place, use)
                place += 1
                x += _advances().get(code, 0.0) * run.size / 1000
        else:
            parent.insert(place, _words(run, x, y))
            place += 1
            x += _width(run)


def _words(run: _Run, x: float, y: str) -> etree._Element:
    out = etree.Element(f"{_SVG}text", {"x": f"{x:.0f}", "y": y, "font-size": "0px"})
    look = {
        "font-size": f"{run.size:g}px",
        "font-style": "italic" if run.italic else "normal",
        "font-weight": "bold" if run.bold else "normal",
    }
    etree.SubElement(out, f"{_SVG}tspan", look).text = run.text.replace(" ", "\N{NO-BREAK SPACE}")
    return out


def _inherited(text: etree._Element) -> _Run:
    classes = {name for group in text.iterancestors(f"{_SVG}g") for name in group.get("class", "").split()}
    return _Run("", 0.0, bool(classes & _BOLD), bool(classes & _ITALIC))


def _runs(element: etree._Element, look: _Run) -> Iterator[_Run]:
    size = element.get("font-size")
    look = replace(
        look,
        size=float(size.removesuffix("px")) if size else look.size,
        bold=element.get("font-weight") == "bold" if element.get("font-weight") else look.bold,
        italic=element.get("font-style") == "italic" if element.get("font-style") else look.italic,
    )
    if element.text and look.size > 0 and (len(element) == 0 or element.text.strip()):
        for piece in _SIGNS.split(element.text):
            if piece:
                yield replace(look, text=piece)
    for child in element:
        yield from _runs(child, look)


def _joined(runs: Iterator[_Run]) -> Iterator[_Run]:
    """Neighbours of one look and kind as one."""
    for look, group in groupby(runs, key=lambda r: (r.size, r.bold, r.italic, bool(_PRIVATE.match(r.text)))):
        yield _Run("".join(run.text for run in group), *look[:3])


def _rooms(runs: list[_Run]) -> list[float]:
    """Room to leave before each run: some where words without a space meet a sign."""
    rooms = [0.0] * len(runs)
    for at in range(1, len(runs)):
        words = runs[at - 1]
        if _PRIVATE.match(runs[at].text) and not words.text[-1].isspace() and not _PRIVATE.match(words.text):
            rooms[at] = _ROOM * words.size
    return rooms


def _total(runs: list[_Run]) -> float:
    return sum(_width(run) for run in runs) + sum(_rooms(runs))


def _width(run: _Run) -> float:
    if _PRIVATE.match(run.text):
        return sum(_advances().get(f"{ord(c):04X}", 0.0) for c in "".join(run.text.split())) * run.size / 1000
    table = _letters(run.bold, run.italic)
    return sum(table.get(ord(c), 1024.0) for c in run.text) * run.size / 2048


@cache
def _letters(bold: bool, italic: bool) -> dict[int, float]:
    """Advance widths the engraver itself reckons with, in 2048ths of the size."""
    face = "".join(("-bold" if bold else "", "-italic" if italic else ""))
    root = etree.parse(str(_DATA / "text" / f"Times{face}.xml")).getroot()
    return {int(g.get("c", "0"), 16): _advance(g) for g in root.iter("{*}g")}


def _advance(letter: etree._Element) -> float:
    """As stated; where it is not, the letter with as much room behind it as before it."""
    stated = letter.get("h-a-x")
    return float(stated) if stated else 2 * float(letter.get("x", "0")) + float(letter.get("w", "0"))


@cache
def _advances() -> dict[str, float]:
    """Advance widths of music signs by code point, in thousandths of the size."""
    root = etree.parse(str(_DATA / f"{_FONT}.xml")).getroot()
    return {g.get("c", ""): float(g.get("h-a-x", "0")) for g in root.iter("{*}g")}


def _outline(code: str) -> etree._Element:
    out = etree.Element(f"{_SVG}g", {"id": f"text-{code}"})
    for data in _paths(code):
        etree.SubElement(out, f"{_SVG}path", {"transform": "scale(1,-1)", "d": data})
    return out


@cache
def _paths(code: str) -> tuple[str, ...]:
    file = _DATA / _FONT / f"{code}.xml"
    if not file.is_file():
        return ()
    return tuple(path.get("d", "") for path in etree.fromstring(file.read_bytes()).iter("{*}path"))
