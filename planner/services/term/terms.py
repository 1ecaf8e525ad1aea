"""Set a term: its dates, reading days, days off, time of day, and what it aims at."""

import re
from dataclasses import replace
from datetime import date, time, timedelta
from difflib import get_close_matches
from zoneinfo import available_timezones

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


def at_time(term: Term, starts_at: str | None, time_zone: str | None, machine_zone: str) -> Term:
    """The term with another time of day at which reading begins, all as it is written.

    Args:
        term: The term as it is.
        starts_at: Such as ``14:10`` or ``2:10 pm``; empty for no time, None for the one it has.
        time_zone: IANA name; None or empty for the one it has.
        machine_zone: What stands in when a time is set and no zone is known; may be empty.

    Raises:
        InputError: If the time cannot be read.
    """
    begins = term.starts_at if starts_at is None else parse_time(starts_at)
    zone = (time_zone or "").strip() or term.time_zone
    return replace(term, starts_at=begins, time_zone=zone or (machine_zone if begins else ""))


def parse_time(text: str) -> time | None:
    """A time of day, spaces around it ignored; None when empty.

    Raises:
        InputError: If it is not one.

    Example:
        >>> parse_time("14:10"), parse_time("2:10 PM"), parse_time("12:05 a.m.")
        (datetime.time(14, 10), datetime.time(14, 10), datetime.time(0, 5))
    """
    asked = text.strip().lower().replace(".", "")
    if not asked:
        return None
    found = re.fullmatch(r"(\d{1,2}):(\d\d)(?::00)? ?(am|pm)?", asked, re.ASCII)
    hour, minute, half = (int(found[1]), int(found[2]), found[3]) if found else (24, 0, None)
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif half:
        hour = 24
    if hour > 23 or minute > 59:
        raise InputError(f"“{text.strip()}” is not a time of day; write it as 14:10 or 2:10 pm.")
    return time(hour, minute)


def _checked_zone(term: Term) -> str:
    """The term's time zone as the time zone database spells it.

    Raises:
        InputError: If that has none of the name, or a time of day has none.
    """
    name = term.time_zone.strip().replace(" ", "_")
    if not name:
        if term.starts_at is not None:
            hint = "Name it, such as America/Chicago."
            raise InputError("This machine does not say which time zone it is in.", hint=hint)
        return ""
    zones = {zone.casefold(): zone for zone in available_timezones() - {"localtime", "Factory"}}
    if name.casefold() not in zones:
        near = [zones[zone] for zone in get_close_matches(name.casefold(), zones, n=1)]
        hint = f"Do you mean {near[0]}?" if near else "Write a region and a city, such as America/Chicago."
        raise InputError(f"“{term.time_zone}” is not the name of a time zone.", hint=hint)
    return zones[name.casefold()]


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
    zone = _checked_zone(term)
    checked = replace(term, name=name, weekdays=tuple(sorted(set(term.weekdays))), time_zone=zone)
    if not checked.reading_dates():
        raise InputError("No reading day is left between these dates.", hint="Check weekdays and days off.")
    return checked
