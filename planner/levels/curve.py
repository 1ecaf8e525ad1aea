"""How much of a part a section at a level reads right: one logistic curve.

Level is one scale for music and players, 0.5 to 6.0. A section reads a part of
its own level with ``TARGET_SHARE`` of the measures right on the first reading.
"""

import math

from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL

TARGET_SHARE = 0.8413
"""Share of measures right when part and section have the same level.

Source: Wilson, Shenhav, Straccia and Cohen (2019), Nature Communications 10:4646: a yes-or-no decision
is trained fastest at 84.13 % right if its noise is Gaussian; by the same rule a logistic curve, as here,
gives about 82 %. That bars of a first reading follow their figure is a house choice.
"""

EASY_SHARE = 0.95
"""Share at which a part one level below the section is read.

Source: charts of reading levels for texts begin the "independent" level at 95 % of the words or above. That
bars count like words, and that this lies one level below, are house choices.
"""

TARGET_LOGIT = math.log(TARGET_SHARE / (1 - TARGET_SHARE))
"""The same as a logit."""

SLOPE = math.log(EASY_SHARE / (1 - EASY_SHARE)) - TARGET_LOGIT
"""Logits a level: 1.277, so that one level down gives ``EASY_SHARE`` and one level up about 0.60."""


def logistic(logit: float) -> float:
    """The share for a logit; safe for any finite number.

    Example:
        >>> logistic(0.0)
        0.5
    """
    if logit >= 0:
        return 1.0 / (1.0 + math.exp(-logit))
    return math.exp(logit) / (1.0 + math.exp(logit))


def expected_share(section_level: float, part_level: float) -> float:
    """Share of measures a section is expected to get right on the first reading.

    Args:
        section_level: The section's reading level.
        part_level: The part's level.

    Returns:
        From 0 to 1; ``TARGET_SHARE`` when the two are equal.

    Source:
        Rasch model with its origin moved to ``TARGET_SHARE``; ``SLOPE`` for the steepness.

    Example:
        >>> [round(expected_share(2.0, part), 2) for part in (1.0, 2.0, 3.0)]
        [0.95, 0.84, 0.6]
    """
    return logistic(TARGET_LOGIT + SLOPE * (section_level - part_level))


def clip_level(level: float) -> float:
    """The nearest level on the scale.

    Example:
        >>> clip_level(7.2), clip_level(-1.0)
        (6.0, 0.5)
    """
    return min(HIGHEST_LEVEL, max(LOWEST_LEVEL, level))
