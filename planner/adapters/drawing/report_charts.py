"""The other pictures of reports: two readings, marks, counts, levels at two moments.

Full and empty shapes tell things apart, so that they stay apart on any printer. What the shapes mean stands
beneath each picture: ``legend_of``.
"""

import math
from collections.abc import Sequence
from datetime import date

from planner.adapters.drawing.dates import DateAxis
from planner.adapters.drawing.level_chart import draw_level
from planner.adapters.drawing.shapes import Dot, Drawing, Path, Shape, Text, box, line
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.services.reports.views import (
    CountsPicture,
    LevelPicture,
    LevelsPicture,
    MarksPicture,
    Picture,
    ReadingsPicture,
)

LEFT, RIGHT, TOP, HIGH, FOOT = 30.0, 10.0, 24.0, 150.0, 26.0
ROW, BAR = 22.0, 7.0
NAMES_WIDE = 0.3
"""Share of the width that the names of rows take (house choice)."""
LETTER_WIDE = 6.6
"""Width of a letter at most, on the average: names longer than their room are cut (house choice)."""
PAIR_WIDE = 62.0
"""Room behind the bars for the two counts."""
RADIUS = 3.6


def draw(picture: Picture, width: float) -> Drawing:
    """Any picture of a report, so wide."""
    if isinstance(picture, LevelPicture):
        return draw_level(picture.view, width)
    if isinstance(picture, ReadingsPicture):
        return _readings(picture, width)
    if isinstance(picture, MarksPicture):
        return _marks(picture, width)
    if isinstance(picture, CountsPicture):
        return _counts(picture, width)
    return _levels(picture, width)


def legend_of(picture: Picture) -> str:
    """What the shapes of a picture mean, in one line."""
    if isinstance(picture, LevelPicture):
        return (
            "Line: the level, dashed where it is a forecast. Band: nineteen times in twenty it lies within. "
            "Dot: a result, above at the level it shows by itself; hollow: it does not count, or lies before "
            "the start. Short stroke: what was expected that morning."
        )
    if isinstance(picture, ReadingsPicture):
        return "Full dot: first reading. Hollow dot: second reading of the same piece."
    if isinstance(picture, MarksPicture):
        return (
            "Full dot: the player’s mark of the day; hollow: it is left out of the mark of the term. "
            "Line behind: the section’s mark."
        )
    if isinstance(picture, CountsPicture):
        return f"Full bar: {picture.first_name}. Empty bar: {picture.second_name}."
    return (
        "Hollow dot: at the beginning. Full dot: at the end, with the stretch in which the level lies "
        "nineteen times in twenty."
    )


def _hundred(axis: DateAxis, name: str) -> list[Shape]:
    """Lines from 0 to 100, the months, and what is measured."""
    parts: list[Shape] = [Text(LEFT, TOP - 10, name, "name")]
    for value in (0, 25, 50, 75, 100):
        y = _y(value)
        parts += [line(axis.left, y, axis.right, y, "rule"), Text(LEFT - 6, y + 4, str(value), "scale")]
    return [*parts, *axis.months(TOP, TOP + HIGH + 6, TOP + HIGH + FOOT - 8)]


def _y(value: float) -> float:
    """Down, of a value from 0 to 100."""
    return round(TOP + (100 - value) / 100 * HIGH, 1)


def _axis(width: float, first: date, last: date) -> DateAxis:
    return DateAxis(LEFT, width - RIGHT, first, last)


def _readings(picture: ReadingsPicture, width: float) -> Drawing:
    axis = _axis(width, picture.first, picture.last)
    parts = _hundred(axis, "Bars right of 100")
    for each in picture.readings:
        x, y = axis.x(each.on), _y(100 * each.first)
        if each.second is not None:
            parts.append(line(x, y, x, _y(100 * each.second), "tie"))
            parts.append(Dot(x, _y(100 * each.second), RADIUS, "dot hollow"))
        parts.append(Dot(x, y, RADIUS, "dot"))
    return Drawing(width, TOP + HIGH + FOOT, "First and second readings, as in the table below", tuple(parts))


def _marks(picture: MarksPicture, width: float) -> Drawing:
    axis = _axis(width, picture.first, picture.last)
    parts = _hundred(axis, "Mark of the day")
    behind = [(axis.x(day.on), _y(float(day.section))) for day in picture.days if day.section is not None]
    if len(behind) > 1:
        parts.append(Path("M" + "L".join(f"{x:g} {y:g}" for x, y in behind), "line behind"))
    parts += [line(x - 3, y, x + 3, y, "line behind") for x, y in behind]
    for day in picture.days:
        if day.mark is not None:
            kind = "dot" if day.is_counted else "dot hollow"
            parts.append(Dot(axis.x(day.on), _y(float(day.mark)), RADIUS, kind))
    return Drawing(width, TOP + HIGH + FOOT, "Marks of the days, as in the table below", tuple(parts))


def _counts(picture: CountsPicture, width: float) -> Drawing:
    left, most = NAMES_WIDE * width, max((max(row.first, row.second) for row in picture.rows), default=0)
    unit = (width - left - RIGHT - PAIR_WIDE) / max(most, 4)
    parts: list[Shape] = [line(left, TOP - 4, left, TOP + ROW * len(picture.rows), "rule")]
    parts.append(Text(0, TOP - 10, picture.title, "name"))
    for at, row in enumerate(picture.rows):
        y = TOP + at * ROW
        parts.append(Text(left - 8, y + 13, _cut(row.label, left - 8), "scale"))
        for count, top, kind in ((row.first, y + 1, "count"), (row.second, y + 2 + BAR, "count second")):
            if count:
                parts.append(box(left, top, count * unit, BAR, kind))
        parts.append(
            Text(left + max(row.first, row.second) * unit + 6, y + 13, _pair(row.first, row.second), "label")
        )
    return Drawing(width, TOP + ROW * len(picture.rows) + 6, picture.title, tuple(parts))


def _pair(first: int, second: int) -> str:
    return f"{first} and {second}" if first or second else "none"


def _levels(picture: LevelsPicture, width: float) -> Drawing:
    left, right = NAMES_WIDE * width, width - RIGHT
    low, high = _span([belief.level for row in picture.rows for belief in (row.begin, row.end)], picture)

    def x(level: float) -> float:
        held = min(high, max(low, level))
        return round(left + (held - low) / (high - low) * (right - left), 1)

    foot = TOP + ROW * len(picture.rows)
    parts: list[Shape] = [Text(0, TOP - 10, "Reading level", "name")]
    for step in range(round(2 * low), round(2 * high) + 1):
        parts.append(line(x(step / 2), TOP - 4, x(step / 2), foot, "rule"))
        parts.append(Text(x(step / 2) - 8, foot + 16, f"{step / 2:.1f}", "label"))
    for at, row in enumerate(picture.rows):
        y = TOP + at * ROW + ROW / 2
        parts.append(Text(left - 10, y + 4, _cut(row.label, left - 10), "scale"))
        parts.append(line(x(row.end.low), y, x(row.end.high), y, "tie"))
        parts.append(Dot(x(row.begin.level), y, RADIUS, "dot hollow"))
        parts.append(Dot(x(row.end.level), y, RADIUS, "dot"))
    title = "Levels at the beginning and at the end, as in the table below"
    return Drawing(width, foot + FOOT, title, tuple(parts))


def _span(levels: Sequence[float], picture: LevelsPicture) -> tuple[float, float]:
    ends = [*levels, *(row.end.low for row in picture.rows), *(row.end.high for row in picture.rows)]
    low, high = math.floor(2 * min(ends)) / 2, math.ceil(2 * max(ends)) / 2
    return max(LOWEST_LEVEL, low), max(min(HIGHEST_LEVEL, high), low + 0.5)


def _cut(text: str, room: float) -> str:
    """A name that fits its room, shortened in its middle so that numbers at its end stay."""
    most = max(6, int(room / LETTER_WIDE))
    if len(text) <= most:
        return text
    tail = most // 3
    return f"{text[: most - tail - 1].rstrip()}…{text[-tail:].lstrip()}"
