"""What a section can just read: the one definition that the match and the plan share.

A part is judged by the share of bars the section is expected to get right on the first reading, and by the
chance that the section is lost in it, since level of part and of section are both estimated.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from planner.levels.curve import SLOPE, TARGET_LOGIT, expected_share

HARD_BELOW = 0.70
EASY_ABOVE = 0.95
"""Expected shares between which a part is just readable.

Source: 95 % as ``EASY_SHARE`` in ``levels/curve.py``; 70 % is a house choice, about six tenths of a level
above the section.
"""

LOST_SHARE = 0.5
"""A section that gets fewer of its bars right has lost the music. Source: house choice."""

LOST_GAP = TARGET_LOGIT / SLOPE + math.log(1 / LOST_SHARE - 1) / SLOPE
"""Levels a part lies above a section that gets just ``LOST_SHARE`` right: about 1.3."""

LEAST_BUSY = 0.5
"""Least share of the players in a room who have a part, for them to read a piece together. Source: house
choice."""

LOSS_UNIT = 0.10
WORST_WEIGHT = 30
MEAN_WEIGHT = 30
MIDDLE_WEIGHT = 60
OUT_WEIGHT = 100
LOST_WEIGHT = 100
"""What a reading costs: the square of how many tens of bars in a hundred a section lies off the aim, once for
the section that is worst off and once for the mean of all, whatever their size, so that one lost oboist
matters; the same square for the mean share of all, so that not all of them read too easy for the sake of the
worst; the share of sections whose part is too hard or too easy; and the greatest chance of being lost.

Source: house choices; the weights of the mean share and of what is out of band are set so that the figures
of ``tests.benchmarks.plan_figures`` come near what the libraries there allow.
"""


class Verdict(StrEnum):
    """How a section would read its part at sight."""

    TOO_EASY = "too easy"
    JUST_READABLE = "just readable"
    TOO_HARD = "too hard"
    UNKNOWN = "unknown"


def verdict_of(share: float | None) -> Verdict:
    """Too easy, just readable or too hard, by expected share.

    Example:
        >>> [str(verdict_of(share)) for share in (0.84, 0.5, None)]
        ['just readable', 'too hard', 'unknown']
    """
    if share is None:
        return Verdict.UNKNOWN
    if share > EASY_ABOVE:
        return Verdict.TOO_EASY
    return Verdict.TOO_HARD if share < HARD_BELOW else Verdict.JUST_READABLE


@dataclass(frozen=True, slots=True)
class Ask:
    """What one part asks of one section on a day.

    Attributes:
        share: Expected share of bars right on the first reading, 0 to 1.
        lost: Chance that the section gets fewer than ``LOST_SHARE`` right, 0 to 1.
    """

    share: float
    lost: float


def ask_of(section_level: float, part_level: float, error: float) -> Ask:
    """How a section stands before a part.

    Args:
        section_level: Level expected of the section that day.
        part_level: Level of the part.
        error: Standard error of the distance between the two, in levels.

    Example:
        >>> ask = ask_of(2.0, 3.0, 0.45)
        >>> round(ask.share, 2), round(ask.lost, 2)
        (0.6, 0.25)
    """
    gap = part_level - section_level
    if error > 0:
        lost = 0.5 * math.erfc((LOST_GAP - gap) / (error * math.sqrt(2)))
    else:
        lost = 1.0 if gap > LOST_GAP else 0.0
    return Ask(expected_share(section_level, part_level), lost)


def reading_cost(asks: Sequence[Ask], aim: float) -> float:
    """What it costs that these sections read these parts together; 0 when all are right on the aim.

    Args:
        asks: One for each section that reads; without any the cost is 0.
        aim: Share of bars they should get right, 0 to 1.

    Example:
        >>> round(reading_cost([Ask(0.84, 0.0), Ask(0.64, 0.1)], 0.84), 6)
        300.0
    """
    if not asks:
        return 0.0
    losses = [((ask.share - aim) / LOSS_UNIT) ** 2 for ask in asks]
    middle = ((sum(ask.share for ask in asks) / len(asks) - aim) / LOSS_UNIT) ** 2
    out = sum(verdict_of(ask.share) is not Verdict.JUST_READABLE for ask in asks) / len(asks)
    return (
        WORST_WEIGHT * max(losses)
        + MEAN_WEIGHT * sum(losses) / len(losses)
        + MIDDLE_WEIGHT * middle
        + OUT_WEIGHT * out
        + LOST_WEIGHT * max(ask.lost for ask in asks)
    )
