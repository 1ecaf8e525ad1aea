"""The entries that calendars have of a term's reading days, kept up to date from file to file."""

import hashlib
import json
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from itertools import groupby

from planner.core.published import PublishedDay
from planner.core.term import Term
from planner.services.ports.work import UnitOfWork
from planner.services.sheets.views import CalendarDay, PlanRow
from planner.wording.director.plan import CANCELLED_TITLE, calendar_line, calendar_title
from planner.wording.guide import counted_beat


def update_calendar(
    work: UnitOfWork, term: Term, rows: Sequence[PlanRow], now: datetime
) -> tuple[CalendarDay, ...]:
    """The term's days as calendars are to have them, by date; what they say is remembered.

    A day that was written before keeps its identity. Its sequence counts up when, and only when, its entry
    says something else than in the file before. A day that has no piece any more is cancelled.

    Args:
        work: An open unit of work that is going to be committed.
        term: Whose days.
        rows: The pieces of the plan in order of date and position.
        now: When entries that are new or changed have changed.
    """
    entries = _entries(term, rows)
    before = {day.on: day for day in work.published.days(term.id)}
    days = [
        _published(on, entries.get(on), before.get(on), now.astimezone(UTC).replace(microsecond=0))
        for on in sorted({*entries, *before})
    ]
    work.published.put(term.id, [day for day in days if day != before.get(day.on)])
    return tuple(
        replace(
            entries.get(day.on, _cancelled(day.on)),
            uid=day.uid,
            sequence=day.sequence,
            changed_at=day.changed_at,
        )
        for day in days
    )


_UNWRITTEN = datetime.min.replace(tzinfo=UTC)


def _entries(term: Term, rows: Sequence[PlanRow]) -> Mapping[date, CalendarDay]:
    """What each day with a piece says, not yet with an identity."""
    entries = {}
    for on, group in groupby(rows, key=lambda row: row.on):
        read = tuple(group)
        entries[on] = CalendarDay(
            on=on,
            uid="",
            sequence=0,
            changed_at=_UNWRITTEN,
            title=calendar_title(_titles(read)),
            lines=tuple(_line(row) for row in read),
            starts_at=term.starts_at,
            time_zone=term.time_zone if term.starts_at else "",
            minutes=_minutes(term, read),
        )
    return entries


def _titles(rows: Sequence[PlanRow]) -> Sequence[str]:
    """The titles of a day, at stations each once, since a piece goes from room to room."""
    titles = [row.title for row in rows]
    return list(dict.fromkeys(titles)) if any(row.room for row in rows) else titles


def _minutes(term: Term, rows: Sequence[PlanRow]) -> float:
    """How long a day lasts: its own minutes, or those of its pieces if they take more one after the other."""
    if term.shape_on(rows[0].on).stations:
        return term.minutes_on(rows[0].on)
    return max(term.minutes_on(rows[0].on), sum(row.minutes for row in rows))


def _line(row: PlanRow) -> str:
    return calendar_line(
        row.title,
        row.credit,
        level=row.level,
        focus=row.focus,
        featured=row.featured,
        minutes=row.minutes,
        tempo=counted_beat(row.beat_unit, row.reading_bpm),
        room=row.room,
    )


def _cancelled(on: date) -> CalendarDay:
    return CalendarDay(on, "", 0, _UNWRITTEN, CANCELLED_TITLE, is_cancelled=True)


def _published(
    on: date, entry: CalendarDay | None, before: PublishedDay | None, now: datetime
) -> PublishedDay:
    """The day as it is to be remembered: as before if it says the same."""
    content = _hash(entry or _cancelled(on))
    if before is None:
        return PublishedDay(on, str(uuid.uuid4()), 0, content, now)
    if content == before.content:
        return before
    return replace(
        before, sequence=before.sequence + 1, content=content, changed_at=now, is_cancelled=entry is None
    )


def _hash(entry: CalendarDay) -> str:
    """Hash of all that a calendar shows of an entry."""
    begins = entry.starts_at.isoformat() if entry.starts_at else ""
    shown = (entry.title, entry.lines, begins, entry.time_zone, entry.minutes, entry.is_cancelled)
    return hashlib.sha256(json.dumps(shown).encode()).hexdigest()
