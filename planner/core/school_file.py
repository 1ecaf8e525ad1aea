"""The file of marks for a school's own system: its columns, and how text, numbers and dates are written."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any


class SchoolColumn(StrEnum):
    """What a column may hold."""

    PLAYER = "player"
    LAST_NAME = "last-name"
    FIRST_NAME = "first-name"
    SECTION = "section"
    ENSEMBLE = "ensemble"
    TERM = "term"
    MARK = "mark"
    """Of the term, or of the day in a file with a row for each day."""
    WORD = "word"
    """The word of the scale for that mark."""
    PRESENT = "present"
    LATE = "late"
    ABSENT = "absent"
    EXCUSED = "excused"
    DAYS = "days"
    """A column for each day with its mark; in a file with a row for each player alone."""
    DAY = "day"
    ATTENDANCE = "attendance"
    OWN_MARK = "own-mark"
    MADE_UP = "made-up"
    REMARK = "remark"


class SchoolRows(StrEnum):
    """What has a row."""

    PLAYERS = "players"
    DAYS = "days"
    """Each player on each day."""


OF_PLAYERS = frozenset({
    SchoolColumn.PRESENT, SchoolColumn.LATE, SchoolColumn.ABSENT, SchoolColumn.EXCUSED, SchoolColumn.DAYS,
})  # fmt: skip
"""Columns that only a row for a whole term can fill."""
OF_DAYS = frozenset({
    SchoolColumn.DAY, SchoolColumn.ATTENDANCE, SchoolColumn.OWN_MARK, SchoolColumn.MADE_UP,
    SchoolColumn.REMARK,
})  # fmt: skip
"""Columns that only a row for a day can fill."""

SEPARATORS: Mapping[str, str] = {"comma": ",", "semicolon": ";", "tab": "\t"}
ENCODINGS: Mapping[str, str] = {"utf-8-bom": "utf-8-sig", "utf-8": "utf-8", "windows-1252": "cp1252"}
DECIMAL_MARKS: Mapping[str, str] = {"point": ".", "comma": ","}
DATE_FORMS: Mapping[str, str] = {
    "year-first": "{y:04}-{m:02}-{d:02}",
    "month-first": "{m}/{d}/{y:04}",
    "month-first-padded": "{m:02}/{d:02}/{y:04}",
    "day-first": "{d:02}/{m:02}/{y:04}",
    "day-first-points": "{d:02}.{m:02}.{y:04}",
}


@dataclass(frozen=True, slots=True)
class SchoolFile:
    """How the file is written.

    Attributes:
        columns: What each column holds and its heading, in order.
        rows: What has a row.
        has_headings: Whether the first row names the columns.
        separator, encoding, decimal_mark, date_form: Keys of ``SEPARATORS``, ``ENCODINGS``, ``DECIMAL_MARKS``
            and ``DATE_FORMS``.
        is_guarded: Whether text that a spreadsheet would take for a formula gets an apostrophe before it.
    """

    columns: tuple[tuple[SchoolColumn, str], ...]
    rows: SchoolRows = SchoolRows.PLAYERS
    has_headings: bool = True
    separator: str = "comma"
    encoding: str = "utf-8-bom"
    decimal_mark: str = "point"
    date_form: str = "year-first"
    is_guarded: bool = True


def school_file_values(choice: SchoolFile) -> dict[str, Any]:
    """A choice as JSON values by name."""
    values: dict[str, Any] = {each.name: getattr(choice, each.name) for each in fields(choice)}
    return {
        **values,
        "columns": [[column.value, heading] for column, heading in choice.columns],
        "rows": choice.rows.value,
    }


def school_file_of(values: Mapping[str, Any]) -> SchoolFile:
    """What ``school_file_values`` wrote."""
    plain = dict(values)
    columns = tuple((SchoolColumn(column), heading) for column, heading in plain.pop("columns"))
    return SchoolFile(columns, SchoolRows(plain.pop("rows")), **plain)
