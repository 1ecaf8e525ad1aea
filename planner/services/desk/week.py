"""The days of one week of a term: what is read, what was read, what falls away."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.term import Plan, Term
from planner.scheduling.problem import OPEN_PIECE


@dataclass(frozen=True, slots=True)
class WeekDay:
    """One day of the week.

    Attributes:
        on: Its date.
        is_reading_day: The ensemble reads on it.
        titles: What is planned, in order, each piece once.
        is_off: It would read, were it not a day off.
        is_concert: The day of a concert.
        has_results: Something is logged.
        is_outside: It lies before or after the term.
    """

    on: date
    is_reading_day: bool = False
    titles: tuple[str, ...] = ()
    is_off: bool = False
    is_concert: bool = False
    has_results: bool = False
    is_outside: bool = False

    @property
    def is_free(self) -> bool:
        """Nothing is to be told of it."""
        return not (self.is_reading_day or self.is_off or self.is_concert)


def week_of(
    term: Term, plan: Plan | None, titles: Mapping[int, str], read_on: Collection[date], today: date
) -> tuple[WeekDay, ...]:
    """The week that holds today: Monday to Friday, and a day of the weekend on which there is something.

    Args:
        term: Whose days.
        plan: In force; None while there is none.
        titles: Of the pieces planned that week.
        read_on: Days with results.
        today: Always among the days, also on a weekend.
    """
    reading = set(term.reading_dates())
    monday = today - timedelta(days=today.weekday())
    days = [
        WeekDay(
            on,
            is_reading_day=on in reading,
            titles=_titles_on(plan, on, titles),
            is_off=term.is_day_off(on),
            is_concert=on in term.concerts,
            has_results=on in read_on,
            is_outside=not term.first <= on <= term.last,
        )
        for on in (monday + timedelta(days=n) for n in range(7))
    ]
    return tuple(day for day in days if day.on.weekday() < SATURDAY or not day.is_free or day.on == today)


SATURDAY = 5
"""As ``date.weekday`` counts."""


def _titles_on(plan: Plan | None, on: date, titles: Mapping[int, str]) -> tuple[str, ...]:
    planned = dict.fromkeys(slot.piece_id for slot in (plan.on(on) if plan else ()))
    return tuple(titles[piece] for piece in planned if piece != OPEN_PIECE and piece in titles)
