"""The score map as a drawing: rows over the bars, in as many lines of bars as the piece needs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from planner.adapters.exports.lettering.fonts import SANS, SERIF, font_name
from planner.adapters.exports.lettering.lines import text_width
from planner.adapters.exports.page import HAIRLINE, INK, SOFT, draw_text, shortened
from planner.services.sheets.director.views import MapBlock, MapMark, MapSwell, ScoreMap, TuneRow
from planner.wording.director.sheet import MAP_ROWS, TICK_NOTE, map_note

ONE_LINE, TWO_LINES = 80, 200
"""Bars up to which a map has one line, and two; a longer piece has three. House choices."""
_LABELS = 74.0
"""Width of the names of the rows."""
_SIZE = 7.5
_FORM, _KEYS, _WORDS, _DYNAMICS, _TUNE = 15.0, 12.0, 11.0, 15.0, 9.5
_NUMBERS = 13.0
_GAP = 10.0
_BAND = Color(0.87, 0.87, 0.87)
_PASSING = Color(0.93, 0.93, 0.93)
_LEAST_WORDS = 26.0
"""Room from which a word is cut short rather than left out."""
_NUMBER_EVERY = 62.0
"""Room between bar numbers where no section begins."""
_NEAR = 0.15
"""How far from an even share of the bars a line may end for a section to begin the next. House choice."""


@dataclass
class _Row:
    """What of a row is taken already, from left to right."""

    taken: list[tuple[float, float]] = field(default_factory=list)

    def is_free(self, left: float, right: float) -> bool:
        return all(right <= begin or left >= end for begin, end in self.taken)

    def room_from(self, left: float, most: float) -> float:
        """How far to the right it is free from a place."""
        return min((begin for begin, end in self.taken if end > left), default=most) - left

    def take(self, left: float, right: float) -> None:
        self.taken.append((left - 2.5, right + 2.5))


class MapDrawing(Flowable):
    """A score map of the width it is given."""

    def __init__(self, score_map: ScoreMap) -> None:
        super().__init__()
        self._map = score_map
        self._lines = map_lines(score_map)
        self._has_ticks = False

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Size on the page, in points."""
        self.width = width
        heights = (height for line in self._lines for _, height in self._rows(*line))
        self.height = len(self._lines) * (_NUMBERS + _GAP) + sum(heights) + _SIZE * 1.3
        return self.width, self.height

    def _rows(self, first: int, last: int) -> Iterator[tuple[str, float]]:
        """The rows of a line of bars with anything in them, by slug."""
        shown = self._map

        def has(*places: Sequence[tuple[int, int]]) -> bool:
            return any(begin <= last and end >= first for each in places for begin, end in each)

        tempos = [(mark.measure, mark.measure) for mark in shown.tempos]
        dynamics = [(mark.measure, mark.measure) for mark in shown.dynamics]
        if shown.sections:
            yield "sections", _FORM
        if shown.keys:
            yield "keys", _KEYS
        if has(tempos, [(at, at) for at in shown.fermatas]):
            yield "tempos", _WORDS + 8.5 * (self._tempo_lines(first, last) - 1)
        if has(dynamics, [(swell.first, swell.last) for swell in shown.swells]):
            yield "dynamics", _DYNAMICS
        if has([(mark.measure, mark.measure) for mark in shown.roadmap]):
            yield "roadmap", _WORDS
        for at, row in enumerate(shown.tune):
            if has(row.places):
                yield f"tune {at}", _TUNE

    def _tempo_lines(self, first: int, last: int) -> int:
        """One, or two where tempo words would stand on each other on a line of bars."""
        unit = (self.width - _LABELS) / max(end - begin + 1 for begin, end in self._lines)
        face = font_name(SERIF, italic=True)
        for before, after in pairwise(mark for mark in self._map.tempos if first <= mark.measure <= last):
            if text_width(before.label, face, _SIZE) + 3 > (after.measure - before.measure) * unit:
                return 2
        return 1

    def draw(self) -> None:
        """Draw on the canvas given by the page layout."""
        longest = max(last - first + 1 for first, last in self._lines)
        unit = (self.width - _LABELS) / longest
        y = self.height
        for first, last in self._lines:
            line = _Line(self.canv, self._map, first, last, unit)
            y = self._draw_line(line, y) - _GAP
        shown = self._map
        note = map_note(
            has_dynamics=bool(shown.dynamics),
            has_places=bool(shown.places),
            has_passage=shown.passage is not None,
            has_tune=bool(shown.tune),
        )
        words = " ".join(each for each in (note, TICK_NOTE if self._has_ticks else "") if each)
        small = shortened(words, font_name(SANS), _SIZE * 0.92, self.width)
        draw_text(self.canv, 0, 2, small, font_name(SANS), _SIZE * 0.92, color=SOFT)

    def _draw_line(self, line: "_Line", top: float) -> float:
        """One line of bars; where it ends below."""
        rows = list(self._rows(line.first, line.last))
        bottom = top - _NUMBERS - sum(height for _, height in rows)
        line.draw_places(top, bottom)
        line.draw_numbers(top - _NUMBERS + 4)
        line.draw_passage(top - _NUMBERS - 0.6)
        y = top - _NUMBERS
        for slug, height in rows:
            y -= height
            line.draw_row(slug, y, height)
        self._has_ticks = self._has_ticks or line.has_ticks
        return bottom


def map_lines(shown: ScoreMap) -> list[tuple[int, int]]:
    """First and last measure of each line of bars: about even, broken where a section begins near by.

    Example:
        >>> map_lines(ScoreMap(100, (), sections=(MapBlock(0, 54, "A"), MapBlock(55, 99, "B"))))
        [(0, 54), (55, 99)]
    """
    count = 1 if shown.measures <= ONE_LINE else 2 if shown.measures <= TWO_LINES else 3
    starts = [0]
    for number in range(1, count):
        even = round(number * shown.measures / count)
        near = [
            block.first
            for block in shown.sections
            if starts[-1] < block.first and abs(block.first - even) <= _NEAR * shown.measures / count
        ]
        starts.append(min(near, key=lambda at: abs(at - even), default=even))
    return [(first, after - 1) for first, after in pairwise([*starts, shown.measures])]


class _Line:
    """One line of bars on a canvas; ``unit`` is the width of a bar."""

    def __init__(self, canvas: Canvas, shown: ScoreMap, first: int, last: int, unit: float) -> None:
        self._canvas, self._map = canvas, shown
        self.first, self.last, self._unit = first, last, unit
        self.has_ticks = False

    def _x(self, measure: int) -> float:
        return _LABELS + (measure - self.first) * self._unit

    @property
    def _right(self) -> float:
        return self._x(self.last + 1)

    def _clipped(self, first: int, last: int) -> tuple[float, float] | None:
        """Left and right of some measures on this line; None where none of them is on it."""
        first, last = max(first, self.first), min(last, self.last)
        return (self._x(first), self._x(last + 1)) if first <= last else None

    def _has(self, measure: int) -> bool:
        return self.first <= measure <= self.last

    def draw_places(self, top: float, bottom: float) -> None:
        """The bands of the numbered places, behind everything."""
        for number, place in enumerate(self._map.places, 1):
            ends = self._clipped(*place)
            if ends is None:
                continue
            left, wide = ends[0], max(ends[1] - ends[0], 3.0)
            self._canvas.setFillColor(_BAND)
            self._canvas.rect(left, bottom, wide, top - bottom - _NUMBERS, stroke=0, fill=1)
            middle = min(max(left + wide / 2, _LABELS + 5), self._right - 5)
            self._canvas.setFillColor(INK)
            self._canvas.circle(middle, top - 3.5, 4.6, stroke=0, fill=1)
            bold = font_name(SANS, bold=True)
            draw_text(self._canvas, middle, top - 6, str(number), bold, 7, color=_WHITE, anchor="middle")

    def draw_numbers(self, y: float) -> None:
        """Bar numbers where sections begin, and between them where there is room."""
        canvas, face = self._canvas, font_name(SANS)
        row = _Row()
        for number, place in enumerate(self._map.places, 1):
            ends = self._clipped(*place)
            if ends is not None and number:
                middle = min(max(sum(ends) / 2, _LABELS + 5), self._right - 5)
                row.take(middle - 3, middle + 3)
        begins = [block.first for block in self._map.sections if self._has(block.first)]
        step = max(1, round(_NUMBER_EVERY / self._unit / 4) * 4)
        between = range(self.first, self.last + 1, step)
        for at in dict.fromkeys(map(self._numbered, (self.first, *begins, *between))):
            words = self._map.numbers[at] if at < len(self._map.numbers) else ""
            wide = text_width(words, face, _SIZE)
            left = min(self._x(at), self._right - wide)
            if words and row.is_free(left, left + wide):
                draw_text(canvas, left, y - 1, words, face, _SIZE, color=SOFT)
                row.take(left, left + wide)

    def _numbered(self, measure: int) -> int:
        """The measure, or the next one on this line that has a number."""
        numbers = self._map.numbers[measure : self.last + 1]
        return next((measure + at for at, number in enumerate(numbers) if number), measure)

    def draw_passage(self, y: float) -> None:
        """The heavy line over what is read."""
        ends = self._clipped(*self._map.passage) if self._map.passage else None
        if ends is not None:
            self._canvas.setFillColor(INK)
            self._canvas.rect(ends[0], y, ends[1] - ends[0], 2.2, stroke=0, fill=1)

    def draw_row(self, slug: str, y: float, height: float) -> None:
        """A row with its name."""
        if slug.startswith("tune"):
            self._draw_tune(self._map.tune[int(slug.partition(" ")[2])], y, height)
            return
        name = self._map.key_row if slug == "keys" else MAP_ROWS[slug]
        self._draw_name(name, y + height / 2 - 2.6)
        match slug:
            case "sections":
                self._draw_blocks(self._map.sections, y, height, font_name(SERIF, bold=True), may_cut=True)
            case "keys":
                self._draw_blocks(self._map.keys, y, height, font_name(SANS))
            case "tempos":
                self._draw_tempos(y, height)
            case "dynamics":
                self._draw_dynamics(y, height)
            case _:
                self._draw_marks(self._map.roadmap, y + 3, font_name(SANS), _Row(), is_whole=True)

    def _draw_name(self, name: str, y: float, face: str = "") -> None:
        face = face or font_name(SANS)
        draw_text(self._canvas, 0, y, shortened(name, face, _SIZE, _LABELS - 5), face, _SIZE, color=SOFT)

    def _draw_blocks(
        self, blocks: Sequence[MapBlock], y: float, height: float, face: str, *, may_cut: bool = False
    ) -> None:
        for block in blocks:
            ends = self._clipped(block.first, block.last)
            if ends is None:
                continue
            left, right = ends
            words = self._words_for(block, face, right - left - 4, may_cut=may_cut)
            if not words:
                self._canvas.setFillColor(_PASSING)
                self._canvas.rect(left, y + 1, right - left, height - 2, stroke=0, fill=1)
            self._canvas.setStrokeColor(INK)
            self._canvas.setLineWidth(0.5)
            self._canvas.rect(left, y + 1, right - left, height - 2, stroke=1, fill=0)
            if words:
                draw_text(self._canvas, left + 2, y + height / 2 - 2.7, words, face, _SIZE)

    def _words_for(self, block: MapBlock, face: str, room: float, *, may_cut: bool) -> str:
        """The longest of its labels that fits; a name cut short where a few letters of it fit."""
        for words in (block.label, block.short):
            if words and text_width(words, face, _SIZE) <= room:
                return words
        return shortened(block.label, face, _SIZE, room) if may_cut and room >= _LEAST_WORDS else ""

    def _draw_tempos(self, y: float, height: float) -> None:
        row, face = _Row(), font_name(SERIF, italic=True)
        for measure in (at for at in self._map.fermatas if self._has(at)):
            middle = self._x(measure) + self._unit / 2
            middle = min(max(middle, _LABELS + 4), self._right - 4)
            if row.is_free(middle - 4, middle + 4):
                _draw_fermata(self._canvas, middle, y + 3)
                row.take(middle - 4, middle + 4)
        if height <= _WORDS:
            self._draw_marks(self._map.tempos, y + 3, face, row)
            return
        lanes: tuple[list[MapMark], list[MapMark]] = ([], [])
        ends = [0.0, 0.0]
        for mark in (mark for mark in self._map.tempos if self._has(mark.measure)):
            left = self._x(mark.measure)
            lane = 0 if ends[0] <= left or ends[0] <= ends[1] else 1
            ends[lane] = left + text_width(mark.label, face, _SIZE) + 3
            lanes[lane].append(mark)
        self._draw_marks(lanes[0], y + height - 8, face, _Row())
        self._draw_marks(lanes[1], y + 3, face, row)

    def _draw_dynamics(self, y: float, height: float) -> None:
        marks = font_name(SERIF, bold=True, italic=True)
        self._draw_marks(self._map.dynamics, y + height - 8, marks, _Row(), is_whole=True)
        for swell in self._map.swells:
            ends = self._clipped(swell.first, swell.last)
            if ends is not None:
                self._draw_swell(swell, ends[0] + 0.6, max(ends[1] - 0.6, ends[0] + 2.5), y + 3.2)

    def _draw_swell(self, swell: MapSwell, left: float, right: float, y: float) -> None:
        point, wide = (left, right) if swell.is_louder else (right, left)
        self._canvas.setStrokeColor(INK)
        self._canvas.setLineWidth(0.6)
        self._canvas.line(point, y, wide, y + 2)
        self._canvas.line(point, y, wide, y - 2)

    def _draw_marks(
        self, marks: Sequence[MapMark], y: float, face: str, row: _Row, *, is_whole: bool = False
    ) -> None:
        """Words at their bars where there is room; a tick where there is none, or none to cut them short."""
        own = [mark for mark in marks if self._has(mark.measure)]
        begins = [self._x(mark.measure) for mark in own if not mark.is_after]
        for mark in own:
            wide = text_width(mark.label, face, _SIZE)
            if mark.is_after:
                self._draw_after(mark, y, face, row)
                continue
            left = self._x(mark.measure)
            following = min((x for x in begins if x > left), default=self._right + 2.5)
            room = min(row.room_from(left, self._right), following - 2.5 - left, self._right - left)
            back = self._right - wide
            if following > self._right and _LABELS < back < left and row.is_free(back, self._right):
                left, room = back, wide
            words = mark.label
            if wide > room + 0.01:
                words = "" if is_whole or room < _LEAST_WORDS else shortened(mark.label, face, _SIZE, room)
            if words and row.is_free(left, left + 0.1):
                draw_text(self._canvas, left, y, words, face, _SIZE)
                row.take(left, left + text_width(words, face, _SIZE))
            else:
                self._draw_tick(self._x(mark.measure), y)

    def _draw_after(self, mark: MapMark, y: float, face: str, row: _Row) -> None:
        right = self._x(mark.measure + 1)
        words = shortened(mark.label, face, _SIZE, max(0.0, right - _LABELS))
        left = right - text_width(words, face, _SIZE)
        if words != "…" and left >= _LABELS and row.is_free(left, right):
            draw_text(self._canvas, left, y, words, face, _SIZE)
            row.take(left, right)
        else:
            self._draw_tick(right, y)

    def _draw_tick(self, x: float, y: float) -> None:
        self.has_ticks = True
        self._canvas.setStrokeColor(INK)
        self._canvas.setLineWidth(0.6)
        self._canvas.line(x, y - 1, x, y + 3.5)

    def _draw_tune(self, tune: TuneRow, y: float, height: float) -> None:
        middle = y + height / 2
        self._draw_name(tune.name, middle - 2.6)
        canvas = self._canvas
        canvas.setStrokeColor(HAIRLINE)
        canvas.setLineWidth(0.3)
        canvas.line(_LABELS, middle, self._right, middle)
        canvas.setFillColor(INK)
        for place in tune.places:
            ends = self._clipped(*place)
            if ends is not None:
                canvas.rect(ends[0], middle - 2, max(ends[1] - ends[0], 0.8), 4, stroke=0, fill=1)


_WHITE = Color(1, 1, 1)


def _draw_fermata(canvas: Canvas, x: float, y: float) -> None:
    canvas.setStrokeColor(INK)
    canvas.setFillColor(INK)
    canvas.setLineWidth(0.9)
    canvas.arc(x - 3.6, y - 3, x + 3.6, y + 4.6, 0, 180)
    canvas.circle(x, y + 1.4, 0.9, stroke=0, fill=1)
