"""The gradebook as a workbook: a summary, the scale, and one sheet for each reading day, all live.

Everything that follows from an entry is a formula, so the director can go on
entering results and change the scale in the workbook; blanks never count, and
nothing divides by nothing.
"""

from pathlib import Path

from openpyxl import Workbook

from planner.adapters.exports.gradebook_day import fill_day
from planner.adapters.exports.gradebook_scale import SCALE_SHEET, fill_scale
from planner.adapters.exports.gradebook_summary import fill_by_day, fill_summary
from planner.adapters.exports.workbook import new_sheet, save_workbook
from planner.services.sheets.views import GradebookSheet


class GradebookWorkbook:
    """Fulfils ``services.ports.GradebookWriter``: .xlsx with live formulas."""

    suffix = ".xlsx"

    def __init__(self, paper: str = "a4") -> None:
        self._paper = paper

    def write(self, sheet: GradebookSheet, path: Path) -> Path:
        """Write the workbook: summary first, then the scale, the days, and the figures by day."""
        book = Workbook()
        book.remove(book.worksheets[0])
        summary, scale = new_sheet(book, "Summary"), new_sheet(book, SCALE_SHEET)
        sections, players = new_sheet(book, "Sections by day"), new_sheet(book, "Players by day")
        fill_scale(scale, sheet, self._paper)
        days = [fill_day(new_sheet(book, day.on.isoformat()), sheet, day, self._paper) for day in sheet.days]
        by_section, by_player = fill_by_day(sections, players, sheet, days, self._paper)
        fill_summary(summary, sheet, by_section, by_player, self._paper)
        return save_workbook(book, path, title=f"{sheet.term}: gradebook", author=sheet.ensemble)
