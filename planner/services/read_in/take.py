"""Taking what was typed into a file: by the services that a page enters it with, as one change."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from planner.core.change import Author, ChangeKind, Subject
from planner.errors import ConflictError
from planner.services.changes.journal import recorded_as_one
from planner.services.changes.read_in_record import read_in_subject
from planner.services.day.attendance import enter_marks
from planner.services.day.log_results import log_results
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.levels.section_levels import LevelChange
from planner.services.ports.work import UnitOfWork
from planner.services.read_in.compare import Comparison
from planner.wording.director.read_in import left_open_sentence


@dataclass(frozen=True, slots=True)
class Taken:
    """What reading a file in did.

    Attributes:
        cells: How many cells were taken.
        change_id: The change that takes all of it back; None where nothing was changed.
        levels: By name of the section, how its level moved.
    """

    cells: int
    change_id: int | None
    levels: Mapping[str, LevelChange]


def take_in(
    work: UnitOfWork, found: Comparison, name: str, *, by: Author, today: date, answers: Answers = NONE_YET
) -> Taken:
    """Store what was typed into a file, all of it as one change.

    Args:
        work: The unit of work in which the file was compared.
        found: What the file changes.
        name: Of the file, as the list of changes names it.
        by: Who reads it in.
        today: Against which its days are held.
        answers: What was said yes to.

    Raises:
        ConflictError: If it is open which of two values stands.
        OddEntryError: If something is odd.
        InputError: If something cannot be.
    """
    if found.conflicts:
        raise ConflictError(left_open_sentence(len(found.conflicts)), hint="Choose one of the two for each.")
    answers.ask(found.questions)
    days = {*found.results, *found.marks}
    if not days:
        return Taken(0, None, {})
    subject = read_in_subject(found.ensemble, name, min(days), max(days))
    first: dict[str, float] = {}
    moved: dict[str, LevelChange] = {}
    with recorded_as_one(work, ChangeKind.READ_IN, subject, by) as quiet:
        for on, entries in sorted(found.results.items()):
            logged = log_results(
                quiet, found.ensemble.id, on, entries, by=by, today=today, answers=answers,
                seen=[section.id for section in found.ensemble.sections],
            )  # fmt: skip
            for each in logged.changes:
                first.setdefault(each.section.name, each.before)
                moved[each.section.name] = replace(each, before=first[each.section.name])
        for on, marks in sorted(found.marks.items()):
            enter_marks(quiet, found.ensemble, on, marks, today=today, by=by)
    return Taken(len(found.changes), _change_id(work, subject, by), moved)


def _change_id(work: UnitOfWork, subject: Subject, by: Author) -> int | None:
    written = work.changes.about(ChangeKind.READ_IN, subject)
    return written[-1].id if written and written[-1].by == by else None
