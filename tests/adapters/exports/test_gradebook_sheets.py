"""A small gradebook cell by cell, worked out: what a director would reckon with paper and pencil."""

from dataclasses import replace
from itertools import pairwise

import pytest
from openpyxl import load_workbook

from planner.adapters.exports.gradebook_xlsx import GradebookWorkbook
from planner.services.sheets.views import SectionReading
from tests.adapters.exports.recalculated import BOTH
from tests.adapters.exports.views import make_day, make_gradebook

TWO_PIECES = SectionReading(1, "Flute", "Encore", 0.99, 1.0, "bravo")
DAYS = (
    make_day(0, shares=[(0.80, 0.95), (0.60, None)], present=[True, False, True], marks=[None, None, 70.0]),
    make_day(1, shares=[(0.90, 0.85)], present=[True, True, None], marks=[None, 88.0]),
    make_day(2),
)
BOOK = make_gradebook(
    replace(DAYS[0], readings=(*DAYS[0].readings, TWO_PIECES), pieces=("Piece 1", "Encore")),
    replace(DAYS[1], players=tuple(replace(p, note=f"seat {p.player_id}") for p in DAYS[1].players[:2])),
    replace(DAYS[2], pieces=()),
)
SCALE = [
    ["Scale"],
    ["Change the tinted cells and every mark in this workbook follows."],
    ["A mark holds from its share of measures right up to the next share above."],
    [],
    ["Measures right, from", "Mark", "In words"],
    [0, 50, "Begin again together"],
    [0.5, 65, "Getting there"],
    [0.65, 75, "Holding on"],
    [0.75, 82, "Steady"],
    [0.85, 90, "Sure"],
    [0.93, 96, "Fluent"],
    [0.98, 100, "As if rehearsed"],
    *[[]] * 9,
    ["How much each reading counts", "Weight"],
    ["First reading", 100],
    ["Second reading", 0],
    ["Gain: of the wrong bars, how many were put right", 0],
    ["Without a second reading the first counts alone."],
    [],
    ["What makes a player's day", "Weight"],
    ["Section's mark", 100],
    ["Own mark", 100],
    ["Attendance", 0],
    [],
    ["Other choices"],
    ["An own mark takes the place of the section's", "yes"],
    ["Credit for late, of 100", 50],
    ["Credit for absent, of 100", 0],
    ["Lowest days left out", 0],
    ["Excused never counts. A mark for a day that was missed counts once it is made up."],
]
# 80 % gives 82 and 99 % gives 100, so the flutes' mark of the first day is 91
SUMMARY = [
    ["Autumn 2026: gradebook"],
    [
        f"Riverside Band. Made August 30, 2026 by the sight-reading program planner {BOOK.library_version}. "
        "Empty cells never count."
    ],
    [],
    ["Section", "Days read", "First reading", "Second reading", "Gain", "Mark"],
    ["Flute", 2, 0.8975, 0.9125, 0.015, 90.5],
    ["Clarinet 2", 1, 0.6, None, None, 65],
    ["Whole ensemble", None, 0.7488, 0.9125, 0.015, 77.75],
    [],
    ["Player", "Section", "Present", "Late", "Absent", "Excused", "Attendance", "Mark"],
    ["Ann", "Flute", 2, 0, 0, 0, 1, 90.5],
    ["Ben", "Flute", 1, 0, 1, 0, 0.5, 88],
    ["Cy", "Clarinet 2", 1, 0, 0, 0, 1, 70],
]
DATES = [None, None, "Sep 3", "Sep 10", "Sep 17"]
WEIGHTS = ["Weight of the day", None, 100, 100, 100]
WEIGHTS = ["Weight of the day", None, 100, 100, 100]
BY_SECTION = [
    ["First reading"], DATES, ["Flute", None, 0.895, 0.9], ["Clarinet 2", None, 0.6], [], [],
    ["Second reading"], DATES, ["Flute", None, 0.975, 0.85], ["Clarinet 2"], [], [],
    ["Gain"], DATES, ["Flute", None, 0.08, -0.05], ["Clarinet 2"], [], [],
    ["Mark"], DATES, ["Flute", None, 91, 90], ["Clarinet 2", None, 65], [], [],
    WEIGHTS, [], ["Weight"], DATES, ["Flute", None, 100, 100], ["Clarinet 2", None, 100],
]  # fmt: skip
BY_PLAYER = [
    ["Attendance"], DATES, ["Ann", "Flute", "P", "P"], ["Ben", "Flute", "A", "P"], ["Cy", "Clarinet 2", "P"],
    [], [],
    ["Mark"], DATES, ["Ann", "Flute", 91, 90], ["Ben", "Flute", None, 88], ["Cy", "Clarinet 2", 70],
    [], [], WEIGHTS, [], ["Weight"], DATES, ["Ann", "Flute", 100, 100], ["Ben", "Flute", None, 100],
    ["Cy", "Clarinet 2", 100],
]  # fmt: skip
READINGS = [
    "Section", "Piece", "First reading", "Second reading", "Gain", "Counts", "Mark", "Note", "For the level",
]  # fmt: skip
PLAYERS = ["Section", "Player", "Attendance", "Section's mark", "Own mark", "Mark", "Made up on", "Note"]
FILL_IN = ["Fill in the tinted cells; the rest follows."]
FIRST_DAY = [
    ["Thursday, September 3, 2026"],
    ["Riverside Band, Autumn 2026. Read: Piece 1; Encore"],
    FILL_IN,
    ["Weight of this day", None, 100],
    READINGS,
    ["Flute", "Piece 1", 0.8, 0.95, 0.15, 0.8, 82],
    ["Clarinet 2", "Piece 1", 0.6, None, None, 0.6, 65],
    ["Flute", "Encore", 0.99, 1, 0.01, 0.99, 100, "bravo"],
    [],
    PLAYERS,
    ["Flute", "Ann", "present", 91, None, 91],
    ["Flute", "Ben", "absent", 91],
    ["Clarinet 2", "Cy", "present", 65, 70, 70],
]
SECOND_DAY = [
    ["Thursday, September 10, 2026"],
    ["Riverside Band, Autumn 2026. Read: Piece 2"],
    FILL_IN,
    ["Weight of this day", None, 100],
    READINGS,
    ["Flute", "Piece 2", 0.9, 0.85, -0.05, 0.9, 90],
    ["Clarinet 2", "Piece 2"],
    [],
    PLAYERS,
    ["Flute", "Ann", "present", 90, None, 90, None, "seat 11"],
    ["Flute", "Ben", "present", 90, 88, 88, None, "seat 12"],
]
THIRD_DAY = [
    ["Thursday, September 17, 2026"],
    ["Riverside Band, Autumn 2026. Read: nothing planned"],
    FILL_IN,
    ["Weight of this day", None, 100],
    READINGS,
    ["Flute", "Piece 3"],
    ["Clarinet 2", "Piece 3"],
    [],
    PLAYERS,
    ["Flute", "Ann"],
    ["Flute", "Ben"],
    ["Clarinet 2", "Cy"],
]
SHEETS = {
    "Summary": SUMMARY, "Scale": SCALE, "Sections by day": BY_SECTION, "Players by day": BY_PLAYER,
    "2026-09-03": FIRST_DAY, "2026-09-10": SECOND_DAY, "2026-09-17": THIRD_DAY,
}  # fmt: skip


def written(tmp_path, sheet=BOOK, paper="a4"):
    return GradebookWorkbook(paper).write(sheet, tmp_path / "gradebook.xlsx")


def shown(page):
    """The cells of a sheet, row by row, figures to four places, without the empty ends of rows."""
    rows = []
    for line in page.iter_rows(values_only=True):
        row = [round(value, 4) if isinstance(value, float) else value for value in line]
        while row and row[-1] in (None, ""):
            row.pop()
        rows.append([None if value == "" else value for value in row])
    return rows


@pytest.mark.parametrize("recalculated", BOTH)
def test_every_cell_of_every_sheet_shows_what_one_would_reckon_by_hand(recalculated, tmp_path):
    (book,) = recalculated(written(tmp_path))
    assert book.sheetnames == list(SHEETS)
    for name, expected in SHEETS.items():
        assert shown(book[name]) == expected, name


@pytest.mark.parametrize("recalculated", BOTH)
@pytest.mark.parametrize(
    ("share", "mark"),
    [
        (0.0, 50),
        (0.4999, 50),
        (0.5, 65),
        (0.65, 75),
        (0.75, 82),
        (0.8499, 82),
        (0.85, 90),
        (0.93, 96),
        (1.0, 100),
    ],
)
def test_a_mark_holds_from_its_own_share_on(recalculated, tmp_path, share, mark):
    (book,) = recalculated(written(tmp_path, make_gradebook(make_day(shares=[(share, None)]))))
    assert book["2026-09-03"]["G6"].value == mark


@pytest.mark.parametrize("recalculated", BOTH)
def test_a_share_below_the_whole_scale_has_no_mark(recalculated, tmp_path):
    sheet = make_gradebook(make_day(shares=[(0.3, None)]), scale=BOOK.scheme.scale[1:])
    (book,) = recalculated(written(tmp_path, sheet))
    assert book["2026-09-03"]["G6"].value is None


@pytest.mark.parametrize("recalculated", BOTH)
def test_weights_of_nothing_leave_the_first_reading_alone(recalculated, tmp_path):
    path = written(tmp_path)
    book = load_workbook(path)
    book["Scale"]["B23"], book["Scale"]["B24"] = 0, 0
    book.save(path)
    (book,) = recalculated(path)
    assert book["2026-09-03"]["F6"].value == 0.8


@pytest.mark.parametrize("recalculated", BOTH)
def test_weights_of_the_readings_need_not_be_alike(recalculated, tmp_path):
    path = written(tmp_path)
    book = load_workbook(path)
    book["Scale"]["B23"], book["Scale"]["B24"] = 1, 3
    book.save(path)
    (book,) = recalculated(path)
    assert book["2026-09-03"]["F6"].value == pytest.approx((0.80 + 3 * 0.95) / 4)


def formats(page, *rows):
    return [[cell.number_format for cell in page[row]] for row in rows]


def test_shares_are_shown_in_percent_marks_to_a_tenth_and_gains_with_their_sign(tmp_path):
    book = load_workbook(written(tmp_path))
    text, gain = "General", "+0%;-0%;0%"
    assert formats(book["2026-09-03"], 6) == [[text, text, "0%", "0%", gain, "0%", "0.0", text, text]]
    assert formats(book["2026-09-03"], 11) == [
        [text, text, text, "0.0", "0.0", "0.0", "yyyy-mm-dd", text, text],
    ]  # fmt: skip
    assert formats(book["Summary"], 5, 7) == [
        [text, "0", "0%", "0%", gain, "0.0", text, text], [text, text, "0%", "0%", gain, "0.0", text, text],
    ]  # fmt: skip
    assert formats(book["Summary"], 10) == [[text, text, *["0"] * 4, "0%", "0.0"]]
    assert formats(book["Scale"], 6, 23) == [["0%", text, text], [text, text, text]]
    by_section = [book["Sections by day"].cell(row, 3).number_format for row in (3, 9, 15, 21)]
    assert by_section == ["0%", "0%", gain, "0.0"]
    assert [book["Players by day"].cell(row, 3).number_format for row in (3, 10)] == [text, "0.0"]


HEADINGS = {
    "Summary": (4, 9),
    "Scale": (5,),
    "2026-09-03": (5, 10),
    "Sections by day": (2,),
    "Players by day": (2,),
}


def test_headings_stand_over_their_column_as_its_figures_do(tmp_path):
    book = load_workbook(written(tmp_path))
    for name, rows in HEADINGS.items():
        for row in rows:
            for heading, below in zip(book[name][row], book[name][row + 1], strict=True):
                across = below.alignment.horizontal
                if heading.value and across is not None:
                    assert heading.alignment.horizontal == across, (name, heading.coordinate)
    assert [cell.alignment.horizontal for cell in book["Summary"][9]] == ["left"] * 2 + ["center"] * 6
    assert [cell.alignment.horizontal for cell in book["2026-09-03"][5]] == ["left"] * 2 + ["center"] * 5 + [
        "left"
    ] * 2
    days = book["Sections by day"][2]
    assert [cell.alignment.horizontal for cell in days] == ["left"] * 2 + ["center"] * 3


def test_a_wrong_entry_is_refused_with_a_sentence_and_an_empty_one_is_not(tmp_path):
    book = load_workbook(written(tmp_path))
    rules = [rule for page in book for rule in page.data_validations.dataValidation]
    assert len(rules) == 4 + 3 * 5
    assert all(rule.showErrorMessage and rule.error for rule in rules)
    assert [rule.sqref for rule in rules if not rule.allow_blank] == [book["Scale"]["B34"].coordinate]
    where = {str(r.sqref): (r.formula1, r.formula2) for r in book["Scale"].data_validations.dataValidation}
    assert where == {
        "A6:A19": ("0", "1"), "B6:B19 B35:B37": ("0", "100"), "B23:B25 B29:B31": ("0", "1000"),
        "B34": ('"yes,no"', None),
    }  # fmt: skip


def test_sheets_without_people_ask_for_no_entry(tmp_path):
    bare = replace(make_day(), readings=(), players=())
    page = load_workbook(written(tmp_path, make_gradebook(bare)))["2026-09-03"]
    assert [str(r.sqref) for r in page.data_validations.dataValidation if str(r.sqref)] == ["C4"]


@pytest.mark.parametrize(("days", "wide"), [(1, 1), (16, 1), (17, 2), (33, 3)])
def test_days_run_on_to_another_page_when_they_are_too_many_for_one(tmp_path, days, wide):
    book = load_workbook(written(tmp_path, make_gradebook(*(make_day(n) for n in range(days)))))
    for name in ("Sections by day", "Players by day"):
        page = book[name]
        assert (page.page_setup.fitToWidth, page.page_setup.orientation) == (wide, "landscape")
        assert (page.print_title_cols, page.freeze_panes) == ("$A:$B", "C1")
    assert (book["Summary"].freeze_panes, book["2026-09-03"].freeze_panes) == ("A5", "A6")


def test_a_day_is_one_page_unless_its_people_are_too_many_to_be_read(tmp_path):
    def high(people):
        crowd = tuple(replace(DAYS[0].players[0], player_id=n) for n in range(people))
        page = load_workbook(written(tmp_path, make_gradebook(replace(make_day(), players=crowd))))[
            "2026-09-03"
        ]
        return page.page_setup.fitToHeight

    assert [high(people) for people in (3, 66, 67)] == [1, 1, 0]


def test_figures_by_day_stand_apart_one_table_below_the_other(tmp_path):
    page = load_workbook(written(tmp_path))["Sections by day"]
    titles = [row for row in range(1, page.max_row + 1) if page.cell(row, 1).font.size == 16]
    assert [b - a for a, b in pairwise(titles)] == [len(BOOK.sections) + 4] * 4 + [2]
