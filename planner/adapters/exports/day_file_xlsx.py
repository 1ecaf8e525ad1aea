"""The worksheet of a reading day as a workbook: a sheet for the sections, one for the players."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.filled_in import put_as_written, put_column_keys, put_row_key
from planner.adapters.exports.workbook import (
    FIGURE,
    SMALL,
    TITLE,
    cell_at,
    day_entry,
    entry,
    for_printing,
    heading_row,
    mark_rule,
    new_sheet,
    put_text,
    save_workbook,
    set_widths,
    width_for,
)
from planner.core.difficulty import FOCUSES
from planner.core.filled_in import NAME, About, Field, cell_key
from planner.core.term import Attendance
from planner.services.sheets.views import DayFileSheet
from planner.wording.director.read_in import FELL_APART, FIELD_WORDS
from planner.wording.words import capital, full_day

_KEYS, _HEADINGS, _FIRST = 3, 4, 5
"""Rows of the hidden keys, of the headings, and of the first entry."""
_KEY_COLUMN = 1
_OF_SECTION = (Field.FIRST, Field.SECOND, Field.PROBLEMS, Field.TEMPO, Field.COUNTS, Field.NOTE)
_OF_PLAYER = (Field.ATTENDANCE, Field.MARK, Field.MADE_UP, Field.REMARK)
_NAME_KEYS = {2: f"{NAME} 1", 3: f"{NAME} 2"}
"""By column, keys of the names that say whose row it is: where they moved, so did the row's entries."""
_FIRST_ENTRY = 4
"""Column of the first thing that is filled in; before it stand the key and two names."""
_NUMBERS = (Field.FIRST, Field.SECOND, Field.TEMPO, Field.MARK)
_CENTERED = (*_NUMBERS, Field.COUNTS, Field.ATTENDANCE, Field.MADE_UP)
_WIDTHS: Mapping[Field, float] = {
    Field.FIRST: 13, Field.SECOND: 13, Field.PROBLEMS: 26, Field.TEMPO: 9, Field.COUNTS: 9, Field.NOTE: 40,
    Field.ATTENDANCE: 13, Field.MARK: 11, Field.MADE_UP: 13, Field.REMARK: 48,
}  # fmt: skip


class DayFileWorkbook:
    """Fulfils ``ports.writers.DayFileWriter``: .xlsx with validated cells, known again by hidden keys."""

    def __init__(self, paper: str = "a4") -> None:
        self._paper = paper

    def write(self, sheet: DayFileSheet, path: Path) -> Path:
        """Write the workbook."""
        book = Workbook()
        book.remove(book.worksheets[0])
        readings = [
            (about, piece, f"{section} (away)" if is_away else section)
            for about, piece, section, is_away in sheet.readings
        ]
        names = self._fill(
            new_sheet(book, "Sections"), sheet, ("Piece", "Section"), readings, _OF_SECTION,
            f"Bars right of 100, or “{FELL_APART}”. Fill in the tinted cells; leave a section that did not "
            "play empty.",
        )  # fmt: skip
        players = self._fill(
            new_sheet(book, "Players"), sheet, ("Section", "Player"), sheet.players, _OF_PLAYER,
            f"Attendance: {', '.join(Attendance)}. Own marks run from 0 to 100.",
        )  # fmt: skip
        put_as_written(book, sheet.identity, {**names, **players, **sheet.written})
        title = f"{full_day(sheet.on)}: worksheet"
        return save_workbook(book, path, title=title, author=sheet.ensemble)

    def _fill(
        self, page: Worksheet, sheet: DayFileSheet, of_whom: tuple[str, str],
        rows: Sequence[tuple[About, str, str]], fields: Sequence[Field], how: str,
    ) -> Mapping[str, str]:  # fmt: skip
        """Fill a sheet; by key, the names that stand beside the entries."""
        names: dict[str, str] = {}
        put_text(cell_at(page, 1, 2), f"{full_day(sheet.on)}: {page.title.lower()}", TITLE)
        put_text(cell_at(page, 2, 2), f"{sheet.ensemble}, {sheet.term}. {how}", SMALL)
        columns = {_FIRST_ENTRY + at: field for at, field in enumerate(fields)}
        put_column_keys(page, _KEYS, {**_NAME_KEYS, **columns}, _KEY_COLUMN, sheet.identity)
        headings = ("", *of_whom, *(capital(FIELD_WORDS[field]) for field in fields))
        centered = {at for at, field in columns.items() if field in _CENTERED}
        heading_row(page, _HEADINGS, headings, figures=centered)
        for number, (about, first, second) in enumerate(rows, start=_FIRST):
            put_row_key(page, number, _KEY_COLUMN, about.key)
            for column, words in zip(_NAME_KEYS, (first, second), strict=True):
                put_text(cell_at(page, number, column), words)
                names[f"{about.key} {_NAME_KEYS[column]}"] = words
            for column, field in columns.items():
                _put_entry(page, number, column, field, sheet.written.get(cell_key(about, field), ""))
        if rows:
            _put_rules(page, columns, _FIRST + len(rows) - 1)
        names_of = ([first for _, first, _ in rows], [second for _, _, second in rows])
        widths = [width_for(texts, least=16, most=40) for texts in names_of]
        set_widths(page, (4, *widths, *(_WIDTHS[field] for field in fields)))
        page.freeze_panes = f"D{_FIRST}"
        page.protection.sheet = True
        page.protection.formatColumns = page.protection.formatRows = False
        for_printing(page, paper=self._paper, landscape=True, heading_rows=f"{_HEADINGS}:{_HEADINGS}")
        return names


def _put_entry(page: Worksheet, row: int, column: int, field: Field, text: str) -> None:
    cell = cell_at(page, row, column)
    if field is Field.MADE_UP:
        day_entry(cell, date.fromisoformat(text) if text else None)
        return
    is_number = field in _NUMBERS and text[:1].isdigit()
    entry(cell, float(text) if is_number else text or None)
    if field in _CENTERED:
        cell.alignment = FIGURE


def _put_rules(page: Worksheet, columns: Mapping[int, Field], last: int) -> None:
    for column, field in columns.items():
        if field in (Field.NOTE, Field.REMARK):
            continue
        letter = cell_at(page, _FIRST, column).column_letter
        rule = _rule(field, f"{letter}{_FIRST}")
        rule.add(f"{letter}{_FIRST}:{letter}{last}")
        page.add_data_validation(rule)


def _rule(field: Field, cell: str) -> DataValidation:
    """What may be entered in the cells of a column, of which this is the first."""
    title = capital(FIELD_WORDS[field])
    if field is Field.MARK:
        return mark_rule()
    if field is Field.FIRST:
        number = f"AND(ISNUMBER({cell}),{cell}>=0,{cell}<=100)"
        return _refusing(
            "custom", f'OR({number},LOWER({cell})="{FELL_APART}")', title,
            f"Enter bars right of 100, “{FELL_APART}”, or nothing.",
        )  # fmt: skip
    if field is Field.SECOND:
        return _between(0, 100, title, "Enter bars right of 100, or nothing.")
    if field is Field.TEMPO:
        return _between(10, 400, title, "Enter beats a minute, or nothing.")
    if field is Field.COUNTS:
        return _refusing("list", '"no"', title, "Enter no where a result is not to count for the level.")
    if field is Field.MADE_UP:
        return _refusing("date", "1", title, "Enter a date, or nothing.", operator="greaterThan")
    if field is Field.ATTENDANCE:
        states = ",".join(Attendance)
        return _refusing("list", f'"{states}"', title, f"Enter one of {', '.join(Attendance)}, or nothing.")
    several = DataValidation(type="list", formula1=f'"{",".join(FOCUSES)}"', allow_blank=True)
    several.showErrorMessage = False
    several.showInputMessage = True
    several.promptTitle, several.prompt = title, "Several may be entered, with commas between them."
    return several


def _between(least: int, most: int, title: str, message: str) -> DataValidation:
    return _refusing("decimal", str(least), title, message, operator="between", formula2=str(most))


def _refusing(kind: Any, formula: str, title: str, message: str, **more: Any) -> DataValidation:
    return DataValidation(
        type=kind, formula1=formula, allow_blank=True, showErrorMessage=True, errorTitle=title,
        error=message, **more,
    )  # fmt: skip
