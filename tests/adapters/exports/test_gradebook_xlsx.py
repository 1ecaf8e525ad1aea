"""The gradebook: entries stay, figures follow from them, and nothing ever shows an error."""

from dataclasses import replace

import pytest
from openpyxl import load_workbook

from planner.adapters.exports.gradebook_xlsx import GradebookWorkbook
from planner.adapters.exports.workbook import sheet_name
from planner.core.mark_scheme import ScaleStep
from tests.adapters.exports.recalculated import BOTH, errors_in
from tests.adapters.exports.views import make_day, make_gradebook

THREE_DAYS = (
    make_day(0, shares=[(0.80, 0.95), (0.60, None)], present=[True, False, True], marks=[None, None, 70.0]),
    make_day(1, shares=[(0.90, 0.90), (None, None)], present=[True, True, None]),
    make_day(2),
)


def write(tmp_path, *days, **changes):
    return GradebookWorkbook().write(make_gradebook(*days, **changes), tmp_path / "gradebook.xlsx")


def rows_of(page, first, last=None):
    return [[c.value for c in row] for row in page.iter_rows(min_row=first, max_row=last or first)]


def test_there_is_a_summary_a_scale_and_a_sheet_for_each_day(tmp_path):
    book = load_workbook(write(tmp_path, *THREE_DAYS))
    assert book.sheetnames == [
        "Summary", "Scale", "Sections by day", "Players by day", "2026-09-03", "2026-09-10", "2026-09-17",
    ]  # fmt: skip


def test_entries_stand_where_they_were_entered(tmp_path):
    page = load_workbook(write(tmp_path, *THREE_DAYS))["2026-09-03"]
    assert page["A1"].value == "Thursday, September 3, 2026"
    assert rows_of(page, 6)[0][:4] == ["Flute", "Piece 1", 0.8, 0.95]
    assert rows_of(page, 7)[0][:4] == ["Clarinet 2", "Piece 1", 0.6, None]
    players = rows_of(page, 10, 12)
    assert [(row[1], row[2], row[4]) for row in players] == [
        ("Ann", "present", None), ("Ben", "absent", None), ("Cy", "present", 70),
    ]  # fmt: skip


def test_what_moves_no_level_is_marked_beside_its_note(tmp_path):
    sheet = make_gradebook(*THREE_DAYS)
    day = sheet.days[0]
    readings = (day.readings[0], replace(day.readings[1], counts=False))
    sheet = replace(sheet, days=(replace(day, readings=readings), *sheet.days[1:]))
    page = load_workbook(GradebookWorkbook().write(sheet, tmp_path / "gradebook.xlsx"))["2026-09-03"]
    assert [page.cell(row, 9).value for row in (5, 6, 7)] == ["For the level", None, "does not count"]


def test_entry_cells_are_checked_and_all_else_that_follows_is_a_formula(tmp_path):
    page = load_workbook(write(tmp_path, *THREE_DAYS))["2026-09-03"]
    rules = {(str(r.sqref), r.type, r.formula1, r.formula2) for r in page.data_validations.dataValidation}
    assert rules == {
        ("C4", "decimal", "0", "1000"),
        ("C4", "decimal", "0", "1000"),
        ("C6:D7", "decimal", "0", "1"),
        ("C10:C12", "list", '"present,late,absent,excused"', None),
        ("G10:G12", "date", "1", None),
        ("E10:E12", "decimal", "0", "100"),
    }  # fmt: skip
    assert all(page[cell].data_type == "f" for cell in ("E6", "F6", "G6", "D10", "F10"))
    assert all(not page[cell].protection.locked for cell in ("C6", "D6", "H6", "C10", "E10"))


def test_the_same_gradebook_has_the_same_cells(tmp_path):
    def cells():
        book = load_workbook(write(tmp_path, *THREE_DAYS))
        return [[c.value for c in row] for page in book for row in page.iter_rows()]

    assert cells() == cells()


@pytest.mark.parametrize("word", ["=1+1", "+1", "-1", "@A1"])
def test_names_are_never_formulas(tmp_path, word):
    sheet = make_gradebook(
        make_day(0),
        sections=((1, word), (2, "Clarinet 2")),
        players=((11, word, word),),
        term=word,
        ensemble=word,
    )
    day = sheet.days[0]
    readings = tuple(replace(r, section=word, note=word) for r in day.readings)
    players = tuple(replace(p, player=word, note=word) for p in day.players)
    sheet = replace(sheet, days=(replace(day, readings=readings, players=players, pieces=(word,)),))
    book = load_workbook(GradebookWorkbook().write(sheet, tmp_path / "a.xlsx"))
    found = [c for page in book for row in page.iter_rows() for c in row if c.value == word]
    assert len(found) > 5
    assert all(cell.data_type == "s" and cell.quotePrefix for cell in found)


def test_sheet_names_keep_to_the_format():
    taken: list[str] = []
    for _ in range(12):
        taken.append(sheet_name("A rather long: name of [some] reading/day?", taken))
    assert len({name.casefold() for name in taken}) == 12
    assert all(len(name) <= 31 and not set(name) & set("[]:*?/\\") for name in taken)
    assert sheet_name("", []) == "Sheet"
    assert sheet_name("History", []) != "History", "a name the format keeps for itself"


@pytest.mark.parametrize("recalculated", BOTH)
def test_averages_marks_and_attendance_come_out_as_by_hand(recalculated, tmp_path):
    (book,) = recalculated(write(tmp_path, *THREE_DAYS))
    assert errors_in(book) == []
    summary = book["Summary"]
    flute, clarinet, everyone = rows_of(summary, 5, 7)
    # by the scale: 0.80 gives 82, 0.90 gives 90, 0.60 gives 65
    assert flute[:6] == ["Flute", 2, pytest.approx(0.85), pytest.approx(0.925), pytest.approx(0.075), 86]
    assert clarinet[:6] == ["Clarinet 2", 1, pytest.approx(0.60), None, None, 65]
    assert everyone[2] == pytest.approx((0.85 + 0.60) / 2)
    ann, ben, cy = rows_of(summary, 10, 12)
    assert ann == ["Ann", "Flute", 2, 0, 0, 0, 1, 86]
    assert ben == ["Ben", "Flute", 1, 0, 1, 0, 0.5, 90], "absent on the first day: that mark does not count"
    assert cy == ["Cy", "Clarinet 2", 1, 0, 0, 0, 1, 70], "a mark of one's own stands before the section's"


@pytest.mark.parametrize("recalculated", BOTH)
def test_a_changed_scale_and_weights_change_every_mark(recalculated, tmp_path):
    path = write(tmp_path, *THREE_DAYS)
    book = load_workbook(path)
    scale = book["Scale"]
    assert [scale.cell(6, c).value for c in (1, 2)] == [0, 50]
    scale["A13"], scale["B13"] = 0.84, 11
    scale["B23"], scale["B24"] = 50, 50
    book.save(path)
    (book,) = recalculated(path)
    assert errors_in(book) == []
    page = book["2026-09-03"]
    assert page["F6"].value == pytest.approx((0.80 + 0.95) / 2), "both readings count alike now"
    assert page["G6"].value == 90
    assert page["F7"].value == pytest.approx(0.60), "without a second reading the first counts alone"
    assert book["2026-09-10"]["G6"].value == 90


@pytest.mark.parametrize("recalculated", BOTH)
def test_no_gradebook_ever_shows_an_error_and_a_planted_one_is_seen(recalculated, tmp_path):
    sheets = {
        "nothing": make_gradebook(),
        "blank day": make_gradebook(make_day(0)),
        "no scale": make_gradebook(*THREE_DAYS, scale=()),
        "gap in scale": make_gradebook(*THREE_DAYS, scale=(ScaleStep(0.9, 100, "high only"),)),
        "no people on the day": make_gradebook(replace(make_day(0), readings=(), players=())),
        "no people": make_gradebook(*THREE_DAYS, sections=(), players=()),
        "forty days": make_gradebook(*(make_day(n, shares=[(1.0, 1.0), (0.0, 0.0)]) for n in range(40))),
    }
    paths = [GradebookWorkbook().write(sheet, tmp_path / f"{name}.xlsx") for name, sheet in sheets.items()]
    planted = tmp_path / "planted.xlsx"
    book = load_workbook(paths[0])
    book["Summary"]["H5"] = "=AVERAGE(H90:H99)"
    book.save(planted)
    *books, faulty = recalculated(*paths, planted)
    shown = {name: found for name, book in zip(sheets, books, strict=True) if (found := errors_in(book))}
    assert shown == {}
    assert errors_in(faulty) == [("Summary", "H5", "#DIV/0!")]
