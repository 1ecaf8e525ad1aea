"""What would fill the days that stay open, and why the pieces there are do not."""

from dataclasses import replace
from datetime import timedelta

from planner.core.ensemble import Exposure
from planner.core.term import Result, Wish
from planner.scheduling import check
from planner.scheduling.problem import Limits
from planner.services.plan.open_days import why_left_out
from planner.services.plan.plan_term import plan_term
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import build_problem
from planner.services.term_page.show_choices import show_choices
from planner.wording.director import proposal as words
from tests.fakes import BY, make_source, within
from tests.services.term.library_for_plans import TUESDAY, make_library, make_piece_profile


def planned(work, term_id, **how):
    return plan_term(within(work), term_id, TUESDAY, by=BY, **{"steps": 60, "leave_open": True, **how})


def test_an_open_day_says_how_many_pieces_of_which_level_and_minutes_would_fill_it():
    library, _, term_id = make_library(3, weeks=3)
    with library() as work:
        view = planned(work, term_id)
    assert len(view.slots) == 2, "the third piece is beyond the second clarinets"
    assert len(view.open_days) == 4
    for day in view.open_days:
        assert (day.slots, day.minutes) == (1, 12.0)
        assert day.level_from < 2.0 < day.level_to, "the sections read at 2.0 in the middle"
        assert day.level_to - day.level_from <= 0.9
    assert [day.on for day in view.open_days] == list(view.open_dates)
    assert words.open_slots_note(4) in view.notes
    assert words.OUT_OF_TIME not in view.notes


def test_every_piece_left_out_has_one_reason_and_they_add_up():
    library, ensemble_id, term_id = make_library(3, weeks=3)
    with library() as work:
        ids = {}
        for name, level, changes in (
            ("met", 2.0, {}), ("banned", 2.0, {}), ("hard", 5.0, {}),
            ("long", 2.0, {"playing_seconds": 1500.0}),
        ):  # fmt: skip
            profile = replace(make_piece_profile(len(ids), level, "key"), **changes)
            ids[name] = work.pieces.add(make_source(name), profile, TUESDAY)
        harp = make_piece_profile(9, 2.0, "key")
        harp = replace(
            harp, parts=tuple(replace(part, name=part.name, instrument="harp") for part in harp.parts)
        )
        ids["harps"] = work.pieces.add(make_source("harps"), harp, TUESDAY)
        work.pieces.add(
            make_source("unknown"), replace(make_piece_profile(8, 2.0, "key"), level=None), TUESDAY
        )
        work.ensembles.add_exposure(Exposure(ensemble_id, ids["met"], "heard"))
        work.terms.set_wishes(term_id, (Wish("banned", ids["banned"]),))
        view = planned(work, term_id)
        problem = build_problem(read_facts(work, term_id, TUESDAY), Limits(may_leave_open=True))
        day = view.open_days[0]
        why = why_left_out(problem, view.plan.slots, day.on)
    standing = {slot.piece_id for slot in view.plan.slots}
    assert why == {
        ids["met"]: check.FRESH, ids["banned"]: check.BANS, ids["hard"]: check.READABLE,
        ids["long"]: check.MINUTES, ids["harps"]: check.FORCES, **dict.fromkeys(standing, check.ONCE),
        3: check.READABLE,
    }  # fmt: skip
    assert sum(count for _, count in day.left_out) == len(why) == 8
    assert dict(day.left_out)[check.ONCE] == 2
    assert day.unlevelled == 1


def test_what_was_read_at_least_three_weeks_before_is_offered_for_a_second_reading():
    library, ensemble_id, term_id = make_library(3, weeks=6)
    with library() as work:
        section = work.ensembles.get(ensemble_id).sections[0].id
        work.results.put(Result(ensemble_id, section, 1, TUESDAY - timedelta(days=7), 0.8))
        view = planned(work, term_id)
        (other,) = {slot.piece_id for slot in view.plan.slots}
        read = {1: TUESDAY - timedelta(days=7), other: view.plan.slots[0].on}
    for day in view.open_days:
        due = {piece: on for piece, on in read.items() if day.on - on >= timedelta(weeks=3)}
        assert {again.piece_id: again.last_on for again in day.again} == due
        assert all(again.minutes <= 12.0 for again in day.again)
    assert any(len(day.again) == 2 for day in view.open_days)


def test_a_second_reading_that_the_director_chose_fills_its_day():
    library, _, term_id = make_library(12, weeks=5)
    with library() as work:
        view = planned(work, term_id)
        first, last = view.plan.slots[0], view.plan.slots[-1]
        work.terms.set_wishes(term_id, (Wish("again", first.piece_id, last.on),))
        again = planned(work, term_id).proposal
        (slot,) = next(change.after for change in again.changes if change.on == last.on)
    assert (slot.piece_id, slot.reasons[0].last_on) == (first.piece_id, first.on)
    assert slot.minutes < first.minutes


def test_the_choices_of_an_open_place_say_what_would_fill_it_and_what_is_left_out():
    library, ensemble_id, term_id = make_library(3, weeks=3)
    with library() as work:
        work.ensembles.add_exposure(Exposure(ensemble_id, 1, "heard"))
        view = planned(work, term_id)
        day = view.open_days[0]
        shown = show_choices(work, term_id, day.on, 0, None, TUESDAY)
        filled = show_choices(work, term_id, view.plan.slots[0].on, 0, None, TUESDAY)
    assert shown.now is None
    assert (shown.wanted.slots, shown.wanted.left_out) == (day.slots, day.left_out)
    assert {rule: len(titles) for rule, titles in shown.left_out} == dict(day.left_out)
    assert dict(shown.left_out)[check.FRESH] == ("Piece 1",)
    assert (filled.wanted, filled.left_out) == (None, ())
