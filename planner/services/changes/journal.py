"""Writing changes into the journal, in the transaction that makes them, and reading it."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, cast

from planner.core.change import Author, Change, ChangeKind, Subject, WorkCount, difference
from planner.services.changes.named import with_names
from planner.services.changes.records import RECORDS
from planner.services.ports.work import UnitOfWork

LISTED = 50
"""Entries on one page of the journal (house choice)."""


BROUGHT = (ChangeKind.PIECE, ChangeKind.FILE)
"""What an import writes of that which undoing it takes back."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the journal as it is shown.

    Attributes:
        change: The change; of long work the newest of its changes.
        count: How many changes the line stands for, by kind, where it stands for those of long work.
        can_be_undone: Whether it can be taken back, as far as the journal knows; of an import as a whole.
        undone: The change that took it back, if one did and it is at hand.
    """

    change: Change
    count: WorkCount | None = None
    can_be_undone: bool = False
    undone: Change | None = None

    @property
    def is_import(self) -> bool:
        """Whether the line stands for a whole import, or for one that was taken back."""
        return self.count is not None and any(self.count.written.get(kind) for kind in BROUGHT)


@dataclass(frozen=True, slots=True)
class JournalPage:
    """Part of the journal, newest first; ``older`` is where the next part begins, None at its end."""

    entries: Sequence[Entry]
    older: int | None


@contextmanager
def recorded(
    work: UnitOfWork, kind: ChangeKind, subject: Subject, by: Author, job: int | None = None
) -> Iterator[None]:
    """Journal what the block changes in a thing; nothing is written when it changes nothing.

    Args:
        work: The transaction in which it is changed; the entry lasts or goes with it.
        kind: What is changed.
        subject: Of which thing.
        by: Who changes it, and when.
        job: The long work it belongs to.
    """
    read, beside = RECORDS[kind].read, RECORDS[kind].beside
    earlier = dict(read(work, subject))
    yield
    before, after = difference(earlier, read(work, subject))
    if not before.keys() <= beside:
        work.changes.add(Change(0, kind, subject, before, after, by, job=job))


@contextmanager
def recorded_as_one(work: UnitOfWork, kind: ChangeKind, subject: Subject, by: Author) -> Iterator[UnitOfWork]:
    """Journal what several services change in the block as one change.

    Yields:
        The unit of work for these services: what they journal through it by themselves is not written.
    """
    with recorded(work, kind, subject, by):
        yield cast(UnitOfWork, _WithoutJournal(work))


class _WithoutJournal:
    """A unit of work whose journal is read, and not written."""

    def __init__(self, work: UnitOfWork) -> None:
        self._work = work
        self.changes = _ReadAlone(work)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._work, name)


class _ReadAlone:
    def __init__(self, work: UnitOfWork) -> None:
        self._changes = work.changes

    def add(self, _change: Change) -> int:
        """Nothing is written."""
        return 0

    def __getattr__(self, name: str) -> Any:
        return getattr(self._changes, name)


def record_new(work: UnitOfWork, kind: ChangeKind, subject: Subject, by: Author) -> None:
    """Journal that a thing was just made; undoing that takes it out again."""
    before, after = difference({}, RECORDS[kind].read(work, subject))
    work.changes.add(Change(0, kind, subject, before, after, by))


def list_journal(work: UnitOfWork, limit: int = LISTED, *, before: int | None = None) -> JournalPage:
    """The newest lines of the journal, or those older than an entry. Long work is one line."""
    found = work.changes.list_changes(limit + 1, before=before)
    shown = [with_names(work, each) for each in found[:limit]]
    counts = work.changes.count_of_jobs([each.job for each in shown if each.job is not None])
    by_id = {each.id: each for each in shown}
    return JournalPage(
        tuple(_entry(each, counts, by_id) for each in shown),
        shown[-1].id if len(found) > limit else None,
    )


def brought_pieces(count: WorkCount | None) -> bool:
    """Whether long work brought pieces or files into the library that can be taken back as a whole."""
    return count is not None and any(count.standing.get(kind) for kind in BROUGHT)


def _entry(change: Change, counts: Mapping[int, WorkCount], by_id: Mapping[int, Change]) -> Entry:
    count = counts.get(change.job) if change.job is not None else None
    is_alone = RECORDS[change.kind].write is not None and change.undone_by is None
    return Entry(
        change,
        count,
        brought_pieces(count) or (is_alone and change.kind not in BROUGHT),
        by_id.get(change.undone_by) if change.undone_by is not None else None,
    )
