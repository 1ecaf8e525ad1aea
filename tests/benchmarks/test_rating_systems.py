"""The rivals of the belief are the published ones."""

import math

import pytest

from tests.benchmarks.rating_systems import Game, Rated, attenuation, elo, expected_score, glicko2

POINT = math.log(10) / 400
"""Logits a rating point."""

MATCHES = [Game((rating - 1500) * POINT, deviation * POINT, score) for rating, deviation, score in
           ((1400, 30, 1.0), (1550, 100, 0.0), (1700, 300, 0.0))]  # fmt: skip
"""Source: Glickman, "Example of the Glicko-2 system" (2013)."""

ELO_GAMES = [Game(rating * POINT, 0.0, score) for rating, score in
             ((1609, 0.0), (1477, 0.5), (1388, 1.0), (1586, 1.0), (1720, 0.0))]  # fmt: skip


def test_expected_scores_of_the_elo_table():
    # Source: Elo's formula E = 1/(1+10^((Ro-R)/400)); 2400 against 2000 gives 10^6/(10^6+10^5).
    scores = [expected_score(1613 * POINT, game.rating) for game in ELO_GAMES]
    assert scores == pytest.approx([0.5058, 0.6863, 0.7850, 0.5388, 0.3507], abs=5e-5)
    assert expected_score(2400 * POINT, 2000 * POINT) == pytest.approx(10 / 11)


def test_a_tournament_of_elo_comes_out_as_computed():
    assert elo(1613 * POINT, ELO_GAMES, 32 * POINT) / POINT == pytest.approx(1601.27, abs=0.01)


def test_uncertain_opponents_count_less_as_published():
    assert [attenuation(game.deviation) for game in MATCHES] == pytest.approx(
        [0.9954980, 0.9531490, 0.7242355], abs=1e-7
    )
    scores = [expected_score(0.0, game.rating, game.deviation) for game in MATCHES]
    assert scores == pytest.approx([0.6394677, 0.4318424, 0.3028407], abs=1e-7)


def test_the_period_of_the_paper():
    after = glicko2(Rated(0.0, 200 * POINT, 0.06), MATCHES, 0.5)
    assert 1500 + after.rating / POINT == pytest.approx(1464.05067, abs=1e-3)
    assert after.deviation / POINT == pytest.approx(151.51652, abs=1e-3)
    assert after.volatility == pytest.approx(0.0599959843, abs=1e-8)


def test_a_period_without_games_only_widens_the_deviation():
    after = glicko2(Rated(0.4, 0.3, 0.4), [], 0.5)
    assert (after.rating, after.deviation, after.volatility) == (0.4, pytest.approx(0.5), 0.4)
