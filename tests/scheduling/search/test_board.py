"""The search's tables say the same as the rules."""

import pytest

from planner.scheduling import check
from planner.scheduling.search.board import Board
from tests.reference import sampled
from tests.scheduling.small_problems import make_problem, piece, random_problem


def tables(problem):
    """What the tables say of each sitting and piece, and what the rules say."""
    board = Board(problem)
    pinned = {
        board.index_of[p.piece_id] for p in problem.pieces if board.index_of[p.piece_id] in board.pinned
    }
    for suit, sitting in zip(board.suits, problem.sittings, strict=True):
        for at, candidate in enumerate(problem.pieces):
            may_stand = check.may_stand(problem, candidate, sitting)
            if at in pinned and sitting.day not in (board.pinned[at] or {sitting.day}):
                may_stand = False
            yield (
                (int(suit.cost[at]), bool(suit.may_stand[at]), bool(suit.is_hard[at])),
                (
                    check.piece_cost(problem, candidate, sitting),
                    may_stand,
                    check.is_hard(problem, candidate, sitting),
                ),
            )


@pytest.mark.parametrize("seed", sampled(range(400), 60))
def test_every_piece_suits_every_sitting_as_the_rules_say(seed):
    problem = random_problem(seed, most_slots=8, most_pieces=12)
    found = list(tables(problem))
    assert [table for table, _ in found] == [rules for _, rules in found]


def test_a_piece_pinned_to_one_day_stands_on_no_other():
    from planner.scheduling.problem import PlanWish

    problem = make_problem(days=2, pins=(PlanWish(1, make_problem().days[1].on),))
    first, second = Board(problem).suits
    assert (first.may_stand[0], second.may_stand[0]) == (False, True)


def test_traits_of_one_piece_alone_are_left_out():
    problem = make_problem(pieces=0)
    pieces = (piece(1, likeness=frozenset({"in D", "by A"})), piece(2, likeness=frozenset({"in D", "by B"})))
    board = Board(type(problem)(problem.days, pieces, problem.focuses, problem.sections))
    assert board.trait_count == 1
    assert board.traits.tolist() == [[0, 0]]
