"""Days changed by hand: cancelled in three ways, shaped, pieces moved and swapped, each taken back as one."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.term import DayShape, Result, Station, Wish
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.levels.index import index_levels
from planner.services.plan.plan_term import plan_term
from planner.services.plan.proposals import take_proposal
from planner.services.term.days import (
    Instead,
    Place,
    cancel_day,
    move_slot,
    set_day,
    swap_slots,
)
from planner.services.term.stations import propose_stations
from planner.services.term.wishes import ban, pin, read_again
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeStudies, at_a_door, make_source
from tests.services.term.library_for_plans import TUESDAY, make_library, make_piece_profile

TODAY = TUESDAY
DAYS = [TUESDAY + timedelta(days=n) for n in range(35) if (TUESDAY + timedelta(days=n)).weekday() in (1, 3)]


class Desk:
    """A term of ten days with a plan."""

    def __init__(self, **term) -> None:
        self.library, self.band_id, self.term_id = make_library(**term)
        plan_term(self.library, self.term_id, TODAY, by=BY, steps=100, leave_open=True)
        with self.library() as work:
            self.sections = {s.name: s.id for s in work.ensembles.get(self.band_id).sections}
            self.entries = len(list_journal(work).entries)

    def do(self, service, *arguments, **more):
        return at_a_door(self.library, service, self.term_id, *arguments, TODAY, by=BY, **more)

    def cancel(self, on, instead):
        return self.do(cancel_day, on, instead)

    def set(self, on, **shape):
        return self.do(set_day, DayShape(on, **shape))

    def pin(self, piece, on):
        return at_a_door(self.library, pin, self.term_id, piece, on, TODAY, by=BY, anyway=True)

    def pieces(self):
        """Pieces by day."""
        with self.library() as work:
            slots = work.terms.plan(self.term_id).slots
        return {on: [s.piece_id for s in slots if s.on == on] for on in DAYS}

    def slots(self):
        with self.library() as work:
            return work.terms.plan(self.term_id).slots

    def state(self):
        with self.library() as work:
            terms = work.terms
            wishes = sorted(terms.wishes(self.term_id), key=str)
            return terms.get(self.term_id), wishes, terms.plan(self.term_id).slots

    def log(self, on):
        with self.library() as work:
            (piece,) = self.pieces()[on]
            work.results.put(Result(self.band_id, self.sections["Flute"], piece, on, 0.8))
            work.commit()

    def journal(self):
        with self.library() as work:
            return [entry.change for entry in list_journal(work).entries]

    def undo(self):
        newest = self.journal()[0]
        at_a_door(self.library, undo_change, newest.id, BY, Means(FakeFiles(), FakeStudies()))
        return newest


@pytest.fixture
def desk():
    return Desk()


def refused(desk, kind, sentence, ask, *arguments, **more):
    before = desk.state()
    with pytest.raises(kind, match=sentence):
        ask(*arguments, **more)
    assert desk.state() == before


def place(on, position=0, station=None):
    return Place(on, position, station)


def test_everything_moves_on_by_one_day_and_the_last_goes_back(desk):
    before = desk.pieces()
    changed = desk.cancel(DAYS[3], Instead.MOVE_ON)
    after = desk.pieces()
    assert [after[on] for on in DAYS[:3]] == [before[on] for on in DAYS[:3]]
    assert after[DAYS[3]] == []
    assert [after[on] for on in DAYS[4:]] == [before[on] for on in DAYS[3:-1]]
    assert list(changed.fallen) == before[DAYS[-1]]
    assert changed.moved == tuple((before[a][0], b) for a, b in pairwise(DAYS[3:]))
    term, _, _ = desk.state()
    assert DAYS[3] in term.days_off
    assert DAYS[3] not in term.reading_dates()


def test_pinned_days_stay_and_an_open_day_takes_up_what_comes(desk):
    before = desk.pieces()
    desk.pin(before[DAYS[5]][0], DAYS[5])
    desk.cancel(DAYS[8], Instead.DROP)
    desk.undo()
    free = desk.slots()
    with desk.library() as work:
        plan = work.terms.plan(desk.term_id)
        work.terms.save_plan(replace(plan, slots=tuple(s for s in free if s.on != DAYS[7])))
        work.commit()
    changed = desk.cancel(DAYS[4], Instead.MOVE_ON)
    after = desk.pieces()
    assert after[DAYS[5]] == before[DAYS[5]]
    assert (after[DAYS[6]], after[DAYS[7]]) == (before[DAYS[4]], before[DAYS[6]])
    assert after[DAYS[8]] == before[DAYS[8]]
    assert changed.fallen == ()


def test_a_pin_of_a_cancelled_day_moves_on_with_its_piece(desk):
    (piece,) = desk.pieces()[DAYS[3]]
    desk.pin(piece, DAYS[3])
    desk.cancel(DAYS[3], Instead.MOVE_ON)
    _, wishes, _ = desk.state()
    assert wishes == [Wish("pinned", piece, DAYS[4])]
    assert desk.pieces()[DAYS[4]] == [piece]


def test_pieces_of_a_cancelled_day_go_back_and_nothing_else_changes(desk):
    before = desk.pieces()
    desk.pin(before[DAYS[3]][0], DAYS[3])
    changed = desk.cancel(DAYS[3], Instead.DROP)
    assert list(changed.fallen) == before[DAYS[3]]
    assert desk.pieces() == {**before, DAYS[3]: []}
    assert desk.state()[1] == []


def test_a_piece_of_a_cancelled_day_waits_and_comes_first_when_the_term_is_planned_again(desk):
    before = desk.pieces()
    (piece,) = before[DAYS[3]]
    changed = desk.cancel(DAYS[3], Instead.WAIT)
    assert changed.waiting == ((piece, DAYS[4]),), "the days before are announced and stay"
    assert changed.fallen == ()
    assert desk.state()[1] == [Wish("pinned", piece, DAYS[4])]
    assert desk.pieces() == {**before, DAYS[3]: []}
    plan_term(desk.library, desk.term_id, TODAY, by=BY, steps=100, leave_open=True)
    at_a_door(desk.library, take_proposal, desk.term_id, None, TODAY, by=BY)
    after = desk.pieces()
    assert after[DAYS[4]] == [piece]
    assert [after[on] for on in DAYS[:3]] == [before[on] for on in DAYS[:3]]


def test_a_waiting_piece_passes_over_days_that_cannot_take_it(desk):
    before = desk.pieces()
    (piece,), (other,) = before[DAYS[2]], before[DAYS[8]]
    at_a_door(desk.library, ban, desk.term_id, piece, DAYS[4], TODAY, by=BY)
    desk.pin(other, DAYS[5])
    desk.set(DAYS[6], minutes=3.0)
    assert desk.cancel(DAYS[2], Instead.WAIT).waiting == ((piece, DAYS[7]),)


def test_a_waiting_piece_takes_an_empty_place_of_an_announced_day(desk):
    (piece,) = desk.pieces()[DAYS[1]]
    desk.set(DAYS[2], slots=2, minutes=30.0)
    assert desk.cancel(DAYS[1], Instead.WAIT).waiting == ((piece, DAYS[2]),)


def test_waiting_pieces_stand_in_line_and_one_for_which_no_day_is_left_keeps_waiting():
    desk = Desk(minutes=30.0, slots=2)
    first, second = desk.pieces()[DAYS[4]]
    assert desk.cancel(DAYS[4], Instead.WAIT).waiting == ((first, DAYS[5]), (second, DAYS[5]))
    for at in (5, 6, 7, 8):
        for piece in desk.pieces()[DAYS[at]]:
            if at == 8:
                desk.pin(piece, DAYS[9])
    (third, fourth) = desk.pieces()[DAYS[7]]
    for piece in desk.pieces()[DAYS[8]]:
        assert Wish("pinned", piece, DAYS[9]) in desk.state()[1]
    at_a_door(desk.library, ban, desk.term_id, third, DAYS[8], TODAY, by=BY)
    changed = desk.cancel(DAYS[7], Instead.WAIT)
    assert changed.waiting == ((third, None), (fourth, DAYS[8]))
    assert Wish("pinned", third) in desk.state()[1]


def test_a_piece_that_was_pinned_waits_although_a_section_may_be_lost_in_it(desk):
    with desk.library() as work:
        hard = make_piece_profile(90, 3.4, "key")
        piece = work.pieces.add(make_source("hard"), hard, TODAY)
        index_levels(work)
        work.commit()
    (standing,) = desk.pieces()[DAYS[5]]
    desk.pin(piece, DAYS[5])
    assert desk.cancel(DAYS[5], Instead.WAIT).waiting == ((piece, DAYS[6]), (standing, DAYS[7]))


@pytest.mark.parametrize("instead", list(Instead))
def test_a_cancelled_day_is_taken_back_as_one_change(desk, instead):
    (piece,) = desk.pieces()[DAYS[3]]
    desk.pin(piece, DAYS[3])
    desk.set(DAYS[3], absent=(desk.sections["Trumpet"],))
    before, entries = desk.state(), len(desk.journal())
    desk.cancel(DAYS[3], instead)
    assert len(desk.journal()) == entries + 1
    assert "Sep 10 now a day off" in change_sentence(desk.journal()[0])
    desk.undo()
    assert desk.state() == before


@pytest.mark.parametrize("instead", list(Instead))
def test_days_that_are_over_are_not_cancelled(desk, instead):
    desk.log(DAYS[0])
    refused(desk, ConflictError, "Results of Sep 1 are logged", desk.cancel, DAYS[0], instead)
    with pytest.raises(NotFoundError):
        desk.cancel(date(2026, 9, 2), instead)
    with pytest.raises(ConflictError, match="Sep 3 is past"):
        at_a_door(desk.library, cancel_day, desk.term_id, DAYS[1], instead, DAYS[2], by=BY)


def test_what_would_come_to_a_day_on_which_it_is_known_is_refused_with_the_reason(desk):
    (piece,) = desk.pieces()[DAYS[3]]
    with desk.library() as work:
        work.ensembles.add_exposure(Exposure(desk.band_id, piece, "performed"))
        work.commit()
    refused(
        desk, ConflictError, r"is not fresh: it was performed by Band", desk.cancel, DAYS[3], Instead.MOVE_ON
    )
    assert desk.cancel(DAYS[3], Instead.DROP)


def test_a_day_gets_its_own_minutes_and_goes_back_to_those_of_the_others(desk):
    before = desk.state()
    desk.set(DAYS[6], minutes=20.0, slots=2)
    term, _, slots = desk.state()
    assert (term.minutes_on(DAYS[6]), term.slots_on(DAYS[6])) == (20.0, 2)
    assert [s.piece_id for s in slots] == [s.piece_id for s in before[2]]
    desk.set(DAYS[6])
    assert desk.state()[0] == before[0]
    desk.undo()
    desk.undo()
    assert desk.state() == before


def test_saving_a_day_as_it_is_changes_and_journals_nothing(desk):
    desk.set(DAYS[6], minutes=20.0)
    before, entries = desk.state(), len(desk.journal())
    desk.set(DAYS[6], minutes=20.0)
    assert desk.state() == before
    assert len(desk.journal()) == entries


def test_a_day_made_too_short_gives_its_piece_back_but_not_a_pinned_one(desk):
    before = desk.pieces()
    (piece,) = before[DAYS[6]]
    assert desk.set(DAYS[6], minutes=4.0).fallen == (piece,)
    assert desk.pieces() == {**before, DAYS[6]: []}
    desk.undo()
    assert desk.pieces() == before
    desk.pin(piece, DAYS[6])
    refused(desk, ConflictError, "minutes too long for Sep 22", desk.set, DAYS[6], minutes=4.0)


def test_of_two_pieces_the_first_stays_when_only_one_is_read():
    desk = Desk(slots=2, minutes=24.0, pieces=30)
    first, second = desk.pieces()[DAYS[6]]
    assert desk.set(DAYS[6], slots=1).fallen == (second,)
    assert desk.pieces()[DAYS[6]] == [first]


def test_stations_take_the_place_of_what_all_read_together(desk):
    flute, *others = desk.sections.values()
    rooms = (Station("High", (flute,)), Station("Others", tuple(others)))
    before = desk.pieces()
    assert list(desk.set(DAYS[6], slots=2, stations=rooms).fallen) == before[DAYS[6]]
    assert desk.state()[0].shape_on(DAYS[6]).stations == rooms
    refused(desk, InputError, "Flute cannot sit at two", desk.set, DAYS[6], stations=(rooms[0], rooms[0]))


def test_a_section_away_is_not_featured(desk):
    with desk.library() as work:
        plan = work.terms.plan(desk.term_id)
        slots = tuple(replace(s, featured_section_id=desk.sections["Flute"]) for s in plan.slots)
        work.terms.save_plan(replace(plan, slots=slots))
        work.commit()
    desk.set(DAYS[6], absent=(desk.sections["Flute"],))
    featured = {s.on: s.featured_section_id for s in desk.slots()}
    assert featured.pop(DAYS[6]) is None
    assert set(featured.values()) == {desk.sections["Flute"]}


def test_two_pieces_change_places_with_their_pins(desk):
    before = desk.pieces()
    (one,), (other,) = before[DAYS[2]], before[DAYS[7]]
    desk.pin(one, DAYS[2])
    desk.do(swap_slots, place(DAYS[2]), place(DAYS[7]))
    assert desk.pieces() == {**before, DAYS[2]: [other], DAYS[7]: [one]}
    assert desk.state()[1] == [Wish("pinned", one, DAYS[7])]
    assert {s.piece_id: s.is_pinned for s in desk.slots()}[one]
    assert change_sentence(desk.undo()).count("now") == 2
    assert desk.pieces() == before


def test_a_swap_twice_is_as_before(desk):
    before = desk.slots()
    desk.do(swap_slots, place(DAYS[2]), place(DAYS[7]))
    desk.do(swap_slots, place(DAYS[2]), place(DAYS[7]))
    assert [(s.on, s.piece_id, s.focus) for s in desk.slots()] == [
        (s.on, s.piece_id, s.focus) for s in before
    ]


def test_what_cannot_be_swapped_or_moved_is_refused(desk):
    desk.log(DAYS[0])
    refused(desk, ConflictError, "are logged", desk.do, swap_slots, place(DAYS[0]), place(DAYS[3]))
    refused(desk, InputError, "order of their levels", desk.do, swap_slots, place(DAYS[3]), place(DAYS[3], 1))
    refused(desk, NotFoundError, "at that place", desk.do, swap_slots, place(DAYS[3]), place(DAYS[4], 1))
    refused(desk, ConflictError, "Sep 15 is full", desk.do, move_slot, place(DAYS[3]), DAYS[4])
    refused(desk, InputError, "on that day already", desk.do, move_slot, place(DAYS[3]), DAYS[3])
    refused(desk, NotFoundError, "reading day", desk.do, move_slot, place(DAYS[3]), date(2026, 9, 2))


def test_a_piece_moves_to_a_day_with_a_place_left_and_stands_there_by_level(desk):
    before = desk.pieces()
    desk.set(DAYS[7], minutes=24.0, slots=2)
    (piece,) = before[DAYS[3]]
    desk.do(move_slot, place(DAYS[3]), DAYS[7])
    after = desk.pieces()
    assert after[DAYS[3]] == []
    assert set(after[DAYS[7]]) == {piece, *before[DAYS[7]]}
    with desk.library() as work:
        levels = work.pieces.levels_for(desk.band_id, after[DAYS[7]])
    assert [levels[p] for p in after[DAYS[7]]] == sorted(levels.values())


def test_a_piece_banned_from_a_day_is_not_moved_to_it(desk):
    desk.set(DAYS[7], minutes=24.0, slots=2)
    (piece,) = desk.pieces()[DAYS[3]]
    with desk.library() as work:
        work.terms.set_wishes(desk.term_id, [Wish("banned", piece, DAYS[7])])
        work.commit()
    refused(desk, ConflictError, "You keep .* off Sep 24", desk.do, move_slot, place(DAYS[3]), DAYS[7])


def test_a_second_reading_is_moved_by_its_wish_alone(desk):
    (piece,) = desk.pieces()[DAYS[0]]
    with desk.library() as work:
        plan = work.terms.plan(desk.term_id)
        old = next(s for s in plan.slots if s.on == DAYS[8])
        slots = tuple(replace(s, piece_id=piece, minutes=4.0) if s == old else s for s in plan.slots)
        work.terms.save_plan(replace(plan, slots=slots))
        work.commit()
    at_a_door(desk.library, read_again, desk.term_id, piece, DAYS[8], TODAY, by=BY)
    refused(desk, NotFoundError, "at that place", desk.do, move_slot, place(DAYS[8]), DAYS[9])
    before = desk.pieces()
    desk.cancel(DAYS[6], Instead.MOVE_ON)
    assert desk.pieces()[DAYS[8]] == before[DAYS[8]]
    assert desk.pieces()[DAYS[9]] == before[DAYS[7]]


def test_stations_are_proposed_by_families_and_for_singers_by_section():
    names = ("flute", "violin", "trumpet-bflat", "snare-drum", "marimba", "clarinet-bflat", "harp")
    sections = tuple(Section(n, name, name) for n, name in enumerate(names, 1))
    found = propose_stations(Ensemble(1, "All", sections=sections))
    assert [(s.name, s.section_ids) for s in found] == [
        ("Winds", (1, 6)), ("Strings", (2, 7)), ("Brass", (3,)), ("Percussion", (4, 5)),
    ]  # fmt: skip
    singers = tuple(Section(n, name.title(), name) for n, name in enumerate(("soprano", "alto"), 1))
    assert [s.name for s in propose_stations(Ensemble(1, "Choir", sections=singers))] == ["Soprano", "Alto"]
    assert propose_stations(Ensemble(1, "Flutes", sections=sections[:1])) == ()
