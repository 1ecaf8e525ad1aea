"""A section's level over a term.

Above, the level: a line with its interval as a band, dashed from the last result on; each result as a point
at the level it says by itself. Below, bars right of 100: each result beside what was expected. A result
that does not count is hollow. Shapes tell things apart, not colours alone.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from planner.adapters.drawing.dates import DateAxis
from planner.adapters.drawing.shapes import Dot, Drawing, Path, Shape, Text, line
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.services.levels.section_term import Moment, ResultPoint, SectionTerm

LEFT, RIGHT, TOP = 30.0, 10.0, 24.0
LEVELS_HIGH, GAP, SHARES_HIGH, DATES_HIGH = 210.0, 34.0, 110.0, 26.0
SMALL_HIGH = 110.0
WIDE, NARROW, SMALL = 980, 360, 250
"""Widths in pixels: of a page, of a telephone, of one chart among many."""

_TITLE = "Reading level of {} over the term, as in the table below"
LEAST_SPAN = 1.5
"""Levels that a chart shows at least, so that a tenth never looks like a leap (house choice)."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Where dates and levels lie in a drawing.

    Attributes:
        width, height: Of the whole drawing.
        first, last: The days at its left and right edge.
        low, high: The levels at the bottom and top of its upper part.
        levels_high: Height of that part.
    """

    width: float
    height: float
    first: date
    last: date
    low: float
    high: float
    levels_high: float

    @property
    def axis(self) -> DateAxis:
        """Where the days lie."""
        return DateAxis(LEFT, self.width - RIGHT, self.first, self.last)

    def x(self, on: date) -> float:
        """Across."""
        return self.axis.x(on)

    def y(self, level: float) -> float:
        """Down, of a level; held within the drawing."""
        held = min(self.high, max(self.low, level))
        return round(TOP + (self.high - held) / (self.high - self.low) * self.levels_high, 1)

    def y_share(self, share: float) -> float:
        """Down, of a share of bars right."""
        return round(TOP + self.levels_high + GAP + (1 - share) * SHARES_HIGH, 1)


def draw_level(view: SectionTerm, width: float) -> Drawing:
    """The level with its results and forecasts, and the bars right below."""
    height = TOP + LEVELS_HIGH + GAP + SHARES_HIGH + DATES_HIGH
    low, high = _span([view])
    frame = Frame(width, height, view.first, view.last, low, high, LEVELS_HIGH)
    parts = [
        *_level_lines(frame, step=0.5), *_share_lines(frame), *_dates(frame), *_today(frame, view.today),
        *_belief(frame, view), *_points(frame, view.results), *_expectations(frame, view.results),
    ]  # fmt: skip
    parts.append(Text(LEFT, TOP - 10, "Reading level", "name"))
    return _drawing(
        frame, parts, f"Reading level of {view.section.name} over the term, as in the table below"
    )


def draw_small(view: SectionTerm, span: tuple[float, float]) -> Drawing:
    """The level alone, small, on a scale that a page of sections shares."""
    height = TOP + SMALL_HIGH + DATES_HIGH
    frame = Frame(SMALL, height, view.first, view.last, *span, SMALL_HIGH)
    parts = [
        *_level_lines(frame, step=1.0), *_dates(frame), *_today(frame, view.today, is_named=False),
        *_belief(frame, view), *_points(frame, view.results, radius=2.6),
    ]  # fmt: skip
    return _drawing(frame, parts, f"Reading level of {view.section.name}, as in the table below")


def shared_span(views: Iterable[SectionTerm]) -> tuple[float, float]:
    """The lowest and the highest level that the charts of a page need."""
    return _span(list(views))


def _span(views: Sequence[SectionTerm]) -> tuple[float, float]:
    beliefs = [moment.belief for view in views for moment in (*view.so_far, *view.ahead)]
    low = min((belief.low for belief in beliefs), default=LOWEST_LEVEL)
    high = max((belief.high for belief in beliefs), default=HIGHEST_LEVEL)
    low, high = math.floor(2 * low) / 2, math.ceil(2 * high) / 2
    while high - low < LEAST_SPAN:
        low, high = max(LOWEST_LEVEL, low - 0.5), min(HIGHEST_LEVEL, high + 0.5)
    return low, high


def _drawing(frame: Frame, parts: Iterable[Shape], title: str) -> Drawing:
    return Drawing(frame.width, frame.height, title, tuple(parts))


def _level_lines(frame: Frame, *, step: float) -> Sequence[Shape]:
    parts: list[Shape] = []
    at = math.ceil(frame.low / step) * step
    while at <= frame.high + 1e-9:
        y = frame.y(at)
        parts.append(line(LEFT, y, frame.width - RIGHT, y, "rule"))
        parts.append(Text(LEFT - 6, y + 4, f"{at:.1f}" if step < 1 else f"{at:g}", "scale"))
        at += step
    return parts


def _share_lines(frame: Frame) -> Sequence[Shape]:
    parts: list[Shape] = [Text(LEFT, frame.y_share(1) - 9, "Bars right of 100", "name")]
    for share in (0.0, 0.5, 1.0):
        y = frame.y_share(share)
        parts.append(line(LEFT, y, frame.width - RIGHT, y, "rule"))
        parts.append(Text(LEFT - 6, y + 4, f"{100 * share:.0f}", "scale"))
    return parts


def _dates(frame: Frame) -> Sequence[Shape]:
    foot = frame.height - DATES_HIGH + 6
    return frame.axis.months(TOP, foot, frame.height - 8)


def _today(frame: Frame, today: date, *, is_named: bool = True) -> Sequence[Shape]:
    if not frame.first <= today <= frame.last:
        return []
    x = frame.x(today)
    parts: list[Shape] = [line(x, TOP, x, frame.height - DATES_HIGH, "today")]
    if is_named:
        side = "today-name end" if x > frame.width - 60 else "today-name"
        parts.append(Text(x + (-4 if "end" in side else 4), TOP + 10, "today", side))
    return parts


def _belief(frame: Frame, view: SectionTerm) -> Sequence[Shape]:
    """Band and line so far, then band and line of the forecast."""
    parts = []
    for moments, kind in ((view.so_far, "so-far"), (view.ahead, "ahead")):
        if len(moments) > 1:
            parts.append(Path(_area(frame, moments), f"band {kind}"))
    for moments, kind in ((view.so_far, "so-far"), (view.ahead, "ahead")):
        if len(moments) > 1:
            shape = _course(frame, moments, lambda moment: moment.belief.level)
            parts.append(Path(shape, f"level-line {kind}"))
    return parts


def _course(frame: Frame, moments: Iterable[Moment], level: Callable[[Moment], float]) -> str:
    return "M" + "L".join(f"{frame.x(m.on):g} {frame.y(level(m)):g}" for m in moments)


def _area(frame: Frame, moments: Sequence[Moment]) -> str:
    upper = _course(frame, moments, lambda moment: moment.belief.high)
    lower = _course(frame, list(reversed(moments)), lambda moment: moment.belief.low)
    return f"{upper}L{lower[1:]}Z"


def _points(frame: Frame, results: Iterable[ResultPoint], radius: float = 4.0) -> Sequence[Shape]:
    """Each result at the level it says by itself; one beyond the drawing is an arrow at its edge."""
    return [
        _dot(frame.x(each.on), frame.y(each.alone), each, radius)
        if frame.low <= each.alone <= frame.high
        else _arrow(frame, each, radius)
        for each in results
    ]


def _kind(result: ResultPoint) -> str:
    return "dot" if result.counts and not result.is_in_start else "dot hollow"


def _arrow(frame: Frame, result: ResultPoint, radius: float) -> Path:
    x, y, way = frame.x(result.on), frame.y(result.alone), 1 if result.alone < frame.low else -1
    upper = y - way * radius
    return Path(
        f"M{x - radius:g} {upper:g}L{x + radius:g} {upper:g}L{x:g} {y + way * radius:g}Z", _kind(result)
    )


def _dot(x: float, y: float, result: ResultPoint, radius: float) -> Dot:
    return Dot(x, y, radius, _kind(result))


def _expectations(frame: Frame, results: Iterable[ResultPoint]) -> Sequence[Shape]:
    """Each result below, tied to a short stroke where it was expected."""
    parts: list[Shape] = []
    for each in results:
        x, y, expected = frame.x(each.on), frame.y_share(each.share), frame.y_share(each.expected)
        parts.append(line(x, y, x, expected, "tie"))
        parts.append(line(x - 6, expected, x + 6, expected, "expected"))
        parts.append(_dot(x, y, each, 4.0))
    return parts
