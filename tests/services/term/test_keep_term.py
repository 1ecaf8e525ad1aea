"""Terms set, changed and taken out: every value has its refusal, and the journal takes each change back."""

from dataclasses import replace
from datetime import UTC, date, datetime, time

import pytest

from planner.core.ensemble import Ensemble, Section
from planner.core.published import PublishedDay
from planner.core.term import DayShape, Plan, Result, Slot, Station, Term, Wish
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.term.terms import keep_term, parse_aims, remove_term, spell_aims
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeLibrary, FakeStudies, at_a_door, make_profile, make_source

TUESDAY, THURSDAY, NEXT = date(2026, 9, 1), date(2026, 9, 3), date(2026, 9, 8)


class Desk:
    """A library with a band of two sections, two pieces and a term of Tuesdays and Thursdays."""

    def __init__(self) -> None:
        self.library = FakeLibrary()
        with self.library() as work:
            band = Ensemble(0, "Band", sections=(Section(0, "Flute", "flute"), Section(0, "Horn", "horn-f")))
            self.band = work.ensembles.get(work.ensembles.add(band))
            self.pieces = [
                work.pieces.add(make_source(title), make_profile(title), TUESDAY)
                for title in ("Rondo", "Air")
            ]
            work.commit()
        self.term = self.keep(Term(0, self.band.id, "Autumn", TUESDAY, date(2026, 12, 18), (1, 3)))
        self.flute, self.horn = (section.id for section in self.band.sections)

    def keep(self, term):
        return at_a_door(self.library, keep_term, term, by=BY, today=TUESDAY)

    def stored(self):
        with self.library() as work:
            return work.terms.get(self.term.id)

    def state(self):
        """All the library holds of the term."""
        with self.library() as work:
            terms = work.terms
            wishes, plan = terms.wishes(self.term.id), terms.plan(self.term.id)
            return terms.get(self.term.id), sorted(wishes, key=str), plan.slots if plan else ()

    def journal(self):
        with self.library() as work:
            return [entry.change for entry in list_journal(work).entries]

    def undo(self, change=None):
        means = Means(FakeFiles(), FakeStudies())
        return at_a_door(self.library, undo_change, (change or self.journal()[0]).id, BY, means)

    def plan(self, *slots):
        with self.library() as work:
            work.terms.save_plan(Plan(self.term.id, slots))
            work.commit()

    def wish(self, *wishes):
        with self.library() as work:
            work.terms.set_wishes(self.term.id, wishes)
            work.commit()


@pytest.fixture
def desk():
    return Desk()


def test_a_term_with_every_value_is_kept_as_it_was_given(desk):
    rooms = (Station("High", (desk.flute,)), Station("Low", (desk.horn,)))
    full = replace(
        desk.term,
        days_off=(date(2026, 10, 13),),
        aims=((date(2026, 10, 1), 2.0), (date(2026, 11, 3), 2.5)),
        concerts=(date(2026, 12, 20),),
        shapes=(DayShape(THURSDAY, stations=rooms, slots=3), DayShape(NEXT, 20.0, 2, absent=(desk.flute,))),
        announced_days=7,
        starts_at=time(14, 10),
        time_zone="America/Chicago",
    )
    desk.keep(full)
    assert desk.stored() == full
    assert [on for on in (THURSDAY, NEXT) if full.slots_on(on) > 1] == [THURSDAY, NEXT]
    assert [full.minutes_on(on) for on in (THURSDAY, NEXT)] == [10.0, 20.0]


def test_order_and_repeats_are_tidied_and_a_day_that_differs_in_nothing_is_left_out(desk):
    later, sooner = date(2026, 11, 3), date(2026, 10, 1)
    desk.keep(
        replace(
            desk.term,
            name="  Fall   term ",
            weekdays=(3, 1, 3),
            aims=((later, 2.5), (sooner, 2.0)),
            concerts=(later, sooner, later),
            shapes=(DayShape(NEXT, absent=(desk.horn, desk.horn)), DayShape(THURSDAY)),
        )
    )
    stored = desk.stored()
    assert (stored.name, stored.weekdays) == ("Fall term", (1, 3))
    assert stored.aims == ((sooner, 2.0), (later, 2.5))
    assert stored.concerts == (sooner, later)
    assert stored.shapes == (DayShape(NEXT, absent=(desk.horn,)),)


@pytest.mark.parametrize(("values", "sentence"), [
    ({"name": " "}, "needs a name"),
    ({"last": date(2026, 8, 1)}, "ends before it begins"),
    ({"last": date(2028, 8, 1)}, "at most 400 days"),
    ({"weekdays": ()}, "at least one weekday"),
    ({"minutes": 2.0}, "from 3 to 120 minutes a day, not 2"),
    ({"slots": 5}, "from 1 to 4 pieces, not 5"),
    ({"announced_days": -1}, "from 0 to 60 days ahead, not -1"),
    ({"announced_days": 61}, "not 61"),
    ({"target_level": 7.0}, "from 0.5 to 6.0, not at 7"),
    ({"start_level": 0.1}, "not at 0.1"),
    ({"aims": ((THURSDAY, 6.5),)}, "not at 6.5"),
    ({"aims": ((THURSDAY, 2.0), (THURSDAY, 3.0))}, "Sep 3 has more than one level to aim at"),
    ({"aims": ((date(2026, 8, 31), 2.0),)}, "Aug 31 has a level to aim at but lies outside the term"),
    ({"concerts": (date(2027, 1, 30),)}, "A concert on Jan 30 is not in this term"),
    ({"concerts": (date(2026, 8, 30),)}, "A concert on Aug 30 is not in this term"),
    ({"shapes": (DayShape(date(2026, 9, 2), slots=2),)}, "Sep 2 is set apart but would be no reading day"),
    ({"shapes": (DayShape(NEXT, slots=2), DayShape(NEXT, slots=3))}, "more than one setting of its own"),
    ({"shapes": (DayShape(NEXT, slots=5),)}, "from 1 to 4 pieces, not 5"),
    ({"shapes": (DayShape(NEXT, minutes=200),)}, "Reading on Sep 8 takes from 3 to 120 minutes"),
    ({"shapes": (DayShape(NEXT, absent=(10**6,)),)}, "a section that Band does not have"),
    ({"days_off": (TUESDAY, THURSDAY), "last": THURSDAY}, "No reading day is left"),
    ({"time_zone": "Mars/Olympus"}, "not the name of a time zone"),
])  # fmt: skip
def test_a_value_that_cannot_hold_is_refused_in_a_sentence_and_nothing_is_stored(desk, values, sentence):
    with pytest.raises(InputError, match=sentence):
        desk.keep(replace(desk.term, **values))
    assert desk.stored() == desk.term


@pytest.mark.parametrize(("stations", "absent", "sentence"), [
    ((("High", (0,)), ("Low", (0, 1))), (), "Flute cannot sit at two stations at once"),
    (((" ", (0,)),), (), "needs a name"),
    ((("A", (0,)), ("a", (1,))), (), "two stations are called A"),
    ((("High", (0,)), ("Low", ())), (), "nobody sits at the station Low"),
    ((("High", (0,)), ("Low", (1,))), (1,), "nobody sits at the station Low"),
    ((), (0, 1), "every section would be away"),
])  # fmt: skip
def test_stations_that_cannot_be_are_refused(desk, stations, absent, sentence):
    ids = (desk.flute, desk.horn)
    rooms = tuple(Station(name, tuple(ids[at] for at in places)) for name, places in stations)
    shape = DayShape(NEXT, stations=rooms, absent=tuple(ids[at] for at in absent))
    with pytest.raises(InputError, match=sentence):
        desk.keep(replace(desk.term, shapes=(shape,)))


def test_pieces_of_days_that_fall_away_go_back_but_what_was_read_stays(desk):
    rondo, air = desk.pieces
    desk.plan(Slot(TUESDAY, 0, rondo, "key"), Slot(NEXT, 0, air, "key"))
    with desk.library() as work:
        work.results.put(Result(desk.band.id, desk.flute, rondo, TUESDAY, 0.8))
        work.commit()
    desk.wish(Wish("banned", rondo, NEXT), Wish("banned", air))
    desk.keep(replace(desk.term, weekdays=(3,)))
    _, wishes, slots = desk.state()
    assert [slot.on for slot in slots] == [TUESDAY]
    assert wishes == [Wish("banned", air)]


@pytest.mark.parametrize("kind", ["pinned", "again"])
def test_a_day_with_a_wish_is_not_taken_away_in_silence(desk, kind):
    desk.wish(Wish(kind, desk.pieces[0], NEXT))
    with pytest.raises(ConflictError, match=r"“Rondo” is .* Sep 8, which would be no reading day"):
        desk.keep(replace(desk.term, days_off=(NEXT,)))


def test_every_change_of_a_term_is_taken_back_exactly(desk):
    rondo, air = desk.pieces
    desk.plan(Slot(THURSDAY, 0, rondo, "key", desk.flute, 8.0, True), Slot(NEXT, 0, air, "key"))
    desk.wish(Wish("pinned", rondo, THURSDAY), Wish("banned", air))
    before = desk.state()
    shapes = (DayShape(THURSDAY, 20.0, absent=(desk.horn,)),)
    desk.keep(replace(desk.term, name="Fall", minutes=12.0, days_off=(NEXT,), shapes=shapes))
    changed = desk.state()
    assert changed[2] == before[2][:1]
    desk.undo()
    assert desk.state() == before
    desk.undo()
    assert desk.state() == changed
    assert "minutes a day now 12 (was 10)" in change_sentence(desk.journal()[-2])


def test_a_term_that_was_taken_out_comes_back_whole(desk):
    rondo, air = desk.pieces
    shapes = (DayShape(NEXT, stations=(Station("Low", (desk.horn,)), Station("High", (desk.flute,)))),)
    desk.term = desk.keep(
        replace(desk.term, shapes=shapes, aims=((NEXT, 2.0),), starts_at=time(9), time_zone="UTC")
    )
    desk.plan(Slot(NEXT, 0, rondo, "key", station=0), Slot(NEXT, 0, air, "key", station=1))
    desk.wish(Wish("banned", air, THURSDAY))
    sent = PublishedDay(NEXT, "a7d1", 2, "content", datetime(2026, 9, 1, 7, 30, tzinfo=UTC))
    with desk.library() as work:
        work.terms.note_printed(desk.term.id, NEXT, [rondo, air])
        work.published.put(desk.term.id, [sent])
        work.commit()
    before = desk.state()
    at_a_door(desk.library, remove_term, desk.term.id, by=BY)
    with pytest.raises(NotFoundError):
        desk.stored()
    assert change_sentence(desk.journal()[0]) == "“Autumn”: taken out."
    desk.undo()
    assert desk.state() == before
    with desk.library() as work:
        assert work.terms.printed(desk.term.id) == {NEXT: frozenset({rondo, air})}
        assert tuple(work.published.days(desk.term.id)) == (sent,)
    desk.undo()
    with pytest.raises(NotFoundError):
        desk.stored()


def test_what_was_printed_and_sent_meanwhile_is_no_reason_against_an_undo(desk):
    rondo, _ = desk.pieces
    desk.plan(Slot(NEXT, 0, rondo, "key"))
    at_a_door(desk.library, remove_term, desk.term.id, by=BY)
    desk.undo()
    with desk.library() as work:
        work.terms.note_printed(desk.term.id, NEXT, [rondo])
        work.commit()
    desk.undo()
    with pytest.raises(NotFoundError):
        desk.stored()


def test_a_new_term_is_taken_back_as_long_as_nothing_is_planned_in_it(desk):
    made = desk.journal()[0]
    assert change_sentence(made) == "“Autumn”: a new term."
    desk.plan(Slot(NEXT, 0, desk.pieces[0], "key"))
    with pytest.raises(ConflictError, match="has a plan or wishes by now"):
        desk.undo(made)
    desk.plan()
    desk.undo(made)
    with pytest.raises(NotFoundError):
        desk.stored()


def test_a_change_of_one_day_is_taken_back_after_another_day_was_changed(desk):
    desk.keep(replace(desk.term, shapes=(DayShape(NEXT, 20.0),)))
    first = desk.journal()[0]
    desk.keep(replace(desk.term, shapes=(DayShape(NEXT, 20.0), DayShape(THURSDAY, 15.0))))
    desk.undo(first)
    assert desk.stored().shapes == (DayShape(THURSDAY, 15.0),)


def test_a_change_made_again_since_is_not_taken_back(desk):
    desk.keep(replace(desk.term, minutes=12.0))
    first = desk.journal()[0]
    desk.keep(replace(desk.term, minutes=14.0))
    with pytest.raises(ConflictError, match="The minutes a day of “Autumn” has been changed since"):
        desk.undo(first)


def test_a_piece_that_found_another_day_does_not_come_back_to_its_old_one(desk):
    rondo, _ = desk.pieces
    desk.plan(Slot(NEXT, 0, rondo, "key"))
    desk.keep(replace(desk.term, days_off=(NEXT,)))
    desk.plan(Slot(THURSDAY, 0, rondo, "key"))
    with pytest.raises(ConflictError, match="“Rondo” stands on Sep 3 by now and cannot come back to Sep 8"):
        desk.undo()


def test_saving_a_term_as_it_is_writes_nothing_into_the_journal(desk):
    desk.keep(desk.term)
    assert len(desk.journal()) == 1


def test_levels_to_aim_at_are_read_and_spelled():
    text = "2026-10-15 2.5\n2026-11-05 2,25"
    assert spell_aims(parse_aims(text)) == "2026-10-15 2.5\n2026-11-05 2.25"
    assert parse_aims("2026-10-15=2.5; ") == ((date(2026, 10, 15), 2.5),)
    for wrong in ("2026-10-15", "soon 2.5", "2026-10-15 hard"):
        with pytest.raises(InputError):
            parse_aims(wrong)
