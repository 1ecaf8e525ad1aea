"""What else could stand in a place: the same from a large library that is not looked at whole."""

import pytest

from planner.core.term import Plan, Slot
from planner.errors import ConflictError, NotFoundError
from planner.scheduling import check
from planner.scheduling.problem import Limits
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import build_problem
from planner.services.term_page import show_choices as module
from planner.services.term_page.show_choices import OFFERED, show_choices
from tests.checks import some
from tests.services.term.library_for_plans import TUESDAY, make_library


@pytest.fixture
def desk():
    library, _, term_id = make_library(40)
    with library() as work:
        dates = work.terms.get(term_id).reading_dates()
        pieces = list(work.pieces.titles())
        focus = {
            each.piece_id: each.trains[0][0]
            for each in build_problem(read_facts(work, term_id, TUESDAY), Limits()).problem.pieces
        }
        slots = tuple(Slot(on, 0, p, focus[p], minutes=8.0) for on, p in zip(dates, pieces[5:], strict=False))
        work.terms.save_plan(Plan(term_id, slots))
        yield work, term_id, slots


def shown(view):
    return [(one.picture.piece.id, one.saved) for one in view.choices]


def test_what_is_offered_costs_over_the_whole_term_what_is_told(desk):
    work, term_id, slots = desk
    view = show_choices(work, term_id, slots[3].on, 0, None, TUESDAY)
    facts = read_facts(work, term_id, TUESDAY)
    whole = build_problem(facts, Limits(may_leave_open=True), opened=facts.term.reading_dates())
    before = check.cost(whole.problem, whole.filled_up(slots))
    assert len(view.choices) == len(view.swaps) == OFFERED
    for one in some(view.choices):
        after = [one.picture.slot, *(slot for slot in whole.filled_up(slots) if slot.on != slots[3].on)]
        assert before.total - check.cost(whole.problem, after).total == one.saved.total
    for one in some(view.swaps):
        assert (one.goes.slot.on, one.goes.piece.id) == (one.there.on, slots[3].piece_id)
        assert (one.comes.slot.on, one.comes.piece.id) == (slots[3].on, one.there.piece_id)
        assert one.comes.forecasts
        assert one.goes.forecasts
    announced = {one.there.on: one.is_announced for one in view.swaps}
    assert all(is_announced == ((on - TUESDAY).days < 14) for on, is_announced in announced.items())


def test_a_large_library_gives_the_same_without_being_looked_at_whole(desk, monkeypatch):
    work, term_id, slots = desk
    everything = show_choices(work, term_id, slots[3].on, 0, None, TUESDAY)
    opened = set()
    outlines = work.pieces.outlines
    monkeypatch.setattr(work.pieces, "outlines", lambda ids: opened.update(ids) or outlines(ids))
    monkeypatch.setattr(module, "WHOLE", 10)
    monkeypatch.setattr(module, "LOOKED_AT", 12)
    view = show_choices(work, term_id, slots[3].on, 0, None, TUESDAY)
    assert {piece for piece, _ in shown(view)} == {piece for piece, _ in shown(everything)}
    assert len(opened) <= len(slots) + 2 * 12 < 40
    assert [one.there for one in view.swaps] == [one.there for one in everything.swaps]


def test_no_such_place_and_a_day_that_is_over(desk):
    work, term_id, slots = desk
    with pytest.raises(NotFoundError):
        show_choices(work, term_id, slots[3].on, 4, None, TUESDAY)
    with pytest.raises(NotFoundError):
        show_choices(work, term_id, TUESDAY.replace(year=2030), 0, None, TUESDAY)
    with pytest.raises(ConflictError):
        show_choices(work, term_id, slots[0].on, 0, None, slots[1].on)
