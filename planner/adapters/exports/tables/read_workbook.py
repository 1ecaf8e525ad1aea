"""Reading a sheet of a workbook (.xlsx): what stands in each cell, or why it cannot be taken."""

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import Any

from planner.adapters.exports.tables.opening import opened_workbook
from planner.adapters.exports.tables.rows import trimmed
from planner.core.table import Cell, CellFault, Row, Table, TableChoice
from planner.errors import InputError

MOST_ROWS, MOST_COLUMNS = 50_000, 200
"""Beyond it is no catalogue (house choices)."""
_KEPT_DIGITS = 1e15
"""Source: a spreadsheet keeps 15 significant digits (IEEE 754 double)."""
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_ZEROS = re.compile(r"0+")


def read_workbook(name: str, data: bytes, choice: TableChoice) -> Table:
    """The rows of a sheet; the first that is shown where none is named.

    Raises:
        InputError: If it is no workbook, or has no such sheet.
    """
    with opened_workbook(name, data) as book:
        sheets = tuple(sheet.title for sheet in book.worksheets if sheet.sheet_state == "visible")
        sheet_name = choice.sheet or (sheets[0] if sheets else "")
        if sheet_name not in sheets:
            raise InputError(
                f"{name} has no sheet “{sheet_name}”." if sheet_name else f"{name} has no sheet to read.",
                hint=f"Its sheets: {', '.join(sheets)}." if sheets else "",
            )
        sheet: Any = book[sheet_name]
        sheet.reset_dimensions()
        rows = trimmed(_rows(name, sheet.iter_rows(max_col=MOST_COLUMNS)))
    return Table(rows, TableChoice(sheet=sheet_name), sheets)


def _rows(name: str, rows: Iterable[Iterable[Any]]) -> Iterable[Row]:
    for at, row in enumerate(rows):
        if at >= MOST_ROWS:
            raise InputError(f"{name} has more than {MOST_ROWS:,} rows.")
        cells = tuple(_cell(each) for each in row)
        number = next((each.row for each in row if getattr(each, "row", None)), at + 1)
        yield Row(number, cells)


def _cell(cell: Any) -> Cell:
    value, kind = cell.value, cell.data_type
    if value is None:
        return Cell()
    if kind == "f" or not isinstance(value, str | int | float | date | datetime | time | timedelta):
        return Cell(fault=CellFault.FORMULA)
    if kind == "e":
        return Cell(fault=CellFault.ERROR)
    if isinstance(value, bool):
        return Cell("TRUE" if value else "FALSE")
    if isinstance(value, date | time | timedelta):
        return Cell(fault=CellFault.DATE)
    if isinstance(value, str):
        return Cell(plain_text(value))
    return number_cell(value, cell.number_format or "")


def number_cell(value: float, shown_as: str) -> Cell:
    """A number as people would type it, with the zeros before it that its format shows."""
    if abs(value) >= _KEPT_DIGITS:
        return Cell(fault=CellFault.DIGITS)
    if value == int(value):
        text = str(int(value))
        return Cell(text.zfill(len(shown_as)) if _ZEROS.fullmatch(shown_as) else text)
    return Cell(f"{value:.15g}")


def plain_text(stored: str) -> str:
    r"""Text as it is shown: a sign that the format writes by its number is that sign again.

    Source: ECMA-376 part 1, 22.9.2.19 (``ST_Xstring``).

    Example:
        >>> plain_text("two_x000D_lines"), plain_text("_x005F_x0041_")
        ('two\rlines', '_x0041_')
    """
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), stored)
