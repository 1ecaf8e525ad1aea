"""A workbook with its formulas worked out, by one of two programs that know nothing of each other."""

import subprocess
from pathlib import Path

import formualizer
import pytest
from openpyxl import Workbook, load_workbook

from tests.programs import program

ERRORS = {
    "Div": "#DIV/0!", "Na": "#N/A", "Name": "#NAME?", "Null": "#NULL!", "Num": "#NUM!", "Ref": "#REF!",
    "Value": "#VALUE!",
}  # fmt: skip


def by_evaluator(*paths: Path) -> list[Workbook]:
    """The workbooks' values as a formula evaluator works them out; an empty text counts as nothing."""
    return [_evaluated(path) for path in paths]


def by_office(*paths: Path) -> list[Workbook]:
    """The workbooks' values as LibreOffice works them out; those they were written with are taken out."""
    office, out, bare = program("soffice"), paths[0].parent / "recalculated", paths[0].parent / "bare"
    bare.mkdir(exist_ok=True)
    for path in paths:
        load_workbook(path).save(bare / path.name)
    subprocess.run(
        [office, f"-env:UserInstallation=file://{paths[0].parent}/office", "--headless", "--convert-to",
         "xlsx", "--outdir", str(out), *(str(bare / path.name) for path in paths)],
        check=True, capture_output=True,
    )  # fmt: skip
    return [load_workbook(out / path.name, data_only=True) for path in paths]


BOTH = [
    pytest.param(by_evaluator, id="evaluator"),
    pytest.param(by_office, id="LibreOffice", marks=pytest.mark.slow),
]
"""For a test to be run with each."""


def errors_in(book: Workbook) -> list[tuple[str, str, object]]:
    """Every cell that shows an error."""
    return [
        (page.title, cell.coordinate, cell.value)
        for page in book
        for row in page.iter_rows()
        for cell in row
        if cell.data_type == "e" or (isinstance(cell.value, str) and cell.value.startswith(("#", "Err:")))
    ]


def _evaluated(path: Path) -> Workbook:
    book, live = load_workbook(path), formualizer.load_workbook(str(path))
    live.evaluate_all()
    for page in book:
        for row in page.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    found = live.get_value(page.title, cell.row, cell.column)
                    if isinstance(found, dict):
                        found = ERRORS.get(found["kind"], f"#{found['kind']}")
                    cell.value = None if found == "" else found
    return book
