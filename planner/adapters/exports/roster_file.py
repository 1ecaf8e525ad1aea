"""Reading a roster from a workbook (.xlsx) or a text file (.csv): the cells of its first sheet as text."""

from datetime import date, datetime
from pathlib import Path
from typing import Any

from planner.adapters.exports.tables.encodings import decoded
from planner.adapters.exports.tables.opening import content_of, is_workbook, opened_workbook
from planner.errors import InputError
from planner.services.people.lists.rows import Rows, split_rows

MOST_BYTES = 5 * 1024 * 1024
MOST_UNPACKED = 50 * 1024 * 1024
MOST_ROWS, MOST_COLUMNS = 2_000, 40
"""Beyond it is no roster. Source: house choices."""


class RosterFiles:
    """Fulfils ``ports.readers.RosterReader``."""

    def read(self, path: Path) -> Rows:
        """The cells of a file, row by row; rows that are empty keep their place.

        Raises:
            InputError: If it cannot be read as a table.
        """
        data = content_of(path, MOST_BYTES, ": that is no roster")
        if is_workbook(data):
            return _rows_of_workbook(path.name, data)
        text, _ = decoded(path.name, data)
        return split_rows(text)


def _rows_of_workbook(name: str, data: bytes) -> Rows:
    with opened_workbook(name, data, shows_results=True, most_unpacked=MOST_UNPACKED) as book:
        shown = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
        if not shown:
            raise InputError(f"{name} has no sheet to read.")
        sheet: Any = shown[0]
        sheet.reset_dimensions()
        rows: list[list[str]] = []
        for number, row in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True), start=1):
            if number > MOST_ROWS:
                raise InputError(f"{name} has more than {MOST_ROWS:,} rows.")
            rows.append([_cell(value) for value in row])
        return rows


def _cell(value: Any) -> str:
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return " ".join(str(value).split()) if value is not None else ""
