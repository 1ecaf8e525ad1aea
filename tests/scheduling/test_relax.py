"""The linear relaxation on models small enough to solve with a pencil."""

import pytest
from ortools.sat.python import cp_model

from planner.scheduling.relax import Relaxation, relax
from planner.scheduling.solve import build_model
from tests.scheduling.small_problems import make_problem


def model_of(*, odd: bool = False):
    """Two of three things, which cost 4, 7 and 9; half a thing is allowed when relaxed."""
    model = cp_model.CpModel()
    a, b, c = (model.new_bool_var(name) for name in "abc")
    if odd:
        model.add(2 * a + 2 * b + 2 * c >= 3)
    else:
        model.add(a + b + c >= 2)
    model.minimize(4 * a + 7 * b + 9 * c + 100)
    return model, (a, b, c)


def test_whole_numbers_need_not_come_out():
    model, _ = model_of(odd=True)
    found = relax(model, 60.0)
    assert found.value == pytest.approx(100 + 4 + 7 / 2)
    assert found.bound == 108


def test_a_reduced_cost_is_what_a_thing_adds_to_the_bound():
    model, _ = model_of(odd=True)
    found = relax(model, 60.0)
    assert found.reduced_costs == pytest.approx((-3, 0, 2))
    assert [found.bound_beyond(dear) for dear in (0.0, 2.0, 2.5, 3.0)] == [108, 110, 110, 111]


def test_a_bound_is_the_next_whole_cost_but_for_rounding():
    assert [Relaxation(value, ()).bound for value in (5.0, 5.00001, 5.01, 4.99)] == [5, 5, 6, 5]


def test_variables_left_out_take_their_constraints_with_them():
    model, (_, b, c) = model_of()
    again = model.new_bool_var("again")
    model.add(b + c <= again)
    model.minimize(4 * b + 9 * c + 50 * again)
    model.add(b + c >= 1)
    assert relax(model, 60.0).value == pytest.approx(54)
    found = relax(model, 60.0, without=[again.index])
    assert found.value == pytest.approx(4)
    assert len(found.reduced_costs) == 4


def test_numbers_may_run_without_end_on_either_side():
    model = cp_model.CpModel()
    x = model.new_int_var(-5, 30, "x")
    y = model.new_int_var(0, 10, "y")
    model.add(x + y >= 2)
    model.add(x - y <= 3)
    model.minimize(x + 3 * y)
    assert relax(model, 60.0).value == pytest.approx(2)
    model.minimize(-x)
    assert relax(model, 60.0).value == pytest.approx(-13)


def test_ends_in_the_thousands_are_ends_all_the_same():
    model = cp_model.CpModel()
    x = model.new_int_var(-3000, 2000, "x")
    for goal, least in ((x, -3000), (-x, -2000)):
        model.minimize(goal)
        assert relax(model, 60.0).value == pytest.approx(least)


def test_a_relaxation_that_has_no_time_says_nothing():
    model = build_model(make_problem(days=20, pieces=40)).model
    assert relax(model, 0.0) is None
    assert relax(model, 60.0) is not None


def test_what_cannot_be_solved_says_nothing():
    model, (a, b, c) = model_of()
    assert relax(model, 60.0).bound == 111, "rounding in the linear solver adds nothing"
    model.add(a + b + c <= 1)
    assert relax(model, 60.0) is None
