"""When reading begins on a day, and whose clock that is."""

from dataclasses import replace
from datetime import date, time

import pytest

from planner.core.term import Term
from planner.errors import InputError
from planner.services.term.terms import at_time, keep_term, parse_time
from tests.fakes import BY, at_a_door
from tests.services.term.library_for_plans import make_library

CHICAGO = "America/Chicago"
TERM = Term(0, 1, "Autumn", date(2026, 9, 1), date(2026, 12, 18), (1, 3))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("14:10", time(14, 10)), (" 7:05 ", time(7, 5)), ("00:00", time(0, 0)), ("23:59", time(23, 59)),
        ("2:10 pm", time(14, 10)), ("2:10PM", time(14, 10)), ("2:10 p.m.", time(14, 10)),
        ("12:00 pm", time(12, 0)), ("12:30 am", time(0, 30)), ("14:10:00", time(14, 10)), ("", None),
    ],
)  # fmt: skip
def test_a_time_of_day_is_read_as_people_write_it(text, expected):
    assert parse_time(text) == expected


@pytest.mark.parametrize(
    "text", ["24:00", "14:60", "14", "2pm", "14:10 pm", "0:10 am", "noon", "14:10:30", "٢:١٠"]
)
def test_what_is_no_time_of_day_is_refused(text):
    with pytest.raises(InputError, match="write it as 14:10 or 2:10 pm"):
        parse_time(text)


def test_the_zone_of_the_machine_stands_in_when_a_time_is_first_set():
    assert at_time(TERM, "14:10", "", CHICAGO) == replace(TERM, starts_at=time(14, 10), time_zone=CHICAGO)
    assert at_time(TERM, "14:10", None, CHICAGO).time_zone == CHICAGO
    assert at_time(TERM, "14:10", "Europe/Oslo", CHICAGO).time_zone == "Europe/Oslo"
    assert at_time(TERM, "", "", CHICAGO) == TERM, "without a time nothing stands in"


def test_a_term_keeps_the_zone_it_has():
    oslo = replace(TERM, starts_at=time(9, 0), time_zone="Europe/Oslo")
    assert at_time(oslo, "10:30", None, CHICAGO) == replace(oslo, starts_at=time(10, 30))
    assert at_time(oslo, None, None, CHICAGO) == oslo
    assert at_time(oslo, None, "Europe/Rome", CHICAGO) == replace(oslo, time_zone="Europe/Rome")
    assert at_time(oslo, "", "", CHICAGO) == replace(oslo, starts_at=None)


def kept(**changes):
    library, ensemble_id, _ = make_library(1)
    return at_a_door(
        library,
        keep_term,
        replace(TERM, ensemble_id=ensemble_id, name="Spring", **changes),
        by=BY,
        today=TERM.first,
    )


@pytest.mark.parametrize(
    "name", [CHICAGO, "america/chicago", " America/Chicago ", "America/New York", "US/Central"]
)
def test_a_zone_is_kept_as_the_database_spells_it(name):
    term = kept(starts_at=time(14, 10), time_zone=name)
    assert term.time_zone.casefold() == name.strip().replace(" ", "_").casefold()
    assert term.time_zone in (CHICAGO, "America/New_York", "US/Central")


@pytest.mark.parametrize(
    ("name", "hint"),
    [("America/Chicgo", "Do you mean America/Chicago?"), ("Springfield High", "such as America/Chicago"),
     ("../../etc/passwd", "such as America/Chicago"), ("localtime", "such as America/Chicago")],
)  # fmt: skip
def test_an_unknown_zone_is_refused_with_what_to_write(name, hint):
    with pytest.raises(InputError, match="is not the name of a time zone") as refused:
        kept(starts_at=time(14, 10), time_zone=name)
    assert hint in refused.value.hint


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(InputError, match="does not say which time zone"):
        kept(starts_at=time(14, 10))
    assert kept().time_zone == ""
