"""Set a term: its dates, reading days, days off, time of day, and what it aims at."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, time, timedelta
from difflib import get_close_matches
from zoneinfo import available_timezones

from planner.core.change import Author, ChangeKind
from planner.core.question import Question
from planner.core.term import Plan, Slot, Term
from planner.errors import ConflictError, InputError
from planner.services.changes.journal import record_new, recorded
from planner.services.changes.term_record import term_subject
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.entered.days import term_questions
from planner.services.entered.numbers import number_in
from planner.services.entered.words import short
from planner.services.ports.work import UnitOfWork
from planner.services.term.term_checks import LONGEST_TERM_DAYS, checked_term
from planner.wording.words import full_date, listed, short_day

FIRST_YEAR, LAST_YEAR = 1900, 2199
"""Years that a date may have. Source: house choice, against slips of the pen such as 26 or 20226."""

_ISO_DATE = re.compile(r"(\d{1,6})-(\d{1,2})-(\d{1,2})", re.ASCII)
_AMERICAN_DATE = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4,6})", re.ASCII)


def keep_term(work: UnitOfWork, term: Term, *, by: Author, today: date, answers: Answers = NONE_YET) -> Term:
    """Store a new term (id 0) or the changes to one, and journal it; as it is stored.

    Pieces planned on days that it no longer reads go back to the library, but for those that were read.

    Args:
        work: An open unit of work.
        term: As it is to be.
        by: Who sets it.
        today: Against which its dates are held.
        answers: What was said yes to.

    Raises:
        InputError: If the dates, days or numbers cannot hold.
        OddEntryError: If what is new in it lies far away: its dates, or a day off outside of them.
        NotFoundError: If the ensemble or the term is not there.
        ConflictError: If its name is taken, or a piece is pinned to a day that it would no longer read.
    """
    checked = checked_term(replace(term, time_zone=_checked_zone(term)), work.ensembles.get(term.ensemble_id))
    answers.ask(_odd(checked, work.terms.get(checked.id) if checked.id else None, today))
    if not checked.id:
        checked = replace(checked, id=work.terms.add(checked))
        record_new(work, ChangeKind.TERM, term_subject(checked), by)
        return checked
    with recorded(work, ChangeKind.TERM, term_subject(work.terms.get(checked.id)), by):
        _drop_lost_days(work, checked)
        work.terms.update(checked)
    return checked


def _odd(term: Term, before: Term | None, today: date) -> Iterator[Question]:
    """What is odd about the new dates of a term; what it had before is asked about no more."""
    if before is None or (before.first, before.last) != (term.first, term.last):
        yield from term_questions(term.first, term.last, today)
    outside = [
        on for on in term.days_off
        if not term.first <= on <= term.last and (before is None or on not in before.days_off)
    ]  # fmt: skip
    if outside:
        one = len(outside) == 1
        yield Question(
            f"days off {spell_days_off(tuple(outside))}",
            f"{listed([full_date(on) for on in outside[:3]])}{'' if len(outside) <= 3 else ' and so on'} "
            f"{'is a day off' if one else 'are days off'} outside of the term, which goes from "
            f"{full_date(term.first)} to {full_date(term.last)}.",
            "days_off",
        )


def remove_term(work: UnitOfWork, term_id: int, *, by: Author) -> Term:
    """Take a term out with its wishes and its plan, and journal it; results stay. The term as it was.

    Raises:
        NotFoundError: If it is not there.
    """
    term = work.terms.get(term_id)
    with recorded(work, ChangeKind.TERM, term_subject(term), by):
        work.terms.remove(term_id)
    return term


def lost_slots(work: UnitOfWork, term: Term) -> tuple[Slot, ...]:
    """Planned and not yet read pieces on days that a term, as it is to be, no longer reads."""
    plan, dates = work.terms.plan(term.id), set(term.reading_dates())
    read = {result.on for result in work.results.list_results(term.ensemble_id)}
    return tuple(s for s in (plan.slots if plan else ()) if s.on not in dates and s.on not in read)


def _drop_lost_days(work: UnitOfWork, term: Term) -> None:
    """Wishes and planned pieces of days that the term no longer reads.

    Raises:
        ConflictError: If a piece is pinned to one of them, or read again on it.
    """
    dates, wishes = set(term.reading_dates()), work.terms.wishes(term.id)
    for wish in wishes:
        if wish.on is not None and wish.on not in dates and wish.kind != "banned":
            title = work.pieces.get(wish.piece_id).title
            raise ConflictError(
                f"“{title}” is {'pinned to' if wish.kind == 'pinned' else 'read again on'} "
                f"{short_day(wish.on)}, which would be no reading day.",
                hint="Take that back first, or cancel the day and say what becomes of its pieces.",
            )
    kept = tuple(wish for wish in wishes if wish.on is None or wish.on in dates)
    if kept != tuple(wishes):
        work.terms.set_wishes(term.id, kept)
    plan, lost = work.terms.plan(term.id), lost_slots(work, term)
    if plan is not None and lost:
        left = tuple(slot for slot in plan.slots if slot not in lost)
        work.terms.save_plan(Plan(plan.term_id, left))


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
            raise InputError(f"“{short(line)}” is not a stretch of days off; write first day to last day.")
        if ends and (ends[-1] - ends[0]).days > LONGEST_TERM_DAYS:
            raise InputError(f"“{short(line)}” is longer than a term can be.")
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


def parse_aims(text: str) -> tuple[tuple[date, float], ...]:
    """Levels to aim at on dates, from lines such as ``2026-10-15 2.5``.

    Raises:
        InputError: If a line is not one.

    Example:
        >>> parse_aims("2026-10-15 2.5")
        ((datetime.date(2026, 10, 15), 2.5),)
    """
    found = []
    for line in text.replace(";", "\n").splitlines():
        day, _, level = line.strip().replace("=", " ").partition(" ")
        if not day:
            continue
        number = number_in(level)
        if number is None:
            hint = "Write the date and the level, as 2026-10-15 2.5."
            raise InputError(f"“{short(line)}” is not a level to aim at.", hint=hint)
        found.append((parse_date(day), number))
    return tuple(sorted(found))


def spell_aims(aims: tuple[tuple[date, float], ...]) -> str:
    """Levels to aim at as ``parse_aims`` reads them.

    Example:
        >>> spell_aims(((date(2026, 10, 15), 2.5),))
        '2026-10-15 2.5'
    """
    return "\n".join(f"{on} {level:g}" for on, level in aims)


def parse_date(text: str) -> date:
    """A date from ``YYYY-MM-DD`` or, as Americans write it, ``9/1/2026``; spaces around it ignored.

    Raises:
        InputError: If it is not one, or its year cannot be meant, such as 26 or 20226.

    Example:
        >>> parse_date("2026-09-01") == parse_date("9/1/2026")
        True
    """
    written = text.strip()
    found = _ISO_DATE.fullmatch(written)
    american = _AMERICAN_DATE.fullmatch(written)
    if found:
        year, month, day = (int(part) for part in found.groups())
    elif american:
        month, day, year = (int(part) for part in american.groups())
    else:
        raise InputError(f"“{written}” is not a date; write it as 2026-09-01 or 9/1/2026.")
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise InputError(f"“{written}”: the year {year} cannot be meant.", hint="Write it as 2026-09-01.")
    try:
        return date(year, month, day)
    except ValueError:
        raise InputError(f"“{written}” is not a day of the calendar.", hint="Check month and day.") from None


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
        raise InputError(
            f"“{short(text)}” is not a time of day; write it as 14:10 or 2:10 pm.", field="starts_at"
        )
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
            raise InputError(
                "This machine does not say which time zone it is in.", hint=hint, field="time_zone"
            )
        return ""
    zones = {zone.casefold(): zone for zone in available_timezones() - {"localtime", "Factory"}}
    if name.casefold() not in zones:
        near = [zones[zone] for zone in get_close_matches(name.casefold(), zones, n=1)]
        hint = f"Do you mean {near[0]}?" if near else "Write a region and a city, such as America/Chicago."
        raise InputError(
            f"“{short(term.time_zone)}” is not the name of a time zone.", hint=hint, field="time_zone"
        )
    return zones[name.casefold()]
