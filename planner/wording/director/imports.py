"""Words for imports: what came in, what was taken back, and why a piece stays."""

from collections.abc import Mapping

from planner.core.change import Change, ChangeKind, WorkCount
from planner.core.job import Job
from planner.core.piece import PieceUse

_IN_USE: Mapping[PieceUse, str] = {
    PieceUse.ENTERED: "It stays: its level, its copies or other details have been entered since.",
    PieceUse.WISHED: "It stays: it is pinned or banned in a term.",
    PieceUse.PROPOSED: "It stays: it stands in a new plan that is proposed.",
    PieceUse.PLANNED: "It stays: it stands in the plan of a term.",
    PieceUse.MET: "It stays: an ensemble has met it.",
    PieceUse.READ: "It stays: an ensemble has read it.",
}


def in_use_sentence(use: PieceUse) -> str:
    """Why a piece stays although its import is taken back."""
    return _IN_USE[use]


def import_result_sentence(job: Job) -> str:
    """What came of an import.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, Door
        >>> from planner.core.job import JobState
        >>> by = Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC))
        >>> found = {"added": 12, "renewed": 0, "unchanged": 3, "refused": 1}
        >>> import_result_sentence(Job(1, "import", {}, JobState.DONE, by, result=found))
        '12 new, 3 unchanged, 1 refused.'
    """
    added, renewed, unchanged, refused = (
        int(job.result.get(name, 0)) for name in ("added", "renewed", "unchanged", "refused")
    )
    again = f", {renewed:,} studied again" if renewed else ""
    return f"{added:,} new{again}, {unchanged:,} unchanged, {refused:,} refused."


def undone_import_sentence(job: Job) -> str:
    """What came of taking an import back.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, Door
        >>> from planner.core.job import JobState
        >>> by = Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC))
        >>> found = {"taken": 12, "restored": 0, "kept": 1}
        >>> undone_import_sentence(Job(1, "undo-import", {}, JobState.DONE, by, result=found))
        '12 pieces were taken out. 1 piece stays.'
    """
    taken, restored, kept = (int(job.result.get(name, 0)) for name in ("taken", "restored", "kept"))
    sentences = [f"{_were(taken, 'piece')} taken out."]
    if restored:
        sentences.append(f"{_count(restored, 'piece')} {_have(restored)} the older file back.")
    if kept:
        sentences.append(f"{_count(kept, 'piece')} {'stays' if kept == 1 else 'stay'}.")
    return " ".join(sentences)


def import_sentence(change: Change, count: WorkCount) -> str:
    """A line of the journal for a whole import, or for one taken back; ``change`` is its newest entry.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, Door, Subject
        >>> by = Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC))
        >>> last = Change(7, ChangeKind.PIECE, Subject("piece", 3, "Rondo"), {}, {"given": "Fall"}, by)
        >>> import_sentence(last, WorkCount({ChangeKind.PIECE: 12}, {ChangeKind.PIECE: 12}))
        '12 pieces were added from “Fall”.'
    """
    new, renewed, again = (
        count.written.get(kind, 0) for kind in (ChangeKind.PIECE, ChangeKind.FILE, ChangeKind.STUDY)
    )
    if change.undoes is not None:
        parts = [f"{_were(new, 'piece')} taken out again"] if new else []
        parts += [f"{_count(renewed, 'piece')} {_have(renewed)} the older file back"] if renewed else []
        return f"{'; '.join(parts)}."
    parts = [_added(change, new, count.standing.get(ChangeKind.PIECE, 0))] if new else []
    parts += [f"{_were(renewed, 'piece')} read again from changed files"] if renewed else []
    parts += [f"{_were(again, 'piece')} studied again by a newer version of this program"] if again else []
    return f"{'; '.join(parts)}."


def piece_sentence(change: Change) -> str:
    """What one entry of an import says."""
    name = f"“{change.subject.name}”"
    if change.kind == ChangeKind.FILE:
        return f"{name} was read again from a changed file."
    return f"{name} was taken out again." if change.undoes is not None else f"{name} was added."


def _added(change: Change, new: int, standing: int) -> str:
    if new == 1 and change.kind == ChangeKind.PIECE:
        return f"“{change.subject.name}” was added"
    given = change.after.get("given")
    words = f"{_were(new, 'piece')} added" + (f" from “{given}”" if given else "")
    return (
        f"{words}; {standing} of them {'is' if standing == 1 else 'are'} left"
        if 0 < standing < new
        else words
    )


def _count(number: int, noun: str) -> str:
    return f"1 {noun}" if number == 1 else f"{number:,} {noun}s"


def _were(number: int, noun: str) -> str:
    return f"{_count(number, noun)} {'was' if number == 1 else 'were'}"


def _have(number: int) -> str:
    return "has" if number == 1 else "have"
