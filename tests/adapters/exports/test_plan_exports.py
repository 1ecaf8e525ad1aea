"""The term plan in its three forms: what each says, and how it holds up."""

import re
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

import pypdfium2
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from planner.adapters.exports.plan_ics import PlanCalendar
from planner.adapters.exports.plan_pdf import PlanPdf
from planner.adapters.exports.plan_xlsx import PlanWorkbook
from planner.adapters.exports.workbook import lines_of
from planner.services.sheets.views import DayNote, DayWithoutPiece
from tests.adapters.exports.recalculated import BOTH, errors_in
from tests.adapters.exports.views import DAY, make_calendar_day, make_plan, make_row
from tests.checks import some

WHOLE, HALF = "\U0001d15d", "\U0001d15e"
"""Notes of metronome marks. Source: SMuFL, metronome marks."""


def text_of(path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def test_the_sheet_has_every_slot_with_its_facts(tmp_path):
    rows = (
        make_row(0, is_pinned=True),
        make_row(1, title="Скерцо", level=None, reading_bpm=None, featured="", focus="independence"),
        make_row(5, beat_unit="dotted quarter", level=2.25),
        make_row(6, beat_unit="half", reading_bpm=63),
        make_row(7, beat_unit="whole", reading_bpm=44),
    )
    text = text_of(PlanPdf().write(replace(make_plan(), rows=rows), tmp_path / "a.pdf"))
    wanted = [
        "Autumn 2026", "Riverside Band", "September 1, 2026 to December 18, 2026", "10 minutes a day",
        "September 2026", "Thu 3", "Piece 1", "Ada Weir", "pinned by the director", "1.5", "rhythm",
        "Clarinet 2", "♩ = 72", "Скерцо", "independence", "October 2026", "Thu 8", "♩. = 72", "2.2", "Thu 17",
        "left open: no fresh piece suits", "Thu 26 day off", "more than 0.6% better",
        f"{HALF} = 63", f"{WHOLE} = 44", "5 pieces on 5 reading days, levels 1.5 to 2.2",
        "Made August 30, 2026", "page 1 of 1",
    ]  # fmt: skip
    assert [w for w in wanted if w not in text] == []


def test_a_long_term_runs_over_pages_with_its_name_on_each(tmp_path):
    reader = PdfReader(PlanPdf("letter").write(make_plan(90), tmp_path / "a.pdf"))
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert len(pages) > 2
    assert all(f"page {n} of {len(pages)}" in text for n, text in enumerate(pages, start=1))
    assert all("Autumn 2026 (continued)" in text for text in pages[1:])
    assert sum(len(re.findall(r"Piece \d+", text)) for text in pages) == 90


def test_the_columns_are_named_at_the_head_of_every_page(tmp_path):
    reader = PdfReader(PlanPdf().write(make_plan(90), tmp_path / "a.pdf"))
    heads = ["Level", "Focus", "Featured", "Min.", "Notes"]
    assert len(reader.pages) > 2
    for page in some(reader.pages):
        lines = [line.strip() for line in page.extract_text().splitlines() if line.strip()]
        first_day = next(at for at, line in enumerate(lines) if re.fullmatch(r"Thu \d+.*", line))
        assert [head for head in heads if head not in lines[:first_day]] == []


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_day_longer_than_a_page_goes_on_over_the_next(paper, tmp_path):
    long = "Processional and Finale " * 120
    rows = tuple(make_row(0, position=at, title=f"{long} last{at}") for at in range(4))
    reader = PdfReader(PlanPdf(paper).write(replace(make_plan(), rows=rows), tmp_path / "a.pdf"))
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert len(pages) > 2
    text = " ".join(pages)
    assert text.count("Processional") == text.count("Finale") == 4 * 120
    assert all(f"last{at}" in text for at in range(4))
    assert all("First reading" in page for page in pages)


def letters_of(page):
    """Where the ink of each letter of a page may fall: left, bottom, right, top."""
    text = page.get_textpage()
    every = ((text.get_text_range(n, 1), text.get_charbox(n)) for n in range(text.count_chars()))
    return [box for letter, box in every if letter.strip()]


def on_paper(box):
    """Between the margins of 17 mm (letter paper), the foot included."""
    left, bottom, right, top = box
    return left > 48 - 1 and right < 612 - 48 + 1 and bottom > 20 and top < 792 - 40


def overlapping(boxes):
    """Letters that lie on each other, by more than an italic f leans over the next letter."""
    found = []
    ordered = sorted(boxes)
    for at, (left, bottom, right, top) in enumerate(ordered):
        for other in ordered[at + 1 :]:
            if other[0] > right:
                break
            across = min(right, other[2]) - max(left, other[0])
            up = min(top, other[3]) - max(bottom, other[1])
            if across > 2.5 and up > 1:
                found.append(((left, bottom, right, top), other))
    return found


def test_letters_on_each_other_are_seen():
    assert len(overlapping([(0, 0, 6, 8), (3, 2, 9, 10), (6, 0, 9, 1)])) == 1


def test_nothing_on_a_full_sheet_leaves_its_place(tmp_path):
    """40 days of 4 pieces with long names in several scripts: words keep to their column and to the page."""
    titles = ("Donaudampfschifffahrtsgesellschaftskapitänsmützenmarschvariationen", "Скерцо " * 12,
              "Ωδή στη θάλασσα", "Variations on a Theme " * 9)  # fmt: skip
    rows = tuple(
        make_row(0, on=DAY + timedelta(days=day), position=at, title=title, credit=title)
        for day in range(40)
        for at, title in enumerate(titles)
    )
    path = PlanPdf("letter").write(replace(make_plan(), rows=rows), tmp_path / "a.pdf")
    with pypdfium2.PdfDocument(path) as printed:
        assert len(printed) > 5
        for at in (0, len(printed) // 2):
            boxes = letters_of(printed[at])
            assert len(boxes) > 300
            assert [box for box in boxes if not on_paper(box)] == []
            assert overlapping(boxes) == []


def test_the_wall_says_why_a_piece_stands_there_and_what_the_day_aims_at(tmp_path):
    rows = (make_row(0, why=("Trains rhythm.", "Features Clarinet 2."), target="aim 84%"), make_row(1))
    text = text_of(PlanPdf().write(replace(make_plan(), rows=rows), tmp_path / "a.pdf"))
    assert re.search(r"Piece 1 .*aim 84%.* Trains rhythm. Features Clarinet 2. .*Thu 10 Piece 2", text)
    assert text.count("Aim: of 100 bars") == 1
    assert "Aim: of 100" not in text_of(PlanPdf().write(make_plan(), tmp_path / "b.pdf"))


def test_beside_each_piece_there_is_room_for_notes(tmp_path):
    path = PlanPdf("letter").write(make_plan(30, without_piece=()), tmp_path / "a.pdf")
    with pypdfium2.PdfDocument(path) as printed:
        words = list(words_of(printed[0]))
    notes, top = next((word[0], word[1]) for word in words if word[4] == "Notes")
    beneath = [word for word in words if 60 < word[1] < top - 2 and word[4] != "Notes"]
    assert notes < 612 - 48 - 60
    assert len(beneath) > 30
    assert max(word[2] for word in beneath) < notes


def words_of(page):
    """Words of a page with their boxes."""
    text = page.get_textpage()
    whole = text.get_text_range()
    for found in re.finditer(r"\w+", whole):
        boxes = [text.get_charbox(at) for at in range(found.start(), found.end())]
        lefts, bottoms, rights, tops = zip(*boxes, strict=True)
        yield min(lefts), min(bottoms), max(rights), max(tops), found[0]


def test_a_month_is_never_left_alone_at_the_foot(tmp_path):
    for rows in range(20, 34, 2):
        reader = PdfReader(PlanPdf().write(make_plan(rows, without_piece=()), tmp_path / "a.pdf"))
        for page in some(reader.pages):
            lines = [line for line in page.extract_text().splitlines() if line.strip()]
            body = [ln for ln in lines if not re.search(r"page \d+ of|Made ", ln)]
            assert not re.match(r"^(\w+ 20\d\d|First reading)$", body[-1].strip()), (rows, body[-3:])


def test_two_pieces_of_one_day_stand_together(tmp_path):
    rows = (make_row(0), make_row(0, position=1, title="Second piece"))
    text = text_of(PlanPdf().write(replace(make_plan(), rows=rows), tmp_path / "a.pdf"))
    assert text.count("Thu 3") == 1
    assert "2 pieces on 1 reading day," in text


def test_an_empty_plan_is_still_a_sheet(tmp_path):
    empty = make_plan(0, without_piece=())
    assert "0 pieces on 0 reading days" in text_of(PlanPdf().write(empty, tmp_path / "a.pdf"))
    PlanWorkbook().write(empty, tmp_path / "a.xlsx")
    assert b"BEGIN:VCALENDAR" in PlanCalendar().write(empty, tmp_path / "a.ics").read_bytes()


def test_sheet_and_calendar_have_the_same_bytes_every_time(tmp_path):
    halves = tuple(make_row(n, beat_unit="half") for n in range(3))
    sheet = replace(make_plan(), rows=halves, calendar=(make_calendar_day(0), make_calendar_day(1)))
    for writer in (PlanPdf(), PlanCalendar()):
        first = writer.write(sheet, tmp_path / "one").read_bytes()
        assert writer.write(sheet, tmp_path / "two").read_bytes() == first


def test_the_workbook_has_the_plan_as_values_that_can_be_sorted_and_summed(tmp_path):
    rows = (make_row(0, is_pinned=True), make_row(1, level=None, reading_bpm=None))
    book = load_workbook(PlanWorkbook().write(replace(make_plan(), rows=rows), tmp_path / "a.xlsx"))
    assert book.sheetnames == ["Plan", "Reasons"]
    page = book["Plan"]
    assert [c.value for c in page[5]][:3] == ["Date", "Day", "Piece"]
    assert [c.value for c in page[6]] == [
        datetime(2026, 9, 3), "Thursday", "Piece 1", "Ada Weir", 1.5, "rhythm", "Clarinet 2", 9.5, 72,
        "quarter", "pinned", None,
    ]  # fmt: skip
    assert [page.cell(7, c).value for c in (5, 9)] == [None, None]
    assert [page.cell(8, c).value for c in (1, 2, 3, 8)] == [
        datetime(2026, 11, 26), "Thursday", "day off", None,
    ]  # fmt: skip
    assert page["C9"].value == "left open: no fresh piece suits"
    assert page["H11"].value == "=SUM(H6:H9)"
    assert page.auto_filter.ref == "A5:L9"
    assert (page.freeze_panes, page.print_title_rows) == ("A6", "$5:$5")
    reasons = book["Reasons"]
    assert (reasons.freeze_panes, reasons.print_title_rows) == ("A4", "$3:$3")
    assert [c.value for c in book["Reasons"][4]][1:] == ["Piece 1", rows[0].reasons[0]]


@pytest.mark.parametrize("recalculated", BOTH)
def test_the_minutes_of_all_rows_and_of_nothing_else_are_summed(recalculated, tmp_path):
    rows = (make_row(0, minutes=9.5), make_row(1, minutes=8.0), make_row(2, minutes=20.25))
    path = PlanWorkbook().write(replace(make_plan(), rows=rows), tmp_path / "a.xlsx")
    empty = PlanWorkbook().write(make_plan(0), tmp_path / "empty.xlsx")
    book, none = recalculated(path, empty)
    assert errors_in(book) == errors_in(none) == []
    assert (book["Plan"]["G12"].value, book["Plan"]["H12"].value) == ("Minutes in all", 9.5 + 8.0 + 20.2)
    assert (none["Plan"]["G9"].value, none["Plan"]["H9"].value) == ("Minutes in all", 0)


@pytest.mark.parametrize("word", ["=1+1", "+cmd", "-2", "@SUM(A1)", "\t=1", '=HYPERLINK("http://x")'])
def test_words_are_never_formulas(tmp_path, word):
    rows = (make_row(0, title=word, credit=word, featured=word, reasons=(word,)),)
    sheet = replace(make_plan(), rows=rows, term=word, ensemble=word)
    book = load_workbook(PlanWorkbook().write(sheet, tmp_path / "a.xlsx"))
    for page in book:
        for line in page.iter_rows():
            for cell in line:
                if cell.value == word:
                    assert cell.data_type == "s"
                    assert cell.quotePrefix
    assert book["Plan"]["C6"].value == word


def test_the_beat_of_the_workbook_is_the_one_that_the_number_counts(tmp_path):
    rows = (make_row(0, beat_unit="quarter", reading_bpm=36), make_row(1, beat_unit="dotted-quarter"))
    book = load_workbook(PlanWorkbook().write(replace(make_plan(), rows=rows), tmp_path / "a.xlsx"))
    found = [(book["Plan"].cell(at, 9).value, book["Plan"].cell(at, 10).value) for at in (6, 7)]
    assert found == [(72, "eighth"), (72, "dotted quarter")]


def test_days_without_a_piece_stand_where_they_fall(tmp_path):
    without = (
        DayWithoutPiece(DAY + timedelta(days=3), "day off"),
        DayWithoutPiece(DAY + timedelta(weeks=2, days=1), "left open"),
    )
    sheet = make_plan(3, without_piece=without)
    page = load_workbook(PlanWorkbook().write(sheet, tmp_path / "a.xlsx"))["Plan"]
    dates = [page.cell(at, 1).value for at in range(6, 11)]
    assert all(one < other for one, other in pairwise(dates))
    assert [page.cell(at, 3).value for at in range(6, 11)] == [
        "Piece 1", "day off", "Piece 2", "Piece 3", "left open",
    ]  # fmt: skip
    text = text_of(PlanPdf().write(sheet, tmp_path / "a.pdf"))
    assert re.search(r"Thu 3 Piece 1 .* Sun 6 day off .*Thu 10 Piece 2 .* Fri 18 left open", text)


def test_what_is_to_be_known_of_a_day_stands_above_and_beneath_its_pieces(tmp_path):
    above, beneath = "Without Oboe", "1 more place is open"
    notes = (DayNote(DAY, above, is_above=True), DayNote(DAY, beneath, is_above=False))
    sheet = replace(make_plan(2, without_piece=()), notes=notes)
    sheet = replace(sheet, rows=(replace(sheet.rows[0], room="round 2, Brass"), *sheet.rows[1:]))
    page = load_workbook(PlanWorkbook().write(sheet, tmp_path / "a.xlsx"))["Plan"]
    found = [page.cell(at, 3).value for at in range(6, 10)]
    assert found == [above, "Piece 1", beneath, "Piece 2"]
    assert page.cell(7, 12).value == "round 2, Brass"
    text = text_of(PlanPdf().write(sheet, tmp_path / "a.pdf"))
    assert re.search(r"Thu 3 Without Oboe Piece 1 .*round 2, Brass.* 1 more place is open Thu 10", text)


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [("", 38, 1), ("Rondo", 38, 1), ("W" * 38, 38, 2), ("i" * 38, 38, 1), ("Rondo " * 40, 38, 8),
     ("春の海と遠い山の歌による幻想曲と行進曲", 26, 2)],
)  # fmt: skip
def test_rows_of_a_workbook_are_as_high_as_their_words_need(text, width, lines):
    assert lines_of(text, width, 10.0) == lines


def test_a_long_name_of_a_term_is_written_out(tmp_path):
    name = "A term with a name of many words " * 8
    sheet = make_plan(1, term=name.strip())
    text = text_of(PlanPdf().write(sheet, tmp_path / "a.pdf"))
    assert name.strip() in text
    page = load_workbook(PlanWorkbook().write(sheet, tmp_path / "a.xlsx"))["Plan"]
    assert "A1:L1" in {str(cells) for cells in page.merged_cells.ranges}
    assert page.row_dimensions[1].height > 2 * 16
