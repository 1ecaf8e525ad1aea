"""``check`` and the solver's constraints against the rules as a director states them, plan by plan."""

from dataclasses import replace

import pytest

from planner.core.term import Station
from planner.scheduling import check
from planner.scheduling.explanation import causes, rules
from planner.scheduling.explanation.causes import every_cause, forbidding
from planner.scheduling.explanation.explain import find_conflict
from planner.scheduling.explanation.pairs import Pairs
from planner.scheduling.explanation.rules import demand_of, without_plenty
from planner.scheduling.problem import PlanWish
from tests.benchmarks.plan_rules import AGREEING, agreement
from tests.reference import sampled
from tests.scheduling.small_problems import FIRST, day, make_problem, piece, random_problem

SHORT_OF_ONE = (piece(1), piece(2, stale_on=frozenset({0})))
ROOMS = (Station("High", (1,)), Station("Low", (2,)))


@pytest.mark.parametrize("seed", sampled(range(AGREEING), 40))
def test_check_and_director_agree_on_every_plan_and_the_solver_finds_one_just_when_there_is_one(seed):
    found = agreement(random_problem(seed), seed, every=3)
    assert found.differences == ()
    assert found.is_solver_right


@pytest.mark.slow
@pytest.mark.parametrize("seed", sampled(range(AGREEING), 30, seed=8))
def test_the_same_with_more_plans_that_have_something_wrong(seed):
    found = agreement(random_problem(seed), seed)
    assert found.differences == ()
    assert found.is_solver_right


def test_the_tiny_terms_have_every_shape():
    problems = [random_problem(seed) for seed in range(100)]
    days = [each for problem in problems for each in problem.days]
    shapes = {
        "stations": any(each.stations and each.slots > 1 for each in days),
        "absent": any(each.absent for each in days),
        "several": any(each.slots > 1 and not each.stations for each in days),
        "settled": any(each.is_settled for each in days),
        "stretch": any(each.stretch for each in days),
        "odd": any(each.minutes % 1 for each in days),
        "stale": any(p.stale_on for problem in problems for p in problem.pieces),
        "away": any(p.away_on for problem in problems for p in problem.pieces),
        "sets": any(p.sets > 1 for problem in problems for p in problem.pieces),
        "pins": any(problem.pins for problem in problems),
        "bans": any(problem.bans for problem in problems),
        "open": any(problem.limits.may_leave_open for problem in problems),
        "stands": any(problem.stands for problem in problems),
        "turns": any(problem.featured for problem in problems),
        "nobody": any(not problem.sections for problem in problems),
    }
    assert [shape for shape, is_there in shapes.items() if not is_there] == []


@pytest.mark.parametrize("rule", [check.check_once, check.check_folders, check.check_minutes])
def test_a_rule_that_check_forgot_would_be_noticed(monkeypatch, rule):
    name = next(name for name, function in check.CHECKS.items() if function is rule)
    monkeypatch.setitem(check.CHECKS, name, lambda _problem, _slots: True)
    assert any(agreement(random_problem(seed), seed, every=9).differences for seed in range(200))


@pytest.mark.parametrize(
    ("rule", "problem"),
    [
        ("_once", make_problem(days=2, pieces=1)),
        ("_minutes", replace(make_problem(), days=(day(0, slots=2),))),
        ("_folders", replace(make_problem(pieces=1), days=(day(0, minutes=20.0, stations=ROOMS),))),
        ("_pin", make_problem(days=1, pins=(PlanWish(1, FIRST), PlanWish(2, FIRST)))),
        ("_fill", replace(make_problem(), days=(day(0, slots=2, minutes=16.0),), pieces=SHORT_OF_ONE)),
    ],
)
def test_a_rule_that_the_constraints_forgot_would_be_noticed(monkeypatch, rule, problem):
    assert find_conflict(problem) is not None
    monkeypatch.setattr(rules, rule, lambda *_, **__: None)
    assert find_conflict(problem) is None


def test_what_may_stand_is_what_no_cause_forbids():
    pairs = [
        (problem, candidate, sitting)
        for problem in map(random_problem, range(60))
        for candidate in problem.pieces
        for sitting in problem.sittings
    ]
    differ = [
        (problem, candidate.piece_id, sitting)
        for problem, candidate, sitting in pairs
        if check.may_stand(problem, candidate, sitting) == bool(forbidding(problem, candidate, sitting))
    ]
    assert len(pairs) > 300
    assert differ == []


def test_every_cause_that_forbids_is_one_of_the_rules_places():
    problems = [random_problem(seed) for seed in range(60)]
    unknown = [
        cause
        for problem in problems
        for candidate in problem.pieces
        for sitting in problem.sittings
        for cause in forbidding(problem, candidate, sitting)
        if cause not in every_cause(problem)[cause.rule]
    ]
    assert unknown == []
    assert set(causes.BINDING_RULES) == set(check.CHECKS) - {check.EASIER_FIRST, check.FEATURED}


class TestPlenty:
    def demand(self, problem):
        pairs = Pairs(problem)
        in_force = frozenset(cause for each in every_cause(problem).values() for cause in each)
        demand = demand_of(pairs, in_force)
        return demand.filled, without_plenty(pairs, in_force, demand).filled

    def test_days_with_as_many_pieces_as_the_term_has_slots_need_no_search(self):
        assert self.demand(make_problem(days=3, pieces=3)) == ((0, 1, 2), ())
        assert self.demand(make_problem(days=3, pieces=2)) == ((0, 1, 2), (0, 1, 2))

    def test_a_day_without_its_own_pieces_stays_and_the_others_need_fewer(self):
        stale = frozenset({0})
        pieces = (piece(1), piece(2, stale_on=stale), piece(3, stale_on=stale))
        assert self.demand(replace(make_problem(days=3), pieces=pieces)) == ((0, 1, 2), ())
        pieces = (piece(1, stale_on=stale), piece(2, stale_on=stale), piece(3, stale_on=stale))
        assert self.demand(replace(make_problem(days=3), pieces=pieces)) == ((0, 1, 2), (0,))

    def test_only_pieces_short_enough_for_their_share_of_the_minutes_count(self):
        problem = replace(make_problem(), days=(day(0, slots=2),))
        long = replace(problem, pieces=(piece(1, minutes=5.0), piece(2, minutes=5.1)))
        short = replace(problem, pieces=(piece(1, minutes=5.0), piece(2, minutes=5.0)))
        assert self.demand(long) == ((0,), (0,))
        assert self.demand(short) == ((0,), ())


class TestAlike:
    """Pieces that are all the same to the rules are one decision."""

    def decisions(self, problem):
        pairs = Pairs(problem)
        in_force = frozenset(cause for each in every_cause(problem).values() for cause in each)
        return rules.build_grid(pairs, in_force, demand_of(pairs, in_force)).alike

    def test_those_as_long_and_allowed_on_the_same_days(self):
        pieces = (piece(1), piece(2), piece(3, minutes=7.0), piece(4, stale_on=frozenset({0})))
        problem = replace(make_problem(days=3), pieces=pieces)
        assert self.decisions(problem) == {0: 3, 3: 1}, "how long does not matter where one piece is read"
        days = tuple(replace(each, slots=2, minutes=16.0) for each in problem.days)
        assert self.decisions(replace(problem, days=days)) == {0: 2, 2: 1, 3: 1}

    def test_in_rooms_each_stands_for_itself(self):
        problem = replace(make_problem(pieces=3), days=(day(0, slots=2, minutes=20.0, stations=ROOMS),))
        assert self.decisions(problem) == {0: 1, 1: 1, 2: 1}
