"""Reading a roster from a workbook (.xlsx) or a text file (.csv): the cells of its first sheet as text."""

import io
import zipfile
from datetime import date, datetime
from pathlib import Path
from typing import Any

from planner.adapters.exports.tables.reader import ZIP, content_of
from planner.errors import InputError
from planner.services.people.lists.rows import Rows, split_rows

MOST_BYTES = 5 * 1024 * 1024
MOST_UNPACKED = 50 * 1024 * 1024
MOST_ROWS, MOST_COLUMNS = 2_000, 40
"""Beyond it is no roster. Source: house choices."""


class RosterFiles:
    """Fulfils ``services.ports.RosterReader``."""

    def read(self, path: Path) -> Rows:
        """The cells of a file, row by row; rows that are empty keep their place.

        Raises:
            InputError: If it cannot be read as a table.
        """
        data = content_of(path, MOST_BYTES, ": that is no roster")
        return _workbook(path.name, data) if data.startswith(ZIP) else split_rows(_text(path.name, data))


def _text(name: str, data: bytes) -> str:
    is_wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    for encoding in ("utf-16",) if is_wide else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeError:
            continue
        if "\0" not in text:
            return text
    raise InputError(f"{name} is not a table.", hint="Save it as .xlsx or as .csv.")


def _workbook(name: str, data: bytes) -> Rows:
    from openpyxl import load_workbook

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            if sum(each.file_size for each in package.infolist()) > MOST_UNPACKED:
                raise InputError(f"{name} holds far more than a roster.")
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
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
        book.close()
    except InputError:
        raise
    except Exception as error:  # a damaged workbook fails in many ways, each in another layer of the library
        raise InputError(
            f"{name} cannot be read as a workbook.", hint="Open it in your spreadsheet and save it again."
        ) from error
    return rows


def _cell(value: Any) -> str:
    if isinstance(value, datetime):
        value = value.date()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return " ".join(str(value).split()) if value is not None else ""
