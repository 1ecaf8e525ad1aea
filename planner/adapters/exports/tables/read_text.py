"""Reading a table from a text file: its encoding, its separator, its cells."""

import csv
import io
from collections import Counter

from planner.adapters.exports.tables.encodings import decoded
from planner.adapters.exports.tables.rows import trimmed
from planner.core.table import Cell, Row, Table, TableChoice
from planner.errors import InputError

SEPARATORS = (",", ";", "\t", "|")
_LOOKED_AT = 200
"""Rows from which the separator is found (house choice)."""
_LONGEST_CELL = 1_000_000


def read_text(name: str, data: bytes, choice: TableChoice) -> Table:
    """The rows of a text file.

    Raises:
        InputError: If it is no text, or a quotation mark opens a cell that never closes.
    """
    text, encoding = decoded(name, data, choice.encoding)
    announced = ""
    if text[:4].lower() == "sep=" and text[4:5] in SEPARATORS and text[5:6] in ("\r", "\n"):
        announced, text = text[4], text[5:].removeprefix("\r").removeprefix("\n")
    if len(choice.separator) > 1 or (choice.separator and choice.separator in '"\r\n'):
        raise InputError(
            f"“{choice.separator}” cannot stand between cells.", hint="Give one sign: , ; tab or |"
        )
    separator = choice.separator or announced or _separator_of(text)
    csv.field_size_limit(_LONGEST_CELL)
    rows: list[Row] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for cells in reader:
            rows.append(Row(len(rows) + 1, tuple(Cell(cell) for cell in cells)))
    except csv.Error as error:
        raise InputError(
            f"{name}, row {len(rows) + 1}: a quotation mark opens a cell and is not closed at its end.",
            hint="Double it, or take it out.",
        ) from error
    return Table(trimmed(rows), TableChoice(encoding=encoding, separator=separator))


def _separator_of(text: str) -> str:
    """The sign that parts most rows into the same number of cells."""

    def evenness(separator: str) -> tuple[float, int]:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
        counts: Counter[int] = Counter()
        try:
            for row in reader:
                if any(cell.strip() for cell in row):
                    counts[len(row)] += 1
                if counts.total() >= _LOOKED_AT:
                    break
        except csv.Error:
            return 0.0, 0
        width, times = max(counts.items(), key=lambda pair: (pair[1], pair[0]), default=(0, 0))
        return (times / counts.total(), width) if width > 1 else (0.0, 0)

    return max(SEPARATORS, key=evenness)
