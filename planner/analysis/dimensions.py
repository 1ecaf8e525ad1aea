"""The level each dimension of difficulty asks of each part, with the evidence for it."""

from dataclasses import dataclass

from planner.analysis.columns import Columns
from planner.analysis.dim_page import (
    attack_rates,
    density_level,
    endurance_level,
    expression_level,
    independence_level,
    roadmap_level,
    whole_independence,
)
from planner.analysis.dim_pitch import key_level, motion_level, range_level
from planner.analysis.dim_rhythm import beats_of, meter_level, rhythm_level
from planner.analysis.facts import StudyFacts
from planner.analysis.ranges import measure_range
from planner.analysis.scales import DimensionLevel
from planner.analysis.strands import strands_of
from planner.analysis.texture import measure_texture


@dataclass(frozen=True, slots=True)
class Dimensions:
    """Levels by dimension for each part in score order (empty for a part that never plays), and shared ones.

    ``whole`` holds what is asked of everyone together: independence.
    """

    parts: tuple[tuple[DimensionLevel, ...], ...]
    whole: tuple[DimensionLevel, ...]


def measure_dimensions(columns: Columns, facts: StudyFacts) -> Dimensions:
    """Every dimension of every part."""
    strands, beats = strands_of(columns), beats_of(columns, facts)
    texture = measure_texture(columns, strands)
    shared = (meter_level(facts), roadmap_level(facts))
    found: list[tuple[DimensionLevel, ...]] = []
    for part, lines in zip(columns.parts, strands, strict=True):
        if not lines:
            found.append(())
            continue
        own = [
            rhythm_level(lines, beats),
            density_level(attack_rates(lines, columns, facts)),
            independence_level(part, texture),
            expression_level(part),
            endurance_level(lines, facts),
        ]
        if part.is_pitched:
            compass = measure_range(part)
            own += [key_level(part, facts), range_level(part, lines, compass), motion_level(lines)]
        found.append((*own, *shared))
    return Dimensions(tuple(found), (whole_independence(columns, texture),))
