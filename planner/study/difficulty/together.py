"""The level of parts that are read together, and what makes it."""

from collections.abc import Sequence

import numpy as np

from planner.core.difficulty import Dimension
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import Contribution
from planner.study.difficulty.scales import bounded
from planner.study.notes.columns import Floats

WEAKEST_LINK = 6.0
"""Exponent of the mean over parts: the hardest part weighs most. Source: house choice."""


def level_together(levels: Sequence[float], weights: Sequence[float] | None = None) -> float | None:
    """Level of a piece for those who read it: a mean of their parts' levels in which the hardest weighs most.

    Never above the hardest part nor below the easiest, so that parts of one level make a piece of that level.

    Args:
        levels: Level of each part that is read, 0.5 to 6.
        weights: Weight of each; alike when not given.

    Returns:
        The level; None of no parts.

    Example:
        >>> level_together([2.0, 2.0, 2.0]), level_together([])
        (2.0, None)
    """
    if not len(levels):
        return None
    each = np.array(levels, dtype=float)
    weight = np.ones(len(each)) if weights is None else np.array(weights, dtype=float)
    if not weight.sum():
        return None
    return round(bounded(float((weight @ each**WEAKEST_LINK / weight.sum()) ** (1 / WEAKEST_LINK))), 2)


def shares_together(levels: Sequence[float]) -> Floats:
    """For each part the share of its level that is in the piece's: the shares times the levels add up to it.

    Source: Euler's theorem on homogeneous functions, for the mean of ``level_together``.

    Example:
        >>> shares_together([2.0, 2.0]).tolist()
        [0.5, 0.5]
    """
    each = np.array(levels, dtype=float)
    level = float((each**WEAKEST_LINK).mean()) ** (1 / WEAKEST_LINK)
    found: Floats = (each / level) ** (WEAKEST_LINK - 1) / len(each)
    return found


def contributions_together(
    levels: Sequence[float], parts: Sequence[Sequence[Contribution]]
) -> tuple[Contribution, ...]:
    """What makes the level of a piece: of each dimension what it makes in the parts, by their shares.

    Args:
        levels: Level of each part that is read.
        parts: What makes each of them.

    Returns:
        Contributions, the largest first; the evidence is that of the part where the dimension makes most.
    """
    if not levels:
        return ()
    shares = shares_together(levels)
    found = []
    for name in Dimension:
        own = [
            (share, each)
            for share, part in zip(shares, parts, strict=True)
            for each in part
            if each.name == name
        ]
        weight = sum(float(share) * each.weight for share, each in own)
        if not own:
            continue
        made = sum(float(share) * each.weight * (each.level - LOWEST_LEVEL) for share, each in own)
        most = max((each for _, each in own), key=lambda each: each.weight * (each.level - LOWEST_LEVEL))
        level = bounded(LOWEST_LEVEL + made / weight) if weight > 0.0 else most.level
        found.append(Contribution(name, round(level, 2), round(weight, 4), most.evidence))
    found.sort(key=lambda each: (-each.weight * (each.level - LOWEST_LEVEL), each.name))
    return tuple(found)
