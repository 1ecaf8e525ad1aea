"""A workbook whose formulas bear their values, so that a preview shows numbers: sheets, looks, entry cells.

Rows and columns are counted from 0 here, as in the library that writes it.
"""

import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from io import BytesIO
from typing import Any, BinaryIO

from xlsxwriter import Workbook
from xlsxwriter.utility import xl_cell_to_rowcol, xl_col_to_name, xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from planner.adapters.exports.filled_in import AS_WRITTEN
from planner.adapters.exports.workbook import quoted, sheet_name
from planner.core.filled_in import NO_KEY, FileIdentity
from planner.core.text import STARTS_FORMULA

SMALL_TYPE, BODY_TYPE = 8, 9
"""Sizes of type in points. Source: House choice: 9 points are the least that is read at arm's length."""
DAY, SHORT_DAY, MARK, NUMBER = "yyyy-mm-dd", "mmm d", "0.0", "General"
PLAIN, BRACKETED = "General;-General", '"("General")";"("-General")";"("General")";"("@")"'
"""Whole numbers as they are, also in parentheses, words too: with 0.## spreadsheets show 85 as “85.”.

Source: from memory: some programs always show the decimal point of such a format.
"""
_ROW, _TITLE_ROW = 13.0, 21.0
"""Heights of a row of such type and of one with a title, in points."""
_CONTROL = re.compile("[\\x00-\\x08\\x0b\\x0c\\x0e-\\x1f\\ufffe\\uffff]")
_FACE = {"font_name": "Arial", "font_size": BODY_TYPE, "valign": "vcenter"}
_ENTRY = {"bg_color": "#FBF7E9", "border": 1, "border_color": "#C9C2B4", "locked": False}
_HEAD = {"bold": True, "bg_color": "#ECE8DF", "bottom": 1, "bottom_color": "#9E978A"}
_LOOKS: Mapping[str, Mapping[str, Any]] = {
    "title": {"font_size": 15, "bold": True},
    "block": {"font_size": 10, "bold": True, "valign": "bottom"},
    "note": {"font_size": SMALL_TYPE, "italic": True, "font_color": "#5C5750"},
    "small": {"font_size": SMALL_TYPE, "italic": True, "font_color": "#5C5750", "text_wrap": True},
    "words": {"text_wrap": True},
    "name": {"shrink": True},
    "head": {**_HEAD, "text_wrap": True},
    "head figure": {**_HEAD, "text_wrap": True, "align": "center"},
    "head upright": {**_HEAD, "rotation": 90, "align": "center", "valign": "bottom"},
    "figure": {"align": "center", "shrink": True},
    "entry": {**_ENTRY, "align": "center", "shrink": True},
    "entry words": {**_ENTRY, "text_wrap": True},
    "none": {"bg_color": "#ECE8DF"},
    "key": {"num_format": "@", "font_color": "#9E978A"},
}
"""What a cell looks like, by what it is for."""


class _Sheet(Worksheet):  # type: ignore[misc]
    """A sheet that takes formulas as they are.

    The library looks through every formula for each of some thirty functions that came after 2010; here none
    of them is ever written, and the look takes three quarters of the time that a large gradebook takes.
    """

    def _prepare_formula(self, formula: str, expand_future_functions: bool = False) -> str:  # noqa: ARG002
        return formula.removeprefix("=")


class Book:
    """A workbook that is being laid out."""

    def __init__(self, out: BinaryIO, *, title: str, author: str, made_on: date, paper: str) -> None:
        self._out, self._packed = out, BytesIO()
        self._book = Workbook(
            self._packed,
            {"in_memory": True, "default_format_properties": {"font_name": "Arial", "font_size": 10}},
        )
        made = datetime(made_on.year, made_on.month, made_on.day)
        self._book.set_properties({"title": _clean(title), "author": _clean(author), "created": made})
        self._formats: dict[tuple[str, str, bool], Any] = {}
        self._paper = 1 if paper.lower() == "letter" else 9
        self._taken: list[str] = []
        self.guards: dict[str, str] = {}

    def page(self, wanted: str, *, is_hidden: bool = False) -> "Page":
        """A sheet at the end."""
        name = sheet_name(wanted, self._taken)
        self._taken.append(name)
        sheet: Any = self._book.add_worksheet(name, worksheet_class=_Sheet)
        if is_hidden:
            sheet.hide()
        else:
            sheet.hide_gridlines(2)
        return Page(self, sheet, name, self._paper)

    def look(self, kind: str, shape: str = NUMBER, *, is_quoted: bool = False) -> Any:
        """The format of a kind of cell, with the form of its number."""
        key = (kind, shape, is_quoted)
        if key not in self._formats:
            own = {"num_format": shape} if shape != NUMBER else {}
            quote = {"quote_prefix": True} if is_quoted else {}
            self._formats[key] = self._book.add_format({**_FACE, **_LOOKS[kind], **own, **quote})
        return self._formats[key]

    def name_range(self, name: str, range_: str) -> None:
        """Give a range a name, by which rules of other sheets may speak of it."""
        self._book.define_name(name, f"={range_}")

    def close(self) -> None:
        """Write it."""
        self._book.close()
        self._out.write(self._packed.getvalue())


class Page:
    """A sheet of a workbook that is being laid out."""

    def __init__(self, book: Book, sheet: Any, name: str, paper: int) -> None:
        self._book, self._sheet, self.name = book, sheet, name
        self._sheet.set_paper(paper)
        self._sheet.set_default_row(_ROW)

    def text(self, row: int, column: int, words: str, kind: str = "name") -> None:
        """Write words as words: never as a formula or a link, whatever sign they begin with.

        Source: OWASP, "CSV Injection": leading = + - @ tab and carriage return.
        """
        clean = _clean(words)
        if kind == "title":
            self._sheet.set_row(row, _TITLE_ROW)
        look = self._book.look(kind, is_quoted=clean.startswith(STARTS_FORMULA))
        if clean:
            self._sheet.write_string(row, column, clean, look)
        else:
            self._sheet.write_blank(row, column, None, look)

    def figure(
        self, row: int, column: int, value: float | date | None, shape: str = NUMBER, kind: str = "figure"
    ) -> None:
        """A number or a date, or nothing."""
        look = self._book.look(kind, shape)
        if value is None:
            self._sheet.write_blank(row, column, None, look)
        elif isinstance(value, date):
            self._sheet.write_datetime(row, column, datetime(value.year, value.month, value.day), look)
        else:
            self._sheet.write_number(row, column, value, look)

    def formula(
        self, row: int, column: int, text: str, value: float | str | None, shape: str = NUMBER,
        kind: str = "figure",
    ) -> None:  # fmt: skip
        """A live formula with the value that it has now; None: it shows nothing."""
        self._sheet.write_formula(
            row, column, text, self._book.look(kind, shape), "" if value is None else value
        )

    def entry(self, row: int, column: int, value: str | float | date | None, shape: str = NUMBER) -> None:
        """A cell to fill in: tinted, boxed and unlocked."""
        if isinstance(value, str) and shape == NUMBER:
            self.text(row, column, value, "entry words")
        elif isinstance(value, str):
            self._sheet.write_string(row, column, value, self._book.look("entry", shape))
        else:
            self.figure(row, column, value, shape, "entry")

    def across(self, row: int, first: int, last: int, words: str, kind: str, height: float = 0.0) -> None:
        """Words over several columns, in a row so many points high (0: as usual)."""
        self._sheet.merge_range(row, first, row, last, "", self._book.look(kind))
        self.text(row, first, words, kind)
        if height:
            self._sheet.set_row(row, height)

    def heights(self, rows: Iterable[int], points: float) -> None:
        """How high rows are."""
        for row in rows:
            self._sheet.set_row(row, points)

    def widths(self, widths: Iterable[float]) -> None:
        """Widths of columns in characters, from the first on; 0 hides one."""
        for at, width in enumerate(widths):
            if width:
                self._sheet.set_column(at, at, width)
            else:
                self._sheet.set_column(at, at, None, None, {"hidden": True})

    def with_keys(self, identity: FileIdentity) -> None:
        """Hide the first row and column: they hold the keys of entry cells; the file's mark crosses them."""
        self._sheet.write_string(0, 0, identity.mark(), self._book.look("key"))
        self._sheet.set_row(0, None, None, {"hidden": True})

    def row_key(self, row: int, key: str = NO_KEY) -> None:
        """By what the entry cells of a row are known; without a key it holds nothing to be filled in."""
        self._sheet.write_string(row, 0, key, self._book.look("key"))

    def column_key(self, column: int, key: str) -> None:
        """By what the entry cells of a column are known."""
        self._sheet.write_string(0, column, key, self._book.look("key"))

    def guard(self, key: str, words: str) -> None:
        """Remember the words that say whose row it is, so that rows that lost their keys are seen."""
        self._book.guards[key] = words

    def as_written(self, identity: FileIdentity, written: Mapping[str, str]) -> None:
        """Fill the sheet with what stands in the cells of the workbook, by key."""
        look = self._book.look("key")
        self._sheet.write_string(0, 0, identity.mark(), look)
        self._sheet.write_string(0, 1, AS_WRITTEN, look)
        for row, (key, words) in enumerate({**self._book.guards, **written}.items(), start=1):
            self._sheet.write_string(row, 0, key, look)
            self._sheet.write_string(row, 1, _clean(words), look)
        self._sheet.protect()

    def name_as(self, name: str, column: int, count: int) -> None:
        """Give the first cells of a column a name, by which rules of other sheets may speak of them."""
        self._book.name_range(name, self.range(0, column, count - 1, column))

    def rule(self, where: str, options: Mapping[str, Any]) -> None:
        """What may be entered in a range."""
        first, last = xl_cell_to_rowcol(where.split(":")[0]), xl_cell_to_rowcol(where.split(":")[-1])
        self._sheet.data_validation(*first, *last, dict(options))

    def freeze(self, row: int, column: int) -> None:
        """Hold what stands above and left of a cell in view."""
        self._sheet.freeze_panes(row, column)

    def protect(self) -> None:
        """Lock all but the entry cells, without a password: it keeps slips of the pen from formulas."""
        self._sheet.protect("", {
            "format_cells": True, "format_columns": True, "format_rows": True, "sort": True,
            "autofilter": True,
        })  # fmt: skip

    def for_printing(
        self, last_row: int, last_column: int, *, first: tuple[int, int] = (0, 0), landscape: bool = False,
        pages_wide: int = 1, pages_high: int = 0, heading_rows: tuple[int, int] | None = None,
        heading_columns: tuple[int, int] | None = None,
    ) -> None:  # fmt: skip
        """What is printed, on how many pages (0: as many as it takes), and what is repeated on each."""
        if landscape:
            self._sheet.set_landscape()
        self._sheet.print_area(*first, last_row, last_column)
        self._sheet.fit_to_pages(pages_wide, pages_high)
        self._sheet.set_margins(left=0.4, right=0.4, top=0.45, bottom=0.55)
        self._sheet.set_footer("&C&8&A, page &P of &N", {"margin": 0.25})
        if heading_rows:
            self._sheet.repeat_rows(*heading_rows)
        if heading_columns:
            self._sheet.repeat_columns(*heading_columns)

    def cell(self, row: int, column: int) -> str:
        """Reference to a cell from any sheet."""
        return f"{quoted(self.name)}!{xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True)}"

    def range(self, row: int, column: int, last_row: int, last_column: int) -> str:
        """Reference to a range from any sheet."""
        return (
            f"{self.cell(row, column)}:{xl_rowcol_to_cell(last_row, last_column, row_abs=True, col_abs=True)}"
        )


def of_hundred_shape(value: float | None, *, is_bracketed: bool = False) -> str:
    """The form of a number from 0 to 100 that somebody typed or is to type: two decimals where it has any.

    Example:
        >>> of_hundred_shape(87.5), of_hundred_shape(87.5, is_bracketed=True), of_hundred_shape(85) == PLAIN
        ('0.##', '(0.##)', True)
    """
    if value is not None and value % 1:
        return "(0.##)" if is_bracketed else "0.##"
    return BRACKETED if is_bracketed else PLAIN


def here(row: int, column: int, *, row_abs: bool = False, col_abs: bool = False) -> str:
    """Reference to a cell of the same sheet."""
    return str(xl_rowcol_to_cell(row, column, row_abs=row_abs, col_abs=col_abs))


def letters(column: int) -> str:
    """The letters of a column."""
    return str(xl_col_to_name(column))


def _clean(words: str) -> str:
    """Words without the control characters that the format forbids."""
    return _CONTROL.sub("", words)
