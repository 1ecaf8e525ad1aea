"""The gradebook's values as written, against the pages and its formulas worked out by other programs."""

from random import Random

import pytest
from openpyxl import load_workbook

from planner.adapters.exports.gradebook.workbook import GradebookWorkbook
from planner.services.day.marks import marks_of_sheet
from tests.adapters.exports.recalculated import by_evaluator, by_office, errors_in
from tests.marks.gradebooks import player_by_hand, random_gradebook, section_by_hand, term_by_hand
from tests.reference import sampled


def written(sheets, folder):
    return [
        GradebookWorkbook().write(sheet, folder / f"{number}.xlsx") for number, sheet in enumerate(sheets)
    ]


def formulas_of(path):
    """Every cell with a formula, by sheet and address, with the value beside it; an empty text is None."""
    live, stored = load_workbook(path), load_workbook(path, data_only=True)
    return {
        (page.title, cell.coordinate): stored[page.title][cell.coordinate].value or None
        if stored[page.title][cell.coordinate].value == ""
        else stored[page.title][cell.coordinate].value
        for page in live
        for row in page.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }


def hold_against(paths, books):
    """How many formulas come to the value that was written beside them; all must."""
    compared = 0
    for path, book in zip(paths, books, strict=True):
        assert errors_in(book) == []
        for (sheet, address), value in formulas_of(path).items():
            found = book[sheet][address].value
            wanted = pytest.approx(value, abs=1e-9) if isinstance(value, float | int) else value
            assert (None if found == "" else found) == wanted, (path.name, sheet, address)
            compared += value is not None
    return compared


def test_every_formula_comes_to_the_value_that_was_written_beside_it(tmp_path):
    rng = Random(3)
    paths = written([random_gradebook(rng, forms=True) for _ in range(8)], tmp_path)
    assert hold_against(paths, by_evaluator(*paths)) > 400


@pytest.mark.slow
def test_of_500_random_gradebooks_every_formula_comes_to_it_in_libreoffice(tmp_path):
    rng, compared = Random(20261129), 0
    every = [random_gradebook(rng, forms=number % 4 > 0) for number in range(500)]
    drawn = sampled(range(500), 60)
    for start in range(0, len(drawn), 60):
        folder = tmp_path / str(start)
        folder.mkdir()
        paths = written([every[number] for number in drawn[start : start + 60]], folder)
        compared += hold_against(paths, by_office(*paths))
    assert compared > 50 * len(drawn)


def test_the_values_are_those_of_the_pages_and_of_ballots_counted_one_by_one(tmp_path):
    rng, compared = Random(11), 0
    sheets = [random_gradebook(rng, forms=number % 2 == 0) for number in range(15)]
    for sheet, path in zip(sheets, written(sheets, tmp_path), strict=True):
        book, marks = load_workbook(path, data_only=True), marks_of_sheet(sheet)
        by_hand = (
            ("Sections", 6, marks.sections, section_by_hand),
            ("Players", 5, marks.players, player_by_hand),
        )
        for name, first, rows, mark_by_hand in by_hand:
            column = next(cell.column for cell in book[name][first - 1] if cell.value == "Mark")
            for at, row in enumerate(rows, start=first):
                term = term_by_hand(sheet, {day.on: mark_by_hand(sheet, row.id, day) for day in sheet.days})
                shown = book[name].cell(at, column).value
                assert book[name].cell(at, 1).value == row.name
                assert row.term.mark == term
                assert (shown or None if term is None else shown) == (None if term is None else float(term))
                assert (book[name].cell(at, column + 1).value or "") == row.term.word
                compared += term is not None
    assert compared > 40
