"""What a workbook carries so that it can be read in when it comes back filled in.

A hidden row holds the keys of columns, a hidden column those of rows; where they cross stands what the file
was written from. A hidden sheet holds what stood in each cell when it was written.
"""

from collections.abc import Mapping

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.tables.writer import stored_text
from planner.adapters.exports.workbook import cell_at, new_sheet, put_text
from planner.core.filled_in import NO_KEY, FileIdentity

AS_WRITTEN = "As written"
"""Name of the hidden sheet."""


def put_column_keys(
    sheet: Worksheet, row: int, keys: Mapping[int, str], key_column: int, identity: FileIdentity
) -> None:
    """Write the keys of columns into a row that is hidden, and hide the column of the rows' keys.

    Args:
        sheet: Where.
        row: The row, from 1.
        keys: By column, from 1.
        key_column: The column in which ``put_row_key`` writes.
        identity: What the file is written from.
    """
    put_text(cell_at(sheet, row, key_column), identity.mark())
    for column, key in keys.items():
        put_text(cell_at(sheet, row, column), key)
    sheet.row_dimensions[row].hidden = True
    sheet.column_dimensions[get_column_letter(key_column)].hidden = True


def put_row_key(sheet: Worksheet, row: int, key_column: int, key: str = NO_KEY) -> None:
    """Write the key of a row; without one, the row holds nothing to be filled in."""
    put_text(cell_at(sheet, row, key_column), key)


def put_as_written(book: Workbook, identity: FileIdentity, written: Mapping[str, str]) -> None:
    """Add the hidden sheet of what stands in the cells, by key."""
    sheet = new_sheet(book, AS_WRITTEN)
    put_text(cell_at(sheet, 1, 1), identity.mark())
    put_text(cell_at(sheet, 1, 2), AS_WRITTEN)
    for row, (key, text) in enumerate(written.items(), start=2):
        put_text(cell_at(sheet, row, 1), key)
        put_text(cell_at(sheet, row, 2), stored_text(text))
    sheet.sheet_state = "hidden"
    sheet.protection.sheet = True
