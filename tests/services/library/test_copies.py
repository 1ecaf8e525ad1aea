"""Copies are counted on the piece, change what can be planned, and are taken back."""

import pytest

from planner.core.term import Plan
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.library.copies import copies_of, count_copies
from planner.services.plan.plan_term import plan_term
from planner.services.term.wishes import pin
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeStudies, at_a_door
from tests.services.term.library_for_plans import TUESDAY, make_library


@pytest.fixture
def desk():
    return make_library(12, weeks=2)


def newest(library):
    with library() as work:
        return list_journal(work).entries[0].change


def test_copies_are_counted_journaled_and_taken_back(desk):
    library, _, _ = desk
    assert at_a_door(library, count_copies, 1, {"Flute": 2, "Trumpet": 0}, by=BY) == {
        "Flute": 2,
        "Trumpet": 0,
    }
    at_a_door(library, count_copies, 1, {"Flute": 3, "Trumpet": None}, by=BY)
    assert change_sentence(newest(library)) == (
        "“Piece 1”: copies of Flute now 3 (was 2); copies of Trumpet now not counted (was 0)."
    )
    at_a_door(library, undo_change, newest(library).id, BY, Means(FakeFiles(), FakeStudies()))
    with library() as work:
        assert copies_of(work, 1) == {"Flute": 2, "Trumpet": 0}
        assert copies_of(work, 2) == {}


@pytest.mark.parametrize(("counts", "error", "sentence"), [
    ({"Kazoo": 1}, NotFoundError, "no part “Kazoo” in “Piece 1”"),
    ({"Flute": -1}, InputError, "from 0 to 200 copies, not -1"),
    ({"Flute": 201}, InputError, "not 201"),
])  # fmt: skip
def test_what_cannot_be_is_refused_and_nothing_stored(desk, counts, error, sentence):
    library, _, _ = desk
    with pytest.raises(error, match=sentence):
        at_a_door(library, count_copies, 1, {"Trumpet": 1, **counts}, by=BY)
    with library() as work:
        assert copies_of(work, 1) == {}


def test_a_piece_with_too_few_copies_is_not_planned_nor_pinned(desk):
    library, _, term_id = desk
    plan = plan_term(library, term_id, TUESDAY, by=BY, steps=50, leave_open=True).plan
    first = plan.slots[0].piece_id
    with library() as work:
        work.terms.save_plan(Plan(term_id, ()))
        work.commit()
    at_a_door(library, count_copies, first, {"Clarinet 2": 1}, by=BY)
    again = plan_term(library, term_id, TUESDAY, by=BY, steps=50, leave_open=True).plan
    assert len(again.slots) == len(plan.slots)
    assert first not in {slot.piece_id for slot in again.slots}
    with pytest.raises(ConflictError, match=r"too few copies of .*: Clarinet 2 needs 2 and has 1"):
        at_a_door(library, pin, term_id, first, again.slots[-1].on, TUESDAY, by=BY, anyway=True)
