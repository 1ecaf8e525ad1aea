"""The gradebook's sheets: what stands where, what may be typed, what is printed, and a small one by hand."""

import re
import subprocess
import zipfile
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from planner.adapters.exports.gradebook.workbook import GradebookWorkbook
from planner.adapters.exports.workbook import sheet_name
from planner.core.filled_in import FileIdentity
from planner.core.mark_scheme import SCALES, MarkScheme, ScaleStep
from planner.services.sheets.views import SectionReading
from tests.adapters.exports.recalculated import BOTH, by_evaluator, by_office, errors_in
from tests.adapters.exports.views import make_day, make_full_gradebook, make_gradebook
from tests.marks.test_gradebooks import RATINGS
from tests.programs import program

TWO_PIECES = SectionReading(1, "Flute", "Encore", 0.99, 1.0, "bravo", piece_id=9)
APART = replace(make_day(1).readings[1], first_share=0.25, fell_apart=True, counts=False)
DAYS = (
    make_day(0, shares=[(0.80, 0.95), (0.60, None)], present=[True, False, True], marks=[None, None, 70.0]),
    make_day(1, shares=[(0.90, 0.85)], present=[True, True, None], marks=[None, 88.0]),
    make_day(2),
)
MADE_UP = date(2026, 9, 8)
BOOK = make_gradebook(
    replace(
        DAYS[0],
        readings=(*DAYS[0].readings, TWO_PIECES),
        pieces=("Piece 1", "Encore"),
        players=(DAYS[0].players[0], replace(DAYS[0].players[1], made_up_on=MADE_UP, mark=Decimal(92)),
                 DAYS[0].players[2]),
    ),
    replace(DAYS[1], readings=(DAYS[1].readings[0], APART),
            players=tuple(replace(p, note=f"seat {p.player_id}") for p in DAYS[1].players[:2])),
    DAYS[2],
)  # fmt: skip
PROGRAM = "the sight-reading program planner"
ON = [datetime(2026, 9, day) for day in (3, 10, 17)]
# 80 of 100 gives 82 and 99 gives 100, so the flutes' mark of the first day is 91
SHEETS = {
    "Sections": [
        ["Autumn 2026: gradebook"],
        [f"Riverside Band. Made August 30, 2026 by {PROGRAM} {BOOK.library_version}."],
        ["Empty cells never count. Bars right are of 100."],
        [],
        ["Section", "Readings", "First reading", "Second reading", "Gain", "Mark", "In words"],
        ["Flute", 3, 89.6667, 93.3333, 3.6667, 90.5, "Sure"],
        ["Clarinet 2", 2, 42.5, None, None, 57.5, "Begin again together"],
        ["Whole ensemble", None, 66.0833, 93.3333, 3.6667, 74],
        [],
        ["Bars right in parentheses on the sheet Readings: does not count for the level."],
    ],
    "Players": [
        ["Players"],
        ["Attendance leaves excused days out. Marks are of 100."],
        [],
        ["Player", "Section", "Here", "Late", "Absent", "Excused", "Attendance", "Mark", "In words"],
        ["Ann", "Flute", 2, 0, 0, 0, 1, 90.5, "Sure"],
        ["Ben", "Flute", 1, 0, 1, 0, 0.5, 90, "Sure"],
        ["Cy", "Clarinet 2", 1, 0, 0, 0, 1, 70, "Getting there"],
    ],
    "Attendance": [
        [None, "Player", "Section", *ON],
        ["player 11", "Ann", "Flute", "P", "P"],
        ["player 12", "Ben", "Flute", "A", "P"],
        ["player 21", "Cy", "Clarinet 2", "P"],
    ],
    "Own marks": [
        [None, "Player", "Section", *ON],
        ["player 11", "Ann", "Flute"],
        ["player 12", "Ben", "Flute", 92, 88],
        ["player 21", "Cy", "Clarinet 2", 70],
    ],
    "Marks": [
        [None, "Player", "Section", *ON],
        [None, "Ann", "Flute", 91, 90],
        [None, "Ben", "Flute", 92, 88],
        [None, "Cy", "Clarinet 2", 70],
    ],
}  # fmt: skip
FIRST_ROWS = {"Attendance": 4, "Own marks": 4, "Marks": 4}
READINGS = [
    ["-", "First reading"],
    ["reading 1 * first", "Flute", 80, 99, 90],
    ["reading 2 * first", "Clarinet 2", 60, None, "apart"],
    ["-", "Second reading"],
    ["reading 1 * second", "Flute", 95, 100, 85],
    ["reading 2 * second", "Clarinet 2"],
    ["-", "Mark of the day"],
    ["-", "Flute", 91, None, 90],
    ["-", "Clarinet 2", 65, None, 50],
]
REMARKS = [
    ["player 12 2026-09-03", ON[0], "Ben (Flute)", None, datetime(2026, 9, 8)],
    ["reading 1 9 2026-09-03", ON[0], "Flute", "Encore", None, "bravo"],
    ["player 11 2026-09-10", ON[1], "Ann (Flute)", None, None, "seat 11"],
    ["player 12 2026-09-10", ON[1], "Ben (Flute)", None, None, "seat 12"],
    ["new 1"],
]


def written(folder, sheet=BOOK, paper="a4"):
    return GradebookWorkbook(paper).write(sheet, folder / "gradebook.xlsx")


def shown(page, first=1, last=None):
    """The cells of a sheet, row by row, figures to four places, without the empty ends of rows."""
    rows = []
    for line in page.iter_rows(min_row=first, max_row=last, values_only=True):
        row = [round(value, 4) if isinstance(value, float) else value for value in line]
        while row and row[-1] in (None, ""):
            row.pop()
        rows.append([None if value == "" else value for value in row])
    return rows


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return load_workbook(written(tmp_path_factory.mktemp("book")))


@pytest.mark.parametrize("recalculated", BOTH)
def test_every_sheet_shows_what_one_would_reckon_by_hand(recalculated, tmp_path):
    (found,) = recalculated(written(tmp_path))
    for name, expected in SHEETS.items():
        first = FIRST_ROWS.get(name, 1)
        assert shown(found[name], first, first + len(expected) - 1) == expected, name
    assert shown(found["Readings"], 6, 14) == READINGS
    assert shown(found["Remarks"], 5, 9) == REMARKS
    assert errors_in(found) == []


def test_a_preview_that_works_nothing_out_shows_the_same(tmp_path):
    preview = load_workbook(written(tmp_path), data_only=True)
    for name, expected in SHEETS.items():
        first = FIRST_ROWS.get(name, 1)
        assert shown(preview[name], first, first + len(expected) - 1) == expected, name
    assert shown(preview["Readings"], 6, 14) == READINGS


FORMED = make_gradebook(
    replace(
        make_day(0, shares=[(0.80, 0.95), (None, None)]),
        readings=tuple(
            replace(each, form_share=Fraction(points, 28))
            for each, points in zip(make_day(0, shares=[(0.80, 0.95)]).readings, (21, 14), strict=True)
        ),
    ),
    replace(DAYS[1], readings=(DAYS[1].readings[0], replace(APART, form_share=Fraction(1)))),
    scheme=MarkScheme(scale=SCALES["points"][0], even=True, form=Decimal(100)),
)
"""Flutes 80 and 21 of 28, then 90; clarinets 14 of 28 alone, then apart and all points."""


@pytest.mark.parametrize("recalculated", BOTH)
def test_the_scoring_form_counts_beside_the_readings_and_is_not_filled_in_here(recalculated, tmp_path):
    path = written(tmp_path, FORMED)
    (found,) = recalculated(path)
    for book in (found, load_workbook(path, data_only=True)):
        assert shown(book["Readings"], 12, 17) == [
            ["-", "Scoring form, of 100"],
            ["-", "Flute", 75],
            ["-", "Clarinet 2", 50, 100],
            ["-", "Mark of the day"],
            ["-", "Flute", 77.5, 90],
            ["-", "Clarinet 2", 50, 62.5],
        ]
        assert shown(book["Sections"], 5, 8) == [
            ["Section", "Readings", "First reading", "Second reading", "Gain", "Scoring form", "Mark",
             "In words"],
            ["Flute", 2, 85, 90, 5, 75, 83.75],
            ["Clarinet 2", 1, 25, None, None, 75, 56.25],
            ["Whole ensemble", None, 55, 90, 5, 75, 70],
        ]  # fmt: skip
    scale = {row[0]: row[1] for row in shown(found["Scale"]) if len(row) > 1}
    assert (scale["Scoring form"], scale["The mark rises evenly from step to step"]) == (100, "yes")
    live = load_workbook(path)
    assert all(cell.protection.locked for row in live["Readings"]["C13:E14"] for cell in row)
    live["Readings"]["C8"] = 100  # the clarinets' first reading of Piece 1, beside half of the points
    live.save(path)
    (found,) = by_evaluator(path)
    assert found["Readings"]["C17"].value == 75


BORDERS = (
    (0.0, 50), (0.4999, 50), (0.5, 65), (0.65, 75), (0.75, 82), (0.8499, 82), (0.85, 90), (0.93, 96),
    (1.0, 100),
)  # fmt: skip


def test_a_mark_holds_from_its_own_share_on(tmp_path):
    path = written(
        tmp_path, make_gradebook(*(make_day(n, shares=[(s, None)]) for n, (s, _) in enumerate(BORDERS)))
    )
    (found,) = by_evaluator(path)
    for book in (found, load_workbook(path, data_only=True)):
        assert [cell.value for cell in book["Readings"][13][2:]] == [mark for _, mark in BORDERS]


def test_a_published_scoring_table_comes_out_at_each_border(tmp_path):
    totals = {
        "49.9": "Fair",
        "50": "Good",
        "69.9": "Good",
        "70": "Excellent",
        "84.9": "Excellent",
        "85": "Superior",
    }
    scale = tuple(ScaleStep(Decimal(least) / 100, Decimal(least), word) for least, word in RATINGS)
    days = (make_day(n, shares=[(float(Decimal(total) / 100), None)]) for n, total in enumerate(totals))
    path = written(tmp_path, make_gradebook(*days, scale=scale))
    words = {float(step.mark): step.word for step in scale}
    (found,) = by_evaluator(path)
    for book in (found, load_workbook(path, data_only=True)):
        assert [words[cell.value] for cell in book["Readings"][13][2:]] == list(totals.values())


def test_what_is_typed_moves_every_mark_that_follows_from_it(tmp_path):
    path = written(tmp_path)
    book = load_workbook(path)
    book["Readings"]["C7"] = 50  # the flutes' first reading of Piece 1: 65 instead of 82, beside 100
    book["Attendance"]["E6"], book["Own marks"]["F6"] = "E", 60
    book["Remarks"]["B9"], book["Remarks"]["C9"] = datetime(2026, 9, 10), "Ben (Flute)"
    book.save(path)
    (found,) = by_evaluator(path)
    assert [found["Readings"][cell].value for cell in ("C13", "E13")] == [82.5, 90]
    assert [found["Marks"].cell(6, column).value for column in (4, 5, 6)] == [92, None, 60]
    book["Remarks"]["E9"] = datetime(2026, 9, 12)
    book.save(path)
    (found,) = by_evaluator(path)
    assert [found["Marks"].cell(6, column).value for column in (4, 5, 6)] == [92, 88, 60], (
        "made up by a new row"
    )


def test_only_days_that_are_handed_over_have_a_column_and_their_dates_are_dates(book):
    for name, row, first in (("Readings", 4, 3), ("Attendance", 4, 4), ("Own marks", 4, 4), ("Marks", 4, 4)):
        heads = [cell for cell in book[name][row] if cell.column >= first]
        assert all(cell.is_date and cell.number_format == "mmm d" for cell in heads)
    assert [cell.value.day for cell in book["Readings"][4][2:]] == [3, 3, 10, 17]
    assert [cell.value for cell in book["Readings"][5][2:]] == ["Piece 1", "Encore", "Piece 2", "Piece 3"]


def test_sheets_with_keys_hide_them_and_say_what_they_were_written_from(book):
    assert book.sheetnames == [
        "Sections", "Players", "Readings", "Attendance", "Own marks", "Marks", "Remarks", "Scale", "Choices",
        "As written",
    ]  # fmt: skip
    assert [page.title for page in book if page.sheet_state == "hidden"] == ["Choices", "As written"]
    for name in ("Readings", "Attendance", "Own marks", "Remarks"):
        page = book[name]
        assert page["A1"].value == FileIdentity("gradebook", "0", 0, 0).mark()
        assert page.row_dimensions[1].hidden
        assert page.column_dimensions["A"].hidden
    assert [cell.value for cell in book["Attendance"][1][3:]] == [
        f"2026-09-{day} attendance" for day in ("03", "10", "17")
    ]
    assert [cell.value for cell in book["Readings"][1][2:]] == [
        "1 2026-09-03", "9 2026-09-03", "2 2026-09-10", "3 2026-09-17",
    ]  # fmt: skip


def test_formulas_are_locked_and_entries_are_not(book):
    for page in book:
        assert page.protection.sheet or page.title == "Choices"
        assert page.protection.password is None
        for row in page.iter_rows():
            assert all(cell.protection.locked for cell in row if cell.data_type == "f")
    is_open = {
        name: {
            cell.coordinate for row in book[name].iter_rows() for cell in row if not cell.protection.locked
        }
        for name in book.sheetnames
    }
    assert is_open["Attendance"] == {f"{column}{row}" for column in "DEF" for row in (5, 6, 7)} - {"E7"}
    assert is_open["Attendance"] == is_open["Own marks"], "Cy did not sit there on the second day"
    assert len(is_open["Readings"]) == 2 * (2 + 1 + 2 + 2)
    assert not (is_open["Sections"] | is_open["Players"] | is_open["Marks"] | is_open["Scale"])


def test_a_wrong_entry_is_refused_with_a_sentence_and_an_empty_one_is_not(book):
    rules = [(page.title, rule) for page in book for rule in page.data_validations.dataValidation]
    assert all(rule.showErrorMessage and rule.error and rule.allow_blank for _, rule in rules)
    found = {(name, str(rule.sqref)): (rule.type, rule.formula1, rule.formula2) for name, rule in rules}
    assert found["Attendance", "D5:F7"] == ("list", '"P,L,A,E"', None)
    assert found["Own marks", "D5:F7"] == ("decimal", "0", "100")
    assert found["Readings", "C10:F11"] == ("decimal", "0", "100")
    assert found["Readings", "C7:F8"][0] == "custom"
    assert found["Remarks", "E5:E68"][0] == "date"
    assert {found["Remarks", f"{column}9:{column}68"] for column in "BCD"} == {
        ("list", name, None) for name in ("day_list", "who_list", "piece_list")
    }
    assert len(rules) == 8


def test_headings_stay_in_view_and_are_printed_again_on_each_page(book):
    for name, cell, rows, columns in (
        ("Sections", "B6", "$5:$5", None), ("Players", "B5", "$4:$4", None),
        ("Readings", "C6", "$4:$5", "$B:$B"),
        ("Attendance", "D5", "$4:$4", "$B:$C"), ("Own marks", "D5", "$4:$4", "$B:$C"),
        ("Marks", "D5", "$4:$4", "$B:$C"), ("Remarks", "D5", "$4:$4", None), ("Scale", "A5", "$4:$4", None),
    ):  # fmt: skip
        page = book[name]
        assert (page.freeze_panes, page.print_title_rows, page.print_title_cols) == (cell, rows, columns)
        assert page.page_setup.fitToWidth in (None, 1), "one is what it is where nothing is written"
        assert int(page.page_setup.fitToHeight or 0) == 0


def test_days_run_on_to_another_page_when_they_are_too_many_for_one(tmp_path):
    for days, wide in ((36, (None, 1)), (37, (2,))):
        book = load_workbook(written(tmp_path, make_gradebook(*(make_day(n) for n in range(days)))))
        for name in ("Readings", "Attendance", "Own marks", "Marks"):
            assert book[name].page_setup.fitToWidth in wide, (days, name)


@pytest.mark.parametrize("word", ["=1+1", "+1", "-1", "@A1", "http://a.b"])
def test_names_are_never_formulas(tmp_path, word):
    sheet = make_gradebook(
        make_day(0),
        sections=((1, word), (2, "Clarinet 2")),
        players=((11, word, word),),
        term=word,
        ensemble=word,
    )
    day = sheet.days[0]
    readings = tuple(replace(r, section=word, note=word, piece=word) for r in day.readings)
    players = tuple(replace(p, player=word, note=word) for p in day.players)
    scheme = replace(sheet.scheme, scale=(ScaleStep(Decimal(0), Decimal(50), word),))
    sheet = replace(
        sheet, days=(replace(day, readings=readings, players=players, pieces=(word,)),), scheme=scheme
    )
    book = load_workbook(written(tmp_path, sheet))
    found = [
        c
        for page in book
        if page.title != "As written"
        for row in page.iter_rows()
        for c in row
        if c.value == word
    ]
    assert len(found) > 15
    assert all(cell.data_type == "s" and cell.hyperlink is None for cell in found)
    assert all(cell.quotePrefix for cell in found) == (word[0] in "=+-@")


SINCE_2010 = frozenset(
    {"AND", "AVERAGE", "COUNT", "COUNTIF", "IF", "IFERROR", "INDEX", "ISNUMBER", "LARGE", "MATCH", "MAX",
     "MIN", "N", "NOT", "OR", "ROUND", "SUM", "SUMPRODUCT"}
)  # fmt: skip
"""Source: the functions of ECMA-376 first edition (2006), part 4, 3.17.7; IFERROR among them."""


def test_only_functions_that_spreadsheets_of_2010_know_are_written(tmp_path, book):
    found = set()
    with zipfile.ZipFile(written(tmp_path)) as package:
        for name in package.namelist():
            if name.startswith("xl/worksheets/sheet"):
                text = package.read(name).decode()
                assert "_xlfn" not in text
                assert 't="array"' not in text
                for formula in re.findall(r"<f>(.*?)</f>", text):
                    found |= set(re.findall(r"([A-Z][A-Z0-9.]*)\(", re.sub("'[^']*'", "", formula)))
    assert found == SINCE_2010


def test_the_same_gradebook_is_the_same_file(tmp_path):
    assert written(tmp_path).read_bytes() == written(tmp_path).read_bytes()


def test_sheet_names_keep_to_the_format():
    taken: list[str] = []
    for _ in range(12):
        taken.append(sheet_name("A rather long: name of [some] reading/day?", taken))
    assert len({name.casefold() for name in taken}) == 12
    assert all(len(name) <= 31 and not set(name) & set("[]:*?/\\") for name in taken)
    assert sheet_name("", []) == "Sheet"
    assert sheet_name("History", []) != "History", "a name the format keeps for itself"


@pytest.mark.parametrize("recalculated", BOTH)
def test_no_gradebook_ever_shows_an_error_and_a_planted_one_is_seen(recalculated, tmp_path):
    sheets = {
        "nothing": make_gradebook(),
        "blank day": make_gradebook(make_day(0)),
        "no scale": make_gradebook(*DAYS, scale=()),
        "gap in scale": make_gradebook(*DAYS, scale=(ScaleStep(Decimal("0.9"), Decimal(100), "high only"),)),
        "no people on the day": make_gradebook(replace(make_day(0), readings=(), players=())),
        "no people": make_gradebook(*DAYS, sections=(), players=()),
        "no piece": make_gradebook(
            replace(make_day(0), readings=(SectionReading(1, "Flute", ""),), pieces=())
        ),
        "many days": make_gradebook(*(make_day(n, shares=[(1.0, 1.0), (0.0, 0.0)]) for n in range(12))),
    }
    paths = [GradebookWorkbook().write(sheet, tmp_path / f"{name}.xlsx") for name, sheet in sheets.items()]
    planted = tmp_path / "planted.xlsx"
    book = load_workbook(paths[0])
    book["Players"]["H5"] = "=AVERAGE(H90:H99)"
    book.save(planted)
    *books, faulty = recalculated(*paths, planted)
    found = {name: errors for name, book in zip(sheets, books, strict=True) if (errors := errors_in(book))}
    assert found == {}
    assert errors_in(faulty) == [("Players", "H5", "#DIV/0!")]


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_term_of_30_days_and_60_players_is_printed_on_at_most_12_pages_that_can_be_read(tmp_path, paper):
    path = written(tmp_path, make_full_gradebook(60, 30), paper)
    subprocess.run(
        [program("soffice"), f"-env:UserInstallation=file://{tmp_path}/office", "--headless", "--convert-to",
         "pdf", "--outdir", str(tmp_path), str(path)],
        check=True, capture_output=True,
    )  # fmt: skip
    pages = PdfReader(path.with_suffix(".pdf")).pages
    assert len(pages) <= 12
    for page in pages:
        sizes: list[float] = []

        def visit(text, _current, matrix, _font, size, to=sizes):
            if text.strip():
                to.append(size * max(abs(matrix[0]), abs(matrix[1])))

        page.extract_text(visitor_text=visit)
        assert sorted(sizes)[len(sizes) // 2] >= 6.5, "half of the words are at least so many points high"


@pytest.mark.slow
def test_150_players_and_40_days_open_in_libreoffice_without_an_error(tmp_path):
    path = written(tmp_path, make_full_gradebook(150, 40))
    (found,) = by_office(path)
    assert errors_in(found) == []
    assert found["Players"]["H154"].value == pytest.approx(
        load_workbook(path, data_only=True)["Players"]["H154"].value
    )
