"""Reading through ``read_once`` gives what the library gives, and asks for nothing a second time."""

import pytest

from planner.core.difficulty import LevelCorrection
from planner.core.ensemble import Ensemble, Exposure
from planner.core.piece import PieceQuery
from planner.core.term import Result
from planner.services.read_once import read_once
from tests.fakes import FakeLibrary, make_profile, make_source
from tests.services.term.library_for_plans import TUESDAY, make_library


class Counting:
    """A unit of work that notes every question."""

    def __init__(self, work):
        self.work, self.asked = work, []

    def __getattr__(self, room):
        counting, repository = self, getattr(self.work, room)

        class Room:
            def __getattr__(self, name):
                method = getattr(repository, name)

                def ask(*args, **named):
                    counting.asked.append((room, name, args))
                    return method(*args, **named)

                return ask

        return Room()


@pytest.fixture
def counted():
    library, ensemble_id, term_id = make_library(5)
    with library() as work:
        counting = Counting(work)
        yield work, read_once(counting), counting.asked, ensemble_id, term_id


def test_an_answer_is_the_librarys_own_and_is_asked_for_once(counted):
    work, once, asked, ensemble_id, term_id = counted
    for _ in range(2):
        assert once.ensembles.get(ensemble_id) == work.ensembles.get(ensemble_id)
        assert once.terms.wishes(term_id) == work.terms.wishes(term_id)
        assert once.pieces.count(is_levelled=True) == work.pieces.count(is_levelled=True)
        assert once.pieces.count(is_levelled=False) == work.pieces.count(is_levelled=False)
    assert len(asked) == 4


def test_of_some_pieces_only_those_not_known_yet_are_asked_for(counted):
    work, once, asked, *_ = counted
    first, second, third = sorted(work.pieces.titles())[:3]
    assert set(once.pieces.outlines([first, second])) == {first, second}
    assert once.pieces.outlines([second, third, 999]) == work.pieces.outlines([second, third])
    assert once.pieces.outlines([999]) == {}
    assert [args for *_, args in asked] == [([first, second],), ([third, 999],)]


def test_what_a_list_told_is_not_asked_for_piece_by_piece_or_term_by_term(counted):
    work, once, asked, ensemble_id, term_id = counted
    section = work.ensembles.get(ensemble_id).sections[0].id
    with_results = Result(ensemble_id, section, min(work.pieces.titles()), TUESDAY, 0.8)
    work.results.put(with_results)
    pieces, _ = once.pieces.list_pieces(PieceQuery(limit=0))
    once.terms.list_terms()
    once.results.list_results()
    once.terms.plans([term_id])
    before = len(asked)
    assert once.pieces.get_all([pieces[0].id]) == work.pieces.get_all([pieces[0].id])
    assert once.terms.get(term_id) == work.terms.get(term_id)
    assert tuple(once.results.list_results(ensemble_id)) == (with_results,)
    assert once.terms.plan(term_id) == work.terms.plan(term_id)
    assert len(asked) == before


def test_what_is_known_of_all_is_not_asked_for_of_one(counted):
    work, remembered, asked, ensemble_id, _ = counted
    work.corrections.put_level(LevelCorrection(1, 3.0))
    work.corrections.put_level(LevelCorrection(2, 2.0))
    work.ensembles.add_exposure(Exposure(ensemble_id, 1, "read"))
    for room, name, args in (
        ("corrections", "levels", (2,)), ("corrections", "levels", (5,)),
        ("ensembles", "exposures", (ensemble_id,)), ("results", "list_results", (ensemble_id,)),
    ):  # fmt: skip
        first = getattr(getattr(remembered, room), name)()
        del asked[:]
        got = getattr(getattr(remembered, room), name)(*args)
        assert list(got) == list(getattr(getattr(work, room), name)(*args)), name
        assert not asked, name
        assert len(got) <= len(first)
    assert remembered.corrections.levels(2)[0].level == 2.0


def test_another_units_answers_are_its_own():
    library = FakeLibrary()
    with library() as work:
        one = read_once(work)
        assert one.ensembles.list_ensembles() == ()
        work.ensembles.add(Ensemble(0, "Band"))
        work.pieces.add(make_source("a"), make_profile("a"), TUESDAY)
        assert len(read_once(work).ensembles.list_ensembles()) == 1
