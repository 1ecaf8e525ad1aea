"""A time zone for a calendar file: its offsets, and when they change, over some years."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

_STEP = timedelta(days=1)
"""Where the offset is looked at; two changes within one step would be missed, which no zone has had."""


def time_zone_component(name: str, first: date, last: date) -> Timezone:
    """The VTIMEZONE of a zone for the whole years of these dates.

    Every change of offset stands as an observance of its own, with its onset in the local time that was
    shown just before. The time zone database is the source of all of them.

    Source: RFC 5545, section 3.6.5.

    Args:
        name: IANA name.
        first: First date that events fall on.
        last: Last such date.
    """
    zone, component = ZoneInfo(name), Timezone()
    component.add("tzid", name)
    begin = datetime(first.year, 1, 1, tzinfo=UTC)
    end = datetime(last.year + 1, 1, 2, tzinfo=UTC)
    onset = begin - _STEP
    component.add_component(_observance(zone, onset, _offset(zone, onset)))
    for moment in _changes(zone, onset, end):
        component.add_component(_observance(zone, moment, _offset(zone, moment - timedelta(seconds=1))))
    return component


def _changes(zone: ZoneInfo, begin: datetime, end: datetime) -> Iterator[datetime]:
    """The moments, to the second, at which the offset or its name becomes another."""
    moment = begin
    while moment < end:
        following = moment + _STEP
        if _shown(zone, moment) != _shown(zone, following):
            low, high = moment, following
            while high - low > timedelta(seconds=1):
                middle = low + timedelta(seconds=(high - low).total_seconds() // 2)
                low, high = (middle, high) if _shown(zone, middle) == _shown(zone, moment) else (low, middle)
            yield high
        moment = following


def _observance(zone: ZoneInfo, onset: datetime, before: timedelta) -> TimezoneStandard | TimezoneDaylight:
    local = onset.astimezone(zone)
    observance = TimezoneDaylight() if local.dst() else TimezoneStandard()
    observance.add("dtstart", (onset + before).replace(tzinfo=None))
    observance.add("tzoffsetfrom", before)
    observance.add("tzoffsetto", _offset(zone, onset))
    observance.add("tzname", local.tzname())
    return observance


def _offset(zone: ZoneInfo, moment: datetime) -> timedelta:
    offset = moment.astimezone(zone).utcoffset()
    assert offset is not None, "a zone of the database always has one"
    return offset


def _shown(zone: ZoneInfo, moment: datetime) -> tuple[timedelta, str | None]:
    return _offset(zone, moment), moment.astimezone(zone).tzname()
