"""How hard each part and the piece are, and why."""

from dataclasses import dataclass

import numpy as np

from planner.core.difficulty import Dimension
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import Contribution
from planner.study.difficulty.evidence import Evidence, PartEvidence, gather
from planner.study.difficulty.grade_charts import Bounds, chart_bounds
from planner.study.difficulty.page_dimensions import (
    density_level,
    endurance_level,
    expression_level,
    independence_level,
    roadmap_level,
    whole_independence,
)
from planner.study.difficulty.pitch_dimensions import key_level, motion_level, range_level
from planner.study.difficulty.rhythm_dimensions import meter_level, rhythm_level
from planner.study.difficulty.scales import DimensionLevel, bounded
from planner.study.difficulty.texture import Texture
from planner.study.difficulty.weights import WEIGHTS, piece_level, weighted
from planner.study.facts import StudyFacts
from planner.study.lines.technique import technique_level
from planner.study.notes.columns import Columns

STANDARD_ERROR, WIDE_ERROR = 0.5, 0.8
"""Standard error of a level; the wider one where the instrument is not known, or no chart speaks.

Source: residuals of the graded hymns and piano pieces around the fitted line, about half a level; the wider
one is a house choice.
"""


@dataclass(frozen=True, slots=True)
class Dimensions:
    """Levels by dimension for each part in score order (empty for a part that never plays), and shared ones.

    ``whole`` holds what is asked of everyone together: independence. ``shares`` is each part's weight in the
    piece, see ``Evidence``.
    """

    parts: tuple[tuple[DimensionLevel, ...], ...]
    whole: tuple[DimensionLevel, ...]
    shares: tuple[float, ...] = ()


def measure_dimensions(columns: Columns, facts: StudyFacts, evidence: Evidence) -> Dimensions:
    """Every dimension of every part."""
    shared = (meter_level(facts), roadmap_level(facts))
    parts = tuple(
        (*_own(each, columns, facts, evidence.texture), *shared) if each else () for each in evidence.parts
    )
    return Dimensions(parts, (whole_independence(evidence.texture, evidence.shares),), evidence.shares)


def _own(
    each: PartEvidence, columns: Columns, facts: StudyFacts, texture: Texture
) -> tuple[DimensionLevel, ...]:
    own = [
        rhythm_level(each.rhythm),
        density_level(each.rates),
        independence_level(each.part, each.lines, columns, texture),
        expression_level(each.part),
        endurance_level(each.lines),
    ]
    if each.part.is_pitched:
        own.append(range_level(each.part, each.lines, each.compass))
    if each.has_melody:
        own += [key_level(each.part, facts), motion_level(each.lines, *technique_level(each))]
    return tuple(own)


@dataclass(frozen=True, slots=True)
class PartLevel:
    """Level of one part from 0.5 to 6, its standard error, and what makes it; None without notes.

    ``chart`` is where the published charts put it, with the limits of the grade below that it breaks;
    None where no chart speaks.
    """

    level: float | None
    error: float | None
    contributions: tuple[Contribution, ...] = ()
    chart: Bounds | None = None


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
    whole = combine(of_piece(dimensions), _of_everyone(bounds, evidence.shares), is_piece=True)
    return DifficultyStudy(parts, whole.level, whole.contributions)


def combine(
    levels: tuple[DimensionLevel, ...], chart: Bounds | None = None, *, is_piece: bool = False
) -> PartLevel:
    """One level out of the dimensions': the lowest level plus each dimension's share above it.

    A whole piece is then put on the scale of the published grades. Where the charts speak, the level is
    held between what they say.
    """
    if not levels:
        return PartLevel(None, None)
    level = weighted({each.name: each.level for each in levels}, WEIGHTS)
    level = piece_level(level) if is_piece else level
    if chart:
        level = min(max(level, chart.floor), chart.ceiling)
    parts = [Contribution(e.name, round(e.level, 2), WEIGHTS[e.name], e.evidence) for e in levels]
    parts.sort(key=lambda c: (-c.weight * (c.level - LOWEST_LEVEL), c.name))
    error = STANDARD_ERROR if chart else WIDE_ERROR
    return PartLevel(round(bounded(level), 2), error, tuple(parts), chart)


def _of_everyone(bounds: list[Bounds | None], shares: tuple[float, ...]) -> Bounds | None:
    """The charts' word on the piece: what a quarter of the lines is held to, and most kept under."""
    known = [(each, share) for each, share in zip(bounds, shares, strict=True) if each and share]
    if not known or len(known) < sum(1 for share in shares if share):
        return None
    weights = [share for _, share in known]
    floor = _quantile([each.floor for each, _ in known], weights, 0.75)
    return Bounds(floor, _quantile([each.ceiling for each, _ in known], weights, 0.75))


def _quantile(values: list[float], weights: list[float], share: float) -> float:
    """The value below or at which a share of the weight lies."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(np.array(weights)[order])
    return float(np.array(values)[order][np.searchsorted(reached, share * reached[-1] - 1e-9)])


def of_piece(dimensions: Dimensions) -> tuple[DimensionLevel, ...]:
    """The dimensions of the piece: of each the harder parts' level, independence as a whole."""
    shared = {each.name for each in dimensions.whole}
    found = list(dimensions.whole) if any(dimensions.parts) else []
    for name in Dimension:
        asked = [
            (each, share)
            for part, share in zip(dimensions.parts, dimensions.shares, strict=True)
            for each in part
            if each.name == name
        ]
        if asked and name not in shared:
            levels, weights = np.array([(each.level, share) for each, share in asked]).T
            level = float((weights @ levels**PEAK / weights.sum()) ** (1 / PEAK))
            hardest, _ = max(asked, key=lambda pair: pair[0].level)
            found.append(DimensionLevel(name, level, hardest.evidence))
    return tuple(found)


PEAK = 4.0
"""Exponent of the mean over parts: the harder parts count for more. Source: house choice."""
