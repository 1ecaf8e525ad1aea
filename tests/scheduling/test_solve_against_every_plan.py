"""The search held against trying every plan of tiny terms, by a director's own statement of the rules."""

from dataclasses import replace

import pytest

from planner.errors import InfeasiblePlanError
from planner.scheduling import check
from planner.scheduling.solve import solve
from tests.benchmarks.plan_rules import BEST, best_by_search, best_by_trying
from tests.reference import sampled
from tests.scheduling.small_problems import LIMIT_S, make_problem, piece, random_problem


@pytest.mark.parametrize("seed", sampled(range(BEST), 40))
def test_the_search_finds_the_best_of_all_plans_and_its_bound_is_true(seed):
    problem = random_problem(seed, most_slots=3)
    best, (found, bound) = best_by_trying(problem), best_by_search(problem)
    assert found == (None if best is None else best.total)
    assert best is None or bound <= best.filled + best.change


@pytest.mark.slow
@pytest.mark.parametrize("seed", sampled(range(BEST), 30, seed=8))
def test_the_same_of_more_terms(seed):
    problem = random_problem(seed, most_slots=3)
    best = best_by_trying(problem)
    assert best_by_search(problem)[0] == (None if best is None else best.total)


def test_a_wrong_cost_would_be_noticed(monkeypatch):
    problem = make_problem(days=2, pieces=0)
    problem = replace(problem, pieces=(piece(1, cost=50), piece(2, cost=9), piece(3)))
    assert best_by_search(problem)[0] == best_by_trying(problem).total
    dearer = replace(problem, pieces=(piece(1), *problem.pieces[1:]))
    assert best_by_search(dearer)[0] != best_by_trying(problem).total


def test_a_term_without_a_plan_is_refused_with_what_is_true_of_it():
    problem = make_problem(days=3, pieces=2)
    with pytest.raises(InfeasiblePlanError) as caught:
        solve(problem, LIMIT_S)
    assert caught.value.conflict.rules == (check.FILLED, check.ONCE)
