"""What calendars have of a term follows the plan, whatever happens to it; names appear nowhere."""

import random
import re
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path

import icalendar
import pytest

from planner.adapters.db import open_library
from planner.adapters.exports.plan_ics import PlanCalendar
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.term import Plan, Slot, Term
from planner.services.sheets.filing import LooseFolder
from planner.services.term.publish_plan import publish_plan
from planner.services.toolbox import changing
from tests.fakes import FakeLibrary, make_profile, make_source

FIRST, LAST = date(2026, 9, 1), date(2026, 12, 18)
PIECES = 6


class Director:
    """Changes a term at random and hands the calendar file on.

    Attributes:
        log: What was done, for a failing test.
    """

    def __init__(self, library, folder: Path, chance: random.Random) -> None:
        self.library, self.folder, self.chance = library, folder, chance
        self.now, self.log = datetime(2026, 8, 20, 9, 0, tzinfo=UTC), []
        with changing(library) as work:
            self.band = work.ensembles.add(Ensemble(0, "Band", "band", (Section(0, "Flute", "flute"),)))
            self.pieces = [
                work.pieces.add(make_source(f"{n}"), make_profile(f"Piece {n}"), FIRST) for n in range(PIECES)
            ]
            self.term = work.terms.add(Term(0, self.band, "Autumn", FIRST, LAST, (1, 3)))
            work.terms.save_plan(Plan(self.term, ()))

    def plan(self) -> None:
        """Any pieces on any days, days left open among them."""
        with changing(self.library) as work:
            dates = work.terms.get(self.term).reading_dates()
            slots = [
                Slot(on, at, self.chance.choice(self.pieces), "rhythm", minutes=9.5)
                for on in dates
                if self.chance.random() < 0.8
                for at in range(self.chance.choice((1, 1, 2)))
            ]
            work.terms.save_plan(Plan(self.term, tuple(slots)))

    def change_a_few(self) -> None:
        """One day of the plan has another piece."""
        with changing(self.library) as work:
            slots = list(work.terms.plan(self.term).slots)
            if slots:
                at = self.chance.randrange(len(slots))
                slots[at] = replace(slots[at], piece_id=self.chance.choice(self.pieces))
                work.terms.save_plan(Plan(self.term, tuple(slots)))

    def cancel(self) -> None:
        """A day off, or one taken back."""
        with changing(self.library) as work:
            term = work.terms.get(self.term)
            on = FIRST + timedelta(days=self.chance.randrange(109))
            off = set(term.days_off) ^ {on, *self.chance.sample(term.days_off, min(1, len(term.days_off)))}
            changed = replace(term, days_off=tuple(sorted(off)))
            if changed.reading_dates():
                work.terms.update(changed)

    def move_the_ends(self) -> None:
        with changing(self.library) as work:
            last = LAST - timedelta(days=7 * self.chance.randrange(10))
            first = FIRST + timedelta(days=7 * self.chance.randrange(3))
            changed = replace(work.terms.get(self.term), first=first, last=last)
            if changed.reading_dates():
                work.terms.update(changed)

    def change_the_time(self) -> None:
        with changing(self.library) as work:
            begins = self.chance.choice((None, time(14, 10), time(8, 0)))
            zone = "America/Chicago" if begins else ""
            work.terms.update(replace(work.terms.get(self.term), starts_at=begins, time_zone=zone))

    def rename(self) -> None:
        """Term and ensemble have other names."""
        with changing(self.library) as work:
            band = work.state.ensembles[self.band]
            work.state.ensembles[self.band] = replace(band, name=f"Band {self.chance.randrange(99)}")
            work.terms.update(replace(work.terms.get(self.term), name=f"Term {self.chance.randrange(99)}"))

    def act(self) -> None:
        deeds = (
            self.plan, self.change_a_few, self.change_a_few, self.cancel, self.cancel, self.move_the_ends,
            self.change_the_time, self.rename,
        )  # fmt: skip
        deed = self.chance.choice(deeds)
        self.log.append(deed.__name__)
        deed()

    def publish(self) -> bytes:
        self.now += timedelta(hours=self.chance.randrange(1, 90))
        with changing(self.library) as work:
            (made,) = publish_plan(
                work, [PlanCalendar()], term_id=self.term, exports=LooseFolder(self.folder),
                today=self.now.date(), now=self.now,
            )  # fmt: skip
        return made.path.read_bytes()

    def present_days(self) -> dict[date, list[str]]:
        """The titles of each day of the plan that the term still has."""
        with self.library() as work:
            term, plan = work.terms.get(self.term), work.terms.plan(self.term)
            titles, dates = work.pieces.titles(), term.reading_dates()
        days: dict[date, list[str]] = {}
        for slot in plan.slots:
            if slot.on in dates:
                days.setdefault(slot.on, []).append(titles[slot.piece_id])
        return days


class CalendarProgram:
    """Takes files in as RFC 5545, 3.8.7.4, has it: a component replaces that of its UID if it is newer."""

    def __init__(self) -> None:
        self.events: dict[str, icalendar.Event] = {}

    def take_in(self, data: bytes) -> None:
        for event in icalendar.Calendar.from_ical(data).walk("VEVENT"):
            kept = self.events.get(str(event["UID"]))
            if kept is None or int(event["SEQUENCE"]) > int(kept["SEQUENCE"]):
                self.events[str(event["UID"])] = event

    def shown(self) -> dict[date, list[str]]:
        days: dict[date, list[str]] = {}
        for event in self.events.values():
            if event["STATUS"] != "CANCELLED":
                begins = event["DTSTART"].dt
                on = begins.date() if isinstance(begins, datetime) else begins
                assert on not in days, "a day stands twice"
                days[on] = str(event["SUMMARY"]).removeprefix("Sight-reading: ").split("; ")
        return days


HISTORIES = [pytest.param(number, marks=[pytest.mark.slow] if number >= 40 else []) for number in range(80)]


@pytest.mark.parametrize("number", HISTORIES)
def test_a_calendar_ends_with_exactly_the_days_of_the_present_plan(number, tmp_path):
    """Whichever of the files it took in, as long as the last is among them."""
    chance = random.Random(number)
    director, always, sometimes = (
        Director(FakeLibrary(), tmp_path, chance),
        CalendarProgram(),
        CalendarProgram(),
    )
    for _ in range(chance.randrange(3, 12)):
        director.act()
        if chance.random() < 0.7:
            data = director.publish()
            always.take_in(data)
            if chance.random() < 0.5:
                sometimes.take_in(data)
    data = director.publish()
    always.take_in(data)
    sometimes.take_in(data)
    assert always.shown() == director.present_days(), director.log
    assert sometimes.shown() == director.present_days(), director.log


@pytest.fixture
def director(tmp_path):
    with open_library(tmp_path / "library.sqlite") as library:
        made = Director(library, tmp_path, random.Random(7))
        made.plan()
        yield made


def events(data):
    every = icalendar.Calendar.from_ical(data).walk("VEVENT")
    return {
        e["DTSTART"].dt.date() if isinstance(e["DTSTART"].dt, datetime) else e["DTSTART"].dt: e for e in every
    }


def sequences(data):
    return {on: int(event["SEQUENCE"]) for on, event in events(data).items()}


def test_a_file_of_the_same_plan_is_the_same_bytes(director):
    first = director.publish()
    assert len(events(first)) > 10
    assert director.publish() == first


def test_only_a_changed_day_counts_up_and_has_a_new_time(director):
    first = director.publish()
    days = sorted(events(first))
    with changing(director.library) as work:
        slots = work.terms.plan(director.term).slots
        on = slots[3].on
        changed = tuple(replace(s, minutes=30.0) if s.on == on else s for s in slots)
        work.terms.save_plan(Plan(director.term, changed))
    again = director.publish()
    assert sequences(again) == {day: int(day == on) for day in days}
    times = {day: event["LAST-MODIFIED"].dt for day, event in events(again).items()}
    assert times[on] == director.now
    assert {times[day] for day in days if day != on} == {events(first)[days[0]]["LAST-MODIFIED"].dt}


def test_a_day_that_comes_back_has_the_identity_it_had(director):
    first = events(director.publish())
    on = sorted(first)[2]
    with changing(director.library) as work:
        work.terms.update(replace(work.terms.get(director.term), days_off=(on,)))
    gone = events(director.publish())[on]
    assert (gone["STATUS"], gone["SEQUENCE"], gone["UID"]) == ("CANCELLED", 1, first[on]["UID"])
    assert director.publish().count(b"STATUS:CANCELLED") == 1, "it stays cancelled, and is not counted up"
    assert sequences(director.publish())[on] == 1
    with changing(director.library) as work:
        work.terms.update(replace(work.terms.get(director.term), days_off=()))
    back = events(director.publish())[on]
    assert (back["STATUS"], back["SEQUENCE"], back["UID"]) == ("CONFIRMED", 2, first[on]["UID"])


def test_a_time_of_day_changes_every_entry_once(director):
    director.publish()
    with changing(director.library) as work:
        term = work.terms.get(director.term)
        work.terms.update(replace(term, starts_at=time(14, 10), time_zone="America/Chicago"))
    assert set(sequences(director.publish()).values()) == {1}
    with changing(director.library) as work:
        work.terms.update(replace(work.terms.get(director.term), name="Fall"))
    assert set(sequences(director.publish()).values()) == {1}, "a new name changes no day"
    with changing(director.library) as work:
        work.terms.update(replace(work.terms.get(director.term), minutes=45.0))
    assert set(sequences(director.publish()).values()) == {2}, "each ends later"


def test_identities_are_random_and_name_nobody(director, tmp_path):
    uids = [str(event["UID"]) for event in events(director.publish()).values()]
    assert all(
        re.fullmatch(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", u) for u in uids
    )
    assert len(set(uids)) == len(uids)
    with open_library(tmp_path / "another.sqlite") as library:
        twin = Director(library, tmp_path, random.Random(7))
        twin.plan()
        others = [str(event["UID"]) for event in events(twin.publish()).values()]
    assert len(others) == len(uids)
    assert not set(others) & set(uids), "the same band, term and day elsewhere is another event"


def test_the_time_of_a_change_never_goes_back(director):
    moments = []
    for _ in range(6):
        director.change_a_few()
        data = icalendar.Calendar.from_ical(director.publish())
        moments.append(data["LAST-MODIFIED"].dt)
    assert all(one <= other for one, other in pairwise(moments))
    assert moments[0] < moments[-1]


def test_no_player_is_named(director):
    with changing(director.library) as work:
        (flute,) = work.ensembles.get(director.band).sections
        work.ensembles.add_player(flute.id, Player(0, "Zebedee"))
        slots = work.terms.plan(director.term).slots
        featured = tuple(replace(slot, featured_section_id=flute.id) for slot in slots)
        work.terms.save_plan(Plan(director.term, featured))
    text = director.publish().decode().replace("\r\n ", "")
    assert "featuring Flute" in text
    assert "Zebedee" not in text
