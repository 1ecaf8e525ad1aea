"""What calendar files say of the days of terms, in the database."""

from collections.abc import Sequence

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from planner.adapters.db.changes import stored_time, time_of
from planner.adapters.db.tables import PublishedDayRow, TermRow
from planner.core.published import PublishedDay
from planner.errors import NotFoundError


class SqlPublishedDays:
    """``PublishedDayRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def days(self, term_id: int) -> Sequence[PublishedDay]:
        """Every day of a term that was ever written, by date."""
        found = select(PublishedDayRow).where(PublishedDayRow.term_id == term_id)
        return tuple(_day_of(row) for row in self._session.scalars(found.order_by(PublishedDayRow.on_day)))

    def put(self, term_id: int, days: Sequence[PublishedDay]) -> None:
        """Store some days of a term, or replace those of the same dates."""
        if self._session.get(TermRow, term_id) is None:
            raise NotFoundError("term", term_id)
        dates = [day.on for day in days]
        own = (PublishedDayRow.term_id == term_id, PublishedDayRow.on_day.in_(dates))
        self._session.execute(delete(PublishedDayRow).where(*own))
        self._session.add_all(_row_of(term_id, day) for day in days)
        self._session.flush()


def _day_of(row: PublishedDayRow) -> PublishedDay:
    return PublishedDay(
        row.on_day, row.uid, row.sequence, row.content, time_of(row.changed_at), row.is_cancelled
    )


def _row_of(term_id: int, day: PublishedDay) -> PublishedDayRow:
    return PublishedDayRow(
        term_id=term_id,
        on_day=day.on,
        uid=day.uid,
        sequence=day.sequence,
        content=day.content,
        changed_at=stored_time(day.changed_at),
        is_cancelled=day.is_cancelled,
    )
