"""Reading a file that was written to be filled in: each cell by the keys of its row and its column."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from itertools import islice
from pathlib import Path
from typing import Any

from planner.adapters.exports.filled_in import AS_WRITTEN
from planner.adapters.exports.tables.opening import content_of, is_workbook, opened_workbook
from planner.adapters.exports.tables.read_text import read_text
from planner.adapters.exports.tables.read_workbook import number_cell, plain_text
from planner.core.filled_in import (
    EACH,
    FORM_VERSION,
    NAME,
    NO_KEY,
    FileIdentity,
    FilledCell,
    FilledIn,
    identity_in,
)
from planner.core.table import Cell, CellFault, TableChoice, address
from planner.errors import InputError

MOST_BYTES = 30 * 1024 * 1024
MOST_ROWS, MOST_COLUMNS = 200_000, 1_000
"""Beyond it a file is none of ours (house choices): a term of 150 players and 40 days has 1,000 rows."""
_FORMER_GRADEBOOK = frozenset({"Summary", "Scale", "Sections by day", "Players by day"})
"""Sheets of a gradebook that held one sheet a day."""
_AGAIN = "Write the file anew, and fill in that one."


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What stands in a sheet: by row, from 1, its cells by column, from 0; blank ones are left out."""

    name: str
    rows: Mapping[int, Mapping[int, Cell]]


class FilledInFiles:
    """Fulfils ``ports.readers.FilledInReader``: workbooks (.xlsx), and text that one was saved as."""

    def read(self, path: Path) -> FilledIn:
        """Every cell that can be filled in.

        Raises:
            InputError: If it is no such file, or cannot be read.
        """
        data = content_of(path, MOST_BYTES)
        if not data:
            raise InputError(f"{path.name} is empty.", hint="Choose the file that you filled in.")
        if is_workbook(data):
            return _filled_in(path.name, _sheets_of_workbook(path.name, data))
        return _filled_in(path.name, [_sheet_of_text(path.name, data)])


def _filled_in(name: str, sheets: Sequence[_Sheet]) -> FilledIn:
    identity: FileIdentity | None = None
    written: dict[str, str] | None = None
    cells: list[FilledCell] = []
    for sheet in sheets:
        place = next(_identities(sheet), None)
        if place is None:
            continue
        row, column, found = place
        if identity not in (None, found):
            raise InputError(f"{name} holds sheets of two files.", hint=_AGAIN)
        identity = found
        if sheet.rows[row].get(column + 1) == Cell(AS_WRITTEN):
            written = _written(sheet)
        else:
            cells += _cells(sheet, row, column)
    if identity is None and {sheet.name for sheet in sheets} >= _FORMER_GRADEBOOK:
        raise InputError(
            f"{name} is a gradebook as this program wrote it before they could be read in.",
            hint="Write a new one, and copy what you typed into it.",
        )
    if identity is None:
        raise InputError(
            f"{name} is no file of this program that can be read in, or its hidden row or column is gone.",
            hint=_AGAIN,
        )
    if identity.version > FORM_VERSION:
        raise InputError(
            f"{name} was written by a newer version of this program.", hint="Update the program."
        )
    return FilledIn(identity, written, tuple(cells))


def _identities(sheet: _Sheet) -> Iterator[tuple[int, int, FileIdentity]]:
    for row, cells in sheet.rows.items():
        for column, cell in cells.items():
            identity = identity_in(cell.text) if cell.text.startswith("planner ") else None
            if identity is not None:
                yield row, column, identity


def _written(sheet: _Sheet) -> dict[str, str]:
    return {
        cells[0].text: cells[1].text if 1 in cells else ""
        for number, cells in sheet.rows.items()
        if number > 1 and 0 in cells
    }


def _cells(sheet: _Sheet, key_row: int, key_column: int) -> Iterator[FilledCell]:
    keys = {at: cell.text.strip() for at, cell in sheet.rows[key_row].items() if at != key_column}
    is_begun = False
    for number, cells in sheet.rows.items():
        own = cells.get(key_column, Cell()).text.strip()
        is_begun = is_begun or (own not in ("", NO_KEY) and number != key_row)
        if number == key_row or own == NO_KEY or not (own or is_begun):
            continue
        for column, key in keys.items():
            cell = cells.get(column, Cell())
            if own or not (cell.is_blank or NAME in key.split()):
                whole = own.replace(EACH, key) if EACH in own else f"{own} {key}" if own else ""
                yield FilledCell(sheet.name, address(column, number), whole, cell.text, cell.fault)


def _sheet_of_text(name: str, data: bytes) -> _Sheet:
    table = read_text(name, data, TableChoice())
    _check_size(name, len(table.rows))
    return _Sheet(
        "", {row.number: {at: c for at, c in enumerate(row.cells) if not c.is_blank} for row in table.rows}
    )


def _sheets_of_workbook(name: str, data: bytes) -> list[_Sheet]:
    with opened_workbook(name, data) as book:
        sheets = []
        for sheet in book.worksheets:
            sheet.reset_dimensions()
            sheets.append(_Sheet(sheet.title, dict(_rows(name, sheet.iter_rows()))))
        return sheets


def _rows(name: str, rows: Iterable[Iterable[Any]]) -> Iterator[tuple[int, dict[int, Cell]]]:
    for at, row in enumerate(rows):
        _check_size(name, at)
        number = at + 1
        cells = {}
        for column, each in enumerate(islice(row, MOST_COLUMNS)):
            number = getattr(each, "row", None) or number
            cell = _cell(each) if each.value is not None else Cell()
            if not cell.is_blank:
                cells[column] = cell
        if cells:
            yield number, cells


def _check_size(name: str, rows: int) -> None:
    if rows >= MOST_ROWS:
        raise InputError(f"{name} has more than {MOST_ROWS:,} rows.", hint=_AGAIN)


def _cell(cell: Any) -> Cell:
    value, kind = cell.value, cell.data_type
    if kind == "f":
        return Cell(fault=CellFault.FORMULA)
    if kind == "e":
        return Cell(fault=CellFault.ERROR)
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, datetime):
        return Cell(value.date().isoformat() if value.time() == time() else value.isoformat(" "))
    if isinstance(value, date):
        return Cell(value.isoformat())
    if isinstance(value, str):
        return Cell(plain_text(value))
    if isinstance(value, int | float):
        shown_as = cell.number_format or ""
        return Cell(f"{100 * value:.12g}%") if "%" in shown_as else number_cell(value, shown_as)
    return Cell(fault=CellFault.DATE)
