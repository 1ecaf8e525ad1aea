"""The mark of a term from those of its days: by their weights, without the lowest."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from planner.core.mark_scheme import MarkScheme
from planner.marks.day_marks import DayMark, weighed_mean, word_of_mark


@dataclass(frozen=True, slots=True)
class TermDay:
    """A day within a term: how much it weighs, and whether it is one of the lowest that are dropped."""

    day: DayMark
    weight: Decimal
    is_dropped: bool

    @property
    def counts(self) -> bool:
        """Whether it makes the mark of the term."""
        return self.day.mark is not None and bool(self.weight) and not self.is_dropped


@dataclass(frozen=True, slots=True)
class TermMark:
    """The mark of a term (None without a day that counts), its word on the scale, the days that make it."""

    mark: Fraction | None
    word: str
    days: tuple[TermDay, ...]


def term_mark(scheme: MarkScheme, days: Sequence[DayMark]) -> TermMark:
    """The mean of days by their weights, the lowest left out; of equally low days the first goes.

    Args:
        scheme: How marks are worked out.
        days: In order of date.
    """
    counted = [each for each in days if each.mark is not None and scheme.weight_of(each.on)]
    lowest = sorted(counted, key=lambda each: (each.mark, each.on))
    dropped = {each.on for each in lowest[: min(scheme.drop, max(0, len(counted) - 1))]}
    placed = tuple(TermDay(each, scheme.weight_of(each.on), each.on in dropped) for each in days)
    mark = weighed_mean(
        [
            (each.day.mark, Fraction(each.weight))
            for each in placed
            if each.counts and each.day.mark is not None
        ]
    )
    return TermMark(mark, "" if mark is None else word_of_mark(scheme.scale, mark), placed)
