"""Parts of the search: a draft knows its cost, steps keep rules, the bound is one, days refill exactly."""

import random
import time
from dataclasses import replace
from itertools import pairwise

import pytest

from planner.scheduling import check
from planner.scheduling.problem import Limits
from planner.scheduling.search.board import Board
from planner.scheduling.search.bound import Relaxation
from planner.scheduling.search.draft import OPEN, Draft
from planner.scheduling.search.greedy import begin
from planner.scheduling.search.improve import best_of, improve
from planner.scheduling.search.refill import every_choice, refill
from planner.scheduling.search.trade import places_apart, share_out
from planner.scheduling.search.watch import Watch
from planner.scheduling.search.windows import promising, runs_of_days, weigh_days
from tests.reference import sampled
from tests.scheduling.small_problems import LIMIT_S, make_problem, piece, random_problem

MORE = 60
"""What a step may make a plan dearer in these tests, so that many plans are met."""


def open_problem(seed: int, most_slots: int = 8, most_pieces: int = 12):
    """A random term that may have open slots and whose pins, if any, can be kept; None otherwise."""
    problem = random_problem(seed, most_slots=most_slots, most_pieces=most_pieces)
    problem = replace(problem, limits=replace(problem.limits, may_leave_open=True))
    board = Board(problem)
    return problem if not board.broken_pins and begin(board).keeps_pins() else None


PROBLEMS = [problem for seed in range(120) if (problem := open_problem(seed)) is not None]


def cost_of(draft: Draft) -> int:
    return check.cost(draft.board.problem, draft.slots()).total


def test_most_random_terms_are_of_use_here():
    assert len(PROBLEMS) > 80


@pytest.mark.parametrize("at", sampled(range(80), 40))
def test_a_draft_knows_its_cost_and_keeps_the_rules_whatever_steps_are_made(at):
    from planner.scheduling.search import improve as steps

    problem, chance = PROBLEMS[at], random.Random(at)
    draft = begin(Board(problem))
    assert draft.total == cost_of(draft)
    for _ in range(60 if draft.board.size else 0):
        steps._step(draft, chance, draft.total + MORE)
        assert draft.total == cost_of(draft)
        assert check.broken_rules(problem, draft.slots()) == ()


@pytest.mark.parametrize("at", sampled(range(80), 40))
def test_what_the_steps_find_is_never_dearer_than_the_start(at):
    draft = begin(Board(PROBLEMS[at]))
    before = draft.total
    improve(draft, 200, random.Random(1), lambda best: True)
    assert draft.total == cost_of(draft) <= before
    assert best_of(draft).readings == draft.total - check.cost(PROBLEMS[at], draft.slots()).open


def test_an_undone_step_leaves_no_trace():
    draft = begin(Board(PROBLEMS[0]))
    held, total, prices = list(draft.held), draft.total, [draft.price_of(0, draft.take(0))]
    draft.restore(held, range(draft.board.size), total)
    assert (draft.held, draft.total) == (held, total)
    assert [draft.price_of(0, draft.take(0))] == prices


def test_the_search_ends_when_it_is_told_to():
    asked = []

    def goes_on(best):
        asked.append(best.total)
        return len(asked) < 5

    improve(begin(Board(make_problem())), 1000, random.Random(1), goes_on)
    assert len(asked) == 5


@pytest.mark.parametrize("at", sampled(range(80), 30))
def test_the_bound_is_below_the_best_plan_of_all(at):
    """The best of all comes from weighing all days and pieces at once, which is held against trying all."""
    problem = PROBLEMS[at]
    draft = begin(Board(problem))
    improve(draft, 100, random.Random(1), lambda best: True)
    board = draft.board
    weighed = refill(draft, problem.free_days, every_choice(board), work=1000.0, seed=1, limit_s=LIMIT_S)
    best = best_of(draft)
    bound = Relaxation(board, board.size - best.filled).solve(draft.held, lambda: True)
    if board.size == 0 or bound is None:
        pytest.skip("nothing to fill")
    assert weighed.least == pytest.approx(draft.total)
    assert bound.least <= best.readings


def test_the_bound_of_a_plain_term_is_what_its_best_plan_costs():
    problem = make_problem(days=2, pieces=4)
    draft = begin(Board(problem))
    improve(draft, 100, random.Random(1), lambda best: True)
    bound = Relaxation(draft.board).solve(draft.held, lambda: True)
    assert bound.is_tight
    assert bound.least == pytest.approx(draft.total, abs=0.01)


@pytest.mark.parametrize("at", sampled(range(80), 30))
def test_days_weighed_at_once_know_their_cost(at):
    problem = PROBLEMS[at]
    draft = begin(Board(problem))
    before = draft.total
    days = problem.free_days[:2]
    weighed = refill(draft, days, every_choice(draft.board), work=100.0, seed=1, limit_s=LIMIT_S)
    assert draft.total == cost_of(draft) <= before
    assert weighed.is_changed == (draft.total < before)
    assert check.broken_rules(problem, draft.slots()) == ()


@pytest.mark.parametrize("at", sampled(range(80), 30))
def test_pieces_shared_out_among_days_keep_the_rules_and_the_cost(at):
    problem, chance = PROBLEMS[at], random.Random(at)
    draft = begin(Board(problem))
    for _ in range(10 if draft.board.size else 0):
        before, total, places = list(draft.held), draft.total, places_apart(draft, chance)
        share_out(draft, places)
        assert draft.total == cost_of(draft)
        if draft.keeps_pins():
            assert check.broken_rules(problem, draft.slots()) == ()
        else:
            draft.restore(before, places, total)


def test_pieces_are_shared_out_so_that_all_days_together_cost_least():
    """Day by day the first would take what only it and the last can have; a flow sees both."""
    dear = piece(3, cost=90)
    problem = replace(
        make_problem(days=3), pieces=(piece(1), piece(2, cost=50, stale_on=frozenset({2})), dear)
    )
    draft = Draft(Board(problem))
    for place in range(3):
        draft.fill(place)
    before = draft.total
    share_out(draft, [0, 1, 2])
    assert draft.total == cost_of(draft) <= before
    assert draft.open_places() == []


def test_pieces_that_are_worth_more_elsewhere_are_left_for_there():
    problem = make_problem(days=1, pieces=2)
    draft = Draft(Board(problem))
    draft.worth = draft.board.minutes * 0
    draft.worth[0] = 50
    draft.fill(0)
    assert draft.held[0][0] == 1
    assert draft.total == cost_of(draft)


def test_a_place_without_a_piece_that_may_stand_stays_open():
    problem = replace(make_problem(days=1, pieces=1), limits=Limits(lost=0.0, may_leave_open=True))
    hard = replace(problem.pieces[0], parts=tuple(replace(p, level=5.0) for p in problem.pieces[0].parts))
    draft = begin(Board(replace(problem, pieces=(hard,))))
    assert draft.held == [(OPEN, OPEN, OPEN)]


def watch() -> Watch:
    return Watch(time.monotonic() + LIMIT_S, None, 0.0)


@pytest.mark.parametrize("at", sampled(range(80), 25))
def test_days_weighed_among_promising_pieces_give_the_best_plan_and_a_bound_below_it(at):
    """The reference is the exact refill of all days among every piece."""
    board = Board(PROBLEMS[at])
    best, draft = begin(board), begin(board)
    refill(best, board.problem.free_days, every_choice(board), work=20.0, seed=1, limit_s=LIMIT_S)
    bound = Relaxation(board, len(draft.open_places())).solve(draft.held, lambda: True)
    if bound is None:
        return
    least = weigh_days(draft, bound, 20.0, 1, watch(), lambda best: True)
    assert draft.total == cost_of(draft) >= best.total
    assert check.broken_rules(board.problem, draft.slots()) == ()
    if least is not None:
        assert not draft.open_places()
        assert least <= best.total == draft.total


def test_of_many_random_terms_most_are_weighed_as_a_whole():
    """So that the test above compares something."""
    weighed = 0
    for problem in PROBLEMS[:20]:
        board = Board(problem)
        draft = begin(board)
        bound = Relaxation(board, len(draft.open_places())).solve(draft.held, lambda: True)
        if bound is not None and not draft.open_places():
            weighed += weigh_days(draft, bound, 20.0, 1, watch(), lambda best: True) is not None
    assert weighed >= 5


def test_a_bound_for_plans_with_open_places_makes_no_promise_of_full_ones():
    problem = make_problem(days=3, pieces=6)
    board = Board(problem)
    draft = begin(board)
    assert not draft.open_places()
    for still_open, is_complete in ((0, True), (1, False)):
        bound = Relaxation(board, still_open).solve(draft.held, lambda: True)
        assert promising(bound, best_of(draft)).is_complete is is_complete
    bound = Relaxation(board).solve(draft.held, lambda: True)
    few = promising(bound, best_of(draft), most=1)
    assert all(len(pieces) <= 1 for pieces in few.choices.values())


def test_windows_cover_every_day_and_overlap():
    board = Board(make_problem(days=9, pieces=12))
    runs = runs_of_days(board, 4)
    assert sorted({day for run in runs for day in run}) == list(board.problem.free_days)
    assert all(set(a) & set(b) for a, b in pairwise(runs))
    assert all(len(run) <= 4 for run in runs)
