"""The marks of the workbook, its formulas worked out by other programs, against those of the pages."""

from random import Random

import pytest

from planner.adapters.exports.gradebook_xlsx import GradebookWorkbook
from planner.services.day.marks import marks_of_sheet
from tests.adapters.exports.recalculated import BOTH, errors_in
from tests.marks.gradebooks import random_gradebook


@pytest.mark.parametrize("recalculated", BOTH)
def test_random_gradebooks_come_out_in_the_workbook_as_on_the_pages(recalculated, tmp_path):
    rng = Random(3)
    sheets = [random_gradebook(rng) for _ in range(8)]
    paths = [
        GradebookWorkbook().write(sheet, tmp_path / f"{number}.xlsx") for number, sheet in enumerate(sheets)
    ]
    compared = 0
    for number, (sheet, book) in enumerate(zip(sheets, recalculated(*paths), strict=True)):
        assert errors_in(book) == []
        marks, page = marks_of_sheet(sheet), book["Summary"]
        first = 5 + len(sheet.sections) + 3
        rows = [(5 + at, 6, row) for at, row in enumerate(marks.sections)]
        rows += [(first + at, 8, row) for at, row in enumerate(marks.players)]
        for row, column, mine in rows:
            assert page.cell(row, 1).value == mine.name
            shown, mark = page.cell(row, column).value, mine.term.mark
            wanted = None if mark is None else pytest.approx(float(mark), abs=1e-9)
            assert (shown or None if mark is None else shown) == wanted, (number, mine.name)
            compared += mark is not None
    assert compared > 20
