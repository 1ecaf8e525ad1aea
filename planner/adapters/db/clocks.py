"""The clocks of reading days, in the database."""

from datetime import date

from sqlalchemy.orm import Session

from planner.adapters.db.changes import stored_time, time_of
from planner.adapters.db.tables import DayClockRow, TermRow
from planner.core.day_clock import DayClock
from planner.errors import NotFoundError


class SqlDayClocks:
    """``DayClockRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def find(self, term_id: int, on: date) -> DayClock | None:
        """The clock of a day."""
        row = self._session.get(DayClockRow, (term_id, on))
        if row is None:
            return None
        return DayClock(
            term_id, on, row.step, row.left_s, time_of(row.at), row.is_running, row.extended_s, row.presses
        )

    def put(self, clock: DayClock) -> None:
        """Store a clock in place of the one of the same day."""
        if self._session.get(TermRow, clock.term_id) is None:
            raise NotFoundError("term", clock.term_id)
        self._session.merge(
            DayClockRow(
                term_id=clock.term_id,
                on_day=clock.on,
                step=clock.step,
                left_s=clock.left_s,
                at=stored_time(clock.at),
                is_running=clock.is_running,
                extended_s=clock.extended_s,
                presses=clock.presses,
            )
        )
        self._session.flush()
