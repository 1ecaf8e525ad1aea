"""Days across a picture: where each lies, a line at the first of each month, and the months' names."""

from dataclasses import dataclass
from datetime import date, timedelta

from planner.adapters.drawing.shapes import Shape, Text, line
from planner.wording.words import MONTHS

MONTH_WIDE = 34.0


@dataclass(frozen=True, slots=True)
class DateAxis:
    """Days from left to right.

    Attributes:
        left, right: Where the first and the last day lie.
        first, last: These days.
    """

    left: float
    right: float
    first: date
    last: date

    def x(self, on: date) -> float:
        """Across; a day outside lies at the edge."""
        days = max(1, (self.last - self.first).days)
        share = min(1.0, max(0.0, (on - self.first).days / days))
        return round(self.left + share * (self.right - self.left), 1)

    def months(self, top: float, foot: float, names: float) -> list[Shape]:
        """A line at the first of each month, and the names of as many months as there is room for.

        Args:
            top: Where the lines begin.
            foot: Where they end.
            names: Baseline of the names.
        """
        months = _months(self.first, self.last)
        parts: list[Shape] = [line(self.x(on), top, self.x(on), foot, "rule month") for on in months]
        if not months or self.x(months[0]) - self.left >= MONTH_WIDE:
            months = [self.first, *months]
        free, edge = 0.0, self.right - MONTH_WIDE + 8
        for on in months:
            x = self.x(on)
            if free <= x <= edge:
                parts.append(Text(x, names, MONTHS[on.month - 1][:3], "month"))
                free = x + MONTH_WIDE
        return parts


def _months(first: date, last: date) -> list[date]:
    found, at = [], first.replace(day=1)
    while at <= last:
        if at >= first:
            found.append(at)
        at = (at + timedelta(days=32)).replace(day=1)
    return found
