"""The calibration: honest folds, and figures that a level without worth cannot reach."""

import numpy as np
import pytest

from planner.core.profile import DIMENSIONS, Contribution
from planner.study.difficulty.calibration import (
    DRAWS,
    FLOOR,
    FOLDS,
    GradedSet,
    _one_draw,
    agreement,
    calibrate,
)
from planner.study.difficulty.weights import WEIGHTS


def graded(grades, levels_of):
    """A set in which each piece's dimensions come from its place."""
    rows = tuple(
        tuple(Contribution(name, levels_of(at, name), WEIGHTS[name], "") for name in DIMENSIONS)
        for at in range(len(grades))
    )
    return GradedSet("set", tuple(grades), rows, tuple(0.5 + grade / 10 for grade in grades))


def test_levels_that_follow_the_grades_reach_the_floor():
    grades = [float(at % 5 + 1) for at in range(40)]
    found = calibrate([graded(grades, lambda at, _: 0.6 + 0.7 * grades[at])])
    assert found.sets[0].holds
    assert found.sets[0].kept_aside > 0.97
    assert found.sets[0].as_given == 1.0


def test_levels_without_worth_do_not_reach_it_however_well_a_fit_looks():
    random = np.random.default_rng(7)
    grades = [float(at % 5 + 1) for at in range(40)]
    noise = random.uniform(0.5, 6.0, (40, len(DIMENSIONS)))
    found = calibrate([graded(grades, lambda at, name: float(noise[at, DIMENSIONS.index(name)]))])
    assert not found.sets[0].holds
    assert found.sets[0].kept_aside < 0.4 < FLOOR


def test_a_piece_is_rated_by_weights_that_never_saw_it(monkeypatch):
    seen = []

    def spy(groups, prior, shrinkage):
        seen.append([len(marks) for _, marks in groups])
        return dict.fromkeys(prior, 0.1)

    monkeypatch.setattr("planner.study.difficulty.calibration.fit_weights", spy)
    levels, marks = [np.ones((25, 10)), np.ones((12, 10))], [np.arange(25.0), np.arange(12.0)]
    with pytest.warns(Warning, match="constant"):
        _one_draw(levels, marks, 0)
    assert len(seen) == FOLDS
    assert sum(25 - first for first, _ in seen) == 25
    assert sum(12 - second for _, second in seen) == 12


def test_ranks_alone_count():
    assert agreement(np.array([1.0, 2.0, 4.0]), np.array([10.0, 11.0, 90.0])) == 1.0
    assert agreement(np.array([3.0, 2.0, 1.0]), np.array([1.0, 2.0, 3.0])) == -1.0


def test_the_table_names_every_dimension_with_the_weight_in_force():
    grades = [1.0, 2.0, 3.0, 4.0] * 5
    found = calibrate([graded(grades, lambda at, _: 1.0 + grades[at])])
    assert [(name, shipped) for name, shipped, _ in found.weights] == list(WEIGHTS.items())
    assert DRAWS == 10
