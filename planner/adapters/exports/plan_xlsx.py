"""The term plan as a workbook: one sheet with the days, one with the reasons."""

from pathlib import Path

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.workbook import (
    DAY,
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
from planner.services.sheets.views import PlanRow, PlanSheet
from planner.wording.words import WEEKDAYS, full_date, listed_dates

_HEADINGS = (
    "Date", "Day", "Piece", "By", "Level", "Focus", "Featured section", "Minutes", "First reading",
    "Beat", "Pinned",
)  # fmt: skip
_WIDTHS = (12, 11, 38, 26, 8, 14, 20, 10, 10, 14, 8)
_FIGURES = (1, 5, 8, 9)
_FIRST_ROW = 6


class PlanWorkbook:
    """Fulfils ``services.ports.PlanWriter``: .xlsx."""

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
    put_text(cell_at(page, 1, 1), sheet.term, TITLE)
    span = f"{full_date(sheet.first)} to {full_date(sheet.last)}, {sheet.minutes:g} minutes a day"
    put_text(cell_at(page, 2, 1), f"Sight-reading plan of {sheet.ensemble}: {span}", SMALL)
    made = f"Made {full_date(sheet.made_on)} by the sight-reading program planner {sheet.library_version}."
    put_text(cell_at(page, 3, 1), f"{sheet.proof} {made}", SMALL)
    heading_row(page, _FIRST_ROW - 1, _HEADINGS, figures=_FIGURES)
    fit_height(page, _FIRST_ROW - 1, zip(_HEADINGS, _WIDTHS, strict=True))
    for at, row in enumerate(sheet.rows):
        _row(page, _FIRST_ROW + at, row)
    last = _FIRST_ROW + max(len(sheet.rows), 1) - 1
    put_text(cell_at(page, last + 2, 7), "Minutes in all", SMALL)
    formula(cell_at(page, last + 2, 8), f"=SUM(H{_FIRST_ROW}:H{last})", "0")
    for at, (label, days) in enumerate(
        (("No reading:", sheet.days_off), ("Nothing planned:", sheet.empty_days))
    ):
        if days:
            put_text(
                cell_at(page, last + 3 + at, 1),
                f"{label} {listed_dates(days)}.",
                SMALL,
            )
    set_widths(page, _WIDTHS)
    page.freeze_panes = f"A{_FIRST_ROW}"
    page.auto_filter.ref = f"A{_FIRST_ROW - 1}:K{last}"
    for_printing(page, paper=paper, landscape=True, heading_rows=f"{_FIRST_ROW - 1}:{_FIRST_ROW - 1}")


def _row(page: Worksheet, at: int, row: PlanRow) -> None:
    words = {
        2: WEEKDAYS[row.on.weekday()], 3: row.title, 4: row.credit, 6: row.focus, 7: row.featured,
        10: row.beat_unit if row.reading_bpm else "", 11: "pinned" if row.is_pinned else "",
    }  # fmt: skip
    for column, text in words.items():
        put_text(cell_at(page, at, column), text)
        cell_at(page, at, column).alignment = WORDS
    put_figure(cell_at(page, at, 1), row.on, DAY)
    put_figure(cell_at(page, at, 5), row.level, MARK)
    put_figure(cell_at(page, at, 8), round(row.minutes, 1), "0")
    put_figure(cell_at(page, at, 9), row.reading_bpm, "0")
    fit_height(page, at, ((text, _WIDTHS[column - 1]) for column, text in words.items()))


def _reasons(page: Worksheet, sheet: PlanSheet, paper: str) -> None:
    put_text(cell_at(page, 1, 1), "Why each piece stands where it does", TITLE)
    heading_row(page, 3, ("Date", "Piece", "Reason"), figures=(1,))
    at = 4
    for row in sheet.rows:
        for reason in row.reasons:
            put_figure(cell_at(page, at, 1), row.on, DAY)
            for column, text in ((2, row.title), (3, reason)):
                put_text(cell_at(page, at, column), text)
                cell_at(page, at, column).alignment = WORDS
            fit_height(page, at, ((row.title, 38), (reason, 80)))
            at += 1
    set_widths(page, (12, 38, 80))
    page.freeze_panes = "A4"
    for_printing(page, paper=paper, landscape=True, heading_rows="3:3")
