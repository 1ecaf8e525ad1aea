"""A section's level over a term, drawn as SVG.

Above, the level: a line with its interval as a band, dashed from the last result on; each result as a point
at the level it says by itself. Below, bars right of 100: each result beside what was expected. A result
that does not count is hollow. Shapes tell things apart, not colours alone; classes in ``programme.css``.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from markupsafe import Markup

from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.services.levels.section_term import Moment, ResultPoint, SectionTerm
from planner.wording.words import MONTHS

LEFT, RIGHT, TOP = 30.0, 10.0, 24.0
LEVELS_HIGH, GAP, SHARES_HIGH, DATES_HIGH = 210.0, 34.0, 110.0, 26.0
SMALL_HIGH = 110.0
MONTH_WIDE = 34.0
WIDE, NARROW, SMALL = 980, 360, 250
"""Widths in pixels: of a page, of a telephone, of one chart among many."""

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

    def x(self, on: date) -> float:
        """Across."""
        days = max(1, (self.last - self.first).days)
        share = min(1.0, max(0.0, (on - self.first).days / days))
        return round(LEFT + share * (self.width - LEFT - RIGHT), 1)

    def y(self, level: float) -> float:
        """Down, of a level; held within the drawing."""
        held = min(self.high, max(self.low, level))
        return round(TOP + (self.high - held) / (self.high - self.low) * self.levels_high, 1)

    def y_share(self, share: float) -> float:
        """Down, of a share of bars right."""
        return round(TOP + self.levels_high + GAP + (1 - share) * SHARES_HIGH, 1)


def draw_level(view: SectionTerm, width: int) -> Markup:
    """The level with its results and forecasts, and the bars right below."""
    height = TOP + LEVELS_HIGH + GAP + SHARES_HIGH + DATES_HIGH
    low, high = _span([view])
    frame = Frame(width, height, view.first, view.last, low, high, LEVELS_HIGH)
    parts = [
        *_level_lines(frame, step=0.5), *_share_lines(frame), *_dates(frame), *_today(frame, view.today),
        *_belief(frame, view), *_points(frame, view.results), *_expectations(frame, view.results),
    ]  # fmt: skip
    parts.append(_text(LEFT, TOP - 10, "Reading level", "name"))
    return _svg(frame, parts, f"Reading level of {view.section.name} over the term, as in the table below")


def draw_small(view: SectionTerm, span: tuple[float, float]) -> Markup:
    """The level alone, small, on a scale that a page of sections shares."""
    height = TOP + SMALL_HIGH + DATES_HIGH
    frame = Frame(SMALL, height, view.first, view.last, *span, SMALL_HIGH)
    parts = [
        *_level_lines(frame, step=1.0), *_dates(frame), *_today(frame, view.today, is_named=False),
        *_belief(frame, view), *_points(frame, view.results, radius=2.6),
    ]  # fmt: skip
    return _svg(frame, parts, f"Reading level of {view.section.name}, as in the table below")


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


def _svg(frame: Frame, parts: Iterable[Markup], title: str) -> Markup:
    opening = Markup(
        '<svg class="chart" viewBox="0 0 {0:g} {1:g}" width="{0:g}" height="{1:g}" role="img" '
        'aria-label="{2}">'
    ).format(frame.width, frame.height, title)
    return opening + Markup("").join(parts) + Markup("</svg>")


def _line(x1: float, y1: float, x2: float, y2: float, kind: str) -> Markup:
    return _path(f"M{x1:g} {y1:g}L{x2:g} {y2:g}", kind)


def _path(shape: str, kind: str) -> Markup:
    return Markup('<path class="{}" d="{}"/>').format(kind, shape)


def _text(x: float, y: float, text: str, kind: str) -> Markup:
    return Markup('<text class="{}" x="{:g}" y="{:g}">{}</text>').format(kind, x, y, text)


def _level_lines(frame: Frame, *, step: float) -> list[Markup]:
    parts, at = [], math.ceil(frame.low / step) * step
    while at <= frame.high + 1e-9:
        y = frame.y(at)
        parts.append(_line(LEFT, y, frame.width - RIGHT, y, "rule"))
        parts.append(_text(LEFT - 6, y + 4, f"{at:.1f}" if step < 1 else f"{at:g}", "scale"))
        at += step
    return parts


def _share_lines(frame: Frame) -> list[Markup]:
    parts = [_text(LEFT, frame.y_share(1) - 9, "Bars right of 100", "name")]
    for share in (0.0, 0.5, 1.0):
        y = frame.y_share(share)
        parts.append(_line(LEFT, y, frame.width - RIGHT, y, "rule"))
        parts.append(_text(LEFT - 6, y + 4, f"{100 * share:.0f}", "scale"))
    return parts


def _dates(frame: Frame) -> list[Markup]:
    """A line at the first of each month, and the names of as many months as there is room for."""
    months, foot = _months(frame.first, frame.last), frame.height - DATES_HIGH + 6
    parts = [_line(frame.x(on), TOP, frame.x(on), foot, "rule month") for on in months]
    if not months or frame.x(months[0]) - LEFT >= MONTH_WIDE:
        months = [frame.first, *months]
    free, edge = 0.0, frame.width - RIGHT - MONTH_WIDE + 8
    for on in months:
        x = frame.x(on)
        if free <= x <= edge:
            parts.append(_text(x, frame.height - 8, MONTHS[on.month - 1][:3], "month"))
            free = x + MONTH_WIDE
    return parts


def _months(first: date, last: date) -> list[date]:
    found, at = [], first.replace(day=1)
    while at <= last:
        if at >= first:
            found.append(at)
        at = (at + timedelta(days=32)).replace(day=1)
    return found


def _today(frame: Frame, today: date, *, is_named: bool = True) -> list[Markup]:
    if not frame.first <= today <= frame.last:
        return []
    x = frame.x(today)
    parts = [_line(x, TOP, x, frame.height - DATES_HIGH, "today")]
    if is_named:
        side = "today-name end" if x > frame.width - 60 else "today-name"
        parts.append(_text(x + (-4 if "end" in side else 4), TOP + 10, "today", side))
    return parts


def _belief(frame: Frame, view: SectionTerm) -> list[Markup]:
    """Band and line so far, then band and line of the forecast."""
    parts = []
    for moments, kind in ((view.so_far, "so-far"), (view.ahead, "ahead")):
        if len(moments) > 1:
            parts.append(_path(_area(frame, moments), f"band {kind}"))
    for moments, kind in ((view.so_far, "so-far"), (view.ahead, "ahead")):
        if len(moments) > 1:
            shape = _course(frame, moments, lambda moment: moment.belief.level)
            parts.append(_path(shape, f"level-line {kind}"))
    return parts


def _course(frame: Frame, moments: Iterable[Moment], level: Callable[[Moment], float]) -> str:
    return "M" + "L".join(f"{frame.x(m.on):g} {frame.y(level(m)):g}" for m in moments)


def _area(frame: Frame, moments: Sequence[Moment]) -> str:
    upper = _course(frame, moments, lambda moment: moment.belief.high)
    lower = _course(frame, list(reversed(moments)), lambda moment: moment.belief.low)
    return f"{upper}L{lower[1:]}Z"


def _points(frame: Frame, results: Iterable[ResultPoint], radius: float = 4.0) -> list[Markup]:
    """Each result at the level it says by itself; one beyond the drawing is an arrow at its edge."""
    return [
        _dot(frame.x(each.on), frame.y(each.alone), each, radius)
        if frame.low <= each.alone <= frame.high
        else _arrow(frame, each, radius)
        for each in results
    ]


def _kind(result: ResultPoint) -> str:
    return "dot" if result.counts and not result.is_in_start else "dot hollow"


def _arrow(frame: Frame, result: ResultPoint, radius: float) -> Markup:
    x, y, way = frame.x(result.on), frame.y(result.alone), 1 if result.alone < frame.low else -1
    return _path(
        f"M{x - radius:g} {y - way * radius:g}H{x + radius:g}L{x:g} {y + way * radius:g}Z", _kind(result)
    )


def _dot(x: float, y: float, result: ResultPoint, radius: float) -> Markup:
    shape = Markup('<circle class="{}" cx="{:g}" cy="{:g}" r="{:g}"/>')
    return shape.format(_kind(result), x, y, radius)


def _expectations(frame: Frame, results: Iterable[ResultPoint]) -> list[Markup]:
    """Each result below, tied to a short stroke where it was expected."""
    parts = []
    for each in results:
        x, y, expected = frame.x(each.on), frame.y_share(each.share), frame.y_share(each.expected)
        parts.append(_line(x, y, x, expected, "tie"))
        parts.append(_line(x - 6, expected, x + 6, expected, "expected"))
        parts.append(_dot(x, y, each, 4.0))
    return parts
