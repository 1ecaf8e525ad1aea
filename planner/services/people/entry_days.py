"""Days that a person types: which can hold, and which are slips of the pen."""

from datetime import date, timedelta

from planner.errors import InputError
from planner.wording.words import full_date

MOST_YEARS_BACK = 80
"""Years before today beyond which a day is a slip of the pen. Source: house choice."""
MOST_DAYS_AHEAD = 400
"""Days after today that a first or last day may lie: about a school year. Source: house choice."""


def check_met_on(on: date | None, today: date) -> None:
    """A day on which a piece was met must have been.

    Raises:
        InputError: If it is still to come, or too long ago to be meant.
    """
    if on is None:
        return
    if on > today:
        raise InputError(
            f"{full_date(on)} is still to come: nobody can have met a piece on it.", hint="Check the date."
        )
    _check_not_too_old(on, today)


def check_seat_days(name: str, joined: date | None, left: date | None, today: date) -> None:
    """First day and first day no longer there, as a seat may have them.

    Raises:
        InputError: If they are the wrong way round, or lie too far away to be meant.
    """
    for on in (joined, left):
        if on is None:
            continue
        _check_not_too_old(on, today)
        if on > today + timedelta(days=MOST_DAYS_AHEAD):
            raise InputError(
                f"{name}: {full_date(on)} is more than a school year away.", hint="Check the year."
            )
    if joined and left and left <= joined:
        raise InputError(f"{name} cannot have left before joining.", hint="Check the two dates.")


def _check_not_too_old(on: date, today: date) -> None:
    if on.year < today.year - MOST_YEARS_BACK:
        raise InputError(f"{full_date(on)} is more than {MOST_YEARS_BACK} years ago.", hint="Check the year.")
