"""Wishes for a term: what cannot hold is refused with the reason and not stored; each is taken back."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from planner.core.ensemble import Exposure
from planner.core.term import DayShape as Shape
from planner.core.term import Plan, Reason, ReasonKind, Result, Slot, Station, Wish
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.term.wishes import ban, move_wish, pin, read_again, withdraw_wish
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeStudies, at_a_door, make_source
from tests.services.term.library_for_plans import TUESDAY, make_library, make_piece_profile

TODAY = TUESDAY
DAYS = [TUESDAY + timedelta(days=n) for n in range(35) if (TUESDAY + timedelta(days=n)).weekday() in (1, 3)]
LATE = DAYS[6]
"""A day beyond the announced ones."""


class Desk:
    """A term of ten days that has a plan for the first three."""

    def __init__(self, **term) -> None:
        self.library, self.band_id, self.term_id = make_library(**term)
        with self.library() as work:
            self.ids = {title: piece for piece, title in work.pieces.titles().items()}
            self.sections = {s.name: s.id for s in work.ensembles.get(self.band_id).sections}
        self.plan(
            *(Slot(on, 0, self.piece(10 + at), "rhythm", minutes=8.0) for at, on in enumerate(DAYS[:3]))
        )

    def piece(self, number):
        return self.ids[f"Piece {number}"]

    def plan(self, *slots):
        with self.library() as work:
            work.terms.save_plan(Plan(self.term_id, slots))
            work.commit()

    def slots(self):
        with self.library() as work:
            return work.terms.plan(self.term_id).slots

    def wishes(self):
        with self.library() as work:
            return tuple(work.terms.wishes(self.term_id))

    def do(self, service, *arguments, **more):
        return at_a_door(self.library, service, self.term_id, *arguments, by=BY, **more)

    def pin(self, number, on, **more):
        return self.do(pin, self.piece(number), on, TODAY, **more)

    def ban(self, number, on=None):
        return self.do(ban, self.piece(number), on, TODAY)

    def again(self, number, on, **more):
        return self.do(read_again, self.piece(number), on, TODAY, **more)

    def shape(self, *shapes):
        with self.library() as work:
            work.terms.update(replace(work.terms.get(self.term_id), shapes=shapes))
            work.commit()

    def met(self, **exposure):
        with self.library() as work:
            work.ensembles.add_exposure(Exposure(self.band_id, **exposure))
            work.commit()

    def undo(self):
        with self.library() as work:
            newest = list_journal(work).entries[0].change
        at_a_door(self.library, undo_change, newest.id, BY, Means(FakeFiles(), FakeStudies()))
        return newest


@pytest.fixture
def desk():
    return Desk()


def refused(desk, sentence, ask, *arguments, **more):
    before = desk.wishes(), desk.slots()
    with pytest.raises(ConflictError, match=sentence):
        ask(*arguments, **more)
    assert (desk.wishes(), desk.slots()) == before


def test_a_pin_that_can_hold_is_stored_and_moves_nothing(desk):
    before = desk.slots()
    assert desk.pin(5, LATE) == (Wish("pinned", desk.piece(5), LATE),)
    assert desk.wishes() == (Wish("pinned", desk.piece(5), LATE),)
    assert desk.slots() == before


def test_a_piece_pinned_where_it_stands_is_marked_and_nothing_else_changes(desk):
    before = desk.slots()
    desk.pin(11, DAYS[1])
    marked = replace(before[1], is_pinned=True, reasons=(Reason(ReasonKind.PINNED),))
    assert desk.slots() == (before[0], marked, before[2])
    desk.do(withdraw_wish, desk.piece(11), DAYS[1])
    assert desk.slots() == before
    assert desk.wishes() == ()


def test_a_pin_asked_for_twice_is_stored_and_journaled_once(desk):
    desk.pin(5, LATE)
    desk.pin(5, LATE)
    with desk.library() as work:
        assert len(list_journal(work).entries) == 1


def test_a_second_pin_of_a_piece_takes_the_place_of_the_first(desk):
    desk.pin(5, LATE)
    desk.pin(5, DAYS[7])
    assert desk.wishes() == (Wish("pinned", desk.piece(5), DAYS[7]),)


def test_a_piece_longer_than_its_day_is_refused_with_the_minutes(desk):
    desk.shape(Shape(LATE, minutes=3.0))
    refused(desk, r"“Piece 5” is [\d.]+ minutes too long for Sep 22", desk.pin, 5, LATE)


def test_a_piece_of_an_announced_day_is_not_pinned_to_another(desk):
    refused(desk, "“Piece 10” stands on Sep 1, and that day stays as it is", desk.pin, 10, LATE)
    refused(desk, "“Piece 10” stands on Sep 1", desk.pin, 10, LATE, anyway=True)
    assert desk.pin(10, None) == (Wish("pinned", desk.piece(10), None),), "it stands on a day to come"


def test_a_piece_of_a_later_day_is_pinned_to_another(desk):
    desk.plan(Slot(LATE, 0, desk.piece(5), "rhythm", minutes=8.0))
    assert desk.pin(5, DAYS[7]) == (Wish("pinned", desk.piece(5), DAYS[7]),)


def test_pins_that_take_more_minutes_together_than_the_day_has_are_refused():
    desk = Desk(slots=2, minutes=12.0)
    desk.pin(1, LATE)
    desk.shape(Shape(LATE, minutes=6.0))
    refused(desk, "minutes", desk.pin, 2, LATE)


@pytest.mark.parametrize(("exposure", "sentence"), [
    ({"how": "performed"}, "“Piece 5” is not fresh: it was performed by Band"),
    ({"how": "read", "on": date(2026, 3, 4)}, "it was read by Band on Mar 4"),
    ({"how": "heard", "section_id": "Flute"}, "it was heard by Flute"),
])  # fmt: skip
def test_a_piece_somebody_knows_is_refused_with_who_knows_it(desk, exposure, sentence):
    if "section_id" in exposure:
        exposure = {**exposure, "section_id": desk.sections["Flute"]}
    desk.met(piece_id=desk.piece(5), **exposure)
    refused(desk, sentence, desk.pin, 5, LATE)
    refused(desk, "is not fresh", desk.pin, 5, LATE, anyway=True)


def hard_piece(desk, part="Flute", level=5.5):
    """A piece within reach of everyone but one section."""
    profile = make_piece_profile(99, 2.0, "rhythm")
    parts = tuple(replace(p, level=level) if p.name == part else p for p in profile.parts)
    with desk.library() as work:
        desk.ids["Piece 99"] = work.pieces.add(make_source("hard"), replace(profile, parts=parts), TUESDAY)
        work.commit()


def test_a_section_likely_lost_is_named_and_the_director_can_insist(desk):
    hard_piece(desk)
    refused(desk, "^Flute would likely be lost in “Piece 99”", desk.pin, 99, LATE)
    assert desk.pin(99, LATE, anyway=True) == (Wish("pinned", desk.piece(99), LATE),)


def test_a_section_that_is_away_cannot_be_lost(desk):
    hard_piece(desk)
    desk.shape(Shape(LATE, absent=(desk.sections["Flute"],)))
    assert desk.pin(99, LATE)


def test_a_full_day_is_refused(desk):
    desk.pin(5, LATE)
    refused(desk, "Sep 22 is full: it holds one piece, and one piece is pinned", desk.pin, 6, LATE)
    desk.shape(Shape(LATE, minutes=30.0, slots=2))
    assert len(desk.pin(6, LATE)) == 2


def test_a_day_with_stations_has_a_place_for_each_in_every_round(desk):
    flute, *others = desk.sections.values()
    desk.shape(Shape(LATE, 30.0, 2, (Station("High", (flute,)), Station("Others", tuple(others)))))
    for number in (1, 2, 3, 4):
        desk.pin(number, LATE, anyway=True)
    refused(desk, "is full: it holds 4 pieces, and 4 pieces are pinned", desk.pin, 5, LATE, anyway=True)


def test_folders_that_another_ensemble_has_that_day_are_not_there(desk):
    with desk.library() as work:
        choir = work.ensembles.add(replace(work.ensembles.get(desk.band_id), id=0, name="Choir", sections=()))
        term = replace(work.terms.get(desk.term_id), id=0, ensemble_id=choir)
        other = work.terms.add(term)
        work.terms.save_plan(Plan(other, (Slot(LATE, 0, desk.piece(5), "rhythm"),)))
        work.commit()
    refused(desk, "The folders of “Piece 5” are elsewhere", desk.pin, 5, LATE)
    assert desk.pin(5, DAYS[7])


def test_a_pin_against_a_ban_and_a_ban_against_a_pin_are_refused(desk):
    desk.ban(5, LATE)
    refused(desk, "“Piece 5” is kept off Sep 22", desk.pin, 5, LATE)
    desk.ban(6)
    refused(desk, "“Piece 6” is kept out of the term", desk.pin, 6, LATE)
    desk.pin(7, LATE)
    refused(desk, "“Piece 7” is pinned to Sep 22", desk.ban, 7)
    refused(desk, "“Piece 7” is pinned to Sep 22", desk.ban, 7, LATE)
    assert len(desk.ban(7, DAYS[7])) == 4


@pytest.mark.parametrize("asked", ["pin", "ban", "again"])
def test_days_that_are_over_or_no_reading_days_are_refused(desk, asked):
    ask = getattr(desk, asked)
    with desk.library() as work:
        work.results.put(Result(desk.band_id, desk.sections["Flute"], desk.piece(10), TUESDAY, 0.8))
        work.commit()
    refused(desk, "Results of Sep 1 are logged", ask, 10, TUESDAY)
    with pytest.raises(NotFoundError, match="reading day 2026-09-02"):
        ask(10, date(2026, 9, 2))
    service = {"pin": pin, "ban": ban, "again": read_again}[asked]
    with pytest.raises(ConflictError, match="Sep 1 is past"):
        desk.do(service, desk.piece(5), TUESDAY, DAYS[1])


def test_an_announced_day_takes_another_piece_only_when_the_director_insists(desk):
    refused(desk, r"The plan of Sep 3 is announced \(14 days ahead\)", desk.pin, 5, DAYS[1])
    assert desk.pin(5, DAYS[1], anyway=True) == (Wish("pinned", desk.piece(5), DAYS[1]),)


def test_a_day_with_printed_guides_takes_another_piece_only_when_the_director_insists():
    desk = Desk()
    desk.plan(Slot(LATE, 0, desk.piece(9), "rhythm", minutes=8.0))
    with desk.library() as work:
        work.terms.note_printed(desk.term_id, LATE, [desk.piece(9)])
        work.commit()
    refused(desk, "The guides of Sep 22 are printed", desk.pin, 5, LATE)
    assert desk.pin(5, LATE, anyway=True)


def test_a_pin_without_a_day_holds_where_one_day_suits(desk):
    assert desk.pin(5, None) == (Wish("pinned", desk.piece(5), None),)
    desk.met(piece_id=desk.piece(6), how="performed")
    refused(desk, "“Piece 6” is not fresh", desk.pin, 6, None)


def test_a_piece_is_read_again_after_its_first_reading_and_not_before(desk):
    refused(desk, "“Piece 5” is not read before Sep 22", desk.again, 5, LATE)
    refused(desk, "“Piece 12” is not read before Sep 8", desk.again, 12, DAYS[2], anyway=True)
    assert desk.again(12, LATE) == (Wish("again", desk.piece(12), LATE),)
    refused(desk, "“Piece 12” is read again on Sep 22", desk.pin, 12, LATE)
    refused(desk, "“Piece 12” is read again on Sep 22", desk.ban, 12)
    refused(desk, "Sep 22 is full", desk.pin, 5, LATE)


def test_a_second_reading_takes_half_of_the_minutes(desk):
    desk.shape(Shape(LATE, minutes=6.0, slots=2))
    assert desk.again(10, LATE)
    desk.shape(Shape(LATE, minutes=3.0, slots=2))
    refused(desk, "Sep 22 has 3 minutes; reading “Piece 11” again", desk.again, 11, LATE)


def test_stations_read_nothing_again(desk):
    flute, *others = desk.sections.values()
    desk.shape(Shape(LATE, stations=(Station("High", (flute,)), Station("Others", tuple(others)))))
    refused(desk, "On Sep 22 stations read", desk.again, 10, LATE)


def test_a_wish_is_given_another_day_or_stays_where_it_was(desk):
    desk.pin(5, LATE)
    desk.do(move_wish, Wish("pinned", desk.piece(5), LATE), DAYS[7], TODAY)
    assert desk.wishes() == (Wish("pinned", desk.piece(5), DAYS[7]),)
    desk.pin(6, LATE)
    refused(desk, "is full", desk.do, move_wish, Wish("pinned", desk.piece(6), LATE), DAYS[7], TODAY)
    desk.again(10, DAYS[8])
    again = Wish("again", desk.piece(10), DAYS[8])
    with pytest.raises(InputError, match="needs its day"):
        desk.do(move_wish, again, None, TODAY)
    desk.do(move_wish, again, DAYS[9], TODAY)
    desk.ban(8, LATE)
    desk.do(move_wish, Wish("banned", desk.piece(8), LATE), None, TODAY)
    assert set(desk.wishes()) == {
        Wish("pinned", desk.piece(5), DAYS[7]),
        Wish("pinned", desk.piece(6), LATE),
        Wish("again", desk.piece(10), DAYS[9]),
        Wish("banned", desk.piece(8)),
    }


def test_a_wish_taken_back_in_another_tab_is_told(desk):
    desk.pin(5, LATE)
    desk.do(withdraw_wish, desk.piece(5), LATE)
    with pytest.raises(NotFoundError, match="no wish for “Piece 5” on Sep 22"):
        desk.do(withdraw_wish, desk.piece(5), LATE)


def test_each_wish_is_in_the_journal_and_taken_back(desk):
    before = desk.wishes(), desk.slots()
    desk.pin(11, DAYS[1])
    assert change_sentence(desk.undo()).startswith("“Autumn”: “Piece 11” pinned to Sep 3")
    assert (desk.wishes(), desk.slots()) == before
    desk.ban(5)
    assert change_sentence(desk.undo()) == "“Autumn”: “Piece 5” kept out of the term."
    desk.again(10, LATE)
    desk.do(withdraw_wish, desk.piece(10), LATE)
    assert change_sentence(desk.undo()) == "“Autumn”: no longer read again on Sep 22: “Piece 10”."
    assert desk.wishes() == (Wish("again", desk.piece(10), LATE),)


def test_what_is_not_there_is_said_so(desk):
    with pytest.raises(NotFoundError):
        at_a_door(desk.library, pin, 10**6, desk.piece(5), LATE, TODAY, by=BY)
    with pytest.raises(NotFoundError):
        desk.do(pin, 10**6, LATE, TODAY)
