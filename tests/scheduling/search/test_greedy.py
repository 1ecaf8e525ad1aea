"""The first plan: full wherever pieces can be moved on to make it so, with what is pinned and what stands."""

from dataclasses import replace

from planner.core.term import Slot
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE, PlanProblem, PlanWish
from planner.scheduling.search.board import Board
from planner.scheduling.search.greedy import begin, stays_whole
from tests.scheduling.small_problems import FIRST, day, make_problem, piece


def fresh_only_on(number: int, *days: int, of: int = 3):
    return piece(number, stale_on=frozenset(range(of)) - set(days))


def planned(problem: PlanProblem) -> list[int]:
    return [slot.piece_id for slot in begin(Board(problem)).slots()]


def test_a_place_is_filled_by_moving_pieces_on_along_a_chain():
    """Piece 1 fits anywhere, 2 the first two days, 3 the first only."""
    pieces = (piece(1, cost=0), fresh_only_on(2, 0, 1), fresh_only_on(3, 0))
    problem = replace(make_problem(), pieces=pieces)
    assert planned(problem) == [3, 2, 1]


def test_every_day_is_filled_where_there_is_just_one_way():
    """Piece n is fresh up to day n; filled without care the first days would stay open."""
    many = 9
    pieces = tuple(fresh_only_on(n + 1, *range(n + 1), of=many) for n in range(many))
    problem = replace(make_problem(days=many), pieces=pieces)
    assert planned(problem) == list(range(1, many + 1))


def test_a_day_short_of_minutes_takes_shorter_pieces():
    long, short = piece(1, minutes=9.0), [piece(n, minutes=5.0, cost=50) for n in (2, 3)]
    problem = replace(make_problem(), days=(day(0, slots=2, minutes=10.0),), pieces=(long, *short))
    assert planned(problem) == [2, 3]


def test_a_pinned_piece_keeps_its_day_and_one_pinned_to_none_is_planned():
    dear = piece(5, cost=500)
    problem = make_problem(pins=(PlanWish(5, FIRST), PlanWish(4)))
    problem = replace(problem, pieces=(*problem.pieces, dear))
    slots = begin(Board(problem)).slots()
    assert slots[0].piece_id == 5
    assert slots[0].is_pinned
    assert 4 in {slot.piece_id for slot in slots}


def test_what_stands_stays_with_its_focus_even_where_another_piece_is_cheaper():
    problem = make_problem(pieces=4)
    pieces = (replace(problem.pieces[0], cost=30), *problem.pieces[1:])
    stands = tuple(Slot(d.on, 0, n + 1, "key", minutes=8.0) for n, d in enumerate(problem.days))
    problem = replace(problem, pieces=pieces, stands=stands)
    draft = begin(Board(problem))
    assert draft.slots() == stands
    assert stays_whole(draft)


def test_what_stands_but_may_not_gives_way():
    problem = make_problem(bans=(PlanWish(1),))
    problem = replace(problem, stands=tuple(Slot(d.on, 0, n + 1, "key") for n, d in enumerate(problem.days)))
    draft = begin(Board(problem))
    assert [slot.piece_id for slot in draft.slots()] == [4, 2, 3]
    assert not stays_whole(draft)


def test_without_pieces_enough_days_stay_open():
    problem = make_problem(days=3, pieces=2)
    assert sorted(planned(problem)) == [OPEN_PIECE, 1, 2]


def test_groups_that_rotate_read_the_same_pieces():
    from planner.core.term import Station

    rooms = (Station("Wind", (1,)), Station("Low", (2,)))
    problem = replace(make_problem(pieces=2), days=(day(0, slots=2, minutes=20.0, stations=rooms),))
    slots = begin(Board(problem)).slots()
    assert check.broken_rules(problem, slots) == ()
    assert all(slot.piece_id != OPEN_PIECE for slot in slots)
