"""How hard each part and the piece are, and why."""

from dataclasses import dataclass

import numpy as np

from planner.analysis.columns import Columns
from planner.analysis.dimensions import Dimensions, measure_dimensions
from planner.analysis.evidence import Evidence, gather
from planner.analysis.facts import StudyFacts
from planner.analysis.level_weights import WEIGHTS, weighted
from planner.analysis.limits import Bounds, chart_bounds
from planner.analysis.scales import DimensionLevel, bounded
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import DIMENSIONS, Contribution

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


def rate(columns: Columns, facts: StudyFacts, evidence: Evidence | None = None) -> DifficultyStudy:
    """Rate every part and the piece.

    Args:
        columns: The score.
        facts: What the study settled before.
        evidence: What ``evidence.gather`` measured of it; measured anew when not given.
    """
    evidence = evidence or gather(columns, facts)
    dimensions = measure_dimensions(columns, facts, evidence)
    bounds = [chart_bounds(each, columns, facts) if each else None for each in evidence.parts]
    parts = tuple(combine(levels, chart) for levels, chart in zip(dimensions.parts, bounds, strict=True))
    whole = combine(of_piece(dimensions), _of_everyone(bounds))
    return DifficultyStudy(parts, whole.level, whole.contributions)


def combine(levels: tuple[DimensionLevel, ...], chart: Bounds | None = None) -> PartLevel:
    """One level out of the dimensions': the lowest level plus each dimension's share above it.

    Where the published charts speak, the level is held between what they say.
    """
    if not levels:
        return PartLevel(None, None)
    level = weighted({each.name: each.level for each in levels}, WEIGHTS)
    if chart:
        level = min(max(level, chart.floor), chart.ceiling)
    parts = [Contribution(e.name, round(e.level, 2), WEIGHTS[e.name], e.why) for e in levels]
    parts.sort(key=lambda c: (-c.weight * (c.level - LOWEST_LEVEL), c.name))
    return PartLevel(round(bounded(level), 2), STANDARD_ERROR, tuple(parts))


def _of_everyone(bounds: list[Bounds | None]) -> Bounds | None:
    """The charts' word on the piece: what most of the harder parts are held to."""
    known = [each for each in bounds if each]
    if not known or len(known) < len([b for b in bounds if b is not None]):
        return None
    floors, ceilings = (np.array([getattr(b, side) for b in known]) for side in ("floor", "ceiling"))
    return Bounds(
        float(np.quantile(floors, 0.5, method="lower")), float(np.quantile(ceilings, 0.75, method="lower"))
    )


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
