"""The term plan as a calendar file: one event for each reading day.

A calendar that has an earlier copy is brought up to date when it takes the file in: an event is known by
its UID, a changed one has a higher SEQUENCE, and a day that fell away comes as cancelled.
"""

import unicodedata
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import BinaryIO
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event

from planner.adapters.exports.base import write_export
from planner.adapters.exports.time_zone import time_zone_component
from planner.services.sheets.views import CalendarDay, PlanSheet


class PlanCalendar:
    """Fulfils ``ports.writers.PlanWriter``: .ics, the same bytes for the same sheet.

    Source: RFC 5545, sections 3.6 to 3.8; RFC 7986, sections 5.1 (NAME), 5.3 (UID) and 5.4
    (LAST-MODIFIED of the calendar). There is no METHOD: a file that is handed on is no message
    of a scheduling system (RFC 5546 would ask for an organizer).
    """

    suffix = ".ics"
    updates_copies = True

    def write(self, sheet: PlanSheet, path: Path) -> Path:
        """Write the calendar."""
        calendar = Calendar()
        calendar.add("prodid", f"-//Sight-reading program planner//{sheet.library_version}//EN")
        calendar.add("version", "2.0")
        name = _clean(f"{sheet.ensemble}: {sheet.term}")
        calendar.add("name", name)
        calendar.add("x-wr-calname", name)
        if sheet.calendar:
            calendar.add("last-modified", max(day.changed_at for day in sheet.calendar))
        for zone, dates in sorted(_zones(sheet).items()):
            calendar.add_component(time_zone_component(zone, min(dates), max(dates)))
        for day in sheet.calendar:
            calendar.add_component(_event(day))

        def writer(out: BinaryIO) -> None:
            out.write(calendar.to_ical())

        return write_export(path, writer)


def _zones(sheet: PlanSheet) -> dict[str, list[date]]:
    """The time zones that events name, each with their dates."""
    zones: dict[str, list[date]] = {}
    for day in sheet.calendar:
        if day.starts_at is not None:
            zones.setdefault(day.time_zone, []).append(day.on)
    return zones


def _event(day: CalendarDay) -> Event:
    event = Event()
    event.add("uid", day.uid)
    event.add("dtstamp", day.changed_at)
    event.add("last-modified", day.changed_at)
    event.add("sequence", day.sequence)
    event.add("status", "CANCELLED" if day.is_cancelled else "CONFIRMED")
    event.add("summary", _clean(day.title))
    if day.lines:
        event.add("description", "\n".join(_clean(line) for line in day.lines))
    _add_times(event, day)
    return event


def _add_times(event: Event, day: CalendarDay) -> None:
    """Begin and end; the whole day, in which other things may happen, where no time is set."""
    if day.starts_at is None:
        event.add("dtstart", day.on)
        event.add("dtend", day.on + timedelta(days=1))
        event.add("transp", "TRANSPARENT")
        return
    zone = ZoneInfo(day.time_zone)
    start = datetime.combine(day.on, day.starts_at, zone)
    end = start.astimezone(UTC) + timedelta(minutes=max(1, round(day.minutes)))
    event.add("dtstart", start)
    event.add("dtend", end.astimezone(zone))
    event.add("transp", "OPAQUE")


def _clean(text: str) -> str:
    """The text on one line, without the control characters that the format forbids.

    Source: RFC 5545, section 3.1 (CONTROL).
    """
    spaced = " ".join(text.split())
    return "".join(char for char in spaced if unicodedata.category(char) != "Cc")
