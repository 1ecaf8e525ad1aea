"""The journal of changes in the database."""

from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from planner.adapters.db.tables import ChangeRow
from planner.core.change import Author, Change, ChangeKind, Door, Subject
from planner.errors import NotFoundError


def stored_time(at: datetime) -> datetime:
    """A moment as it is stored: UTC, without the zone.

    Example:
        >>> stored_time(datetime(2026, 9, 3, 8, 30, tzinfo=UTC))
        datetime.datetime(2026, 9, 3, 8, 30)
    """
    return at.astimezone(UTC).replace(tzinfo=None)


def time_of(stored: datetime) -> datetime:
    """A stored moment with its zone."""
    return stored.replace(tzinfo=UTC)


class SqlChanges:
    """``ChangeRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, change: Change) -> int:
        """Write one entry."""
        subject, by = change.subject, change.by
        row = ChangeRow(
            kind=change.kind.value,
            subject_kind=subject.kind,
            subject_id=subject.id,
            subject_name=subject.name,
            subject_within=dict(subject.within),
            before=dict(change.before),
            after=dict(change.after),
            door=by.door.value,
            account=by.account,
            at=stored_time(by.at),
            undoes=change.undoes,
            undone_by=None,
            job_id=change.job,
        )
        self._session.add(row)
        self._session.flush()
        return row.id

    def get(self, change_id: int) -> Change:
        """The entry, or ``NotFoundError``."""
        row = self._session.get(ChangeRow, change_id, populate_existing=True)
        if row is None:
            raise NotFoundError("change", change_id)
        return _change_of(row)

    def list_changes(self, limit: int, *, before: int | None = None) -> Sequence[Change]:
        """The newest entries, newest first."""
        newest = select(ChangeRow).order_by(ChangeRow.id.desc()).limit(limit)
        if before is not None:
            newest = newest.where(ChangeRow.id < before)
        return tuple(_change_of(row) for row in self._session.scalars(newest))

    def later_of(self, change: Change) -> Sequence[Change]:
        """Entries of the same kind about the same thing that were written after it, oldest first."""
        later = select(ChangeRow).where(
            ChangeRow.id > change.id,
            ChangeRow.kind == change.kind.value,
            ChangeRow.subject_kind == change.subject.kind,
            ChangeRow.subject_id == change.subject.id,
        )
        found = (_change_of(row) for row in self._session.scalars(later.order_by(ChangeRow.id)))
        return tuple(each for each in found if each.subject.is_same_thing(change.subject))

    def mark_undone(self, change_id: int, undone_by: int) -> bool:
        """Note by which entry it was taken back; False when that was noted before."""
        marked = self._session.execute(
            update(ChangeRow)
            .where(ChangeRow.id == change_id, ChangeRow.undone_by.is_(None))
            .values(undone_by=undone_by)
            .returning(ChangeRow.id)
        )
        return marked.first() is not None


def _change_of(row: ChangeRow) -> Change:
    return Change(
        id=row.id,
        kind=ChangeKind(row.kind),
        subject=Subject(row.subject_kind, row.subject_id, row.subject_name, row.subject_within),
        before=row.before,
        after=row.after,
        by=Author(Door(row.door), time_of(row.at), row.account),
        undoes=row.undoes,
        undone_by=row.undone_by,
        job=row.job_id,
    )
