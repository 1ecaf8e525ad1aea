"""Taking a change back."""

from dataclasses import replace
from typing import Any

from planner.core.change import Author, Change, ChangeKind, Subject
from planner.errors import ConflictError, NotFoundError
from planner.services.changes.catalogue_record import KIND as CATALOGUE
from planner.services.changes.ensemble_record import find_ensemble
from planner.services.changes.marks_record import KIND as SECTION_DAY
from planner.services.changes.named import with_names
from planner.services.changes.read_in_record import KIND as FILLED_IN
from planner.services.changes.records import RECORDS, Means
from planner.services.people.find import find_section
from planner.services.ports.work import UnitOfWork
from planner.wording.director.changes import (
    NOT_TAKEN_BACK,
    changed_since_sentence,
    undone_already_sentence,
)


def undo_change(
    work: UnitOfWork, change_id: int, by: Author, means: Means, *, job: int | None = None
) -> Change:
    """Put back exactly what was before a change; the entry that says so, which can be taken back in turn.

    Args:
        work: The transaction; nothing is put back unless it is committed.
        change_id: Which change.
        by: Who takes it back, and when.
        means: What some things need beside the library.
        job: The long work that takes it back, if it does.

    Raises:
        NotFoundError: If there is no such change, or what it speaks of is gone.
        ConflictError: If it was taken back already, was changed since, or cannot be taken back.
        ScoreReadError: If a piece must be studied for it and its score cannot be read.
    """
    change = work.changes.get(change_id)
    record = RECORDS[change.kind]
    if change.kind == ChangeKind.PIECE:
        raise ConflictError(
            f"“{change.subject.name}” is not taken back alone.",
            hint="Add its file again."
            if change.undoes
            else "Take its whole import back, or remove the piece.",
        )
    if record.write is None:
        message, hint = NOT_TAKEN_BACK[change.kind]
        raise ConflictError(message, hint=hint)
    _check(work, change)
    prepared = record.prepare(work, change.subject, change.before, means) if record.prepare else None
    back = Change(
        0, change.kind, _as_named_now(work, change.subject), change.after, change.before, by, job=job
    )
    undo_id = work.changes.add(replace(back, undoes=change.id))
    # From here on nobody else can write: what was read above may have changed while a piece was studied.
    if not work.changes.mark_undone(change.id, undo_id):
        raise ConflictError(undone_already_sentence(with_names(work, work.changes.get(change.id))))
    _check_values(work, change)
    record.write(work, change.subject, change.before, prepared)
    return with_names(work, work.changes.get(undo_id))


def _check(work: UnitOfWork, change: Change) -> None:
    if change.undone_by is not None:
        undo = work.changes.get(change.undone_by)
        raise ConflictError(undone_already_sentence(with_names(work, change), undo))
    _check_values(work, change)


def _check_values(work: UnitOfWork, change: Change) -> None:
    """What the change left must still stand.

    Raises:
        ConflictError: If it does not, naming what was changed since and by whom.
    """
    try:
        now = RECORDS[change.kind].read(work, change.subject)
    except NotFoundError as error:
        raise NotFoundError(change.subject.kind, f"“{change.subject.name}”") from error
    is_same = RECORDS[change.kind].is_same
    moved = {name: now.get(name) for name, value in change.after.items() if not is_same(now.get(name), value)}
    if not moved:
        return
    later = [each for each in work.changes.later_of(change) if _touches(each, moved)]
    raise ConflictError(
        changed_since_sentence(with_names(work, change), moved, later[-1] if later else None),
        hint="Undo that first." if later else "Change it by hand instead.",
    )


def _touches(change: Change, values: dict[str, Any]) -> bool:
    return any(name in values for name in change.after)


def _as_named_now(work: UnitOfWork, subject: Subject) -> Subject:
    if subject.kind == "person":
        return subject
    if subject.kind == "ensemble":
        found = find_ensemble(work, subject.id)
        return replace(subject, name=found.name) if found else subject
    if subject.kind == "account":
        return subject
    if subject.kind in ("section", SECTION_DAY):
        return replace(subject, name=find_section(work, subject.id)[1].name)
    if subject.kind == "term":
        names = {term.id: term.name for term in work.terms.list_terms()}
        return replace(subject, name=names.get(subject.id, subject.name))
    if subject.kind in (CATALOGUE, FILLED_IN):
        return subject
    return replace(subject, name=work.pieces.get(subject.id).title)
