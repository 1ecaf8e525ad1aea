"""How the search goes: by its own count of work, which is the same on every machine."""

import random
import time
from dataclasses import replace

import pytest
from ortools.sat.python import cp_model

from planner.scheduling import check
from planner.scheduling.problem import Limits, PlanProblem, PlanSection, turn_bounds
from planner.scheduling.solve import solve
from tests.scheduling.small_problems import LIMIT_S, day, make_problem, piece

SKILLS = ("rhythm", "key", "meter", "range", "tempo")
SECTIONS = (1, 2, 3, 4)


def usual_term(pieces: int = 60, days: int = 20, seed: int = 3) -> PlanProblem:
    """A term of four sections with three times as many pieces as days, drawn with a seed."""
    chance = random.Random(seed)

    def drawn(number):
        levels = [round(chance.uniform(1.2, 2.8), 2) for _ in range(5)]
        return piece(
            number, levels[0], minutes=round(chance.uniform(4, 9), 1),
            trains=tuple((name, chance.choice((1, 2))) for name in chance.sample(SKILLS, 3)),
            features=tuple((s, chance.choice((1, 2))) for s in chance.sample(SECTIONS, 2)),
            parts=tuple(zip(SECTIONS, levels[1:], strict=True)),
        )  # fmt: skip

    library = tuple(drawn(n + 1) for n in range(pieces))
    able = {s: sum(s in dict(p.features) for p in library) for s in SECTIONS}
    return PlanProblem(
        days=tuple(day(n, target=1.6 + 0.03 * n, growth=0.02 * n) for n in range(days)),
        pieces=library,
        focuses=tuple((name, cost) for cost, name in enumerate(SKILLS)),
        sections=tuple(PlanSection(s, f"Section {s}", 1.7 + 0.1 * s, 3 + s) for s in SECTIONS),
        featured=turn_bounds(SECTIONS, {}, days, able),
        limits=Limits(1.0, 1.0, 1.3, 8),
    )


@pytest.fixture
def searches(monkeypatch):
    """The work of each search, in the solver's own measure, as they are made."""
    seen, plain = [], cp_model.CpSolver.solve

    def counted(solver, *given):
        status = plain(solver, *given)
        seen.append(solver.response_proto.deterministic_time)
        return status

    monkeypatch.setattr(cp_model.CpSolver, "solve", counted)
    return seen


def test_the_promising_decisions_of_a_usual_term_hold_a_proven_plan(searches):
    """Measured: one search with half a unit of work; the whole problem at once takes several."""
    problem = usual_term()
    found = solve(problem, LIMIT_S)
    assert found.status == "optimal"
    assert not check.broken_rules(problem, found.slots)
    assert found.cost <= found.bound + 0.01 * found.cost
    assert len(searches) == 1
    assert sum(searches) < 1.0


def test_the_same_problem_gives_the_same_plan():
    assert solve(usual_term(), LIMIT_S).slots == solve(usual_term(), LIMIT_S).slots


def test_a_solution_says_how_long_its_search_took():
    began = time.monotonic()
    found = solve(make_problem(), LIMIT_S)
    assert 0 < found.seconds <= time.monotonic() - began


def test_an_earlier_plan_may_lead_the_search_and_changes_nothing_that_is_proven():
    problem = usual_term(30, 8)
    found = solve(problem, LIMIT_S, gap=0.0)
    again = solve(problem, LIMIT_S, gap=0.0, hint=found.slots)
    assert again.cost == found.cost
    assert solve(replace(problem, pieces=problem.pieces[::-1]), LIMIT_S, gap=0.0).cost == found.cost
