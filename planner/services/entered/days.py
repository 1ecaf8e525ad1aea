"""Days that a person types: which can hold, which are refused, and which are asked about."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from planner.core.question import Question
from planner.core.term import Term
from planner.errors import InputError
from planner.wording.words import count_of, full_date

MOST_YEARS_BACK = 80
"""Years before today beyond which a day is a slip of the pen. Source: house choice."""
MOST_DAYS_AHEAD = 400
"""Days after today that a first or last day may lie: about a school year. Source: house choice."""
ODD_YEARS = 10
"""Years before this one from which on a first day, or a day on which a piece was met, is asked about.

Source: house choice; the year a digit off, 2016 for 2026, is asked about.
"""
ODD_DAYS = 400
"""Days from today beyond which any other day is asked about: about a school year. Source: house choice."""


def met_questions(on: date | None, today: date) -> Iterator[Question]:
    """What is odd about a day on which a piece was met.

    Raises:
        InputError: If it is still to come, or too long ago to be meant.
    """
    if on is None:
        return
    if on > today:
        raise InputError(
            f"{full_date(on)} is still to come: nobody can have met a piece on it.",
            hint="Check the date.", field="on",
        )  # fmt: skip
    _check_not_too_old(on, today, "on")
    if on.year <= today.year - ODD_YEARS:
        yield Question(f"met {on}", f"{full_date(on)} is {_ago(on, today)}.", "on")


def check_seat_days(name: str, joined: date | None, left: date | None, today: date) -> None:
    """First day and first day no longer there, as a seat may have them.

    Raises:
        InputError: If they are the wrong way round, or lie too far away to be meant.
    """
    for on, field in ((joined, "joined"), (left, "last_day")):
        if on is None:
            continue
        _check_not_too_old(on, today, field)
        if on > today + timedelta(days=MOST_DAYS_AHEAD):
            raise InputError(
                f"{name}: {full_date(on)} is more than a school year away.",
                hint="Check the year.",
                field=field,
            )
    if joined and left and left <= joined:
        raise InputError(
            f"{name} cannot have left before joining.", hint="Check the two dates.", field="last_day"
        )


def seat_questions(name: str, joined: date | None, left: date | None, today: date) -> Iterator[Question]:
    """What is odd about a first day, and about a first day no longer there, that can hold."""
    if joined is not None and joined.year <= today.year - ODD_YEARS:
        sentence = f"{name} would have joined on {full_date(joined)}, {_ago(joined, today)}."
        yield Question(f"joined {name} {joined}", sentence, "joined")
    if left is not None and (today - left).days > ODD_DAYS:
        last = left - timedelta(days=1)
        sentence = f"The last day of {name} would have been {full_date(last)}, {_ago(last, today)}."
        yield Question(f"left {name} {left}", sentence, "last_day")


def _far_questions(on: date, today: date) -> Iterator[Question]:
    """What is odd about how far away a day with results lies.

    Raises:
        InputError: If it is still to come, or too long ago to be meant.
    """
    if on > today:
        raise InputError(
            f"{full_date(on)} is still to come: nobody can have read on it.",
            hint="Check the date.",
            field="on",
        )
    _check_not_too_old(on, today, "on")
    if (today - on).days > ODD_DAYS:
        yield Question(f"read {on}", f"{full_date(on)} is {_ago(on, today)}.", "on")


def reading_day_questions(on: date, today: date, terms: Sequence[Term]) -> Iterator[Question]:
    """What is odd about a day on which an ensemble is to have read, held against its terms.

    Nothing is asked of a day that no term reads while there are no ``terms``.

    Raises:
        InputError: If it is still to come, or too long ago to be meant.
    """
    yield from _far_questions(on, today)
    dates = [day for term in terms for day in term.reading_dates()]
    if dates and on not in dates:
        near = min(dates, key=lambda day: abs(day - on))
        sentence = f"{full_date(on)} is not a reading day; the nearest one is {full_date(near)}."
        yield Question(f"no reading day {on}", sentence, "on")


def term_questions(first: date, last: date, today: date) -> Iterator[Question]:
    """What is odd about the dates of a term."""
    if first > today + timedelta(days=ODD_DAYS):
        yield Question(
            f"term {first}", f"The term would begin on {full_date(first)}, {_ahead(first, today)}.", "first"
        )
    if last < today - timedelta(days=ODD_DAYS):
        yield Question(
            f"term {last}", f"The term would have ended on {full_date(last)}, {_ago(last, today)}.", "last"
        )


def _check_not_too_old(on: date, today: date, field: str) -> None:
    if on.year < today.year - MOST_YEARS_BACK:
        raise InputError(
            f"{full_date(on)} is more than {MOST_YEARS_BACK} years ago.", hint="Check the year.", field=field
        )


def _ago(on: date, today: date) -> str:
    """How long ago a day was, as people say it.

    Example:
        >>> _ago(date(2016, 9, 1), date(2026, 9, 1)), _ago(date(2025, 3, 1), date(2026, 9, 1))
        ('10 years ago', '18 months ago')
    """
    return f"{_span(on, today)} ago"


def _ahead(on: date, today: date) -> str:
    return f"{_span(today, on)} ahead"


def _span(first: date, last: date) -> str:
    months = round((last - first).days / 30.44)
    return count_of(months, "month") if months < 24 else count_of(round(months / 12), "year")
