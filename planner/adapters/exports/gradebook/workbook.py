"""The gradebook as a workbook: sections and players on sheets of their own, entries by day, everything live.

What follows from an entry is a formula, and bears the value that the pages show; blanks never count, and
nothing divides by nothing. Only functions that spreadsheet programs have had since 2010 are used.
"""

from pathlib import Path
from typing import BinaryIO

from planner.adapters.exports.base import write_export
from planner.adapters.exports.book import Book
from planner.adapters.exports.filled_in import AS_WRITTEN
from planner.adapters.exports.gradebook.figures import Figures
from planner.adapters.exports.gradebook.players import Players
from planner.adapters.exports.gradebook.readings import Readings
from planner.adapters.exports.gradebook.remarks import Remarks
from planner.adapters.exports.gradebook.scale import Scale
from planner.services.sheets.views import GradebookSheet


class GradebookWorkbook:
    """Fulfils ``ports.writers.GradebookWriter``: .xlsx with live formulas and their values."""

    suffix = ".xlsx"

    def __init__(self, paper: str = "a4") -> None:
        self._paper = paper

    def write(self, sheet: GradebookSheet, path: Path) -> Path:
        """Write the workbook."""
        return write_export(path, lambda out: self._lay_out(sheet, out))

    def _lay_out(self, sheet: GradebookSheet, out: BinaryIO) -> None:
        book = Book(
            out,
            title=f"{sheet.term}: gradebook",
            author=sheet.ensemble,
            made_on=sheet.made_on,
            paper=self._paper,
        )
        figures = Figures(sheet)
        sections, players = book.page("Sections"), book.page("Players")
        readings, attendance, own, marks, remarks = (
            book.page(name) for name in ("Readings", "Attendance", "Own marks", "Marks", "Remarks")
        )
        scale = Scale(book.page("Scale"), figures)
        listed = Remarks(remarks, book.page("Choices", is_hidden=True), figures)
        for page in (readings, attendance, own, remarks):
            page.with_keys(sheet.identity)
        read = Readings(readings, figures, scale)
        seats = Players(attendance, own, marks, figures, scale, read, listed)
        read.fill()
        read.fill_summary(sections)
        seats.fill()
        seats.fill_summary(players)
        listed.fill()
        scale.fill()
        book.page(AS_WRITTEN, is_hidden=True).as_written(sheet.identity, sheet.written)
        book.close()
