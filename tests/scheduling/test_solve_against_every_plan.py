"""The solver held against trying every plan of tiny terms."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.core.term import Slot
from planner.errors import InfeasiblePlanError
from planner.scheduling import check
from planner.scheduling import solve as solving
from planner.scheduling.problem import Candidate, Limits, PlanProblem, PlanSection, PlanWish, turn_bounds
from planner.scheduling.solve import solve
from tests.scheduling.small_problems import LIMIT_S, LOOSE, day, every_plan, make_problem, piece

LEVELS = st.sampled_from((1.4, 1.7, 2.0, 2.0, 2.3, 3.0))
TIERS = st.sampled_from((1, 2))


@st.composite
def candidates(draw, number: int) -> Candidate:
    trains = draw(st.dictionaries(st.sampled_from(("rhythm", "key", "meter")), TIERS, min_size=2, max_size=3))
    features = draw(st.dictionaries(st.sampled_from((1, 2)), TIERS, max_size=2))
    parts = draw(st.dictionaries(st.sampled_from((1, 2)), LEVELS, max_size=2))
    return Candidate(
        number,
        f"Piece {number}",
        draw(LEVELS),
        draw(st.sampled_from((4.0, 5.5, 8.0))),
        tuple(trains.items()),
        tuple(features.items()),
        tuple(parts.items()),
        is_fresh=draw(st.integers(0, 12)) > 0,
    )


@st.composite
def problems(draw) -> PlanProblem:
    slots = draw(st.sampled_from((1, 2)))
    free = draw(st.integers(1, 3 if slots == 1 else 2))
    past = draw(st.integers(0, 1))
    days = tuple(
        day(n, slots=slots, minutes=draw(st.sampled_from((8.0, 10.0, 12.0))), target=draw(LEVELS),
            growth=0.1 * n, is_past=n < past)
        for n in range(past + free)
    )  # fmt: skip
    count = draw(st.integers(slots * free, 4))
    pieces = tuple(draw(candidates(n + 1)) for n in range(count))
    gone = tuple(
        Slot(days[0].on, n, draw(st.sampled_from((1, 90))) + n, "rhythm", draw(st.sampled_from((None, 1, 2))))
        for n in range(past)
    )
    names = draw(st.lists(st.sampled_from(("rhythm", "key", "meter")), min_size=1, max_size=3, unique=True))
    sections = (PlanSection(1, "Flute", 1.5, 2), PlanSection(2, "Tuba", 2.0, 1))
    turning = draw(st.sampled_from(((), (1,), (1, 2))))
    able = {s: sum(1 for p in pieces if s in dict(p.features)) for s in turning}
    done = {s: sum(1 for slot in gone if slot.featured_section_id == s) for s in turning}
    when = st.sampled_from((None, *(d.on for d in days if not d.is_past)))
    ids = st.sampled_from([p.piece_id for p in pieces])
    return PlanProblem(
        days=days,
        pieces=pieces,
        focuses=tuple((n, draw(st.integers(0, 5))) for n in names),
        sections=sections,
        featured=turn_bounds(turning, done, slots * free, able),
        past=gone,
        pins=tuple(PlanWish(draw(ids), draw(when)) for _ in range(draw(st.integers(0, 1)))),
        bans=tuple(PlanWish(draw(ids), draw(when)) for _ in range(draw(st.integers(0, 1)))),
        limits=Limits(
            corridor=draw(st.sampled_from((0.5, 1.0, 1.0, 3.0))),
            step=draw(st.sampled_from((0.2, 0.6, 1.0))),
            reach=draw(st.sampled_from((0.6, 1.3, 3.0))),
            focus_window=draw(st.sampled_from((0, 2, 3))),
            may_leave_open=draw(st.integers(0, 3)) == 0,
        ),
    )


def best_by_trying(problem: PlanProblem) -> int | None:
    return min((check.cost(problem, plan) for plan in every_plan(problem)), default=None)


def agree(problem: PlanProblem) -> bool:
    """Whether solver and trial give the same: the same cost, or no plan for both."""
    expected = best_by_trying(problem)
    try:
        solution = solve(problem, LIMIT_S, gap=0.0)
    except InfeasiblePlanError:
        return expected is None
    assert not check.broken_rules(problem, solution.slots)
    assert solution.status == "optimal"
    return solution.cost == expected == round(solution.bound)


@settings(max_examples=80, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(problems())
def test_the_solver_finds_what_trying_every_plan_finds(problem):
    assert agree(problem)


@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(problems())
def test_the_search_led_by_the_relaxation_finds_the_same(problem):
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(solving, "SMALL", 0)
        assert agree(problem)


@pytest.mark.slow
@settings(max_examples=400, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(problems())
def test_the_solver_finds_what_trying_every_plan_finds_at_length(problem):
    assert agree(problem)


def test_a_dropped_rule_would_be_noticed(monkeypatch):
    from planner.scheduling import rules

    problem = make_problem(days=2, pieces=1)
    assert agree(problem)
    monkeypatch.setitem(rules.RULES, check.ONCE, rules.Rule())
    with pytest.raises(AssertionError):
        agree(problem)


def test_a_wrong_cost_would_be_noticed(monkeypatch):
    problem = make_problem(days=2, pieces=3)
    dear = replace(problem, pieces=(replace(problem.pieces[0], level=4.0), *problem.pieces[1:]))
    assert agree(dear)
    true_cost = check.cost
    monkeypatch.setattr(check, "cost", lambda p, s: true_cost(p, s) + 1)
    assert not agree(dear)


def test_two_pieces_on_each_day_share_out_the_sections():
    both = ((1, 2), (2, 1))
    pieces = tuple(piece(n + 1, 2.0 + 0.1 * n, minutes=4.0, features=both) for n in range(4))
    days = (day(0, slots=2), day(1, slots=2))
    bounds = turn_bounds((1, 2), {}, 4, {1: 4, 2: 4})
    assert agree(replace(make_problem(), days=days, pieces=pieces, featured=bounds))


def test_the_days_left_open_are_the_last_ones():
    problem = make_problem(days=3, pieces=2, limits=replace(LOOSE, may_leave_open=True))
    assert agree(problem)
    assert [slot.piece_id > 0 for slot in solve(problem, LIMIT_S).slots] == [True, True, False]


@pytest.mark.parametrize("tier", [1, 2])
def test_a_section_that_must_come_twice_in_a_row_is_paid_for_whatever_its_part(tier):
    pieces = tuple(piece(n + 1, features=((1, tier),)) for n in range(3))
    bounds = ((1, 2, 2), (2, 0, 0))
    problem = replace(make_problem(days=2), pieces=pieces, featured=bounds)
    assert problem.turn_gap == 1
    assert agree(problem)
    assert solve(problem, LIMIT_S, gap=0.0).cost == 1 + check.AGAIN_COST + 2 * (10 if tier == 1 else 0)
    begun = replace(problem, days=(day(0, is_past=True), day(1)), past=(Slot(day(0).on, 0, 90, "rhythm", 1),))
    assert agree(begun)
    assert solve(begun, LIMIT_S, gap=0.0).cost == check.AGAIN_COST + (10 if tier == 1 else 0)
