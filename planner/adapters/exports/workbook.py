"""What every workbook shares: safe text, sheet names, the look of cells, and writing it whole."""

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any, BinaryIO

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.base import write_export

LONGEST_SHEET_NAME = 31
"""Source: limit of the spreadsheet format (ECMA-376 readers refuse longer names)."""
TITLE = Font(name="DejaVu Serif", size=16, bold=True)
HEADING = Font(name="DejaVu Sans", size=10, bold=True)
BODY = Font(name="DejaVu Sans", size=10)
SMALL = Font(name="DejaVu Sans", size=9, italic=True, color="5C5750")
ENTRY_FILL = PatternFill("solid", fgColor="FBF7E9")
HEAD_FILL = PatternFill("solid", fgColor="ECE8DF")
LINE = Border(bottom=Side(style="thin", color="9E978A"))
_EDGE = Side(style="thin", color="C9C2B4")
BOX = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
PERCENT, MARK, DAY = "0%", "0.0", "yyyy-mm-dd"

_STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def cell_at(sheet: Worksheet, row: int, column: int) -> Cell:
    """The cell, which must not be the hidden part of a merged one."""
    cell = sheet.cell(row, column)
    assert isinstance(cell, Cell), f"{sheet.title} row {row} column {column} is merged away"
    return cell


def put_text(cell: Cell, text: str, font: Font = BODY) -> None:
    """Write words as words: never as a formula, whatever sign they begin with.

    The cell's type is set to text and the quote prefix switched on, so that the cell
    stays text when someone edits it; control characters, which the format forbids, go.

    Source: OWASP, "CSV Injection": leading = + - @ tab and carriage return.
    """
    clean = ILLEGAL_CHARACTERS_RE.sub("", text)
    cell.value = clean
    cell.data_type = "s"
    cell.font = font
    if clean.startswith(_STARTS_FORMULA):
        cell.quotePrefix = True


def sheet_name(wanted: str, taken: Iterable[str]) -> str:
    """A name the format allows, at most 31 characters, unlike every other whatever the case.

    Example:
        >>> sheet_name("Mon 1/2", []), sheet_name("a", ["A"])
        ('Mon 1-2', 'a (2)')
    """
    base = re.sub(r"[\[\]:*?/\\]", "-", ILLEGAL_CHARACTERS_RE.sub("", wanted)).strip("' ") or "Sheet"
    used = {name.casefold() for name in taken}
    name, count = base[:LONGEST_SHEET_NAME], 1
    while name.casefold() in used or name.casefold() == "history":
        count += 1
        end = f" ({count})"
        name = base[: LONGEST_SHEET_NAME - len(end)].rstrip() + end
    return name


def quoted(name: str) -> str:
    """A sheet's name as formulas want it."""
    doubled = name.replace("'", "''")
    return f"'{doubled}'"


def heading_row(sheet: Worksheet, row: int, texts: Iterable[str], column: int = 1) -> None:
    """A row of column headings."""
    for at, text in enumerate(texts):
        cell = cell_at(sheet, row, column + at)
        put_text(cell, text, HEADING)
        cell.fill, cell.border = HEAD_FILL, LINE
        cell.alignment = Alignment(wrap_text=True, vertical="center")


def formula(cell: Cell, text: str, number_format: str = "General") -> None:
    """A live formula."""
    cell.value = text
    cell.number_format = number_format
    cell.font = BODY


def entry(cell: Cell, value: object, number_format: str = "General") -> None:
    """A cell the director fills in: tinted, boxed and unlocked. Words go through ``put_text``."""
    if isinstance(value, str):
        put_text(cell, value)
    else:
        cell.value = value  # type: ignore[assignment]
        cell.font = BODY
    cell.number_format = number_format
    cell.fill, cell.border = ENTRY_FILL, BOX
    cell.protection = Protection(locked=False)


def set_widths(sheet: Worksheet, widths: Iterable[float]) -> None:
    """Column widths in characters, from the first column on."""
    for at, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(at)].width = width


def for_printing(sheet: Worksheet, *, paper: str, landscape: bool = False, heading_rows: str = "") -> None:
    """One page wide on this paper, headings repeated on every page."""
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.paperSize = 1 if paper.lower() == "letter" else 9
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.oddFooter.center.text = "&A, page &P of &N"  # type: ignore[union-attr]
    if heading_rows:
        sheet.print_title_rows = heading_rows


def save_workbook(book: Workbook, path: Path, *, title: str, author: str) -> Path:
    """Write it whole or not at all."""
    book.properties.title, book.properties.creator = title, author
    book.calculation.fullCalcOnLoad = True

    def writer(out: BinaryIO) -> None:
        book.save(out)

    return write_export(path, writer)


def new_sheet(book: Workbook, wanted: str) -> Worksheet:
    """A sheet at the end, with a name that fits."""
    sheet: Any = book.create_sheet(sheet_name(wanted, book.sheetnames))
    sheet.sheet_view.showGridLines = False
    return sheet  # type: ignore[no-any-return]
