"""What is drawn on a player's sheet beside words and music: the start, the road, dynamics, boxes, lines."""

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name
from planner.adapters.exports.lettering.lines import text_width
from planner.adapters.exports.page import HAIRLINE, INK, SOFT, TINT, draw_text, fitted, rule
from planner.services.sheets.views import DynamicRow, GuideStart
from planner.wording.player_sheet import START_LABELS

_LABEL, _VALUE = 8.0, 11.0
_SWELLS = ("crescendo", "diminuendo")


class Drawn(Flowable):
    """A drawing of a fixed size."""

    def __init__(self, width: float, height: float) -> None:
        super().__init__()
        self.width, self.height = width, height

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Size on the page, in points."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        raise NotImplementedError


class StartStrip(Drawn):
    """First-reading tempo and feel, count-off, meter with a stroke for each unit, how many bars."""

    def __init__(self, start: GuideStart, width: float) -> None:
        super().__init__(width, 30)
        tempo = f"{start.tempo}, {start.feel}" if start.tempo else ""
        pairs = zip(START_LABELS, (tempo, start.count_off, start.meter, start.bars), strict=True)
        self._pairs = [(label, value) for label, value in pairs if value]
        self._start = start

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        canvas: Canvas = self.canv
        canvas.setFillColor(TINT)
        canvas.rect(0, 2, self.width, self.height - 4, stroke=0, fill=1)
        label, value = font_name(SANS), font_name(SANS, bold=True)
        size = _VALUE
        while size > 6 and self._wide(size) > self.width - 12:
            size -= 0.25
        x = 6.0
        for name, text in self._pairs:
            draw_text(canvas, x, 18.5, name, label, _LABEL, color=SOFT)
            draw_text(canvas, x, 7.5, text, value, size)
            wide = max(text_width(name, label, _LABEL), text_width(text, value, size))
            if text == self._start.meter:
                wide = max(wide, text_width(text, value, size) + 6 + self._strokes_wide(size))
                self._draw_strokes(canvas, x + text_width(text, value, size) + 6, size)
            x += wide + size

    def _wide(self, size: float) -> float:
        label, value = font_name(SANS), font_name(SANS, bold=True)
        total = self._strokes_wide(size) + 6
        for name, text in self._pairs:
            total += max(text_width(name, label, _LABEL), text_width(text, value, size)) + size
        return total

    def _strokes_wide(self, size: float) -> float:
        groups = self._start.strokes
        return 0.28 * size * sum(groups) + 0.35 * size * max(0, len(groups) - 1)

    def _draw_strokes(self, canvas: Canvas, x: float, size: float) -> None:
        """A stroke for each unit, those of a group together, the first of a group taller."""
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(1.1)
        for group in self._start.strokes:
            for at in range(group):
                canvas.line(x, 7.5, x, 7.5 + size * (0.85 if at == 0 else 0.55))
                x += 0.28 * size
            x += 0.35 * size


class Road(Drawn):
    """The passages of the roadmap as boxes in the order in which they are played."""

    def __init__(self, road: Sequence[str], width: float) -> None:
        super().__init__(width, 22)
        self._road = road

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        canvas: Canvas = self.canv
        face, gap = font_name(SANS, bold=True), 9.0
        room = (self.width - gap * (len(self._road) - 1)) / len(self._road)
        size = min(10.0, *(0.86 * room / text_width(text, face, 1.0) for text in self._road))
        widths = [min(room, text_width(text, face, size) + 12) for text in self._road]
        x = 0.0
        canvas.setStrokeColor(INK)
        for at, (text, wide) in enumerate(zip(self._road, widths, strict=True)):
            canvas.setLineWidth(0.8)
            canvas.rect(x, 4, wide, 15, stroke=1, fill=0)
            draw_text(canvas, x + wide / 2, 11.5 - 0.36 * size, text, face, size, anchor="middle")
            x += wide
            if at + 1 < len(widths):
                canvas.line(x + 1.5, 11.5, x + gap - 1.5, 11.5)
                canvas.line(x + gap - 4, 13.5, x + gap - 1.5, 11.5)
                canvas.line(x + gap - 4, 9.5, x + gap - 1.5, 11.5)
            x += gap


class DynamicsLine(Drawn):
    """Marks and hairpins over a line that is as long as the bars of its row, with the bar of each mark."""

    def __init__(self, places: DynamicRow, width: float) -> None:
        super().__init__(width, 35)
        self._places = places

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        canvas: Canvas = self.canv
        wide, face, small = self.width - 14, font_name(SERIF, bold=True, italic=True), font_name(SANS)
        rule(canvas, 0, 10, self.width, thick=0.5, color=HAIRLINE)
        free = number_free = -100.0
        for place in self._places:
            x = wide * place.start
            if place.mark in _SWELLS:
                self._hairpin(canvas, x + 8, max(wide * place.end, x + 20), place.mark == _SWELLS[0])
                continue
            x = max(x, free)
            draw_text(canvas, x, 15, place.mark, face, 11)
            free = x + text_width(place.mark, face, 11) + 4
            if x >= number_free:
                draw_text(canvas, x, 1.5, place.bar, small, 7, color=SOFT)
                number_free = x + text_width(place.bar, small, 7) + 4

    def _hairpin(self, canvas: Canvas, x: float, end: float, is_growing: bool) -> None:
        thin, thick = (x, end) if is_growing else (end, x)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.6)
        canvas.line(thin, 30.5, thick, 33)
        canvas.line(thin, 30.5, thick, 28)


class Boxes(Drawn):
    """Boxes to tick in the study time."""

    def __init__(self, labels: Sequence[str], width: float) -> None:
        super().__init__(width, 20)
        self._labels = labels

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        canvas: Canvas = self.canv
        face, room = font_name(SANS), self.width / len(self._labels)
        for at, label in enumerate(self._labels):
            x = at * room
            canvas.setStrokeColor(INK)
            canvas.setLineWidth(0.8)
            canvas.rect(x, 5, 9, 9, stroke=1, fill=0)
            text, size = fitted(label, face, 9, room - 16, least=6)
            draw_text(canvas, x + 13, 6.5, text, face, size)


class Enlarged(Drawn):
    """A drawing so many times as large; it is to be made for a width so many times as narrow."""

    def __init__(self, drawing: Drawn, times: float) -> None:
        super().__init__(drawing.width * times, drawing.height * times)
        self._drawing, self._times = drawing, times

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        canvas: Canvas = self.canv
        canvas.scale(self._times, self._times)
        self._drawing.canv = canvas
        self._drawing.draw()


class WritingLine(Drawn):
    """A line to write an answer on."""

    def __init__(self, width: float, height: float = 7 * mm) -> None:
        super().__init__(width, height)

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        rule(self.canv, 0, 3, self.width, thick=0.5, color=HAIRLINE)


class AfterReading(Drawn):
    """Lines to write on after the first reading, and the tempo of the second."""

    def __init__(self, columns: Sequence[str], second_tempo: str, lines: int, width: float) -> None:
        super().__init__(width, 17 + 7 * mm * lines)
        self._columns, self._tempo, self._count = columns, second_tempo, lines

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        canvas: Canvas = self.canv
        face, top = font_name(SANS, bold=True), self.height - 11
        heading, *columns = self._columns
        draw_text(canvas, 0, top, heading, face, 8.5, color=SOFT)
        if self._tempo:
            draw_text(canvas, self.width, top, self._tempo, face, 8.5, anchor="right")
        shares = (0.12, 0.4, 0.48)
        for at in range(self._count):
            x, y = 0.0, top - 7 * mm * (at + 1)
            for share, column in zip(shares, columns, strict=True):
                wide = share * self.width
                word = text_width(column, font_name(SANS), 8)
                draw_text(canvas, x, y, column, font_name(SANS), 8, color=SOFT)
                rule(canvas, x + word + 3, y - 1, wide - word - 9, thick=0.5, color=HAIRLINE)
                x += wide
