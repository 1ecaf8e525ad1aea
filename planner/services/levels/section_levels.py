"""Levels of sections: worked out from each section's start and all its results, and kept up with both."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.core.ensemble import Ensemble, Section, StartBasis
from planner.core.profile import PartProfile, PieceProfile
from planner.core.term import Result
from planner.levels.belief import DEFAULT_ERROR
from planner.levels.history import LevelPoint, LevelTrace, trace_level
from planner.matching.casting import cast_parts
from planner.services.levels.in_force import outlines_in_force
from planner.services.levels.index import Moved, are_corrected, index_levels
from planner.services.ports.work import UnitOfWork

ROUNDING = 0.05
"""Levels are shown to a tenth; half of that is no change."""


@dataclass(frozen=True, slots=True)
class LevelChange:
    """How a section's level moved."""

    section: Section
    before: float
    after: float
    error: float


@dataclass(frozen=True, slots=True)
class SectionEvidence:
    """What is known of a section's level.

    Attributes:
        section: Which, as it is stored.
        results: Its results since its start whose part has a level, in order of date.
        points: The same as evidence, one for each.
        trace: The belief from its start through all of them.
        earlier: Results from before its start, which are in it, each with its evidence.
    """

    section: Section
    results: tuple[Result, ...]
    points: tuple[LevelPoint, ...]
    trace: LevelTrace
    earlier: tuple[tuple[Result, LevelPoint], ...] = ()


def section_evidence(
    work: UnitOfWork, ensemble: Ensemble, *, today: date | None = None, only: int | None = None
) -> Mapping[int, SectionEvidence]:
    """Every section's start, results and belief, by its id.

    Args:
        work: An open unit of work; nothing is changed.
        ensemble: Whose sections.
        only: Of this section alone; None takes all.
        today: As of which day a level holds behind which no result and no date stands; None leaves it open.
    """
    results = work.results.list_results(ensemble.id)
    pieces = work.pieces.get_all({result.piece_id for result in results})
    profiles = outlines_in_force(work, pieces.values())
    parts = {piece_id: _parts_read(profile, ensemble) for piece_id, profile in profiles.items()}
    found = {}
    for section in (each for each in ensemble.sections if only in (None, each.id)):
        all_known = list(_known(section, results, profiles, parts))
        known = [each for each in all_known if section.start_on is None or each[0].on >= section.start_on]
        points = tuple(point for _, point in known)
        start, start_error = _start(section)
        on = section.start_on if points else section.start_on or today
        trace = trace_level(start, start_error, points, start_on=on)
        earlier = tuple(each for each in all_known if each not in known)
        found[section.id] = SectionEvidence(
            section, tuple(result for result, _ in known), points, trace, earlier
        )
    return found


def trace_without(each: SectionEvidence, on: date) -> LevelTrace:
    """The belief about a section as it would be had it read nothing on a day."""
    start, start_error = _start(each.section)
    points = tuple(point for point in each.points if point.on != on)
    if len(points) == len(each.points):
        return each.trace
    return trace_level(start, start_error, points, start_on=each.trace.start_on)


def refresh_levels(work: UnitOfWork, evidence: Mapping[int, SectionEvidence]) -> tuple[LevelChange, ...]:
    """Store the levels that sections come to by what is known of them; those that moved."""
    changes = []
    for each in evidence.values():
        section, trace = each.section, each.trace
        if not trace.days and section.start_level is None:
            continue
        start, start_error = _start(section)
        now, error = (trace.now.level, trace.now.error) if trace.days else (start, start_error)
        moved = replace(
            section, level=now, level_error=error, start_level=start, start_error=start_error
        )  # fmt: skip
        if moved != section:
            work.ensembles.update_section(moved)
            changes.append(LevelChange(moved, section.level, now, error or DEFAULT_ERROR))
    return tuple(changes)


def follow_levels(work: UnitOfWork, changed: Collection[int] | None = None) -> tuple[Moved, ...]:
    """After a change to studies, published grades or corrections: every level that rests on them.

    First those of the pieces, as ``index_levels`` stores them, then those of the sections that read them.
    Call it in the transaction that changed something.

    Args:
        work: An open unit of work.
        changed: Pieces whose study or published grade is new; None looks at all.

    Returns:
        The pieces that moved, the largest move first.
    """
    moved = index_levels(work, changed)
    touches_all = changed is None or are_corrected(work, changed)
    if touches_all:
        read = {result.ensemble_id for result in work.results.list_results()}
    else:
        read = set(work.results.ensembles_that_read(changed or ()))
    for ensemble_id in sorted(read):
        refresh_levels(work, section_evidence(work, work.ensembles.get(ensemble_id)))
    return moved


def take_word(work: UnitOfWork, ensemble: Ensemble, before: Section, section: Section) -> Section:
    """A changed section with its level taken as the director's word, if that was changed.

    The word counts from the day after the section's last result on: what was read before
    is in it. A difference below a twentieth is the rounding of what was shown, not a word.
    """
    if abs(section.level - before.level) < ROUNDING:
        return replace(
            section, level=before.level, level_error=before.level_error, start_level=before.start_level,
            start_error=before.start_error, start_on=before.start_on, start_basis=before.start_basis,
        )  # fmt: skip
    read = [r.on for r in work.results.list_results(ensemble.id) if r.section_id == section.id]
    return replace(
        section,
        level_error=None,
        start_level=section.level if read else None,
        start_error=None,
        start_on=max(read) + timedelta(days=1) if read else None,
        start_basis=StartBasis(),
    )


def part_level(profile: PieceProfile, section: Section, ensemble: Ensemble) -> tuple[float, float] | None:
    """Level and standard error of the part a section reads, by the levels in force; None unknown.

    A section without a part of its own is taken to have read at the level of the piece.
    """
    return _level_of(profile, _parts_read(profile, ensemble).get(section.id))


def _start(section: Section) -> tuple[float, float | None]:
    """The level from which results move a section's, and its standard error."""
    if section.start_level is None:
        return section.level, section.level_error
    return section.start_level, section.start_error


def _parts_read(profile: PieceProfile, ensemble: Ensemble) -> dict[int, PartProfile]:
    """The part each section reads, by section; those without one are left out."""
    casting = cast_parts(profile.parts, ensemble.sections)
    cast = {section.id: casting.part_of(section.id) for section in ensemble.sections}
    return {section: profile.part(one.part) for section, one in cast.items() if one is not None}


def _level_of(profile: PieceProfile, part: PartProfile | None) -> tuple[float, float] | None:
    if part is not None and part.level is not None:
        return part.level, part.level_error or 0.0
    return None if profile.level is None else (profile.level, 0.0)


def _known(
    section: Section,
    results: Sequence[Result],
    profiles: Mapping[int, PieceProfile],
    parts: Mapping[int, Mapping[int, PartProfile]],
) -> Iterator[tuple[Result, LevelPoint]]:
    """A section's results as evidence in order of date; pieces whose part has no level say nothing."""
    own = (r for r in results if r.section_id == section.id)
    for result in sorted(own, key=lambda r: (r.on, r.piece_id)):
        profile = profiles.get(result.piece_id)
        if profile is None:
            continue
        part = parts[result.piece_id].get(section.id)
        found = _level_of(profile, part)
        if found is not None:
            demands = part.contributions if part is not None else profile.contributions
            yield result, LevelPoint(
                result.on, found[0], result.first_share, found[1], result.counts, result.problems,
                tuple((each.name, each.level) for each in demands),
            )  # fmt: skip
