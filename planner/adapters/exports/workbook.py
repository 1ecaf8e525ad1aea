"""What every workbook shares: safe text, sheet names, the look of cells, and writing it whole."""

import re
from collections.abc import Container, Iterable
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.base import write_export
from planner.adapters.exports.lettering.fonts import SANS, font_name
from planner.adapters.exports.lettering.lines import text_width
from planner.core.text import STARTS_FORMULA

LONGEST_SHEET_NAME = 31
"""Source: limit of the spreadsheet format (ECMA-376 readers refuse longer names)."""
TITLE = Font(name="DejaVu Serif", size=16, bold=True)
HEADING = Font(name="DejaVu Sans", size=10, bold=True)
BODY = Font(name="DejaVu Sans", size=10)
SMALL = Font(name="DejaVu Sans", size=9, italic=True, color="5C5750")
ENTRY_FILL = PatternFill("solid", fgColor="FBF7E9")
HEAD_FILL = PatternFill("solid", fgColor="ECE8DF")
LINE = Border(bottom=Side(style="thin", color="9E978A"))
_POINTS_A_CHARACTER, _CELL_EDGES = 5.25, 6.0
"""Width of a column's unit and of the empty edges of a cell, in points.

Source: ECMA-376 part 1, 18.3.1.13 (a digit of the standard font is 7 pixels wide); the edges leave some
room beyond its 5 pixels.
"""
_EDGE = Side(style="thin", color="C9C2B4")
BOX = Border(left=_EDGE, right=_EDGE, top=_EDGE, bottom=_EDGE)
WORDS = Alignment(horizontal="left", vertical="top", wrap_text=True)
FIGURE = Alignment(horizontal="center", vertical="top")
PERCENT, MARK, DAY, GENERAL = "0%", "0.0", "yyyy-mm-dd", "General"


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
    if clean.startswith(STARTS_FORMULA):
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


def heading_row(sheet: Worksheet, row: int, texts: Iterable[str], *, figures: Container[int]) -> None:
    """A row of column headings; those of the columns ``figures`` are centred, as the figures below them."""
    for column, text in enumerate(texts, start=1):
        cell = cell_at(sheet, row, column)
        put_text(cell, text, HEADING)
        cell.fill, cell.border = HEAD_FILL, LINE
        across = "center" if column in figures else "left"
        cell.alignment = Alignment(horizontal=across, vertical="center", wrap_text=True)


def formula(cell: Cell, text: str, number_format: str = "General") -> None:
    """A live formula that gives a figure."""
    cell.value = text
    cell.number_format = number_format
    cell.font, cell.alignment = BODY, FIGURE


def put_figure(cell: Cell, value: float | date | None, number_format: str) -> None:
    """A number or a date, or nothing."""
    cell.value = value
    cell.number_format = number_format
    cell.font, cell.alignment = BODY, FIGURE


def entry(cell: Cell, value: str | float | None, number_format: str = "General") -> None:
    """A cell the director fills in: tinted, boxed and unlocked."""
    if isinstance(value, str):
        put_text(cell, value)
        cell.alignment = WORDS
    else:
        put_figure(cell, value, number_format)
    cell.fill, cell.border = ENTRY_FILL, BOX
    cell.protection = Protection(locked=False)


def day_entry(cell: Cell, on: date | None) -> None:
    """A date that the director fills in, as ``entry``."""
    entry(cell, None)
    put_figure(cell, on, DAY)


def width_for(texts: Iterable[str], *, least: float, most: float) -> float:
    """Column width in characters that holds these words, within bounds."""
    return min(most, max(least, 2.0 + 1.1 * max((len(text) for text in texts), default=0)))


def fit_height(sheet: Worksheet, row: int, texts: Iterable[tuple[str, float]], font: Font = BODY) -> None:
    """Make a row high enough for wrapped words; ``(words, column width)``.

    Not every program works out heights on opening.
    """
    size = float(font.size)
    lines = max((lines_of(text, width, size, bold=bool(font.bold)) for text, width in texts), default=1)
    sheet.row_dimensions[row].height = 1.45 * size * max(1, lines)


def lines_of(text: str, width: float, size: float, *, bold: bool = False) -> int:
    """How many lines words take in a column so many characters wide, in the workbook's own typeface.

    Example:
        >>> lines_of("Fairground March", 38, 10.0), lines_of("Fairground March " * 4, 38, 10.0)
        (1, 2)
    """
    face, room = font_name(SANS, bold=bold), max(1.0, _POINTS_A_CHARACTER * width - _CELL_EDGES)
    lines, taken = 1, 0.0
    for word in text.split():
        wide = text_width(word, face, size)
        space = text_width(" ", face, size) if taken else 0.0
        if taken and taken + space + wide > room:
            lines, taken, space = lines + 1, 0.0, 0.0
        broken = int(wide // room)
        lines, taken = lines + broken, taken + space + wide - broken * room
    return lines


def set_widths(sheet: Worksheet, widths: Iterable[float]) -> None:
    """Column widths in characters, from the first column on."""
    for at, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(at)].width = width


def for_printing(
    sheet: Worksheet, *, paper: str, landscape: bool = False, pages_wide: int = 1, pages_high: int = 0,
    heading_rows: str = "", heading_columns: str = "",
) -> None:  # fmt: skip
    """So many pages wide and high on this paper (0: as many as it takes), headings repeated on each."""
    sheet.page_setup.orientation = "landscape" if landscape else "portrait"
    sheet.page_setup.paperSize = 1 if paper.lower() == "letter" else 9
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = pages_wide, pages_high
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.oddFooter.center.text = "&A, page &P of &N"  # type: ignore[union-attr]
    sheet.oddFooter.center.size = 8  # type: ignore[union-attr]
    sheet.page_margins.left = sheet.page_margins.right = 0.5
    if heading_rows:
        sheet.print_title_rows = heading_rows
    if heading_columns:
        sheet.print_title_cols = heading_columns


def mark_rule() -> DataValidation:
    """Entries must be numbers from 0 to 100."""
    return DataValidation(
        type="decimal", operator="between", formula1="0", formula2="100", allow_blank=True,
        showErrorMessage=True, errorTitle="Mark", error="Enter a number from 0 to 100.",
    )  # fmt: skip


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
