"""Words for the file of marks that a school's own system takes."""

from collections.abc import Mapping, Sequence

from planner.core.change import Change
from planner.core.school_file import SchoolColumn, SchoolRows
from planner.wording.words import listed

COLUMN_WORDS: Mapping[SchoolColumn, str] = {
    SchoolColumn.PLAYER: "the player's name",
    SchoolColumn.LAST_NAME: "the last name",
    SchoolColumn.FIRST_NAME: "the first names",
    SchoolColumn.SECTION: "the section",
    SchoolColumn.ENSEMBLE: "the ensemble",
    SchoolColumn.TERM: "the term",
    SchoolColumn.MARK: "the mark",
    SchoolColumn.WORD: "the mark in words",
    SchoolColumn.PRESENT: "days here",
    SchoolColumn.LATE: "days late",
    SchoolColumn.ABSENT: "days absent",
    SchoolColumn.EXCUSED: "days excused",
    SchoolColumn.DAYS: "a mark for each day, each in its own column",
    SchoolColumn.DAY: "the day",
    SchoolColumn.ATTENDANCE: "attendance",
    SchoolColumn.OWN_MARK: "the player's own mark",
    SchoolColumn.MADE_UP: "when it was made up",
    SchoolColumn.REMARK: "the remark",
}
"""What a column holds, within a sentence."""
HEADINGS: Mapping[SchoolColumn, str] = {
    SchoolColumn.PLAYER: "Player",
    SchoolColumn.LAST_NAME: "Last name",
    SchoolColumn.FIRST_NAME: "First name",
    SchoolColumn.SECTION: "Section",
    SchoolColumn.ENSEMBLE: "Ensemble",
    SchoolColumn.TERM: "Term",
    SchoolColumn.MARK: "Mark",
    SchoolColumn.WORD: "In words",
    SchoolColumn.PRESENT: "Here",
    SchoolColumn.LATE: "Late",
    SchoolColumn.ABSENT: "Absent",
    SchoolColumn.EXCUSED: "Excused",
    SchoolColumn.DAYS: "",
    SchoolColumn.DAY: "Day",
    SchoolColumn.ATTENDANCE: "Attendance",
    SchoolColumn.OWN_MARK: "Own mark",
    SchoolColumn.MADE_UP: "Made up on",
    SchoolColumn.REMARK: "Remark",
}
"""Headings as long as nobody types others; a day's column is headed by its date, after this."""
CHOICE_WORDS: Mapping[str, Mapping[str, str]] = {
    "rows": {SchoolRows.PLAYERS: "for each player", SchoolRows.DAYS: "for each player on each day"},
    "separator": {"comma": "comma", "semicolon": "semicolon", "tab": "tab"},
    "encoding": {
        "utf-8-bom": "UTF-8, for spreadsheets",
        "utf-8": "UTF-8, plain",
        "windows-1252": "Windows-1252",
    },
    "decimal_mark": {"point": "point, 87.5", "comma": "comma, 87,5"},
    "date_form": {
        "year-first": "2026-09-01",
        "month-first": "9/1/2026",
        "month-first-padded": "09/01/2026",
        "day-first": "01/09/2026, day first",
        "day-first-points": "01.09.2026",
    },
}
"""What can be chosen, by field and value."""
FIELD_LABELS: Mapping[str, str] = {
    "rows": "A row", "separator": "Between cells", "encoding": "Letters in", "decimal_mark": "Decimal mark",
    "date_form": "Dates as",
}  # fmt: skip
_CHANGED: Mapping[str, str] = {
    "columns": "columns", "rows": "rows", "has_headings": "headings", "separator": "separator",
    "encoding": "encoding", "decimal_mark": "decimal mark", "date_form": "form of dates",
    "is_guarded": "apostrophe before formulas",
}  # fmt: skip


def school_file_change_text(change: Change) -> str:
    """What was chosen anew, as the rest of a sentence.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, ChangeKind, Door, Subject
        >>> by = Author(Door.PAGE, datetime(2026, 9, 1, tzinfo=UTC))
        >>> after = {"columns": [["player", "Player"]], "separator": "tab"}
        >>> school_file_change_text(Change(0, ChangeKind.SCHOOL_FILE, Subject("", 1, ""), {}, after, by))
        "file for the school's system: columns and separator chosen"
    """
    return f"file for the school's system: {school_file_value_names(list(change.after))} chosen"


def school_file_value_names(names: Sequence[str]) -> str:
    """What choices are called in a sentence."""
    return listed([_CHANGED[name] for name in names])


def unwritable_sentence(name: str, others: int) -> str:
    """That text cannot be written in Windows-1252.

    Example:
        >>> unwritable_sentence("Łukasz", 2)
        '“Łukasz” and 2 more cannot be written in Windows-1252.'
    """
    more = f" and {others} more" if others else ""
    return f"“{name}”{more} cannot be written in Windows-1252."
