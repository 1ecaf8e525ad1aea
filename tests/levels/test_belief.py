"""The belief's arithmetic, held against the Kalman filter and against itself on a finer grid."""

import math

import numpy as np
import pytest

from planner.levels import belief
from planner.levels.belief import GROWTHS, JUMP_A_DAY, moments, start_belief
from planner.levels.evidence import CELLS, WAYS, DayEvidence
from planner.levels.forecast import DRIFT_A_WEEK, GROWTH_A_WEEK, GROWTH_SPREAD


def gaussian_day(at, error):
    """A day whose results measure the level itself."""
    height = -0.5 * ((CELLS - at) / error) ** 2
    flat = np.zeros((len(WAYS), len(CELLS)))
    return DayEvidence(np.tile(height, (len(WAYS), 1)), 0.5, flat, flat, 1)


@pytest.fixture
def without_jumps(monkeypatch):
    monkeypatch.setattr(belief, "JUMP_A_DAY", (0.0, 0.0))
    monkeypatch.setattr(belief, "JUMP_A_WEEK", 0.0)
    belief._drift_and_jumps.cache_clear()
    yield
    belief._drift_and_jumps.cache_clear()


def test_without_jumps_it_is_the_kalman_filter(without_jumps):
    """Level and growth as a linear state with normal noise (Kalman 1960; the matrices written out)."""
    prior = (GROWTHS - GROWTH_A_WEEK) / GROWTH_SPREAD
    weight = np.exp(-0.5 * prior**2)
    spread = GROWTH_SPREAD * math.sqrt(float((weight * prior**2).sum() / weight.sum()))
    state, doubt = np.array([2.0, GROWTH_A_WEEK]), np.diag([0.5**2, spread**2])
    held = start_belief(2.0, 0.5)
    for days, seen in ((0, 2.4), (3, 2.1), (4, 2.6), (14, 2.5), (7, 2.9), (3, 2.8)):
        step = np.array([[1.0, days / 7], [0.0, 1.0]])
        state, doubt = step @ state, step @ doubt @ step.T + np.diag([DRIFT_A_WEEK**2 * days / 7, 0.0])
        gain = doubt[:, 0] / (doubt[0, 0] + 0.4**2)
        state, doubt = state + gain * (seen - state[0]), doubt - np.outer(gain, doubt[0])
        held = held.carried(days).weighed(gaussian_day(seen, 0.4))
    found = moments([held])[0]
    assert (found.level, found.error) == pytest.approx((state[0], math.sqrt(doubt[0, 0])), abs=0.004)
    assert found.growth == pytest.approx(state[1], abs=0.001)
    half = 1.96 * math.sqrt(doubt[0, 0])
    assert (found.low, found.high) == pytest.approx((state[0] - half, state[0] + half), abs=0.02)


def test_growth_moves_the_level_and_time_widens_the_doubt(without_jumps):
    found = moments([start_belief(2.0, 0.5).carried(112)])[0]
    assert found.level == pytest.approx(2.0 + 16 * GROWTH_A_WEEK, abs=0.001)
    assert 0.5 < found.error < math.hypot(0.5, DRIFT_A_WEEK * 4, GROWTH_SPREAD * 16)


def test_growth_is_not_taken_for_granted_over_years(without_jumps):
    year, decade = moments([start_belief(2.0, 0.4).carried(7 * weeks) for weeks in (40, 520)])
    assert decade.level == pytest.approx(year.level, abs=0.01)
    assert decade.error > year.error


def test_carrying_on_in_steps_is_carrying_on_at_once(without_jumps):
    start = start_belief(2.0, 0.4)
    stepped = start
    for _ in range(30):
        stepped = stepped.carried(7)
    once, steps = moments([start.carried(210), stepped])
    assert steps.level == pytest.approx(once.level, abs=0.005)
    assert steps.error == pytest.approx(once.error, abs=0.005)


def test_a_jump_may_have_come_with_every_day_of_results():
    calm, watchful = JUMP_A_DAY
    assert 0 < calm < watchful
    table = belief._drift_and_jumps(1)
    far = np.abs(np.subtract.outer(CELLS, CELLS)) > 0.55
    leapt = (table * far).sum(axis=2)[:, len(CELLS) // 2]
    assert leapt[0] < 0.5 * leapt[1]
    assert table.sum(axis=2) == pytest.approx(1.0)


def test_weights_add_up_to_one_and_none_leaves_at_the_ends():
    held = start_belief(6.0, 0.3)
    for _ in range(60):
        held = held.carried(70)
    assert held.weights.sum(axis=(1, 2, 3)) == pytest.approx([1.0, 1.0])
    assert np.isfinite(moments([held])[0].level)


def test_many_beliefs_are_worked_out_as_each_alone():
    some = [start_belief(level, 0.4).carried(days) for level, days in ((1.0, 3), (2.5, 40), (5.5, 9))]
    for alone, together in zip(some, moments(some), strict=True):
        one = moments([alone])[0]
        assert (one.level, one.error, one.low, one.high, one.growth) == pytest.approx(
            (together.level, together.error, together.low, together.high, together.growth)
        )
    assert moments([]) == []
