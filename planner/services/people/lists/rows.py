"""A roster as people write it: pasted from a spreadsheet, one name a line, or a table with headings."""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.core.text import folded
from planner.services.entered.words import one_line

Rows = Sequence[Sequence[str]]
"""A table: the cells of each row as text, empty rows too, so that places can be named."""

FIELDS = ("name", "section", "joined", "last_day")
_HEADINGS: Mapping[str, tuple[str, ...]] = {
    "name": ("name", "player", "student", "full name", "musician", "member", "players", "names"),
    "first_name": ("first name", "first", "given name", "forename"),
    "last_name": ("last name", "last", "surname", "family name"),
    "section": ("section", "part", "instrument", "sections", "plays"),
    "joined": ("joined", "first day", "since", "start", "from", "start date", "join date"),
    "last_day": ("last day", "left", "until", "end", "to", "leaves", "end date"),
}
"""Headings by which a column is known, as they are compared."""


@dataclass(frozen=True, slots=True)
class RosterRow:
    """One player as written.

    Attributes:
        row: Number of the row, from 1.
        name, section, joined, last_day: As written; empty where not given.
        columns: By field, the column it stood in, from 0.
    """

    row: int
    name: str
    section: str = ""
    joined: str = ""
    last_day: str = ""
    columns: Mapping[str, int] | None = None

    def place(self, field: str = "name", *, is_sheet: bool = False) -> str:
        """Where a value stood: its line, or its cell in a spreadsheet.

        Example:
            >>> RosterRow(4, "Ida").place(), RosterRow(4, "Ida", columns={"name": 1}).place(is_sheet=True)
            ('Line 4', 'Cell B4')
        """
        if not is_sheet:
            return f"Line {self.row}"
        at = (self.columns or {}).get(field, 0)
        return f"Cell {column_letters(at)}{self.row}"


def column_letters(at: int) -> str:
    """The letters of a column of a spreadsheet, counted from 0.

    Example:
        >>> column_letters(0), column_letters(27)
        ('A', 'AB')
    """
    letters, at = "", at + 1
    while at:
        at, digit = divmod(at - 1, 26)
        letters = chr(ord("A") + digit) + letters
    return letters


def split_rows(text: str) -> Rows:
    r"""Pasted text as rows of cells: parted by tabs, else by semicolons, else by commas.

    Example:
        >>> split_rows("Ida Weir, Flute\nTom Ash, Horn")
        [['Ida Weir', 'Flute'], ['Tom Ash', 'Horn']]
    """
    plain = (
        text.lstrip("\N{ZERO WIDTH NO-BREAK SPACE}")
        .replace("\r\n", "\n")
        .replace("\r", "\n")
        .replace("\0", "")
    )
    lines = plain.split("\n")
    mark = next((mark for mark in "\t;," if any(mark in line for line in lines)), ",")
    # Each line by itself: a quotation mark that is not closed must not swallow the lines below.
    return [_cells(line, mark) for line in lines]


def _cells(line: str, mark: str) -> list[str]:
    try:
        read = next(csv.reader(io.StringIO(line), delimiter=mark, skipinitialspace=True), [])
    except csv.Error:
        read = line.split(mark)
    return [one_line(cell) for cell in read]


def read_roster(rows: Rows, is_section: "Mapping[str, bool] | None" = None) -> tuple[RosterRow, ...]:
    """The players of a table, by its headings or, without them, by what stands where.

    Without headings the first cell is the name, the second the section, then first and last day. Last
    and first name in two cells are one name where most of the second cells are neither sections nor days.

    Args:
        rows: The cells.
        is_section: Whether a text, folded, can be a section; None takes every second cell for one.
    """
    filled = [(number, list(row)) for number, row in enumerate(rows, start=1) if any(cell for cell in row)]
    if not filled:
        return ()
    columns = _by_headings(filled[0][1])
    if columns:
        return tuple(_row(number, cells, columns) for number, cells in filled[1:])
    if is_section is not None and _are_names(filled, is_section):
        return tuple(
            RosterRow(number, " ".join(reversed([cell for cell in cells if cell])), columns={"name": 0})
            for number, cells in filled
        )
    second_is = is_section is not None and _are_sections(filled, 1, is_section)
    plain = dict(zip(FIELDS, range(len(FIELDS)), strict=True))
    if is_section is not None and not second_is and _are_sections(filled, 2, is_section):
        plain = {"last_name": 0, "first_name": 1, "section": 2, "joined": 3, "last_day": 4}
    return tuple(_row(number, cells, plain) for number, cells in filled)


def _by_headings(cells: Sequence[str]) -> dict[str, int]:
    """By field, its column; empty where the row holds no headings."""
    found: dict[str, int] = {}
    for at, cell in enumerate(cells):
        words = folded(cell).strip(" :*")
        field = next((field for field, headings in _HEADINGS.items() if words in headings), None)
        if field is not None and field not in found:
            found[field] = at
    return found if "name" in found or {"first_name", "last_name"} & set(found) else {}


def _row(number: int, cells: Sequence[str], columns: Mapping[str, int]) -> RosterRow:
    def cell(field: str) -> str:
        at = columns.get(field)
        return cells[at] if at is not None and at < len(cells) else ""

    name = cell("name") or " ".join(part for part in (cell("first_name"), cell("last_name")) if part)
    given, mark, rest = name.partition(", ")
    if mark and "name" in columns:
        name = f"{rest} {given}"
    at = columns.get("name", columns.get("first_name", columns.get("last_name", 0)))
    return RosterRow(
        number, name, cell("section"), cell("joined"), cell("last_day"), columns={**columns, "name": at}
    )


def _are_sections(
    filled: Sequence[tuple[int, Sequence[str]]], at: int, is_section: Mapping[str, bool]
) -> bool:
    """Whether most of the cells of a column can be sections: a first name can be an instrument too."""
    cells = [cells[at] for _, cells in filled if len(cells) > at and cells[at]]
    return 2 * sum(is_section.get(folded(cell), False) for cell in cells) > len(cells)


def _are_names(filled: Sequence[tuple[int, Sequence[str]]], is_section: Mapping[str, bool]) -> bool:
    """Whether the lines are names written "Last, First"."""
    pairs = [[cell for cell in cells if cell] for _, cells in filled]
    if any(len(pair) > 2 or any(re.search(r"\d", cell) for cell in pair) for pair in pairs):
        return False
    return any(len(pair) == 2 for pair in pairs) and not _are_sections(filled, 1, is_section)
