"""Long work in the database."""

from collections.abc import Collection, Sequence
from datetime import datetime

from sqlalchemy import case, delete, func, select, update
from sqlalchemy.orm import Session

from planner.adapters.db.changes import stored_time, time_of
from planner.adapters.db.tables import JobRefusalRow, JobRow
from planner.core.change import Author, Door, Values
from planner.core.job import SIDE_BY_SIDE, Job, JobRefusal, JobState
from planner.errors import ConflictError, NotFoundError


class SqlJobs:
    """``JobRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, kind: str, request: Values, by: Author) -> int:
        """Queue a job.

        Raises:
            ConflictError: If one of that kind is still open.
        """
        if self._session.scalar(select(JobRow.id).where(JobRow.open_kind == kind)) is not None:
            raise ConflictError("That work is under way already.")
        row = JobRow(
            kind=kind, open_kind=None if kind in SIDE_BY_SIDE else kind,
            request=dict(request), state=JobState.QUEUED.value,
            door=by.door.value, account=by.account, at=stored_time(by.at),
            done=0, total=0, what="", result={}, is_stop_asked=False,
        )  # fmt: skip
        self._session.add(row)
        self._session.flush()
        return row.id

    def get(self, job_id: int) -> Job:
        """The job, or ``NotFoundError``."""
        return _job_of(self._row(job_id))

    def list_jobs(self, limit: int, states: Collection[JobState] = ()) -> Sequence[Job]:
        """The newest jobs, newest first; only those in some states if any are given."""
        newest = select(JobRow).order_by(JobRow.id.desc()).limit(limit)
        if states:
            newest = newest.where(JobRow.state.in_([state.value for state in states]))
        found = self._session.scalars(newest.execution_options(populate_existing=True))
        return tuple(_job_of(row) for row in found.unique())

    def begin(self, job_id: int, at: datetime) -> bool:
        """Note that work on it begins or goes on; False when it is done already."""
        begun = self._session.execute(
            update(JobRow)
            .where(JobRow.id == job_id, JobRow.state != JobState.DONE.value)
            .values(
                state=JobState.RUNNING.value, open_kind=_OPEN_KIND, is_stop_asked=False,
                started_at=stored_time(at), finished_at=None,
            )
            .returning(JobRow.id)
        )  # fmt: skip
        return begun.first() is not None

    def report(self, job_id: int, done: int, total: int, what: str) -> bool:
        """Note how far it is; True when someone has asked it to stop."""
        asked = self._session.execute(
            update(JobRow)
            .where(JobRow.id == job_id)
            .values(done=done, total=total, what=what)
            .returning(JobRow.is_stop_asked)
        )
        return bool(asked.scalar())

    def refuse(self, job_id: int, refusal: JobRefusal) -> None:
        """Note something that could not be done; the same thing again takes the place of the first note."""
        mine = select(JobRefusalRow).where(JobRefusalRow.job_id == job_id)
        row = self._session.scalars(
            mine.where(
                JobRefusalRow.name == refusal.name,
                JobRefusalRow.subject_id.is_not_distinct_from(refusal.subject_id),
            )
        ).first()
        if row is not None:
            self._session.delete(row)
            self._session.flush()
        last = select(func.max(JobRefusalRow.position)).where(JobRefusalRow.job_id == job_id)
        position = self._session.scalar(last)
        self._session.add(
            JobRefusalRow(
                job_id=job_id, position=0 if position is None else position + 1, name=refusal.name,
                slug=refusal.slug, detail=refusal.detail, subject_id=refusal.subject_id,
            )
        )  # fmt: skip
        self._session.flush()

    def forget_refusals(self, job_id: int) -> None:
        """Take out what was noted as not done: it is tried again."""
        self._session.execute(delete(JobRefusalRow).where(JobRefusalRow.job_id == job_id))
        self._session.expire_all()

    def ask_stop(self, job_id: int) -> None:
        """A queued job is stopped at once, a running one is asked to."""
        self._row(job_id)
        mine = update(JobRow).where(JobRow.id == job_id)
        self._session.execute(
            mine.where(JobRow.state == JobState.QUEUED.value).values(state=JobState.STOPPED.value)
        )
        self._session.execute(mine.where(JobRow.state == JobState.RUNNING.value).values(is_stop_asked=True))

    def queue_again(self, job_id: int, request: Values | None = None) -> None:
        """Put a job that is not done back among those that wait, with another request if one is given."""
        row = self._row(job_id)
        if request is not None:
            row.request = dict(request)
            self._session.flush()
        self._session.execute(
            update(JobRow)
            .where(JobRow.id == job_id, JobRow.state != JobState.DONE.value)
            .values(state=JobState.QUEUED.value, open_kind=_OPEN_KIND, is_stop_asked=False)
        )

    def finish(self, job_id: int, state: JobState, at: datetime, result: Values) -> None:
        """Note how work on it ended."""
        row = self._row(job_id)
        row.state, row.result, row.is_stop_asked = state.value, dict(result), False
        row.open_kind = row.kind if state.is_open and row.kind not in SIDE_BY_SIDE else None
        row.finished_at = stored_time(at)
        self._session.flush()

    def _row(self, job_id: int) -> JobRow:
        row = self._session.get(JobRow, job_id, populate_existing=True)
        if row is None:
            raise NotFoundError("job", job_id)
        return row


_OPEN_KIND = case((JobRow.kind.in_(SIDE_BY_SIDE), None), else_=JobRow.kind)


def _job_of(row: JobRow) -> Job:
    return Job(
        id=row.id,
        kind=row.kind,
        request=row.request,
        state=JobState(row.state),
        by=Author(Door(row.door), time_of(row.at), row.account),
        done=row.done,
        total=row.total,
        what=row.what,
        result=row.result,
        refusals=tuple(
            JobRefusal(each.name, each.slug, each.detail, each.subject_id) for each in row.refusals
        ),
        is_stop_asked=row.is_stop_asked,
        started_at=time_of(row.started_at) if row.started_at else None,
        finished_at=time_of(row.finished_at) if row.finished_at else None,
    )
