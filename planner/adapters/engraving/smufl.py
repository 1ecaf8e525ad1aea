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
_BRACKETS = ("(", "[")
_ASCENT, _DESCENT = 0.7, 0.22
"""How far letters reach above their line and below it, in their size. Source: Times, common practice."""
_PLACED = re.compile(r"translate\(([\d.-]+), ([\d.-]+)\) scale\(([\d.]+), [\d.]+\)")
_ROOM = 0.5
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


@dataclass(slots=True)
class _Line:
    """A line of words: where it begins, and its runs."""

    x: float
    y: str
    runs: list[_Run]


def text_sides(text: etree._Element) -> tuple[float, float]:
    """Where words begin and end; of several lines the outermost sides."""
    lines = _lines(text)
    starts = [(line.x, line.x + _total(line.runs)) for line in lines]
    return min((left for left, _ in starts), default=0.0), max((right for _, right in starts), default=0.0)


def text_height(text: etree._Element) -> tuple[float, float]:
    """Where words end at the top and below, by their letters' usual height."""
    lines = [(float(line.y), max(run.size for run in line.runs)) for line in _lines(text)]
    top = min((y - _ASCENT * size for y, size in lines), default=0.0)
    return top, max((y + _DESCENT * size for y, size in lines), default=0.0)


def sign_box(use: etree._Element) -> tuple[float, float, float, float] | None:
    """Left, top, right and low end of a music sign; None where it is placed in another way."""
    found = _PLACED.fullmatch(use.get("transform") or "")
    outline = _sign_boxes().get((use.get("href") or "").lstrip("#").partition("-")[0])
    if found is None or outline is None:
        return None
    x, y, scale = map(float, found.groups())
    left, low, wide, high = outline
    return x + scale * left, y - scale * (low + high), x + scale * (left + wide), y - scale * low


def _replace(text: etree._Element, used: set[str]) -> None:
    parent = text.getparent()
    if parent is None:
        return
    place = parent.index(text)
    parent.remove(text)
    for line in _lines(text, parent):
        x = line.x
        for run, room in zip(line.runs, _rooms(line.runs), strict=True):
            x += room
            if _PRIVATE.match(run.text):
                for sign in "".join(run.text.split()):
                    code = f"{ord(sign):04X}"
                    used.add(code)
                    scale = f"translate({x:.0f}, {line.y}) scale({run.size / 1000:g}, {run.size / 1000:g})"
                    parent.insert(
                        place, etree.Element(f"{_SVG}use", {"href": f"#text-{code}", "transform": scale})
                    )
                    place += 1
                    x += _advances().get(code, 0.0) * run.size / 1000
            else:
                parent.insert(place, _words(run, x, line.y))
                place += 1
                x += _width(run)


def _lines(text: etree._Element, parent: etree._Element | None = None) -> list[_Line]:
    """The lines of words, each from where it begins, whatever it is anchored at."""
    lines = [_Line(float(text.get("x", "0")), text.get("y", "0"), [])]
    anchors = [text.get("text-anchor", "")]
    for element, runs in _placed_runs(text, _inherited(text if parent is None else parent)):
        if element is not None:
            lines.append(_Line(float(element.get("x") or lines[-1].x), element.get("y") or lines[-1].y, []))
            anchors.append(element.get("text-anchor") or anchors[0])
        lines[-1].runs.extend(runs)
    found = []
    for line, anchor in zip(lines, anchors, strict=True):
        line.runs = list(_joined(iter(line.runs)))
        if line.runs:
            line.x -= {"middle": 0.5, "end": 1.0}.get(anchor, 0.0) * _total(line.runs)
            found.append(line)
    return found


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
    groups = (text, *text.iterancestors(f"{_SVG}g"))
    classes = {name for group in groups for name in (group.get("class") or "").split()}
    return _Run("", 0.0, bool(classes & _BOLD), bool(classes & _ITALIC))


def _placed_runs(element: etree._Element, look: _Run) -> Iterator[tuple[etree._Element | None, list[_Run]]]:
    """The runs of words; before the first of a new line the span that places it."""
    size = element.get("font-size")
    look = replace(
        look,
        size=float(size.removesuffix("px")) if size else look.size,
        bold=element.get("font-weight") == "bold" if element.get("font-weight") else look.bold,
        italic=element.get("font-style") == "italic" if element.get("font-style") else look.italic,
    )
    if element.tag != f"{_SVG}text" and (element.get("x") or element.get("y")):
        yield element, []
    if element.text and look.size > 0 and (len(element) == 0 or element.text.strip()):
        yield None, [replace(look, text=piece) for piece in _SIGNS.split(element.text) if piece]
    for child in element:
        yield from _placed_runs(child, look)


def _joined(runs: Iterator[_Run]) -> Iterator[_Run]:
    """Neighbours of one look and kind as one."""
    for look, group in groupby(runs, key=lambda r: (r.size, r.bold, r.italic, bool(_PRIVATE.match(r.text)))):
        yield _Run("".join(run.text for run in group), *look[:3])


def _rooms(runs: list[_Run]) -> list[float]:
    """Room to leave before each run: some where words without a space meet a note, none behind a bracket.

    An accidental belongs to the letter before it.
    """
    rooms = [0.0] * len(runs)
    for at in range(1, len(runs)):
        words, sign = runs[at - 1], runs[at]
        if (
            not _PRIVATE.match(sign.text)
            or _PRIVATE.match(words.text)
            or "\ue260" <= sign.text[0] <= "\ue2ff"
        ):
            continue
        letters = words.text.rstrip()
        space = _width(replace(words, text=words.text[len(letters) :]))
        wanted = 0.0 if letters.endswith(_BRACKETS) else max(space, _ROOM * words.size)
        rooms[at] = wanted - space
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


@cache
def _sign_boxes() -> dict[str, tuple[float, float, float, float]]:
    """Left and low end, width and height of music signs by code point, in thousandths of the size."""
    root = etree.parse(str(_DATA / f"{_FONT}.xml")).getroot()
    return {
        glyph.get("c", ""): tuple(float(glyph.get(name, "0")) for name in "xywh")  # type: ignore[misc]
        for glyph in root.iter("{*}g")
    }


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
