"""A table as a file holds it: rows of cells, each with its address."""

from dataclasses import dataclass
from enum import StrEnum


class CellFault(StrEnum):
    """Why a cell cannot be taken as it stands."""

    FORMULA = "formula"
    """It holds a formula, whose result may be another tomorrow."""
    DATE = "date"
    """The spreadsheet took what was typed for a date or a time of day."""
    ERROR = "error"
    """The spreadsheet shows an error there."""
    DIGITS = "digits"
    """A number with more digits than a spreadsheet keeps."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its text as people would type it, or why it has none."""

    text: str = ""
    fault: CellFault | None = None

    @property
    def is_blank(self) -> bool:
        """Whether nothing stands in it.

        Example:
            >>> Cell(" ").is_blank, Cell(fault=CellFault.DATE).is_blank
            (True, False)
        """
        return self.fault is None and not self.text.strip()


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table; ``number`` is the one that spreadsheets show, from 1."""

    number: int
    cells: tuple[Cell, ...]

    def cell(self, column: int) -> Cell:
        """The cell of a column, counted from 0; blank beyond the last."""
        return self.cells[column] if column < len(self.cells) else Cell()


@dataclass(frozen=True, slots=True)
class TableChoice:
    """How a file is to be read where it does not say; empty: find out.

    Attributes:
        sheet: Name of the sheet of a workbook.
        encoding: Of a text file, such as ``utf-8``.
        separator: Between the cells of a text file: one sign.
    """

    sheet: str = ""
    encoding: str = ""
    separator: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table as it was read.

    Attributes:
        rows: Those that hold anything, in order.
        choice: How it was read.
        sheets: Names of the sheets that could be read.
    """

    rows: tuple[Row, ...]
    choice: TableChoice
    sheets: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """Columns of the widest row."""
        return max((len(row.cells) for row in self.rows), default=0)


def column_letters(column: int) -> str:
    """How spreadsheets name a column, counted from 0.

    Example:
        >>> [column_letters(n) for n in (0, 25, 26, 701, 702)]
        ['A', 'Z', 'AA', 'ZZ', 'AAA']
    """
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def address(column: int, row: int) -> str:
    """How spreadsheets name a cell: its column, counted from 0, and its row, from 1.

    Example:
        >>> address(1, 7)
        'B7'
    """
    return f"{column_letters(column)}{row}"
