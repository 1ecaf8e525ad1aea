"""Levels against graded music: hymns with their editor's mark, piano pieces with a publisher's grade.

Sources: Open Hymnal Project (complexity 1 to 5); First Editions of Fryderyk Chopin's Music with the grades
of a publisher as collected for piano pieces. Both read from the reference data.
"""

import warnings

import numpy as np
import pytest

from planner.adapters.scores.reader import read_score
from planner.analysis.columns import columns_of
from planner.analysis.difficulty import rate
from planner.analysis.level_weights import PRIOR, WEIGHTS, fit_weights
from planner.analysis.study import study
from planner.core.profile import DIMENSIONS
from tests.benchmarks import levels
from tests.reference import reference_data


@pytest.mark.slow
def test_levels_follow_the_grades_of_pieces_the_weights_never_saw():
    reference_data()
    figures = {row.name: row for row in levels.rows()}
    assert figures
    missed = [f"{row.name}: {row.value:.3f}" for row in figures.values() if not row.holds]
    assert not missed


def test_the_level_of_a_study_is_the_calibrated_one():
    path = reference_data() / "difficulty" / "hymns" / "Amazing_Grace_New_Britain.mxl"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = read_score(path)
    assert study(score).level == rate(columns_of(score), levels.facts_of(score)).level


def test_a_fit_finds_the_weights_that_made_the_grades():
    random = np.random.default_rng(4)
    truth = np.array([0.3, 0.0, 0.1, 0.2, 0.1, 0.2, 0.6, 0.0, 0.0, 0.05])
    features = random.uniform(0, 4, (400, len(DIMENSIONS)))
    found = fit_weights([(features, features @ truth + 3.0)], PRIOR, shrinkage=0.01)
    assert np.allclose([found[name] for name in DIMENSIONS], truth, atol=0.01)


def test_with_nothing_to_learn_from_the_prior_stays():
    nothing = (np.zeros((0, len(DIMENSIONS))), np.zeros(0))
    assert fit_weights([nothing], PRIOR) == PRIOR


def test_weights_are_for_every_dimension_and_never_negative():
    assert set(WEIGHTS) == set(PRIOR) == set(DIMENSIONS)
    assert min(WEIGHTS.values()) >= 0.0
