"""A piece on paper and the score that was found for it."""

from dataclasses import replace

import pytest

from planner.core.difficulty import LevelCorrection
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.profile import PartProfile
from planner.core.term import Plan, Result, Slot, Term
from planner.errors import ConflictError, InputError
from planner.services.catalogue.join import join_score
from planner.services.catalogue.store import enter_piece
from planner.services.changes.undo import undo_change
from planner.services.levels.section_levels import follow_levels
from planner.services.library.links import link_pieces
from planner.wording.director.changes import change_sentence
from tests.fakes import BY
from tests.services.catalogue.shelves import DAY, add_score

PAPER = {
    "title": "Old March", "composer": "", "published_grade": 2.0, "keys": ("F major",), "minutes": 3.0,
    "parts": ("Clarinet 1", "Cornet", "Kazoo"), "shelf": "B-7",
}  # fmt: skip
PARTS = tuple(
    PartProfile(name, instrument, 0, 8, ("F4", "F5"), ("F4", "F5"), 2.5)
    for name, instrument in [("First Clarinet", "clarinet-bflat"), ("Cornet", "cornet-bflat")]
)


def met_everywhere(library, piece_id):
    """A band that has met, read and planned a piece; its id and its term's."""
    with library() as work:
        band = work.ensembles.add(Ensemble(0, "Band", "band", (Section(0, "Clarinet", "clarinet-bflat"),)))
        section = work.ensembles.get(band).sections[0].id
        work.ensembles.add_exposure(Exposure(band, piece_id, "heard", DAY))
        work.results.put(Result(band, section, piece_id, DAY, 0.8))
        term = work.terms.add(Term(0, band, "Fall", DAY, DAY, (DAY.weekday(),)))
        work.terms.save_plan(Plan(term, (Slot(DAY, 0, piece_id, "key"),)))
        work.commit()
    return band, term


def used(library, band, term):
    with library() as work:
        return (
            [one.piece_id for one in work.ensembles.exposures(band)],
            [one.piece_id for one in work.results.list_results(band)],
            [slot.piece_id for slot in work.terms.plan(term).slots],
        )


def state(library, piece_id):
    with library() as work:
        piece, profile = work.pieces.get(piece_id), work.pieces.profile(piece_id)
        levels = tuple(work.corrections.levels(piece_id))
        return (
            replace(piece, source=None), piece.is_on_paper, profile.measures,
            dict(work.pieces.copies([piece_id]).get(piece_id, {})), levels,
            dict(work.corrections.words(piece_id)),
        )  # fmt: skip


@pytest.fixture
def shelf(database):
    """A library with a piece on paper and its score; their ids."""
    score = add_score(database, "Old March (full score)", parts=PARTS)
    with database() as work:
        paper = enter_piece(work, PAPER, BY, DAY).id
        work.pieces.store_copies({paper: {"Clarinet 1": 4, "Cornet": 2, "Kazoo": 1}})
        work.corrections.put_level(LevelCorrection(score, 3.0, "Cornet"))
        follow_levels(work)
        work.commit()
    return database, paper, score


def joined(library, paper, score):
    with library() as work:
        piece = join_score(work, paper, score, by=BY)
        work.commit()
        return piece


def test_results_exposures_and_plan_places_stay(shelf):
    library, paper, score = shelf
    band, term = met_everywhere(library, paper)
    before = used(library, band, term)
    piece = joined(library, paper, score)
    assert (piece.id, piece.is_on_paper, piece.title, piece.shelf) == (paper, False, "Old March", "B-7")
    assert piece.composer == "Ada Weir", "what was left empty is as printed"
    assert used(library, band, term) == before
    with library() as work:
        assert [part.name for part in work.pieces.profile(paper).parts] == ["First Clarinet", "Cornet"]
        assert work.pieces.find_by_hash(piece.source.sha256).id == paper
        assert len(work.pieces.titles()) == 1
        assert work.pieces.copies([paper])[paper] == {"First Clarinet": 4, "Cornet": 2, "Kazoo": 1}
        assert [(one.part, one.level) for one in work.corrections.levels(paper)] == [("Cornet", 3.0)]


def test_joining_is_taken_back_and_done_again(shelf):
    library, paper, score = shelf
    band, term = met_everywhere(library, paper)
    before, score_before = state(library, paper), state(library, score)
    joined(library, paper, score)
    after = state(library, paper)
    with library() as work:
        change = work.changes.list_changes(1)[0]
        back = undo_change(work, change.id, BY, None)
        work.commit()
    assert state(library, paper) == before
    with library() as work:
        (again,) = [i for i in work.pieces.titles() if i != paper]
        assert change_sentence(back) == "“Old March” is on paper again, apart from its score."
    found = state(library, again)
    assert (replace(found[0], id=score), *found[1:-2], found[-1]) == (*score_before[:-2], score_before[-1])
    assert [(one.part, one.level) for one in found[-2]] == [("Cornet", 3.0)]
    with library() as work:
        undo_change(work, back.id, BY, None)
        work.commit()
    assert state(library, paper)[:3] == after[:3]
    assert used(library, band, term) == ([paper], [paper], [paper])


def test_a_score_with_a_life_of_its_own_is_not_swallowed(shelf):
    library, paper, score = shelf
    met_everywhere(library, score)
    before = state(library, paper), state(library, score)
    with pytest.raises(ConflictError, match=r"stands in the plan of Fall\. Link the two"):
        joined(library, paper, score)
    assert (state(library, paper), state(library, score)) == before


def test_a_linked_score_is_taken_apart_first(shelf):
    library, paper, score = shelf
    other = add_score(library, "Another file")
    with library() as work:
        link_pieces(work, score, other, by=BY)
        work.commit()
    with pytest.raises(ConflictError, match="Take it apart first"):
        joined(library, paper, score)


def test_only_paper_is_joined_with_a_score(shelf):
    library, paper, score = shelf
    with pytest.raises(InputError, match="has a score already"):
        joined(library, score, paper)
    with pytest.raises(InputError, match="is on paper itself"):
        joined(library, paper, paper)
