"""The journal of changes in the database."""

from collections.abc import Collection, Mapping, Sequence
from datetime import UTC, datetime

from sqlalchemy import and_, case, delete, func, or_, select, update
from sqlalchemy.orm import Session

from planner.adapters.db.chunks import chunks
from planner.adapters.db.tables import ChangeRow
from planner.core.change import Author, Change, ChangeKind, Door, Subject, WorkCount
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
        """The newest entries, newest first; of long work the newest alone."""
        newest_of_job = select(func.max(ChangeRow.id)).where(ChangeRow.job_id.is_not(None))
        newest = (
            select(ChangeRow)
            .where(
                or_(ChangeRow.job_id.is_(None), ChangeRow.id.in_(newest_of_job.group_by(ChangeRow.job_id)))
            )
            .order_by(ChangeRow.id.desc())
            .limit(limit)
        )
        if before is not None:
            newest = newest.where(ChangeRow.id < before)
        return tuple(_change_of(row) for row in self._session.scalars(newest))

    def later_of(self, change: Change) -> Sequence[Change]:
        """Entries of the same kind about the same thing that were written after it, oldest first."""
        return tuple(each for each in self.about(change.kind, change.subject) if each.id > change.id)

    def about(self, kind: ChangeKind, subject: Subject) -> Sequence[Change]:
        """All entries of a kind about the same thing, oldest first."""
        about = select(ChangeRow).where(
            ChangeRow.kind == kind.value,
            ChangeRow.subject_kind == subject.kind,
            ChangeRow.subject_id == subject.id,
        )
        found = (_change_of(row) for row in self._session.scalars(about.order_by(ChangeRow.id)))
        return tuple(each for each in found if each.subject.is_same_thing(subject))

    def of_job(self, job_id: int) -> Sequence[Change]:
        """The entries that long work has written, oldest first."""
        written = select(ChangeRow).where(ChangeRow.job_id == job_id).order_by(ChangeRow.id)
        return tuple(_change_of(row) for row in self._session.scalars(written))

    def count_of_jobs(self, job_ids: Collection[int]) -> Mapping[int, WorkCount]:
        """How many entries each piece of long work has written, by kind, and how many of them still hold."""
        if not job_ids:
            return {}
        stands = and_(ChangeRow.undone_by.is_(None), ChangeRow.undoes.is_(None))
        counted = (
            select(ChangeRow.job_id, ChangeRow.kind, func.count(), func.sum(case((stands, 1), else_=0)))
            .where(ChangeRow.job_id.in_(sorted(set(job_ids))))
            .group_by(ChangeRow.job_id, ChangeRow.kind)
        )
        found: dict[int, WorkCount] = {}
        for job_id, kind, written, standing in self._session.execute(counted):
            count = found.setdefault(job_id, WorkCount({}, {}))
            found[job_id] = WorkCount(
                {**count.written, ChangeKind(kind): written}, {**count.standing, ChangeKind(kind): standing}
            )
        return found

    def subjects_of(self, kinds: Collection[ChangeKind]) -> frozenset[int]:
        """Identities of the things that entries of some kinds speak of, those that were taken back aside."""
        stands = and_(ChangeRow.undone_by.is_(None), ChangeRow.undoes.is_(None))
        of_kinds = ChangeRow.kind.in_([kind.value for kind in kinds])
        return frozenset(
            self._session.scalars(select(ChangeRow.subject_id).where(of_kinds, stands).distinct())
        )

    def mark_undone(self, change_id: int, undone_by: int) -> bool:
        """Note by which entry it was taken back; False when that was noted before."""
        marked = self._session.execute(
            update(ChangeRow)
            .where(ChangeRow.id == change_id, ChangeRow.undone_by.is_(None))
            .values(undone_by=undone_by)
            .returning(ChangeRow.id)
        )
        is_marked = marked.first() is not None
        self._session.expire_all()  # the lock is ours from here on: what was read before may be old
        return is_marked

    def every(self) -> Sequence[Change]:
        """All entries, oldest first."""
        return tuple(
            _change_of(row) for row in self._session.scalars(select(ChangeRow).order_by(ChangeRow.id))
        )

    def put(self, change: Change) -> None:
        """Store other values of an entry that is there."""
        row = self._session.get(ChangeRow, change.id)
        if row is None:
            raise NotFoundError("change", change.id)
        row.subject_name, row.subject_within = change.subject.name, dict(change.subject.within)
        row.before, row.after, row.account = dict(change.before), dict(change.after), change.by.account
        self._session.flush()

    def remove(self, change_ids: Collection[int]) -> None:
        """Take entries out for good, and what other entries say of them."""
        for few in chunks(change_ids):
            for column in (ChangeRow.undoes, ChangeRow.undone_by):
                self._session.execute(update(ChangeRow).where(column.in_(few)).values({column: None}))
            self._session.execute(delete(ChangeRow).where(ChangeRow.id.in_(few)))
        self._session.expire_all()


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
