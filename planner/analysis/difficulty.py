"""How hard each part and the piece are, and why."""

from dataclasses import dataclass

import numpy as np

from planner.analysis.columns import Columns
from planner.analysis.dimensions import Dimensions, measure_dimensions
from planner.analysis.facts import StudyFacts
from planner.analysis.scales import DimensionLevel, bounded
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import DIMENSIONS, Contribution

WEIGHTS: dict[str, float] = {
    "rhythm": 0.22, "meter": 0.06, "key": 0.12, "range": 0.12, "motion": 0.14,
    "density": 0.16, "independence": 0.10, "roadmap": 0.02, "expression": 0.03, "endurance": 0.03,
}  # fmt: skip
"""What each dimension adds to a level for every level it asks. Source: house choice, to be fitted."""

STANDARD_ERROR = 0.5


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
    dimensions = measure_dimensions(columns, facts)
    parts = tuple(combine(levels) for levels in dimensions.parts)
    whole = combine(of_piece(dimensions))
    return DifficultyStudy(parts, whole.level, whole.contributions)


def combine(levels: tuple[DimensionLevel, ...]) -> PartLevel:
    """One level out of the dimensions': the lowest level plus each dimension's share above it."""
    if not levels:
        return PartLevel(None, None)
    level = LOWEST_LEVEL + sum(WEIGHTS[each.name] * (each.level - LOWEST_LEVEL) for each in levels)
    parts = [Contribution(e.name, round(e.level, 2), WEIGHTS[e.name], e.why) for e in levels]
    parts.sort(key=lambda c: (-c.weight * (c.level - LOWEST_LEVEL), c.name))
    return PartLevel(round(bounded(level), 2), STANDARD_ERROR, tuple(parts))


def of_piece(dimensions: Dimensions) -> tuple[DimensionLevel, ...]:
    """The dimensions of the piece: of each the hardest parts' level, independence as a whole."""
    shared = {each.name for each in dimensions.whole}
    found = list(dimensions.whole) if any(dimensions.parts) else []
    for name in DIMENSIONS:
        asked = [each for part in dimensions.parts for each in part if each.name == name]
        if asked and name not in shared:
            levels = np.array([each.level for each in asked])
            level = float(np.mean(levels**PEAK) ** (1 / PEAK))
            found.append(DimensionLevel(name, level, max(asked, key=lambda each: each.level).why))
    return tuple(found)


PEAK = 4.0
"""Exponent of the mean over parts: the harder parts count for more. Source: house choice."""
