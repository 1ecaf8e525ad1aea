"""Rating systems that are held against the project's belief: Elo, Glicko-2, the mean of the last ten."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Game:
    """One result: the other side's rating with its deviation, in logits, and the score from 0 to 1."""

    rating: float
    deviation: float
    score: float


@dataclass(frozen=True, slots=True)
class Rated:
    """A Glicko-2 rating on the system's own scale (logits): rating, deviation, volatility."""

    rating: float
    deviation: float
    volatility: float


def expected_score(rating: float, other: float, deviation: float = 0.0, even_logit: float = 0.0) -> float:
    """Score to be expected; an uncertain other side flattens it.

    ``even_logit`` is that of the score between equals.
    """
    return 1.0 / (1.0 + math.exp(-(even_logit + attenuation(deviation) * (rating - other))))


def attenuation(deviation: float) -> float:
    """Glickman's g of a deviation in logits."""
    return 1.0 / math.sqrt(1.0 + 3.0 * (deviation / math.pi) ** 2)


def elo(rating: float, games: Sequence[Game], gain: float, even_logit: float = 0.0) -> float:
    """Rating after some games of one day, all expected from the rating before."""
    return rating + gain * sum(
        game.score - expected_score(rating, game.rating, 0.0, even_logit) for game in games
    )


def glicko2(
    rated: Rated, games: Sequence[Game], tau: float, *, trials: float = 1.0, even_logit: float = 0.0
) -> Rated:
    """Rating after one period.

    Args:
        rated: Before.
        games: Of the period; none only widens the deviation.
        tau: How much the volatility may change.
        trials: Games that one result is worth.
        even_logit: Logit of the score between equals.

    Source:
        Glickman, "Example of the Glicko-2 system" (2013), steps 3 to 7, with the Illinois method.
    """
    mu, phi, sigma = rated.rating, rated.deviation, rated.volatility
    if not games:
        return replace(rated, deviation=math.hypot(phi, sigma))
    information = pull = 0.0
    for game in games:
        g = attenuation(game.deviation)
        score = expected_score(mu, game.rating, game.deviation, even_logit)
        information += trials * g * g * score * (1.0 - score)
        pull += trials * g * (game.score - score)
    variance = 1.0 / information
    sigma = _volatility(phi, sigma, variance, variance * pull, tau)
    phi = 1.0 / math.sqrt(1.0 / (phi**2 + sigma**2) + information)
    return Rated(mu + phi**2 * pull, phi, sigma)


def _volatility(phi: float, sigma: float, variance: float, delta: float, tau: float) -> float:
    start = math.log(sigma**2)

    def off(x: float) -> float:
        grown = phi**2 + variance + math.exp(x)
        return math.exp(x) * (delta**2 - grown) / (2.0 * grown**2) - (x - start) / tau**2

    low = start
    if delta**2 > phi**2 + variance:
        high = math.log(delta**2 - phi**2 - variance)
    else:
        steps = 1
        while off(start - steps * tau) < 0.0:
            steps += 1
        high = start - steps * tau
    at_low, at_high = off(low), off(high)
    while abs(high - low) > 1e-6:
        between = low + (low - high) * at_low / (at_high - at_low)
        at_between = off(between)
        if at_between * at_high <= 0.0:
            low, at_low = high, at_high
        else:
            at_low /= 2.0
        high, at_high = between, at_between
    return math.exp(low / 2.0)
