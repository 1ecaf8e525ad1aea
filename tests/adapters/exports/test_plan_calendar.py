"""The calendar file against RFC 5545 and RFC 7986, read back by other libraries."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from io import StringIO
from zoneinfo import ZoneInfo, available_timezones

import icalendar
import pytest
from dateutil.tz import tzical

from planner.adapters.exports.plan_ics import PlanCalendar
from planner.adapters.exports.time_zone import time_zone_component
from tests.adapters.exports.views import DAY, make_calendar_day, make_plan
from tests.checks import some

CHICAGO = "America/Chicago"


@pytest.fixture
def written(tmp_path):
    """Writes days and gives the bytes."""

    def write(*days, **changes):
        return PlanCalendar().write(make_plan(1, calendar=days, **changes), tmp_path / "a.ics").read_bytes()

    return write


def events(data):
    return icalendar.Calendar.from_ical(data).walk("VEVENT")


def test_the_calendar_object_has_what_the_standard_asks_of_it(written):
    """RFC 5545 3.4 and 3.6; RFC 7986 5.1 and 5.4. Without METHOD it is no message (RFC 5546)."""
    later = datetime(2026, 9, 1, 6, 0, tzinfo=UTC)
    data = written(make_calendar_day(0), make_calendar_day(1, changed_at=later))
    calendar = icalendar.Calendar.from_ical(data)
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"].startswith("-//")
    assert calendar["NAME"] == calendar["X-WR-CALNAME"] == "Riverside Band: Autumn 2026"
    assert calendar["LAST-MODIFIED"].dt == later
    assert "METHOD" not in calendar
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")
    assert data.endswith(b"END:VCALENDAR\r\n")


def test_each_event_says_who_it_is_which_change_it_is_and_when_that_was(written):
    """RFC 5545 3.6.1, 3.8.1.11 (STATUS), 3.8.7.2 to 3.8.7.4 (DTSTAMP, LAST-MODIFIED, SEQUENCE)."""
    (event,) = events(written(make_calendar_day(0, sequence=3)))
    assert event["UID"] == "5a0f0000-0000-4000-8000-000000000000"
    assert event["SEQUENCE"] == 3
    assert event["STATUS"] == "CONFIRMED"
    assert event["DTSTAMP"].dt == event["LAST-MODIFIED"].dt == datetime(2026, 8, 30, 12, 0, 5, tzinfo=UTC)
    assert event["SUMMARY"] == "Sight-reading: Piece 1"
    once = ("UID", "DTSTAMP", "DTSTART", "DTEND", "SEQUENCE", "STATUS", "LAST-MODIFIED", "TRANSP")
    assert [name for name in once if isinstance(event[name], list)] == []


def test_moments_are_written_in_utc(written):
    """RFC 5545 3.8.7.2 and 3.8.7.3: both MUST be in UTC."""
    data = written(make_calendar_day(0))
    assert b"DTSTAMP:20260830T120005Z\r\n" in data
    assert data.count(b"LAST-MODIFIED:20260830T120005Z\r\n") == 2


def test_a_day_without_a_time_is_a_whole_day_in_which_one_is_free(written):
    """RFC 5545 3.6.1 (the end of whole days is the day after) and 3.8.2.7 (TRANSP)."""
    data = written(make_calendar_day(0))
    (event,) = events(data)
    assert b"DTSTART;VALUE=DATE:20260903\r\n" in data
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (DAY, DAY + timedelta(days=1))
    assert event["TRANSP"] == "TRANSPARENT"
    assert b"VTIMEZONE" not in data


def test_a_day_that_fell_away_is_cancelled(written):
    gone = make_calendar_day(0, sequence=1, title="No sight-reading", lines=(), is_cancelled=True)
    (event,) = events(written(gone))
    assert (event["STATUS"], event["SEQUENCE"]) == ("CANCELLED", 1)
    assert event["DTSTART"].dt == DAY
    assert "DESCRIPTION" not in event


def timed(number, **changes):
    values = {"starts_at": time(14, 10), "time_zone": CHICAGO, "minutes": 25.0, **changes}
    return make_calendar_day(number, **values)


def test_a_time_of_day_makes_events_as_long_as_the_reading_in_the_time_zone(written):
    """RFC 5545 3.2.19: every TZID names a VTIMEZONE of the file."""
    data = written(timed(0), make_calendar_day(1))
    event, whole_day = events(data)
    assert b"DTSTART;TZID=America/Chicago:20260903T141000\r\n" in data
    assert b"DTEND;TZID=America/Chicago:20260903T143500\r\n" in data
    assert event["TRANSP"] == "OPAQUE"
    assert whole_day["DTSTART"].dt == DAY + timedelta(weeks=1)
    (zone,) = icalendar.Calendar.from_ical(data).walk("VTIMEZONE")
    assert zone["TZID"] == CHICAGO


def test_the_wall_time_stays_when_the_clocks_change_within_the_term(written):
    """Clocks in Chicago go back on November 1, 2026: 14:10 is 19:10 UTC before and 20:10 after."""
    data = written(*(timed(number) for number in range(12)))
    moments = {event["DTSTART"].dt.date(): event["DTSTART"].dt for event in events(data)}
    assert {moment.time() for moment in moments.values()} == {time(14, 10)}
    assert moments[date(2026, 10, 29)].astimezone(UTC).time() == time(19, 10)
    assert moments[date(2026, 11, 5)].astimezone(UTC).time() == time(20, 10)
    zone = read_by_dateutil(icalendar.Calendar.from_ical(data).walk("VTIMEZONE")[0])
    assert datetime(2026, 10, 29, 14, 10, tzinfo=zone).utcoffset() == timedelta(hours=-5)
    assert datetime(2026, 11, 5, 14, 10, tzinfo=zone).utcoffset() == timedelta(hours=-6)


def test_a_reading_over_the_change_of_the_clocks_lasts_as_long_as_it_says(written):
    """The night of March 14, 2027, when 2:00 becomes 3:00."""
    day = replace(timed(0), on=date(2027, 3, 14), starts_at=time(1, 30), minutes=60.0)
    (event,) = events(written(day))
    assert event["DTEND"].dt.time() == time(3, 30)
    assert event["DTEND"].dt.astimezone(UTC) - event["DTSTART"].dt.astimezone(UTC) == timedelta(hours=1)


def read_by_dateutil(component):
    """The zone as another library understands the component."""
    text = "BEGIN:VCALENDAR\r\n" + component.to_ical().decode() + "END:VCALENDAR\r\n"
    return tzical(StringIO(text.replace("\r\n", "\n"))).get()


@pytest.mark.parametrize("name", sorted(available_timezones() - {"localtime", "Factory"})[::30])
def test_a_time_zone_has_the_offsets_of_the_database(name):
    """RFC 5545 3.6.5, read by dateutil, held against the time zone database at every sixth hour."""
    component = time_zone_component(name, date(2026, 9, 1), date(2027, 6, 1))
    zone, truth = read_by_dateutil(component), ZoneInfo(name)
    begin, wrong = datetime(2026, 1, 1), []
    for step in range(4 * 730):
        local = begin + timedelta(hours=6 * step)
        real = local.replace(tzinfo=truth)
        if real.astimezone(UTC).astimezone(truth).replace(tzinfo=None) != local or real.utcoffset() != (
            real.replace(fold=1).utcoffset()
        ):
            continue  # an hour that is left out or comes twice
        if local.replace(tzinfo=zone).utcoffset() != real.utcoffset():
            wrong.append(local)
    assert wrong == []


def test_the_clocks_of_a_zone_change_at_the_onset_that_was_shown_before():
    """RFC 5545 3.6.5, the zone of New York in its example: 2:00 by the clock that ends, on both days."""
    component = time_zone_component("America/New_York", date(2026, 1, 1), date(2026, 12, 31))
    onsets = [
        (part.name, part["DTSTART"].dt, part["TZOFFSETFROM"].td, part["TZOFFSETTO"].td, part["TZNAME"])
        for part in component.subcomponents[1:]
    ]
    east, west = timedelta(hours=-4), timedelta(hours=-5)
    assert onsets == [
        ("DAYLIGHT", datetime(2026, 3, 8, 2), west, east, "EDT"),
        ("STANDARD", datetime(2026, 11, 1, 2), east, west, "EST"),
    ]


def test_signs_with_a_meaning_are_escaped_and_control_characters_go(written):
    """RFC 5545 3.3.11 (TEXT) and 3.1 (CONTROL)."""
    title = "Sight-reading: One; two, three\\four\nBEGIN:VEVENT\x07\x00 end"
    data = written(make_calendar_day(0, title=title, lines=("a;b", "c,d")))
    assert b"SUMMARY:Sight-reading: One\\; two\\, three\\\\four BEGIN:VEVENT end\r\n" in data
    assert b"DESCRIPTION:a\\;b\\nc\\,d\r\n" in data
    assert data.count(b"\nBEGIN:VEVENT\r\n") == 1
    assert str(events(data)[0]["SUMMARY"]) == "Sight-reading: One; two, three\\four BEGIN:VEVENT end"


def test_lines_are_folded_as_the_standard_asks(written):
    """RFC 5545 section 3.1: lines end in CRLF and are at most 75 octets."""
    data = written(make_calendar_day(0, title="Ñandú 春の海 " * 40))
    assert data.endswith(b"\r\n")
    for line in some(data.split(b"\r\n")):
        assert len(line) <= 75
        line.decode("utf-8")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert str(events(data)[0]["SUMMARY"]).count("Ñandú 春の海") == 40


def test_the_same_days_give_the_same_bytes(written):
    days = (timed(0), make_calendar_day(1))
    assert written(*days) == written(*days)
    assert written(*days) != written(timed(0, sequence=1), days[1])
