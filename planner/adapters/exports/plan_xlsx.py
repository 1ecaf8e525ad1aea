"""The term plan as a workbook: one sheet with the days, one with the reasons."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.workbook import (
    DAY,
    HEADING,
    MARK,
    SMALL,
    TITLE,
    WORDS,
    cell_at,
    fit_height,
    for_printing,
    formula,
    heading_row,
    new_sheet,
    put_figure,
    put_text,
    save_workbook,
    set_widths,
)
from planner.services.sheets.views import DayNote, DayWithoutPiece, PlanRow, PlanSheet
from planner.wording.guide import counted_beat
from planner.wording.words import WEEKDAYS, full_date, made_words

_HEADINGS = (
    "Date", "Day", "Piece", "By", "Level", "Focus", "Featured section", "Minutes", "First reading",
    "Beat", "Pinned", "Station",
)  # fmt: skip
_WIDTHS = (12, 13, 38, 26, 8, 15, 20, 10, 10, 17, 9, 18)
_FIGURES = (1, 5, 8, 9)
_FIRST_ROW = 6
_PIECE = 3


class PlanWorkbook:
    """Fulfils ``ports.writers.PlanWriter``: .xlsx."""

    suffix = ".xlsx"
    updates_copies = False

    def __init__(self, paper: str = "a4") -> None:
        self._paper = paper

    def write(self, sheet: PlanSheet, path: Path) -> Path:
        """Write the workbook."""
        book = Workbook()
        book.remove(book.worksheets[0])
        _plan(new_sheet(book, "Plan"), sheet, self._paper)
        _reasons(new_sheet(book, "Reasons"), sheet, self._paper)
        return save_workbook(book, path, title=f"{sheet.term}: reading plan", author=sheet.ensemble)


def _plan(page: Worksheet, sheet: PlanSheet, paper: str) -> None:
    span = f"{full_date(sheet.first)} to {full_date(sheet.last)}, {sheet.minutes:g} minutes a day"
    made = f"{made_words(sheet.made_on, sheet.library_version)}."
    _line_across(page, 1, sheet.term, TITLE, _WIDTHS)
    _line_across(page, 2, f"Sight-reading plan of {sheet.ensemble}: {span}", SMALL, _WIDTHS)
    _line_across(page, 3, f"{sheet.proof} {made}", SMALL, _WIDTHS)
    heading_row(page, _FIRST_ROW - 1, _HEADINGS, figures=_FIGURES)
    fit_height(page, _FIRST_ROW - 1, zip(_HEADINGS, _WIDTHS, strict=True), HEADING)
    last = _FIRST_ROW
    for at, (on, line) in enumerate(_lines(sheet), start=_FIRST_ROW):
        put_figure(cell_at(page, at, 1), on, DAY)
        _put_words(page, at, {2: WEEKDAYS[on.weekday()]})
        if isinstance(line, PlanRow):
            _row(page, at, line)
        else:
            words = line.text if isinstance(line, DayNote) else line.reason
            put_text(cell_at(page, at, _PIECE), words, SMALL)
            cell_at(page, at, _PIECE).alignment = WORDS
            fit_height(page, at, ((words, _WIDTHS[_PIECE - 1]),), SMALL)
        last = at
    put_text(cell_at(page, last + 2, 7), "Minutes in all", SMALL)
    formula(cell_at(page, last + 2, 8), f"=SUM(H{_FIRST_ROW}:H{last})", "0")
    set_widths(page, _WIDTHS)
    page.freeze_panes = f"A{_FIRST_ROW}"
    page.auto_filter.ref = f"A{_FIRST_ROW - 1}:L{last}"
    for_printing(page, paper=paper, landscape=True, heading_rows=f"{_FIRST_ROW - 1}:{_FIRST_ROW - 1}")


Line = PlanRow | DayWithoutPiece | DayNote


def _lines(sheet: PlanSheet) -> Iterator[tuple[date, Line]]:
    """The pieces, the days without one, and what is to be known of the others, in order."""
    above = [note for note in sheet.notes if note.is_above]
    beneath = [note for note in sheet.notes if not note.is_above]
    lines: list[Line] = [*above, *sheet.rows, *sheet.without_piece, *beneath]
    for line in sorted(lines, key=lambda each: each.on):
        yield line.on, line


def _row(page: Worksheet, at: int, row: PlanRow) -> None:
    beat, number = counted_beat(row.beat_unit, row.reading_bpm)
    words = {
        _PIECE: row.title, 4: row.credit, 6: row.focus, 7: row.featured, 10: beat,
        11: "pinned" if row.is_pinned else "",
        12: row.room,
    }  # fmt: skip
    _put_words(page, at, words)
    put_figure(cell_at(page, at, 5), row.level, MARK)
    put_figure(cell_at(page, at, 8), round(row.minutes, 1), "0")
    put_figure(cell_at(page, at, 9), number, "0")
    fit_height(page, at, ((text, _WIDTHS[column - 1]) for column, text in words.items()))


def _put_words(page: Worksheet, at: int, words: Mapping[int, str]) -> None:
    for column, text in words.items():
        put_text(cell_at(page, at, column), text)
        cell_at(page, at, column).alignment = WORDS


def _line_across(page: Worksheet, row: int, text: str, font: Font, widths: Iterable[float]) -> None:
    """Words over all columns, on as many lines as they take."""
    wide = tuple(widths)
    put_text(cell_at(page, row, 1), text, font)
    cell_at(page, row, 1).alignment = WORDS
    page.merge_cells(start_row=row, end_row=row, start_column=1, end_column=len(wide))
    fit_height(page, row, ((text, sum(wide)),), font)


def _reasons(page: Worksheet, sheet: PlanSheet, paper: str) -> None:
    widths = (12, 38, 80)
    _line_across(page, 1, "Why each piece stands where it does", TITLE, widths)
    heading_row(page, 3, ("Date", "Piece", "Reason"), figures=(1,))
    at = 4
    for row in sheet.rows:
        for reason in row.reasons:
            put_figure(cell_at(page, at, 1), row.on, DAY)
            for column, text in ((2, row.title), (3, reason)):
                put_text(cell_at(page, at, column), text)
                cell_at(page, at, column).alignment = WORDS
            fit_height(page, at, ((row.title, widths[1]), (reason, widths[2])))
            at += 1
    set_widths(page, widths)
    page.freeze_panes = "A4"
    for_printing(page, paper=paper, landscape=True, heading_rows="3:3")
