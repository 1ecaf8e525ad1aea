"""The term plan as a calendar file: one event for each reading day."""

import uuid
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby
from pathlib import Path
from typing import BinaryIO

from icalendar import Calendar, Event

from planner.adapters.exports.base import write_export
from planner.services.sheets.views import PlanRow, PlanSheet

_NAMESPACE = uuid.UUID("6f0a1c2e-5a44-5d0e-9d0b-3b5f6f1f2a77")


class PlanCalendar:
    """Fulfils ``services.ports.PlanWriter``: .ics, the same bytes for the same sheet.

    A day keeps its identity when the plan is made again, so a calendar that
    imports the file a second time updates its entries.

    Source: RFC 5545, sections 3.6.1 and 3.8.4.7 (UID).
    """

    suffix = ".ics"

    def write(self, sheet: PlanSheet, path: Path) -> Path:
        """Write the calendar."""
        calendar = Calendar()
        calendar.add("prodid", f"-//Sight-reading program planner//{sheet.library_version}//EN")
        calendar.add("version", "2.0")
        calendar.add("x-wr-calname", f"{sheet.ensemble}: {sheet.term}")
        for on, rows in groupby(sheet.rows, key=lambda row: row.on):
            calendar.add_component(_event(sheet, on, tuple(rows)))

        def writer(out: BinaryIO) -> None:
            out.write(calendar.to_ical())

        return write_export(path, writer)


def _event(sheet: PlanSheet, on: date, rows: Sequence[PlanRow]) -> Event:
    event = Event()
    event.add("uid", f"{uuid.uuid5(_NAMESPACE, f'{sheet.ensemble}|{sheet.term_id}|{on.isoformat()}')}")
    event.add("dtstamp", datetime.combine(sheet.made_on, time(), UTC))
    event.add("summary", f"Sight-reading: {'; '.join(row.title for row in rows)}")
    event.add("description", "\n".join(_line(row) for row in rows))
    if sheet.starts_at is None:
        event.add("dtstart", on)
        event.add("dtend", on + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
    else:
        start = datetime.combine(on, sheet.starts_at)
        minutes = max(sheet.minutes, sum(row.minutes for row in rows), 1.0)
        event.add("dtstart", start)
        event.add("dtend", start + timedelta(minutes=round(minutes)))
    return event


def _line(row: PlanRow) -> str:
    facts = [f"level {row.level:.1f}" if row.level is not None else "", f"focus {row.focus}"]
    if row.featured:
        facts.append(f"featuring {row.featured}")
    if row.minutes:
        facts.append(f"{row.minutes:.0f} minutes")
    if row.reading_bpm:
        facts.append(f"first reading {row.beat_unit} = {row.reading_bpm}")
    title = f"{row.title} ({row.credit})" if row.credit else row.title
    return f"{title}: {', '.join(fact for fact in facts if fact)}"
