"""The level each dimension of difficulty asks of each part, with the evidence for it."""

from dataclasses import dataclass

from planner.study.difficulty.evidence import Evidence, PartEvidence
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
from planner.study.difficulty.scales import DimensionLevel
from planner.study.difficulty.texture import Texture
from planner.study.facts import StudyFacts
from planner.study.lines.technique import technique_level
from planner.study.notes.columns import Columns


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
