"""How hard each part and the piece are, and why."""

from dataclasses import dataclass

from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import Contribution
from planner.study.difficulty.evidence import Evidence, PartEvidence, gather
from planner.study.difficulty.key_dimensions import accidentals_level, key_level, transposition_level
from planner.study.difficulty.page_dimensions import (
    clef_and_ledger_levels,
    endurance_level,
    expression_level,
    hands_level,
    independence_level,
    rests_level,
    roadmap_level,
)
from planner.study.difficulty.pitch_dimensions import (
    CHORDS_OF_A_PLAYER,
    chords_level,
    motion_level,
    notes_level,
    position_level,
    range_level,
)
from planner.study.difficulty.printed import printed_notes
from planner.study.difficulty.rhythm_dimensions import (
    meter_level,
    rhythm_level,
    syncopation_level,
    variety_level,
)
from planner.study.difficulty.scales import DimensionLevel, bounded
from planner.study.difficulty.speed_dimensions import density_level, measure_seconds, runs_level
from planner.study.difficulty.together import contributions_together, level_together
from planner.study.difficulty.weights import scale_of
from planner.study.facts import StudyFacts
from planner.study.lines.technique import written_for
from planner.study.notes.columns import Columns

STANDARD_ERROR, WIDE_ERROR = 0.5, 0.8
"""Standard error of a level; the wider one where the instrument is not known.

Source: parts graded from their page scatter by 0.35 around levels that never saw them, and their grades by as
much around the truth, together half a level; the wider one is a house choice.
"""


def measure_dimensions(
    columns: Columns, facts: StudyFacts, evidence: Evidence
) -> tuple[tuple[DimensionLevel, ...], ...]:
    """Every dimension of every part in score order; none for a part that never plays."""
    meter, roadmap = meter_level(facts, len(columns.measure_start)), roadmap_level(facts)
    return tuple(
        (*_own(each, columns, facts, evidence), meter, roadmap) if each else () for each in evidence.parts
    )


def _own(
    each: PartEvidence, columns: Columns, facts: StudyFacts, evidence: Evidence
) -> tuple[DimensionLevel, ...]:
    part, lines, instrument, count = each.part, each.lines, each.instrument, len(columns.measure_start)
    texture, seconds = evidence.texture, measure_seconds(columns, facts)
    own = [
        rhythm_level(each.rhythm),
        variety_level(lines, columns),
        syncopation_level(each.rhythm, part),
        density_level(each.rates, seconds),
        runs_level(lines, facts),
        rests_level(lines, columns),
        expression_level(part),
        endurance_level(lines),
    ]
    between = texture.between_hands[part.index]
    own += [hands_level(between)] if between is not None else []
    unshared = texture.unshared[part.index]
    own += [independence_level(unshared)] if unshared is not None else []
    if each.family in CHORDS_OF_A_PLAYER:
        own.append(chords_level(lines))
    if not part.is_pitched:
        return tuple(own)
    printed = printed_notes(part)
    if instrument and instrument.id in BOWED:
        own.append(position_level(written_for(each, lines[0]), instrument.group))
    else:
        own.append(range_level(part, lines, each.compass, instrument))
    if each.has_melody:
        transposed = transposition_level(instrument) if instrument else None
        own += [key_level(part, count), accidentals_level(columns, part, printed)]
        own += [motion_level(part), notes_level(part)]
        own += clef_and_ledger_levels(columns, part, printed, instrument)
        own += [transposed] if transposed else []
    return tuple(own)


BOWED = frozenset({"violin", "viola", "cello", "double-bass"})
"""Instruments whose range is a matter of left-hand positions."""


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
    parts = tuple(
        combine(levels, each.family, is_known=each.instrument is not None) if each else PartLevel(None, None)
        for levels, each in zip(measure_dimensions(columns, facts, evidence), evidence.parts, strict=True)
    )
    group = [part for part, is_own in zip(parts, evidence.group, strict=True) if is_own]
    levels = [part.level for part in group if part.level is not None]
    return DifficultyStudy(
        parts, level_together(levels), contributions_together(levels, [part.contributions for part in group])
    )


def combine(levels: tuple[DimensionLevel, ...], family: str, *, is_known: bool) -> PartLevel:
    """One level out of the dimensions': where every part begins, and each dimension's share above it."""
    scale = scale_of(family)
    found = [Contribution(e.name, round(e.level, 2), scale.weights[e.name], e.evidence) for e in levels]
    total = scale.total({each.name: each.level for each in found})
    found = [each for each in found if each.weight]
    found.sort(key=lambda c: (-c.weight * (c.level - LOWEST_LEVEL), c.name))
    return PartLevel(round(bounded(total), 2), STANDARD_ERROR if is_known else WIDE_ERROR, tuple(found))
