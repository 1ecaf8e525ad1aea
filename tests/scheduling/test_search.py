"""How a large term is searched: parts of it first, each held against what the rest could cost."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from ortools.sat.python import cp_model

from planner.scheduling import solve as solving
from planner.scheduling.problem import Limits
from planner.scheduling.solve import GAP, _find_any, _repair, _run, _Search, _search_cores, build_model, solve
from tests.scheduling.small_problems import LIMIT_S, LOOSE, day, make_problem

FAR = float("inf")


def search_of(problem=None, **changes):
    grid = build_model(problem or make_problem(days=8, pieces=9))
    return _Search(**({"grid": grid, "ends": FAR, "gap": 0.0, "seed": 5, "workers": 3} | changes))


class Prices:
    """A relaxation made up: the same price for every decision, and beyond a cost just that much more."""

    def __init__(self, search, bound, price=0.0):
        self.bound = bound
        self.reduced_costs = [price] * len(search.grid.model.proto.variables)

    def bound_beyond(self, dear):
        return self.bound + dear


@pytest.fixture
def runs(monkeypatch):
    """What each search of a part was asked, with no search made; ``learn`` may say what one teaches."""
    made = SimpleNamespace(asked=[], models=[], learn=lambda search: None)

    def run(search, model, limit_s, **asked):
        made.asked.append(asked)
        made.models.append(model)
        made.learn(search)

    monkeypatch.setattr(solving, "_run", run)
    return made


@pytest.mark.parametrize(
    ("bound", "dear"),
    [(300.0, (30.0, 60.0)), (-300.0, (30.0, 60.0)), (100.0, (10.0, 50.0)), (5.0, (2.0, 50.0))],
)
def test_promising_is_what_costs_no_more_than_a_share_of_the_bound_or_a_few_points(
    monkeypatch, runs, bound, dear
):
    monkeypatch.setattr(solving, "CORES", ((0.1, 2.0, 7.0), (0.2, 50.0, 9.0)))
    search = search_of()
    _search_cores(search, Prices(search, bound))
    assert runs.asked == [
        {"beyond": bound + dear[0], "work": 7.0, "turn": 0},
        {"beyond": bound + dear[1], "work": 9.0, "turn": 1},
    ]


def free_days(search, model):
    """Days of the model with a decision that is still open."""
    domains = {day: set() for day in search.grid.problem.free_days}
    for (_, on), x in search.grid.place.items():
        domain = list(model.proto.variables[x.index].domain)
        domains[on].add(domain[0] != domain[-1])
    return [on for on, is_open in domains.items() if any(is_open)]


def test_what_costs_more_than_that_is_left_out(monkeypatch, runs):
    monkeypatch.setattr(solving, "CORES", ((0.0, 4.0, 1.0), (0.0, 5.0, 1.0)))
    search = search_of()
    _search_cores(search, Prices(search, 100.0, price=5.0))
    assert [len(free_days(search, model)) for model in runs.models] == [0, 8]


@pytest.mark.parametrize("changes", [{"ends": 0.0}, {"best": (0,), "cost": 10.0, "bound": 10.0}])
def test_without_time_or_need_no_part_is_searched(runs, changes):
    search = search_of(**changes)
    _search_cores(search, Prices(search, 10.0))
    assert runs.asked == []


def begun(problem=None, **changes):
    search = search_of(problem, **changes)
    _find_any(search, LIMIT_S)
    return search


def test_a_plan_is_opened_again_on_a_few_days_at_a_time_by_turns_in_a_row_and_scattered(monkeypatch, runs):
    monkeypatch.setattr(solving, "REPAIR_DAYS", (2, 3))
    monkeypatch.setattr(solving, "REPAIR_TURNS", 8)
    search = begun()
    _repair(search, Prices(search, 10.0))
    opened = [free_days(search, model) for model in runs.models]
    assert [len(days) for days in opened] == [2, 3] * 4
    assert [days[-1] - days[0] for days in opened[1::2]] == [2] * 4, "in a row"
    assert any(days[-1] - days[0] > 1 for days in opened[::2])
    assert len({tuple(days) for days in opened}) > 4
    assert [(a["turn"], a["work"], a["beyond"]) for a in runs.asked] == [
        (turn, solving.REPAIR_WORK, 0.0) for turn in range(8)
    ]
    for days, model in zip(opened, runs.models, strict=True):
        kept = {x.index: search.best[x.index] for (_, on), x in search.grid.place.items() if on not in days}
        assert {at: list(model.proto.variables[at].domain) for at in kept} == {
            at: [value, value] for at, value in kept.items()
        }


def test_opening_again_ends_when_it_was_in_vain_so_often_in_a_row(monkeypatch, runs):
    monkeypatch.setattr(solving, "REPAIR_TURNS", 4)

    def learn(search):
        search.cost -= len(runs.asked) in (1, 3)

    runs.learn = learn
    search = begun()
    _repair(search, Prices(search, 10.0))
    assert len(runs.asked) == 3 + 4


def test_opening_again_ends_when_the_plan_is_proven(runs):
    def learn(search):
        search.bound = search.cost

    runs.learn = learn
    search = begun()
    _repair(search, Prices(search, 10.0))
    assert len(runs.asked) == 1


def test_a_term_shorter_than_a_repair_is_opened_whole(monkeypatch, runs):
    monkeypatch.setattr(solving, "REPAIR_TURNS", 2)
    search = begun(make_problem(days=3))
    _repair(search, Prices(search, 10.0))
    assert [free_days(search, model) for model in runs.models] == [[0, 1, 2]] * 2


def at_least(lowest):
    """A model whose plans cost from ``lowest`` to nine; none at all above nine."""
    model = cp_model.CpModel()
    cost = model.new_int_var(0, 9, "cost")
    model.add(cost >= lowest)
    model.minimize(cost)
    return model


@pytest.mark.parametrize(
    ("lowest", "beyond", "cost", "bound"),
    [
        (2, None, 2.0, 2.0),
        (2, 3.0, 2.0, 2.0),
        (4, 3.0, 4.0, 3.0),
        (4, 9.0, 4.0, 4.0),
    ],
)
def test_a_bound_holds_for_the_part_searched_and_for_what_is_beyond_it(lowest, beyond, cost, bound):
    search = search_of()
    _run(search, at_least(lowest), LIMIT_S, beyond=beyond)
    assert (search.cost, search.bound, search.best) == (cost, bound, (lowest,))


def test_a_part_without_any_plan_leaves_what_is_beyond_it():
    search = search_of()
    assert _run(search, at_least(10), LIMIT_S, beyond=3.0) == cp_model.INFEASIBLE
    assert (search.best, search.bound) == (None, 3.0)
    whole = search_of()
    assert _run(whole, at_least(10), LIMIT_S) == cp_model.INFEASIBLE
    assert (whole.best, whole.bound) == (None, 0.0)


def test_a_dearer_plan_replaces_none_and_a_bound_never_falls():
    search = search_of(best=(1,), cost=1.5, bound=1.0)
    _run(search, at_least(2), LIMIT_S, beyond=0.0)
    assert (search.best, search.cost, search.bound) == ((1,), 1.5, 1.0)


@pytest.fixture
def parameters(monkeypatch):
    """The parameters of each search, as they are made."""
    seen, plain = [], cp_model.CpSolver.solve

    def noted(solver, *given):
        p = solver.parameters
        seen.append((p.random_seed, p.num_workers, p.max_deterministic_time, p.relative_gap_limit))
        return plain(solver, *given)

    monkeypatch.setattr(cp_model.CpSolver, "solve", noted)
    return seen


def test_a_part_is_searched_by_one_thread_with_a_seed_and_a_share_of_work_of_its_own(parameters):
    search = search_of(gap=0.25)
    _run(search, at_least(2), LIMIT_S, beyond=9.0, work=7.0, turn=4)
    _run(search, at_least(1), LIMIT_S)
    assert parameters == [(9, 1, 7.0, 0.25), (5, 3, FAR, 0.25)]


def test_a_plan_within_a_hundredth_of_the_best_is_good_enough(parameters):
    assert GAP == 0.01
    solve(make_problem(), LIMIT_S)
    assert [gap for *_, gap in parameters] == [0.01]


def test_the_runs_of_days_in_which_every_skill_comes_up_are_as_short_as_can_be():
    limits = Limits(focus_window=3)
    assert make_problem(days=5, limits=limits).windows == ((0, 1, 2), (1, 2, 3), (2, 3, 4))
    assert make_problem(days=5, limits=LOOSE).windows == ()
    days = (day(0, slots=2), day(1, is_past=True), day(2), day(3, slots=3))
    assert replace(make_problem(limits=limits), days=days).windows == ((0, 2), (2, 3), (3,))


@pytest.mark.parametrize(
    ("sections", "slots", "gap"), [(6, 1, 3), (7, 1, 3), (6, 2, 1), (3, 2, 0), (1, 1, 0)]
)
def test_half_a_round_lies_between_two_turns_of_a_section(sections, slots, gap):
    """Six sections with two pieces a day are through in three days."""
    turns = tuple((number, 0, 9) for number in range(sections))
    assert replace(make_problem(featured=turns), days=(day(0, slots=slots),)).turn_gap == gap


@pytest.mark.parametrize(("cost", "is_enough"), [(100.0, True), (101.0, True), (102.0, False)])
def test_a_search_ends_with_a_plan_within_the_gap_of_the_bound_known_from_outside(cost, is_enough):
    """A hundredth of 101 reaches down to 100, of 102 it does not."""
    stopped = []

    class Watched(solving._StopWhenProven):
        objective_value = cost

        def stop_search(self):
            stopped.append(True)

    Watched(search_of(gap=0.01, bound=100.0)).on_solution_callback()
    assert bool(stopped) == is_enough
