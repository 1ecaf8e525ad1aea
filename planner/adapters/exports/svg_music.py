"""Engraved music on a PDF page: an SVG drawing turned into the PDF's own lines, curves and text.

Reads the part of SVG that an engraver writes (groups, paths, polygons, lines,
ellipses, reused signs, nested text) exactly, and a hundred times faster than a
general converter; each music sign is stored once in the document and reused.
"""

import re
from dataclasses import dataclass, replace

from lxml import etree
from reportlab.lib.colors import HexColor, black
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from planner.adapters.exports.lettering.fonts import MUSIC_TEXT, font_name, register_fonts
from planner.adapters.exports.lettering.lines import draw_line, text_width
from planner.adapters.exports.svg_path import Segment, parse_path

_TRANSFORM = re.compile(r"(translate|scale|rotate)\(([^)]*)\)")
_BOLD = {"ending", "fing", "reh", "tempo"}
_ITALIC = {"dir", "dynam", "mNum"}
_HIDDEN = {"placeholder"}
_CLEAR = ("none", "transparent")
_SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True, slots=True)
class _Pen:
    """How the next text is set, and where."""

    size: float = 0.0
    bold: bool = False
    italic: bool = False


class EngravedMusic(Flowable):
    """A drawing of music, as wide as asked; its height follows."""

    def __init__(self, svg: str, width: float) -> None:
        super().__init__()
        register_fonts()
        root = etree.fromstring(svg.encode("utf-8"))
        inner = root.find(f"{_SVG}svg")
        self._body = inner if inner is not None else root
        box = [float(n) for n in self._body.get("viewBox", "0 0 100 100").split()]
        self._scale = width / box[2]
        self.width, self.height = width, box[3] * self._scale
        self._signs = {sign.get("id", ""): sign for sign in root.iterfind(f"{_SVG}defs/{_SVG}g")}

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Size on the page, in points."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        canvas: Canvas = self.canv
        canvas.saveState()
        canvas.translate(0, self.height)
        canvas.scale(self._scale, -self._scale)
        canvas.setLineCap(0)
        self._group(canvas, self._body, _Pen())
        canvas.restoreState()

    def _group(self, canvas: Canvas, group: etree._Element, pen: _Pen) -> None:
        for element in group:
            kind = etree.QName(element).localname
            if kind == "g":
                classes = set(element.get("class", "").split())
                if classes & _HIDDEN or element.get("visibility") == "hidden":
                    continue
                with _placed(canvas, element.get("transform", "")):
                    self._group(canvas, element, _styled(pen, classes))
            elif kind == "use":
                self._sign(canvas, element)
            elif kind == "text":
                self._text(canvas, element, pen)
            else:
                _shape(canvas, kind, element)

    def _sign(self, canvas: Canvas, use: etree._Element) -> None:
        sign = self._signs.get((use.get("href") or "").lstrip("#"))
        if sign is None:
            return
        with _placed(canvas, use.get("transform", "")):
            if use.get("x") or use.get("y"):
                canvas.translate(float(use.get("x", "0")), float(use.get("y", "0")))
            canvas.doForm(_stored_sign(canvas, sign))

    def _text(self, canvas: Canvas, text: etree._Element, pen: _Pen) -> None:
        for line in _lines_of(text, pen):
            width = sum(text_width(run, _face(style), style.size) for run, style in line.runs)
            x = line.x - {"middle": width / 2, "end": width}.get(line.anchor, 0.0)
            for run, style in line.runs:
                self._run(canvas, x, line.y, run, style)
                x += text_width(run, _face(style), style.size)

    def _run(self, canvas: Canvas, x: float, y: float, run: str, pen: _Pen) -> None:
        canvas.saveState()
        canvas.translate(x, y)
        canvas.scale(1, -1)
        draw_line(canvas, 0, 0, run, _face(pen), pen.size)
        canvas.restoreState()


class _placed:  # noqa: N801
    """Within it, the canvas has a transformation of SVG's; without one, nothing is saved."""

    def __init__(self, canvas: Canvas, transform: str) -> None:
        self._canvas = canvas
        self._steps = _TRANSFORM.findall(transform)

    def __enter__(self) -> None:
        if self._steps:
            self._canvas.saveState()
        for kind, numbers in self._steps:
            values = [float(n) for n in re.split(r"[ ,]+", numbers.strip())]
            if kind == "translate":
                self._canvas.translate(values[0], values[1] if len(values) > 1 else 0.0)
            elif kind == "scale":
                self._canvas.scale(values[0], values[-1])
            else:
                if len(values) == 3:
                    self._canvas.translate(values[1], values[2])
                self._canvas.rotate(values[0])
                if len(values) == 3:
                    self._canvas.translate(-values[1], -values[2])

    def __exit__(self, *_: object) -> None:
        if self._steps:
            self._canvas.restoreState()


@dataclass(slots=True)
class _TextLine:
    x: float
    y: float
    anchor: str
    runs: list[tuple[str, _Pen]]


def _lines_of(text: etree._Element, pen: _Pen) -> list[_TextLine]:
    """The runs of a text, a new line wherever a span has its own place."""
    lines = [_TextLine(float(text.get("x", "0")), float(text.get("y", "0")), text.get("text-anchor", ""), [])]

    def walk(element: etree._Element, pen: _Pen) -> None:
        pen = _text_pen(element, pen)
        if element is not text and (element.get("x") or element.get("y")):
            x, y = element.get("x") or str(lines[-1].x), element.get("y") or str(lines[-1].y)
            lines.append(_TextLine(float(x), float(y), element.get("text-anchor", lines[0].anchor), []))
        if element.text and pen.size > 0 and (len(element) == 0 or element.text.strip()):
            runs = lines[-1].runs
            joined = runs.pop()[0] if runs and runs[-1][1] == pen else ""
            runs.append((joined + element.text, pen))
        for child in element:
            walk(child, pen)

    walk(text, pen)
    return [line for line in lines if line.runs]


def _text_pen(element: etree._Element, pen: _Pen) -> _Pen:
    size = element.get("font-size")
    if size:
        pen = replace(pen, size=float(size.removesuffix("px")))
    if element.get("font-style"):
        pen = replace(pen, italic=element.get("font-style") == "italic")
    if element.get("font-weight"):
        pen = replace(pen, bold=element.get("font-weight") == "bold")
    return pen


def _styled(pen: _Pen, classes: set[str]) -> _Pen:
    if classes & _BOLD:
        pen = replace(pen, bold=True)
    if classes & _ITALIC:
        pen = replace(pen, italic=True)
    return pen


def _face(pen: _Pen) -> str:
    return font_name(MUSIC_TEXT, bold=pen.bold, italic=pen.italic)


def _stored_sign(canvas: Canvas, sign: etree._Element) -> str:
    """Name of the sign's form in the document, made on first use."""
    name = f"sign-{sign.get('id', '')}"
    if not canvas.hasForm(name):
        canvas.beginForm(name, -4000, -4000, 4000, 4000)
        for path in sign.iter(f"{_SVG}path"):
            with _placed(canvas, path.get("transform", "")):
                _trace(canvas, parse_path(path.get("d", "")), fill=True, stroke=False)
        canvas.endForm()
    return name


def _shape(canvas: Canvas, kind: str, element: etree._Element) -> None:
    segments = _outline(kind, element)
    if not segments:
        return
    width = float(element.get("stroke-width", "1"))
    canvas.setLineWidth(width)
    dashes = element.get("stroke-dasharray")
    if dashes:
        canvas.setDash([float(n) for n in re.split(r"[ ,]+", dashes.strip())])
    canvas.setLineCap(1 if element.get("stroke-linecap") == "round" else 0)
    canvas.setLineJoin(1 if element.get("stroke-linejoin") == "round" else 0)
    is_line = kind in ("line", "polyline") or len(segments) == 2
    fill = element.get("fill") not in _CLEAR and element.get("fill-opacity") != "0" and not is_line
    outlined = element.get("stroke") not in _CLEAR and "stroke:none" not in element.get("style", "")
    colour = element.get("fill", "")
    if colour.startswith("#"):
        canvas.setFillColor(HexColor(colour))
    _trace(canvas, segments, fill=fill, stroke=outlined and width > 0)
    if colour.startswith("#"):
        canvas.setFillColor(black)
    if dashes:
        canvas.setDash()


def _outline(kind: str, element: etree._Element) -> tuple[Segment, ...]:
    if kind == "path":
        return parse_path(element.get("d", ""))
    if kind in ("polygon", "polyline"):
        points = " L".join(element.get("points", "").split())
        return parse_path(f"M{points}{' Z' if kind == 'polygon' else ''}")
    number = {
        name: float(element.get(name, "0")) for name in ("x", "y", "width", "height", "cx", "cy", "rx", "ry")
    }
    if kind == "rect":
        x, y, right, low = (
            number["x"],
            number["y"],
            number["x"] + number["width"],
            number["y"] + number["height"],
        )
        return parse_path(f"M{x} {y} L{right} {y} L{right} {low} L{x} {low} Z")
    if kind == "ellipse":
        return _ellipse(number["cx"], number["cy"], number["rx"], number["ry"])
    return ()


def _ellipse(cx: float, cy: float, rx: float, ry: float) -> tuple[Segment, ...]:
    k = 0.5522847498
    return (
        ("M", (cx + rx, cy)),
        ("C", (cx + rx, cy + k * ry, cx + k * rx, cy + ry, cx, cy + ry)),
        ("C", (cx - k * rx, cy + ry, cx - rx, cy + k * ry, cx - rx, cy)),
        ("C", (cx - rx, cy - k * ry, cx - k * rx, cy - ry, cx, cy - ry)),
        ("C", (cx + k * rx, cy - ry, cx + rx, cy - k * ry, cx + rx, cy)),
        ("Z", ()),
    )


def _trace(canvas: Canvas, segments: tuple[Segment, ...], *, fill: bool, stroke: bool) -> None:
    path = canvas.beginPath()
    for kind, numbers in segments:
        if kind == "M":
            path.moveTo(*numbers)
        elif kind == "L":
            path.lineTo(*numbers)
        elif kind == "C":
            path.curveTo(*numbers)
        else:
            path.close()
    canvas.drawPath(path, fill=int(fill), stroke=int(stroke))
