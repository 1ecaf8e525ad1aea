"""The same music in two files: found when it comes in, decided by the director, taken back."""

from dataclasses import replace

import pytest

from planner.core.fingerprint import Fingerprint, Kin
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.undo import undo_change
from planner.services.library.likenesses import alike, compare_new, count_open_pairs, keep_apart, open_pairs
from planner.services.library.links import link_pieces
from planner.wording.director.changes import change_sentence
from tests.fakes import BY
from tests.services.term.library_for_plans import make_library

MUSIC = tuple(range(100, 4100, 100))
OTHER = tuple(range(150, 4150, 100))


@pytest.fixture
def work():
    """Pieces 1 and 2 hold the same music, 3 another setting of the tune of 1, 4 nothing of them."""
    library, _, _ = make_library(6, weeks=2)
    prints = {
        1: Fingerprint(MUSIC, MUSIC, MUSIC[:20]),
        2: Fingerprint(MUSIC[:30], MUSIC[:30], MUSIC[:20]),
        3: Fingerprint(OTHER, (*MUSIC[:20], *OTHER), ()),
        4: Fingerprint(tuple(n + 7 for n in OTHER), (), ()),
    }
    with library() as opened:
        for piece_id, fingerprint in prints.items():
            profile = opened.pieces.profile(piece_id)
            opened.pieces.replace_profile(piece_id, replace(profile, fingerprint=fingerprint.to_text()))
        yield opened


def pairs_of(work, piece_id):
    return {pair.other.id: pair.likeness.kin for pair in alike(work, piece_id)}


def test_new_studies_are_compared_once_with_all(work):
    assert compare_new(work) == 6
    assert compare_new(work) == 0
    assert pairs_of(work, 1) == {2: Kin.SAME, 3: Kin.TUNE}
    assert pairs_of(work, 2) == {1: Kin.SAME, 3: Kin.TUNE}
    assert pairs_of(work, 4) == {}
    assert [(pair.piece.id, pair.other.id) for pair in open_pairs(work)] == [(1, 2)]
    assert count_open_pairs(work) == 1


def test_a_new_study_is_compared_again_and_what_it_was_like_before_is_gone(work):
    compare_new(work)
    work.pieces.replace_profile(2, replace(work.pieces.profile(2), fingerprint=Fingerprint(OTHER).to_text()))
    assert compare_new(work) == 1
    assert pairs_of(work, 2) == {3: Kin.SAME}
    assert pairs_of(work, 1) == {3: Kin.TUNE}


def test_joined_or_kept_apart_nobody_asks_again_until_it_is_taken_back(work):
    compare_new(work)
    keep_apart(work, 2, 1, by=BY)
    assert open_pairs(work) == ()
    assert count_open_pairs(work) == 0
    (entry,) = list_journal(work).entries
    assert change_sentence(entry.change) == "“Piece 1” and “Piece 2”: kept apart now yes (was no)."
    undo_change(work, entry.change.id, BY, None)
    assert count_open_pairs(work) == 1
    link_pieces(work, 1, 2, by=BY)
    assert count_open_pairs(work) == 0
    assert [pair.is_joined for pair in alike(work, 1)] == [True, False]


def test_what_cannot_be_is_refused_and_changes_nothing(work):
    compare_new(work)
    keep_apart(work, 1, 2, by=BY)
    link_pieces(work, 3, 4, by=BY)
    for pair, is_apart, error in (
        ((1, 2), True, ConflictError),
        ((1, 4), False, ConflictError),
        ((3, 4), True, ConflictError),
        ((3, 3), True, InputError),
        ((3, 99), True, NotFoundError),
    ):
        with pytest.raises(error):
            keep_apart(work, *pair, by=BY, is_apart=is_apart)
    assert work.likenesses.kept_apart() == {(1, 2)}
