"""What is settled of the library as a whole, in the database."""

from sqlalchemy import delete
from sqlalchemy.orm import Session

from planner.adapters.db.tables import SettingRow
from planner.core.change import Values

_LIBRARY = "library"


class SqlSettings:
    """``SettingRepository`` on SQLAlchemy."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def known_by(self) -> str:
        """What this library is known by, unlike every other: files that were written from it carry it."""
        row = self._session.get_one(SettingRow, _LIBRARY)
        return str(row.value["known_by"])

    def get(self, name: str) -> Values | None:
        """The values of a setting; None where nothing was chosen."""
        row = self._session.get(SettingRow, name)
        return None if row is None else row.value

    def put(self, name: str, values: Values | None) -> None:
        """Store the values of a setting, or take them out."""
        if values is None:
            self._session.execute(delete(SettingRow).where(SettingRow.name == name))
            self._session.expire_all()
            return
        self._session.merge(SettingRow(name=name, value=dict(values)))
        self._session.flush()
