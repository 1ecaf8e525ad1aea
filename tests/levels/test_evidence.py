"""What results say about a level, held against published Rasch measures and against plain integration."""

import math

import numpy as np
import pytest
from scipy import stats

from planner.levels import evidence
from planner.levels.curve import SLOPE, TARGET_LOGIT, expected_share
from planner.levels.evidence import CELLS, STEP, STRAY_DAYS, STRAY_SCALE, WAYS, Steadiness, weigh_days

KNOX_ITEMS = (-4.55, -3.97, -3.51, -3.97, -2.44, -3.51, -1.63, 0.83, 2.33, 2.03, 3.50, 4.96, 4.96, 4.96)
KNOX_PERSONS = {4: (-3.09, 0.83), 7: (-0.28, 1.15), 8: (0.99, 1.08), 10: (2.99, 0.96)}
"""Items and person measures with standard errors, in logits, by raw score of 14. Source: joint maximum
likelihood on the Knox Cube Test of Wright and Stone, Best Test Design (1979), computed apart."""


def weigh(results):
    """All results on one day: level, error of the part, share."""
    parts, errors, shares = (np.array(column, dtype=float) for column in zip(*results, strict=True))
    return weigh_days(parts, errors, shares, [0] * len(results))[0]


@pytest.fixture
def bare(monkeypatch):
    """Neither parts nor days sway: the plain Rasch model on the scale of levels."""
    monkeypatch.setattr(evidence, "LEAST_PART_ERROR", 0.0)
    monkeypatch.setattr(evidence, "STRAY_DAYS", 0.0)
    monkeypatch.setattr(evidence, "WAYS", (Steadiness(1.0, 1.0, 1e-3),))
    evidence.day_effects.cache_clear()
    yield
    evidence.day_effects.cache_clear()


@pytest.mark.parametrize("score", sorted(KNOX_PERSONS))
def test_person_measures_of_the_knox_cube_test(bare, score):
    """Where the likelihood is highest, and how it bends there: a logit is 1/SLOPE of a level."""
    middle = 3.0
    results = [(middle + (item + TARGET_LOGIT) / SLOPE, 0.0, score / 14) for item in KNOX_ITEMS]
    heights = weigh(results).likelihood[0]
    at = int(heights.argmax())
    below, here, above = heights[at - 1 : at + 2]
    bend = (below - 2 * here + above) / STEP**2
    top = CELLS[at] + STEP * (below - above) / (2 * (below - 2 * here + above))
    measure, error = KNOX_PERSONS[score]
    assert SLOPE * (top - middle) == pytest.approx(measure, abs=0.02)
    assert SLOPE / math.sqrt(-bend) == pytest.approx(error, abs=0.02)


def test_three_quarters_right_is_one_point_one_logits_above(bare):
    # Source: ln(.75/.25), Rasch Measurement Transactions 10:1b.
    heights = weigh([(3.0, 0.0, 0.75)]).likelihood[0]
    top = CELLS[int(heights.argmax())]
    assert SLOPE * (top - 3.0) + TARGET_LOGIT == pytest.approx(1.0986, abs=SLOPE * STEP / 2)


@pytest.mark.parametrize("way", range(len(WAYS)))
@pytest.mark.parametrize(("part", "error", "share"), [(2.0, 0.5, 0.8), (3.5, 0.3, 0.4), (1.0, 0.8, 1.0)])
def test_a_result_is_averaged_over_its_part_and_its_day(way, part, error, share):
    """Held against the densities of another library on a fine net, at whole numbers of trials."""
    trials, day_error = WAYS[way].trials, WAYS[way].day_error
    hits = round(share * trials)
    found = weigh([(part, error, hits / trials)]).likelihood[way]
    net = np.arange(-3.6, 3.6, 0.02)
    usual = stats.norm.pdf(net, scale=day_error)
    day = (1 - STRAY_DAYS) * usual + STRAY_DAYS * stats.laplace.pdf(net, scale=STRAY_SCALE)
    off = stats.norm.pdf(net, scale=error)
    for level in (part - 0.8, part + 0.4):
        above = level - part + net[:, None] - net[None, :]
        right = 1 / (1 + np.exp(-(TARGET_LOGIT + SLOPE * above)))
        likely = (trials + 1) * stats.binom.pmf(hits, trials, right)
        wanted = 0.02**2 * day @ likely @ off
        at = int(np.abs(CELLS - level).argmin())
        assert math.exp(found[at]) == pytest.approx(wanted, rel=0.03)


def test_the_expected_share_of_a_sure_level_is_that_of_the_curve(bare):
    day = weigh([(2.0, 0.0, 0.5), (3.0, 0.0, 0.7)])
    at = int(np.abs(CELLS - 2.5).argmin())
    assert day.mean[0, at] == pytest.approx((expected_share(2.5, 2.0) + expected_share(2.5, 3.0)) / 2)
    assert (day.observed, day.results) == (pytest.approx(0.6), 2)
    one, other = expected_share(2.5, 2.0), expected_share(2.5, 3.0)
    chance = (one * (1 - one) + other * (1 - other)) / 4
    assert day.square[0, at] - day.mean[0, at] ** 2 == pytest.approx(chance)


def test_results_of_one_day_share_its_effect():
    """Two parts on one day are worth less than on two: the day may have swayed both."""
    together = weigh([(2.0, 0.5, 0.4), (2.0, 0.5, 0.4)]).likelihood
    alone = weigh([(2.0, 0.5, 0.4)]).likelihood
    usual, lower = (int(np.abs(CELLS - level).argmin()) for level in (2.0, 1.0))
    assert 0 < (together[1, lower] - together[1, usual]) < 2 * (alone[1, lower] - alone[1, usual])


def test_impossible_gaps_stay_finite():
    found = weigh([(0.5, 0.0, 0.0), (6.0, 0.0, 1.0)] * 20)
    assert np.isfinite(found.likelihood).all()
