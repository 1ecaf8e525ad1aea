"""Set a term: its dates, reading days, days off, and what it aims at."""

from dataclasses import replace
from datetime import date, timedelta

from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.term import Term
from planner.errors import InputError
from planner.services.ports import UnitOfWork

LONGEST_TERM_DAYS = 400
"""A little over a year. Source: house choice."""


def keep_term(work: UnitOfWork, term: Term) -> Term:
    """Store a new term (id 0) or the changes to one; as it is stored.

    Raises:
        InputError: If the dates, days or numbers cannot hold.
        NotFoundError: If the ensemble or the term is not there.
    """
    checked = _checked(term)
    work.ensembles.get(checked.ensemble_id)
    if checked.id:
        work.terms.update(checked)
    else:
        checked = replace(checked, id=work.terms.add(checked))
    return checked


def parse_days_off(text: str) -> tuple[date, ...]:
    """Dates off from lines such as ``2026-12-24`` or ``2026-12-21 to 2027-01-01``.

    Raises:
        InputError: If a line is neither.

    Example:
        >>> [d.day for d in parse_days_off("2026-12-30 to 2027-01-01")]
        [30, 31, 1]
    """
    days: set[date] = set()
    for line in text.replace(",", "\n").splitlines():
        ends = [parse_date(end) for end in line.split(" to ")] if line.strip() else []
        if len(ends) > 2 or (len(ends) == 2 and ends[1] < ends[0]):
            raise InputError(f"“{line.strip()}” is not a stretch of days off; write first day to last day.")
        if ends and (ends[-1] - ends[0]).days > LONGEST_TERM_DAYS:
            raise InputError(f"“{line.strip()}” is longer than a term can be.")
        days.update(ends[0] + timedelta(days=n) for n in range((ends[-1] - ends[0]).days + 1 if ends else 0))
    return tuple(sorted(days))


def spell_days_off(days: tuple[date, ...]) -> str:
    r"""Days off as ``parse_days_off`` reads them, neighbouring days joined.

    Example:
        >>> spell_days_off((date(2026, 12, 30), date(2026, 12, 31), date(2027, 1, 4)))
        '2026-12-30 to 2026-12-31\n2027-01-04'
    """
    stretches: list[list[date]] = []
    for day in sorted(days):
        if stretches and day - stretches[-1][1] == timedelta(days=1):
            stretches[-1][1] = day
        else:
            stretches.append([day, day])
    return "\n".join(
        first.isoformat() if first == last else f"{first.isoformat()} to {last.isoformat()}"
        for first, last in stretches
    )


def parse_date(text: str) -> date:
    """A date from ``YYYY-MM-DD``, spaces around it ignored.

    Raises:
        InputError: If it is not one.
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(f"“{text.strip()}” is not a date; write it as 2026-09-01.") from None


def _checked(term: Term) -> Term:
    name = " ".join(term.name.split())
    if not name:
        raise InputError("A term needs a name.")
    if term.last < term.first:
        raise InputError("The term ends before it begins.", hint="Check its first and last day.")
    if (term.last - term.first).days > LONGEST_TERM_DAYS:
        raise InputError(f"A term lasts at most {LONGEST_TERM_DAYS} days.")
    if not term.weekdays or any(not 0 <= day <= 6 for day in term.weekdays):
        raise InputError("Choose at least one weekday for reading.")
    if not 3 <= term.minutes <= 120:
        raise InputError(f"Reading takes from 3 to 120 minutes a day, not {term.minutes:g}.")
    if not 1 <= term.slots <= 4:
        raise InputError(f"A day holds from 1 to 4 pieces, not {term.slots}.")
    for level in (term.start_level, term.target_level):
        if level is not None and not LOWEST_LEVEL <= level <= HIGHEST_LEVEL:
            raise InputError(f"A level lies from {LOWEST_LEVEL} to {HIGHEST_LEVEL}, not at {level:g}.")
    checked = replace(term, name=name, weekdays=tuple(sorted(set(term.weekdays))))
    if not checked.reading_dates():
        raise InputError("No reading day is left between these dates.", hint="Check weekdays and days off.")
    return checked
