"""A picture of plain shapes on a PDF page, in black and greys, with dashes and full or empty shapes."""

from dataclasses import dataclass

from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from planner.adapters.drawing.shapes import TEXT_SIZE, Dot, Drawing, Path, Text
from planner.adapters.exports.lettering.fonts import SANS, font_name
from planner.adapters.exports.page import HAIRLINE, INK, SOFT, draw_text
from planner.adapters.exports.svg_path import parse_path

_WHITE = Color(1, 1, 1)


@dataclass(frozen=True, slots=True)
class _Pen:
    """How a kind of shape is drawn: None draws no edge, or no filling."""

    edge: Color | None
    filling: Color | None = None
    thick: float = 0.8
    dashes: tuple[float, ...] = ()


PENS = {
    "rule": _Pen(HAIRLINE, thick=0.5),
    "rule month": _Pen(HAIRLINE, thick=0.5, dashes=(1, 3)),
    "today": _Pen(SOFT, thick=1.0, dashes=(5, 3)),
    "band so-far": _Pen(SOFT, Color(0.85, 0.85, 0.85), thick=0.6),
    "band ahead": _Pen(SOFT, Color(0.94, 0.94, 0.94), thick=0.8, dashes=(2, 3)),
    "level-line so-far": _Pen(INK, thick=2.0),
    "level-line ahead": _Pen(INK, thick=2.0, dashes=(7, 5)),
    "dot": _Pen(INK, INK, thick=1.4),
    "dot hollow": _Pen(INK, _WHITE, thick=1.4),
    "expected": _Pen(INK, thick=2.0),
    "tie": _Pen(INK, thick=0.8),
    "count": _Pen(INK, Color(0.25, 0.25, 0.25), thick=0.8),
    "count second": _Pen(INK, _WHITE, thick=0.8),
    "line behind": _Pen(Color(0.55, 0.55, 0.55), thick=1.8),
}
"""By kind of shape."""


class Chart(Flowable):
    """A drawing, as wide as asked; its height follows."""

    def __init__(self, drawing: Drawing, width: float) -> None:
        super().__init__()
        self._drawing, self._scale = drawing, width / drawing.width
        self.width, self.height = width, drawing.height * self._scale

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Size on the page, in points."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        canvas: Canvas = self.canv
        canvas.saveState()
        canvas.translate(0, self.height)
        canvas.scale(self._scale, self._scale)
        for shape in self._drawing.shapes:
            if isinstance(shape, Text):
                _text(canvas, shape)
            else:
                _shape(canvas, shape)
        canvas.restoreState()


def _text(canvas: Canvas, text: Text) -> None:
    face, color = font_name(SANS), INK if text.kind == "name" else SOFT
    anchor = "right" if text.ends_there else "left"
    draw_text(canvas, text.x, -text.y, text.text, face, TEXT_SIZE, color=color, anchor=anchor)  # type: ignore[arg-type]


def _shape(canvas: Canvas, shape: Path | Dot) -> None:
    pen = PENS[shape.kind]
    canvas.setLineWidth(pen.thick)
    canvas.setDash(list(pen.dashes))
    canvas.setLineJoin(1)
    if pen.edge is not None:
        canvas.setStrokeColor(pen.edge)
    if pen.filling is not None:
        canvas.setFillColor(pen.filling)
    edge, filling = int(pen.edge is not None), int(pen.filling is not None)
    if isinstance(shape, Dot):
        canvas.circle(shape.x, -shape.y, shape.radius, stroke=edge, fill=filling)
    else:
        path = canvas.beginPath()
        for command, numbers in parse_path(shape.shape):
            if command == "M":
                path.moveTo(numbers[0], -numbers[1])
            elif command == "L":
                path.lineTo(numbers[0], -numbers[1])
            elif command == "Z":
                path.close()
        canvas.drawPath(path, stroke=edge, fill=filling)
    canvas.setDash()
