"""Files of one piece are linked by the director's word, and taken apart again."""

import pytest

from planner.core.ensemble import Exposure
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.undo import undo_change
from planner.services.library.links import link_pieces, same_pieces, unlink_piece
from planner.services.plan.plan_term import plan_term
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, within
from tests.services.term.library_for_plans import TUESDAY, make_library


@pytest.fixture
def work():
    library, _, _ = make_library(8, weeks=2)
    with library() as opened:
        yield opened


def files_of(work, piece_id):
    return {piece.id for piece in same_pieces(work, piece_id)}


def test_links_are_chained_either_way_and_journaled(work):
    link_pieces(work, 2, 1, by=BY)
    link_pieces(work, 2, 3, by=BY)
    assert [files_of(work, n) for n in (1, 2, 3, 4)] == [{2, 3}, {1, 3}, {1, 2}, set()]
    entries = [entry.change for entry in list_journal(work).entries]
    assert change_sentence(entries[1]) == "“Piece 2”: other file now “Piece 1” (was none)."
    undo_change(work, entries[0].id, BY, None)
    assert [files_of(work, n) for n in (1, 2, 3)] == [{2}, {1}, set()]


def test_one_file_leaves_and_the_others_stay_together(work):
    for piece, other in ((2, 1), (3, 1), (4, 1)):
        link_pieces(work, piece, other, by=BY)
    unlink_piece(work, 1, by=BY)
    assert [files_of(work, n) for n in (1, 2, 3, 4)] == [set(), {3, 4}, {2, 4}, {2, 3}]
    unlink_piece(work, 3, by=BY)
    assert [files_of(work, n) for n in (2, 3, 4)] == [{4}, set(), {2}]


def test_what_cannot_be_linked_is_refused(work):
    link_pieces(work, 2, 1, by=BY)
    for pair, error in (
        ((2, 1), ConflictError),
        ((1, 2), ConflictError),
        ((3, 3), InputError),
        ((3, 99), NotFoundError),
    ):
        with pytest.raises(error):
            link_pieces(work, *pair, by=BY)
    with pytest.raises(ConflictError):
        unlink_piece(work, 5, by=BY)


def test_a_term_reads_one_file_of_a_piece_and_none_of_what_is_known_by_another(work):
    ensemble = work.ensembles.find_by_name("Band")
    (term,) = work.terms.list_terms()
    link_pieces(work, 3, 2, by=BY)
    link_pieces(work, 5, 4, by=BY)
    work.ensembles.add_exposure(Exposure(ensemble.id, 5, "heard"))
    view = plan_term(within(work), term.id, TUESDAY, by=BY, steps=50, leave_open=True)
    planned = {slot.piece_id for slot in view.plan.slots}
    assert len(planned & {2, 3}) == 1
    assert not planned & {4, 5}
