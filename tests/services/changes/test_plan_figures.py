"""What a plan costs is known again after an undo just when all of the plan is as it was."""

from dataclasses import replace

import pytest

from planner.core.change import ChangeKind
from planner.core.term import Plan, Slot
from planner.services.changes.journal import list_journal, recorded
from planner.services.changes.records import Means
from planner.services.changes.term_record import term_subject
from planner.services.changes.undo import undo_change
from tests.fakes import BY, FakeFiles, FakeStudies
from tests.services.term.library_for_plans import make_library

MEANS = Means(FakeFiles(), FakeStudies())


@pytest.fixture
def desk():
    library, _, term_id = make_library()
    with library() as work:
        pieces = sorted(work.pieces.titles())
        days = work.terms.get(term_id).reading_dates()
        slots = tuple(Slot(on, 0, piece, "key") for on, piece in zip(days[:2], pieces, strict=False))
        whole = Plan(term_id, slots, cost=12.0, bound=11.0, is_proven=True, made_from="these facts")
        work.terms.save_plan(whole)

        def put(at, piece):
            """Another piece on one day, as a change by hand: nobody knows what that costs."""
            with recorded(work, ChangeKind.TERM, term_subject(work.terms.get(term_id)), BY):
                now = list(work.terms.plan(term_id).slots)
                now[at] = replace(now[at], piece_id=piece)
                work.terms.save_plan(Plan(term_id, tuple(now)))
            return list_journal(work).entries[0].change.id

        yield work, term_id, whole, put(0, pieces[-1]), put(1, pieces[-2])


def test_the_last_undo_brings_the_figures_back_and_a_redo_takes_them_again(desk):
    work, term_id, whole, first, second = desk
    undo_change(work, second, BY, MEANS)
    assert work.terms.plan(term_id).cost == 0
    undone = undo_change(work, first, BY, MEANS)
    assert work.terms.plan(term_id) == whole
    undo_change(work, undone.id, BY, MEANS)
    assert work.terms.plan(term_id).cost == 0


def test_figures_of_another_plan_never_come_back(desk):
    work, term_id, whole, first, second = desk
    undo_change(work, first, BY, MEANS)
    assert work.terms.plan(term_id).slots != whole.slots
    assert (work.terms.plan(term_id).cost, work.terms.plan(term_id).made_from) == (0, "")
    undo_change(work, second, BY, MEANS)
    assert work.terms.plan(term_id).slots == whole.slots
