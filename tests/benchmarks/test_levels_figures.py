"""The figures of the levels: honest folds, and figures that a level without worth cannot reach."""

import numpy as np
import pytest

from planner.core.difficulty import DIMENSIONS
from tests.benchmarks import levels
from tests.benchmarks.levels import FOLDS, PRIOR, Graded, agreement, cross_validated, fit_weights

FLOOR = 0.75


def graded(marks, found):
    """A set whose dimensions stand at the levels given, one row a piece."""
    names = tuple(str(at) for at in range(len(marks)))
    return Graded(names, np.array(marks), np.array(found, dtype=float), np.array(marks))


def marks_of(count):
    return [float(at % 5 + 1) for at in range(count)]


def test_levels_that_follow_the_grades_reach_the_floor():
    marks = marks_of(40)
    follow = [[0.1 + 0.7 * mark] * len(DIMENSIONS) for mark in marks]
    assert cross_validated([graded(marks, follow)], 0)[0] > FLOOR


def test_levels_without_worth_do_not_reach_it_however_well_a_fit_looks():
    noise = np.random.default_rng(7).uniform(0.0, 5.5, (40, len(DIMENSIONS)))
    draws = [cross_validated([graded(marks_of(40), noise)], draw)[0] for draw in range(10)]
    assert np.mean(draws) < 0.4 < FLOOR


def test_a_piece_is_rated_by_weights_that_never_saw_it(monkeypatch):
    seen = []

    def spy(groups, prior, shrinkage):
        seen.append([len(marks) for _, marks in groups])
        return dict.fromkeys(prior, 0.1)

    monkeypatch.setattr(levels, "fit_weights", spy)
    both = [graded(np.arange(float(n)), np.ones((n, len(DIMENSIONS)))) for n in (25, 12)]
    with pytest.warns(Warning, match="constant"):
        cross_validated(both, 0)
    assert len(seen) == FOLDS
    assert sum(25 - first for first, _ in seen) == 25
    assert sum(12 - second for _, second in seen) == 12


def test_ranks_alone_count():
    assert agreement(np.array([1.0, 2.0, 4.0]), np.array([10.0, 11.0, 90.0])) == 1.0
    assert agreement(np.array([3.0, 2.0, 1.0]), np.array([1.0, 2.0, 3.0])) == pytest.approx(-1.0)


def test_a_fit_follows_the_grades_and_is_held_near_the_prior():
    rows = np.zeros((60, len(DIMENSIONS)))
    rows[:, 0] = np.arange(60.0)
    free = fit_weights([(rows, 0.5 * np.arange(60.0))], PRIOR, 0.0)
    held = fit_weights([(rows, 0.5 * np.arange(60.0))], PRIOR, 1e12)
    assert free[DIMENSIONS[0]] == pytest.approx(0.5, abs=0.001)
    assert held == pytest.approx(PRIOR, abs=0.001)
