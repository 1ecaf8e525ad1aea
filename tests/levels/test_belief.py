"""The level's arithmetic held against published ratings and Rasch measures."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.levels.belief import DEFAULT_ERROR, Reading, Scale, estimate
from planner.levels.curve import (
    EASY_SHARE,
    TARGET_SHARE,
    expected_share,
    logistic,
)

CHESS = Scale(math.log(10) / 400, 0.5)
RASCH = Scale(1.0, 0.5)
MATCHES = ((1400, 30, 1.0), (1550, 100, 0.0), (1700, 300, 0.0))
"""Opponent, deviation, score. Source: Glickman, "Example of the Glicko-2 system" (2013); the same data serve
Glicko-1 in Glickman (1999)."""

KNOX_ITEMS = (-4.55, -3.97, -3.51, -3.97, -2.44, -3.51, -1.63, 0.83, 2.33, 2.03, 3.50, 4.96, 4.96, 4.96)
KNOX_PERSONS = {1: (-5.43, 1.11), 4: (-3.09, 0.83), 7: (-0.28, 1.15), 8: (0.99, 1.08), 10: (2.99, 0.96),
                13: (5.88, 1.16)}  # fmt: skip
"""Items and person measures with standard errors, in logits, by raw score of 14. Source: joint maximum
likelihood on the Knox Cube Test of Wright and Stone, Best Test Design (1979), computed apart."""


def games(data):
    return [Reading(level, score, trials=1.0, part_error=error) for level, error, score in data]


def test_expected_score_of_the_elo_table():
    # Source: Elo's formula E = 1/(1+10^((Ro-R)/400)); 2400 against 2000 gives 10^6/(10^6+10^5).
    opponents = (1609, 1477, 1388, 1586, 1720)
    shares = [CHESS.share(1613, Reading(o, 0)) for o in opponents]
    assert shares == pytest.approx([0.5058, 0.6863, 0.7850, 0.5388, 0.3507], abs=5e-5)
    assert CHESS.share(2400, Reading(2000, 0)) == pytest.approx(10 / 11)


def test_a_step_of_elo_is_the_pull_of_the_evidence_without_its_doubt():
    scores = (0, 0.5, 1, 1, 0)
    shares = [CHESS.share(1613, Reading(o, 0)) for o in (1609, 1477, 1388, 1586, 1720)]
    assert 1613 + 32 * sum(s - e for s, e in zip(scores, shares, strict=True)) == pytest.approx(
        1601.27, abs=0.01
    )


def test_one_step_is_the_published_step_of_glickmans_system():
    level, error = estimate((1500.0, 200.0), games(MATCHES), scale=CHESS, most_steps=1)
    assert level == pytest.approx(1464.10646, abs=1e-4)
    assert error == pytest.approx(151.39890, abs=1e-4)


def test_an_uncertain_opponent_counts_less_as_published():
    assert [CHESS.attenuation(e) for _, e, _ in MATCHES] == pytest.approx(
        [0.9954980, 0.9531490, 0.7242355], abs=1e-7
    )
    shares = [CHESS.share(1500, r) for r in games(MATCHES)]
    assert shares == pytest.approx([0.6394677, 0.4318424, 0.3028407], abs=1e-7)


@pytest.mark.parametrize("score", sorted(KNOX_PERSONS))
def test_person_measures_of_the_knox_cube_test(score):
    readings = [Reading(item, score / 14, trials=1.0) for item in KNOX_ITEMS]
    level, error = estimate((0.0, math.inf), readings, scale=RASCH)
    measure, standard_error = KNOX_PERSONS[score]
    assert level == pytest.approx(measure, abs=0.011)
    assert error == pytest.approx(standard_error, abs=0.011)


def test_three_quarters_right_is_one_point_one_logits_above():
    # Source: ln(.75/.25), Rasch Measurement Transactions 10:1b.
    level, _ = estimate((0.0, math.inf), [Reading(0.0, 0.75, trials=1.0)], scale=RASCH)
    assert level == pytest.approx(1.0986, abs=1e-4)


def test_a_part_of_the_sections_level_is_read_at_the_share_where_training_is_best():
    # Source: Wilson et al. (2019), Gaussian noise: 84.13 %, which is the normal distribution at 1.
    assert pytest.approx(0.5 * (1 + math.erf(1 / math.sqrt(2))), abs=5e-5) == TARGET_SHARE
    assert expected_share(3.2, 3.2) == pytest.approx(TARGET_SHARE)
    assert expected_share(3.0, 2.0) == pytest.approx(EASY_SHARE)


@pytest.mark.parametrize(
    ("density", "share_at", "best"),
    [
        (lambda x: math.exp(-x * x / 2), lambda x: 0.5 * (1 + math.erf(x / math.sqrt(2))), 0.8413),
        (lambda x: 1 / math.cosh(x / 2) ** 2, logistic, 0.824),
    ],
    ids=["gaussian", "logistic"],
)
def test_where_training_is_fastest_depends_on_the_noise(density, share_at, best):
    """Wilson et al. (2019): fastest where x times the density of the noise at x is largest."""
    fastest = max((step / 1000 for step in range(1, 4000)), key=lambda x: x * density(x))
    assert share_at(fastest) == pytest.approx(best, abs=5e-4)


@given(st.floats(0.5, 6), st.floats(0.5, 6), st.floats(0.01, 3))
def test_a_harder_part_is_read_with_fewer_bars_right(section, part, more):
    assert expected_share(section, part + more) < expected_share(section, part)


@given(st.floats(1, 5), st.floats(0.1, 1.0), st.floats(0.5, 6), st.floats(0, 1))
def test_a_result_makes_the_level_surer_and_moves_it_towards_what_it_says(level, error, part, share):
    after, surer = estimate((level, error), [Reading(part, share)])
    assert surer < error
    expected = expected_share(level, part)
    assert (after - level) * (share - expected) >= -1e-9


def test_nothing_known_about_a_section_is_a_wide_error():
    _, after_one = estimate((2.0, DEFAULT_ERROR), [Reading(2.0, TARGET_SHARE)])
    assert DEFAULT_ERROR == 0.75
    assert 0.4 < after_one < DEFAULT_ERROR


def test_an_uncertain_part_moves_the_level_less():
    sure = estimate((2.0, 0.5), [Reading(2.0, 0.98)])[0]
    unsure = estimate((2.0, 0.5), [Reading(2.0, 0.98, part_error=1.0)])[0]
    assert 2.0 < unsure < sure


def test_many_results_find_the_level_they_were_made_from():
    true = 3.1
    readings = [Reading(part, expected_share(true, part)) for part in (2.0, 2.5, 3.0, 3.5, 4.0) * 4]
    level, error = estimate((2.0, 0.75), readings)
    assert level == pytest.approx(true, abs=0.06)
    assert error < 0.16


@pytest.mark.parametrize("start", [-40.0, -8.0, 0.0, 8.0, 40.0])
def test_the_most_likely_level_is_found_from_wherever_the_search_begins(start):
    readings = [Reading(item, 7 / 14, trials=1.0) for item in KNOX_ITEMS]
    level, error = estimate((start, math.inf), readings, scale=RASCH)
    assert (level, error) == (pytest.approx(-0.28, abs=0.011), pytest.approx(1.15, abs=0.011))


def test_a_single_step_is_taken_whole_however_long():
    far = [Reading(3000.0, 1.0, trials=40.0)]
    shares = CHESS.share(1500, far[0])
    whole = (40 * CHESS.slope * (1 - shares)) / (40 * CHESS.slope**2 * shares * (1 - shares) + 1e-4)
    assert whole > 1 / CHESS.slope
    level, _ = estimate((1500.0, 100.0), far, scale=CHESS, most_steps=1)
    assert level == pytest.approx(1500 + whole)


def test_a_reading_is_worth_a_dozen_trials_of_the_share():
    # Source: the information of n trials at a share p is n p (1 - p) for a slope of 1.
    level, error = estimate((0.0, math.inf), [Reading(0.0, 0.5)], scale=RASCH)
    assert (level, error) == (pytest.approx(0.0), pytest.approx(1 / math.sqrt(12 * 0.25)))
