"""How hard each part and the piece are, and why."""

from dataclasses import dataclass

import numpy as np

from planner.analysis.columns import Columns
from planner.analysis.dimensions import DimensionLevel, measure_dimensions
from planner.analysis.facts import StudyFacts
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.profile import Contribution

WEIGHTS: dict[str, float] = {
    "rhythm": 0.22, "meter": 0.06, "key": 0.12, "range": 0.12, "motion": 0.14,
    "density": 0.16, "independence": 0.10, "roadmap": 0.02, "expression": 0.03, "endurance": 0.03,
}  # fmt: skip
"""Share of each dimension in a part's level; they add to 1. Source: house choice, to be fitted."""

PEAK = 4.0
"""Exponent of the mean of levels: above 1 the hardest dimensions count for more. Source: house choice."""


@dataclass(frozen=True, slots=True)
class PartLevel:
    """Level of one part from 0.5 to 6, its standard error, and what makes it; None without notes."""

    level: float | None
    error: float | None
    contributions: tuple[Contribution, ...] = ()


@dataclass(frozen=True, slots=True)
class DifficultyStudy:
    """Levels of the parts in score order, and of the piece."""

    parts: tuple[PartLevel, ...]
    level: float | None
    contributions: tuple[Contribution, ...] = ()


def rate(columns: Columns, facts: StudyFacts) -> DifficultyStudy:
    """Rate every part and the piece."""
    parts = tuple(_part_level(levels) for levels in measure_dimensions(columns, facts))
    rated = [part for part in parts if part.level is not None]
    if not rated:
        return DifficultyStudy(parts, None)
    levels = np.array([part.level for part in rated])
    piece = float(np.clip(np.quantile(levels, 0.75), LOWEST_LEVEL, HIGHEST_LEVEL))
    return DifficultyStudy(parts, round(piece, 2), _of_piece(rated))


def _part_level(levels: tuple[DimensionLevel, ...]) -> PartLevel:
    if not levels:
        return PartLevel(None, None)
    weights = np.array([WEIGHTS[each.name] for each in levels])
    values = np.array([each.level for each in levels])
    level = float((weights @ values**PEAK / weights.sum()) ** (1 / PEAK))
    parts = [Contribution(e.name, round(e.level, 2), WEIGHTS[e.name], e.why) for e in levels]
    parts.sort(key=lambda c: (-c.weight * c.level**PEAK, c.name))
    return PartLevel(round(min(HIGHEST_LEVEL, max(LOWEST_LEVEL, level)), 2), 0.5, tuple(parts))


def _of_piece(parts: list[PartLevel]) -> tuple[Contribution, ...]:
    """For each dimension the hardest part's contribution."""
    hardest: dict[str, Contribution] = {}
    for part in parts:
        for c in part.contributions:
            if c.name not in hardest or c.level > hardest[c.name].level:
                hardest[c.name] = c
    return tuple(sorted(hardest.values(), key=lambda c: (-c.weight * c.level**PEAK, c.name)))
