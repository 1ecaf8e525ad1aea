"""What came out on a reading day: stored, turned into exposures, and into section levels."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.core.change import Author, ChangeKind
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Section
from planner.core.term import FELL_APART_SHARE, Result
from planner.errors import InputError, NotFoundError
from planner.levels.history import Misfit
from planner.services.changes.journal import recorded
from planner.services.changes.records import put_result, reading_subject
from planner.services.day.odd_results import odd_results
from planner.services.day.result_entry import ResultEntry, entry_of
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.entered.shares import check_share
from planner.services.entered.words import entered_line
from planner.services.levels.section_levels import (
    LevelChange,
    SectionEvidence,
    refresh_levels,
    section_evidence,
)
from planner.services.ports.work import UnitOfWork
from planner.services.results.hard_bars import with_skills
from planner.services.results.typed import check_tempo

LONGEST_REMARK = 500
"""Letters of a remark on a section's reading. Source: house choice, as those on a player."""


@dataclass(frozen=True, slots=True)
class LoggedDay:
    """What logging a day did.

    Attributes:
        on: Which day.
        results: All results of that day as they are now.
        changes: The sections whose level moved.
        misfits: By name, the sections among those logged whose last results are not as expected.
    """

    on: date
    results: tuple[Result, ...]
    changes: tuple[LevelChange, ...]
    misfits: Mapping[str, Misfit]


def log_results(
    work: UnitOfWork,
    ensemble_id: int,
    on: date,
    entries: Sequence[ResultEntry],
    *,
    by: Author,
    today: date,
    answers: Answers = NONE_YET,
    seen: Collection[int] = (),
) -> LoggedDay:
    """Store results, use the pieces up, move the levels, and journal what was entered.

    Entering a day again replaces what was entered; levels are always worked out anew
    from each section's starting level and all its results in order, so nothing counts twice.
    A result that does not count uses the piece up, and moves no level.

    Args:
        work: An open unit of work.
        ensemble_id: Who read.
        on: The reading day.
        entries: What each section did.
        by: Who enters it.
        today: Against which the day is held.
        answers: What was said yes to.
        seen: Sections of which whoever enters this has seen what is stored.

    Raises:
        NotFoundError: If the ensemble, a section or a piece does not exist.
        InputError: If the day of a result is still to come, a share lies outside 0 to 1 or below a bar of
            100, there is a second reading without a first, a tempo is none, a problem is no focus word, a
            place does not lie in the piece, or a remark is too long.
        OddEntryError: If the day is far away or no reading day, a section was to be away, one bar alone is
            right, or another's result would be replaced unseen.
    """
    ensemble = work.ensembles.get(ensemble_id)
    sections = {section.id: section for section in ensemble.sections}
    there = work.pieces.titles({entry.piece_id for entry in entries})
    entries = [checked_entry(entry, sections) for entry in entries]
    for entry in entries:
        if entry.piece_id not in there:
            raise NotFoundError("piece", entry.piece_id)
    answers.ask(odd_results(work, ensemble, on, entries, by=by, today=today, seen=seen))
    for piece_id in sorted({entry.piece_id for entry in entries}):
        subject = reading_subject(piece_id, there[piece_id], ensemble_id, on)
        stored = stored_entries(work, ensemble_id, on, piece_id)
        own = with_skills(work, ensemble, [each for each in entries if each.piece_id == piece_id], stored)
        with recorded(work, ChangeKind.RESULTS, subject, by):
            for entry in own:
                put_result(work, subject, entry.section_id, _result(ensemble_id, on, entry, stored))
    evidence = section_evidence(work, ensemble)
    return LoggedDay(
        on,
        tuple(work.results.list_results(ensemble_id, on)),
        refresh_levels(work, evidence),
        _misfits(evidence, on, {entry.section_id for entry in entries}),
    )


def stored_entries(work: UnitOfWork, ensemble_id: int, on: date, piece_id: int) -> Mapping[int, ResultEntry]:
    """What was entered of a piece on a day, by section, so that some of it can be entered otherwise."""
    return {
        r.section_id: entry_of(r)
        for r in work.results.list_results(ensemble_id, on)
        if r.piece_id == piece_id
    }


def _result(
    ensemble_id: int, on: date, entry: ResultEntry, stored: Mapping[int, ResultEntry]
) -> Result | None:
    if entry.first_share is None:
        return None
    before = stored.get(entry.section_id)
    counts = entry.counts if entry.counts is not None else before is None or before.counts is not False
    return Result(
        ensemble_id, entry.section_id, entry.piece_id, on, entry.first_share, entry.second_share,
        entry.tempo_bpm, entry.problems, entry.note, counts, entry.fell_apart, entry.wrong_bars,
    )  # fmt: skip


def _misfits(
    evidence: Mapping[int, SectionEvidence], on: date, section_ids: set[int]
) -> Mapping[str, Misfit]:
    """Misfits that the day belongs to, of some sections."""
    found = {each.section.name: each.trace.misfit for i, each in evidence.items() if i in section_ids}
    return {name: one for name, one in found.items() if one is not None and one.since <= on <= one.until}


def checked_entry(entry: ResultEntry, sections: Mapping[int, Section]) -> ResultEntry:
    """A line of results as it can be stored, its remark in one spelling.

    Raises:
        NotFoundError: If its section is none of these.
        InputError: If it cannot be stored; it names the field.
    """
    section = sections.get(entry.section_id)
    if section is None:
        raise NotFoundError("section", entry.section_id, hint="Enter results for this ensemble's sections.")
    for name, share in (("first", entry.first_share), ("second", entry.second_share)):
        if share is not None:
            check_share(section.name, share, f"{name}-{section.id}")
    if entry.second_share is not None and entry.first_share is None:
        raise InputError(
            f"{section.name}: there is a second reading without a first.",
            hint="Enter the first reading, or empty both.",
            field=f"first-{section.id}",
        )
    if entry.tempo_bpm is not None:
        check_tempo(section.name, entry.tempo_bpm, f"tempo-{section.id}")
    if entry.fell_apart and entry.first_share != FELL_APART_SHARE:
        raise InputError(
            f"{section.name}: a reading that fell apart has no number of bars beside it.",
            hint="Enter one or the other.", field=f"first-{section.id}",
        )  # fmt: skip
    for problem in entry.problems:
        if problem not in FOCUSES:
            raise InputError(
                f"{section.name}: {problem!r} is not a skill the plan knows.",
                hint=f"Choose from {', '.join(FOCUSES)}.",
            )
    what = f"{section.name}: the remark"
    return replace(
        entry, note=entered_line(entry.note, what, most=LONGEST_REMARK, field=f"note-{section.id}")
    )
