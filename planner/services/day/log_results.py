"""What came out on a reading day: stored, turned into exposures, and into section levels."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.profile import PieceProfile
from planner.core.term import Result
from planner.errors import InputError, NotFoundError
from planner.levels.belief import DEFAULT_ERROR
from planner.levels.history import LevelPoint, trace_level
from planner.matching.casting import cast_parts
from planner.services.levels.in_force import outlines_in_force
from planner.services.ports import UnitOfWork

ROUNDING = 0.05
"""Levels are shown to a tenth; half of that is no change."""


@dataclass(frozen=True, slots=True)
class ResultEntry:
    """One line of the results form: how a section read a piece. Shares are 0 to 1."""

    section_id: int
    piece_id: int
    first_share: float
    second_share: float | None = None
    tempo_bpm: float | None = None
    problems: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class LevelChange:
    """How a section's level moved by the results logged."""

    section: Section
    before: float
    after: float
    error: float


@dataclass(frozen=True, slots=True)
class LoggedDay:
    """What logging a day did."""

    on: date
    results: tuple[Result, ...]
    changes: tuple[LevelChange, ...]


def log_results(work: UnitOfWork, ensemble_id: int, on: date, entries: Sequence[ResultEntry]) -> LoggedDay:
    """Store results, use the pieces up, and move the levels.

    Entering a day again replaces what was entered; levels are always worked out anew
    from each section's starting level and all its results in order, so nothing counts twice.

    Args:
        work: An open unit of work.
        ensemble_id: Who read.
        on: The reading day.
        entries: What each section did.

    Raises:
        NotFoundError: If the ensemble, a section or a piece does not exist.
        InputError: If a share lies outside 0 to 1, a tempo is not above 0, or a problem is no focus word.
    """
    ensemble = work.ensembles.get(ensemble_id)
    sections = {section.id: section for section in ensemble.sections}
    there = work.pieces.titles({entry.piece_id for entry in entries})
    for entry in entries:
        _check(entry, sections)
        if entry.piece_id not in there:
            raise NotFoundError("piece", entry.piece_id)
    for entry in entries:
        work.results.put(
            Result(
                ensemble_id, entry.section_id, entry.piece_id, on, entry.first_share,
                entry.second_share, entry.tempo_bpm, entry.problems, entry.note,
            )
        )  # fmt: skip
    for piece_id in sorted({entry.piece_id for entry in entries}):
        work.ensembles.add_exposure(Exposure(ensemble_id, piece_id, "read", on))
    changes = refresh_levels(work, ensemble)
    stored = tuple(work.results.list_results(ensemble_id, on))
    return LoggedDay(on, stored, changes)


def _check(entry: ResultEntry, sections: dict[int, Section]) -> None:
    section = sections.get(entry.section_id)
    if section is None:
        raise NotFoundError("section", entry.section_id, hint="Enter results for this ensemble's sections.")
    for name, share in (("first", entry.first_share), ("second", entry.second_share)):
        if share is not None and not 0.0 <= share <= 1.0:
            raise InputError(
                f"{section.name}: the share right on the {name} reading is {share:g}, outside 0 to 1.",
                hint="Enter the bars right as a share or percentage.",
            )
    if entry.tempo_bpm is not None and not entry.tempo_bpm > 0:
        raise InputError(
            f"{section.name}: the tempo {entry.tempo_bpm:g} is not above 0.", hint="Enter beats a minute."
        )
    for problem in entry.problems:
        if problem not in FOCUSES:
            raise InputError(
                f"{section.name}: {problem!r} is not a skill the plan knows.",
                hint=f"Choose from {', '.join(FOCUSES)}.",
            )


def refresh_levels(work: UnitOfWork, ensemble: Ensemble) -> tuple[LevelChange, ...]:
    """Work out every section's level anew from its start and all its results; store those that moved."""
    results = work.results.list_results(ensemble.id)
    pieces = work.pieces.get_all({result.piece_id for result in results})
    profiles = outlines_in_force(work, pieces.values())
    changes = []
    for section in ensemble.sections:
        points = _points(section, results, profiles, ensemble)
        if not points and section.start_level is None:
            continue
        start = section.level if section.start_level is None else section.start_level
        start_error = section.level_error if section.start_level is None else section.start_error
        level, error = start, start_error
        if points:
            now = trace_level(start, start_error, points, start_on=section.start_on).now
            level, error = now.level, now.error
        moved = replace(
            section, level=level, level_error=error if points else start_error,
            start_level=start, start_error=start_error,
        )  # fmt: skip
        if moved != section:
            work.ensembles.update_section(moved)
            changes.append(LevelChange(moved, section.level, level, error or DEFAULT_ERROR))
    return tuple(changes)


def take_word(work: UnitOfWork, ensemble: Ensemble, before: Section, section: Section) -> Section:
    """A changed section with its level taken as the director's word, if that was changed.

    The word counts from the day after the section's last result on: what was read before
    is in it. A difference below a twentieth is the rounding of what was shown, not a word.
    """
    if abs(section.level - before.level) < ROUNDING:
        return replace(
            section, level=before.level, level_error=before.level_error, start_level=before.start_level,
            start_error=before.start_error, start_on=before.start_on,
        )  # fmt: skip
    read = [r.on for r in work.results.list_results(ensemble.id) if r.section_id == section.id]
    return replace(
        section,
        level_error=None,
        start_level=section.level if read else None,
        start_error=None,
        start_on=max(read) + timedelta(days=1) if read else None,
    )


def _points(
    section: Section,
    results: Sequence[Result],
    profiles: dict[int, PieceProfile],
    ensemble: Ensemble,
) -> list[LevelPoint]:
    """A section's results as evidence in order of date; pieces whose part has no level say nothing."""
    points = []
    own = [r for r in results if r.section_id == section.id]
    for result in sorted(own, key=lambda r: (r.on, r.piece_id)):
        if section.start_on is not None and result.on < section.start_on:
            continue
        profile = profiles.get(result.piece_id)
        found = part_level(profile, section, ensemble) if profile else None
        if found is not None:
            points.append(LevelPoint(result.on, found[0], result.first_share, found[1]))
    return points


def part_level(profile: PieceProfile, section: Section, ensemble: Ensemble) -> tuple[float, float] | None:
    """Level and standard error of the part a section reads, by the levels in force; None unknown.

    A section without a part of its own is taken to have read at the level of the piece.
    """
    cast = cast_parts(profile.parts, ensemble.sections).part_of(section.id)
    if cast is not None:
        part = profile.part(cast.part)
        if part.level is not None:
            return part.level, part.level_error or 0.0
    return None if profile.level is None else (profile.level, 0.0)
