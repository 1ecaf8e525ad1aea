"""The search as a whole: what it promises of the plan that comes out, and how it ends."""

import time
from dataclasses import replace

import pytest

from planner.errors import InfeasiblePlanError, PlanTimeoutError
from planner.scheduling import check
from planner.scheduling import solve as solving
from planner.scheduling.answer import Ended
from planner.scheduling.problem import OPEN_PIECE, PlanWish
from planner.scheduling.search.board import Board
from planner.scheduling.search.bound import Relaxation
from planner.scheduling.search.greedy import begin
from planner.scheduling.search.watch import Watch
from planner.scheduling.search.windows import weigh_days
from planner.scheduling.solve import solve
from tests.benchmarks.planning import make_term
from tests.reference import sampled
from tests.scheduling.small_problems import FIRST, LIMIT_S, make_problem, random_problem

STEPS = 400


@pytest.fixture(scope="module")
def usual():
    """A term of 12 days and 60 pieces, and its plan."""
    problem = make_term(60, 12, 1, 4, 0)
    return problem, solve(problem, LIMIT_S, steps=STEPS, gap=0.0)


def again(problem, solution):
    stands = tuple(slot for slot in solution.slots if slot.piece_id != OPEN_PIECE)
    return solve(replace(problem, stands=stands), LIMIT_S, steps=STEPS, gap=0.0)


def test_the_plan_of_a_usual_term_keeps_every_rule_and_its_cost_is_that_of_the_rules(usual):
    problem, solution = usual
    assert check.broken_rules(problem, solution.slots) == ()
    assert solution.cost == check.cost(problem, solution.slots)
    assert solution.cost.open == 0
    assert 0.8 * solution.cost.filled < solution.bound <= solution.cost.filled


def test_the_same_term_seed_and_steps_give_the_same_plan(usual):
    problem, solution = usual
    assert solve(problem, LIMIT_S, steps=STEPS, gap=0.0).slots == solution.slots


def test_more_steps_make_a_better_plan(usual):
    problem, solution = usual
    without = solve(problem, LIMIT_S, steps=0)
    assert solution.cost.total < without.cost.total


def test_windows_weighed_at_once_make_a_plan_cheaper_and_keep_its_rules(usual):
    """A plan made place by place, before any step, leaves much to be gained."""
    problem, _ = usual
    draft = begin(Board(problem))
    before = draft.total
    bound = Relaxation(draft.board).solve(draft.held, lambda: True)
    watch = Watch(time.monotonic() + LIMIT_S, None, 0.0)
    weigh_days(draft, bound, 3.0, 1, watch, watch.seeks)
    assert bound.least <= draft.total == check.cost(problem, draft.slots()).total < before
    assert check.broken_rules(problem, draft.slots()) == ()


def test_planning_again_with_nothing_new_changes_nothing(usual):
    problem, solution = usual
    assert again(problem, solution).slots == solution.slots


@pytest.mark.parametrize("seed", sampled(range(300), 25))
def test_planning_a_random_term_again_changes_nothing_and_never_costs_more(seed):
    problem = random_problem(seed, most_slots=6, most_pieces=9)
    problem = replace(problem, limits=replace(problem.limits, may_leave_open=True, change_cost=40))
    try:
        solution = solve(problem, LIMIT_S, steps=100, gap=0.0)
    except InfeasiblePlanError:
        return
    assert check.broken_rules(problem, solution.slots) == ()
    stands = tuple(slot for slot in solution.slots if slot.piece_id != OPEN_PIECE)
    second = solve(replace(problem, stands=stands), LIMIT_S, steps=100, gap=0.0)
    assert second.slots == solution.slots


def test_a_moved_pin_changes_its_days_and_no_others(usual):
    problem, solution = usual
    first, second = solution.slots[0], solution.slots[5]
    pinned = replace(problem, pins=(PlanWish(first.piece_id, second.on),))
    found = again(pinned, solution)
    changed = {
        slot.on
        for slot, before in zip(found.slots, solution.slots, strict=True)
        if slot.piece_id != before.piece_id
    }
    assert {first.on, second.on} <= changed
    assert len(changed) <= 4


def test_a_plan_in_force_is_left_when_it_no_longer_suits():
    """Day by day the piece in force costs far more than a change does."""
    problem = make_problem(days=2, pieces=4)
    dear = tuple(replace(p, cost=200 if p.piece_id < 3 else 0) for p in problem.pieces)
    stands = solve(replace(problem, pieces=problem.pieces[:2]), LIMIT_S, steps=50).slots
    found = solve(replace(problem, pieces=dear, stands=stands), LIMIT_S, steps=200)
    assert {slot.piece_id for slot in found.slots} == {3, 4}
    assert found.cost.change == 2 * problem.limits.change_cost


def test_it_says_how_it_goes_and_ends_when_it_is_asked_to(usual):
    problem, _ = usual
    seen = []

    def progress(total, bound, filled):
        seen.append((total, bound, filled))
        return len(seen) < 30

    found = solve(problem, LIMIT_S, steps=STEPS, gap=0.0, progress=progress)
    assert len(seen) == 30
    assert found.ended is Ended.ASKED
    assert [total for total, _, _ in seen] == sorted((total for total, _, _ in seen), reverse=True)
    assert {filled for _, _, filled in seen} == {problem.open_slots}
    assert check.broken_rules(problem, found.slots) == ()


def test_the_search_ends_as_soon_as_its_plan_is_near_enough_to_the_bound(usual):
    problem, solution = usual
    found = solve(problem, LIMIT_S, steps=STEPS, gap=0.9)
    assert found.ended is Ended.PROVEN
    assert found.cost.total >= solution.cost.total


def test_without_any_time_there_is_a_full_plan_all_the_same(usual):
    problem, _ = usual
    found = solve(problem, 0.0)
    assert found.ended is Ended.TIME
    assert found.cost.open == 0
    assert check.broken_rules(problem, found.slots) == ()


def test_a_small_term_is_proven_best():
    found = solve(make_problem(), LIMIT_S, steps=50, gap=0.0)
    assert found.ended is Ended.PROVEN
    assert found.is_proven
    assert found.bound == pytest.approx(found.cost.filled)


def test_slots_that_must_stay_open_are_a_conflict_where_they_may_not():
    problem = make_problem(days=3, pieces=2)
    with pytest.raises(InfeasiblePlanError):
        solve(problem, LIMIT_S, steps=50)
    left_open = replace(problem, limits=replace(problem.limits, may_leave_open=True))
    found = solve(left_open, LIMIT_S, steps=50)
    assert [slot.piece_id for slot in found.slots].count(OPEN_PIECE) == 1
    assert found.slots[-1].piece_id == OPEN_PIECE


def test_a_term_for_which_no_piece_trains_anything_stays_open():
    """So it is when nothing in the library is fresh, or can be cast."""
    for nothing in ({"pieces": 0}, {}):
        loose = replace(make_problem().limits, may_leave_open=True)
        problem = make_problem(focuses=(), limits=loose, **nothing)
        found = solve(problem, LIMIT_S, steps=STEPS)
        assert [slot.piece_id for slot in found.slots] == [OPEN_PIECE] * 3


def test_out_of_time_is_not_called_a_conflict(monkeypatch):
    """The search leaves a slot open, and nobody can say that it must stay so."""
    monkeypatch.setattr(solving, "find_conflict", lambda problem, limit_s: None)
    with pytest.raises(PlanTimeoutError):
        solve(make_problem(days=3, pieces=2), LIMIT_S, steps=50)


def test_pins_that_cannot_hold_are_refused_even_where_slots_may_stay_open():
    problem = make_problem(pins=(PlanWish(1, FIRST), PlanWish(2, FIRST)))
    problem = replace(problem, limits=replace(problem.limits, may_leave_open=True))
    with pytest.raises(InfeasiblePlanError):
        solve(problem, LIMIT_S, steps=50)


def test_pins_that_hold_in_one_way_only_are_kept():
    """Piece 1 is pinned to no day and would be cheapest where piece 2 alone can go."""
    problem = make_problem(days=2, pieces=0)
    from tests.scheduling.small_problems import piece

    only_first = piece(2, stale_on=frozenset({1}))
    problem = replace(problem, pieces=(piece(1), only_first), pins=(PlanWish(1), PlanWish(2)))
    assert [slot.piece_id for slot in solve(problem, LIMIT_S, steps=20).slots] == [2, 1]
