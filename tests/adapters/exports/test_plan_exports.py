"""The term plan in its three forms: what each says, and how it holds up."""

import re
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import icalendar
import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from planner.adapters.exports.plan_ics import PlanCalendar
from planner.adapters.exports.plan_pdf import PlanPdf
from planner.adapters.exports.plan_xlsx import PlanWorkbook
from tests.adapters.exports.recalculated import BOTH, errors_in
from tests.adapters.exports.views import DAY, make_plan, make_row
from tests.checks import some


def text_of(path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def test_the_sheet_has_every_slot_with_its_facts(tmp_path):
    rows = (
        make_row(0, is_pinned=True),
        make_row(1, title="Скерцо", level=None, reading_bpm=None, featured="", focus="independence"),
        make_row(5, beat_unit="dotted quarter", level=2.25),
    )
    text = text_of(PlanPdf().write(replace(make_plan(), rows=rows), tmp_path / "a.pdf"))
    wanted = [
        "Autumn 2026", "Riverside Band", "September 1, 2026 to December 18, 2026", "10 minutes a day",
        "September 2026", "Thu 3", "Piece 1", "Ada Weir", "pinned by the director", "1.5", "rhythm",
        "Clarinet 2", "♩ = 72", "Скерцо", "independence", "October 2026", "Thu 8", "♩. = 72", "2.2", "Thu 17",
        "nothing planned", "No reading: November 26, 2026", "Proven best to within 0.6%",
        "3 pieces on 3 reading days, levels 1.5 to 2.2", "Made August 30, 2026", "page 1 of 1",
    ]  # fmt: skip
    assert [w for w in wanted if w not in text] == []


def test_a_long_term_runs_over_pages_with_its_name_on_each(tmp_path):
    reader = PdfReader(PlanPdf("letter").write(make_plan(90), tmp_path / "a.pdf"))
    pages = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert len(pages) > 2
    assert all(f"page {n} of {len(pages)}" in text for n, text in enumerate(pages, start=1))
    assert all("Autumn 2026 (continued)" in text for text in pages[1:])
    assert sum(len(re.findall(r"Piece \d+", text)) for text in pages) == 90


def test_a_month_is_never_left_alone_at_the_foot(tmp_path):
    for rows in range(20, 34, 2):
        reader = PdfReader(PlanPdf().write(make_plan(rows, empty_days=()), tmp_path / "a.pdf"))
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
    empty = make_plan(0, empty_days=(), days_off=())
    assert "0 pieces on 0 reading days" in text_of(PlanPdf().write(empty, tmp_path / "a.pdf"))
    PlanWorkbook().write(empty, tmp_path / "a.xlsx")
    assert b"BEGIN:VCALENDAR" in PlanCalendar().write(empty, tmp_path / "a.ics").read_bytes()


def test_sheet_and_calendar_have_the_same_bytes_every_time(tmp_path):
    for writer in (PlanPdf(), PlanCalendar()):
        first = writer.write(make_plan(), tmp_path / "one").read_bytes()
        assert writer.write(make_plan(), tmp_path / "two").read_bytes() == first


def test_the_workbook_has_the_plan_as_values_that_can_be_sorted_and_summed(tmp_path):
    rows = (make_row(0, is_pinned=True), make_row(1, level=None, reading_bpm=None))
    book = load_workbook(PlanWorkbook().write(replace(make_plan(), rows=rows), tmp_path / "a.xlsx"))
    assert book.sheetnames == ["Plan", "Reasons"]
    page = book["Plan"]
    assert [c.value for c in page[5]][:3] == ["Date", "Day", "Piece"]
    assert [c.value for c in page[6]] == [
        datetime(2026, 9, 3), "Thursday", "Piece 1", "Ada Weir", 1.5, "rhythm", "Clarinet 2", 9.5, 72,
        "quarter", "pinned",
    ]  # fmt: skip
    assert [page.cell(7, c).value for c in (5, 9)] == [None, None]
    assert page["H9"].value == "=SUM(H6:H7)"
    assert page.auto_filter.ref == "A5:K7"
    assert page.freeze_panes == "A6"
    assert [c.value for c in book["Reasons"][4]][1:] == ["Piece 1", rows[0].reasons[0]]


@pytest.mark.parametrize("recalculated", BOTH)
def test_the_minutes_of_all_rows_and_of_nothing_else_are_summed(recalculated, tmp_path):
    rows = (make_row(0, minutes=9.5), make_row(1, minutes=8.0), make_row(2, minutes=20.25))
    path = PlanWorkbook().write(replace(make_plan(), rows=rows), tmp_path / "a.xlsx")
    empty = PlanWorkbook().write(make_plan(0), tmp_path / "empty.xlsx")
    book, none = recalculated(path, empty)
    assert errors_in(book) == errors_in(none) == []
    assert (book["Plan"]["G10"].value, book["Plan"]["H10"].value) == ("Minutes in all", 9.5 + 8.0 + 20.2)
    assert (none["Plan"]["G8"].value, none["Plan"]["H8"].value) == ("Minutes in all", 0)


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


def events(path):
    return icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT")


def test_the_calendar_has_one_whole_day_for_each_reading_day(tmp_path):
    rows = (make_row(0), make_row(0, position=1, title="Second; piece, too"), make_row(1))
    found = events(PlanCalendar().write(replace(make_plan(), rows=rows), tmp_path / "a.ics"))
    assert [e["DTSTART"].dt for e in found] == [DAY, DAY + timedelta(weeks=1)]
    assert [e["DTEND"].dt - e["DTSTART"].dt for e in found] == [timedelta(days=1)] * 2
    assert str(found[0]["SUMMARY"]) == "Sight-reading: Piece 1; Second; piece, too"
    described = str(found[0]["DESCRIPTION"]).splitlines()
    assert described[0] == (
        "Piece 1 (Ada Weir): level 1.5, focus rhythm, featuring Clarinet 2, 10 minutes, "
        "first reading quarter = 72"
    )
    assert len(described) == 2


def test_a_starting_time_makes_timed_entries_that_last_as_long_as_the_reading(tmp_path):
    sheet = make_plan(1, starts_at=time(14, 30), minutes=25.0)
    (event,) = events(PlanCalendar().write(sheet, tmp_path / "a.ics"))
    assert event["DTSTART"].dt == datetime(2026, 9, 3, 14, 30)
    assert event["DTEND"].dt == datetime(2026, 9, 3, 14, 55)


def test_a_day_keeps_its_identity_when_the_plan_is_made_again(tmp_path):
    before = make_plan(3)
    after = replace(
        before,
        rows=tuple(replace(row, title="Other") for row in before.rows[1:]),
        made_on=date(2026, 10, 1),
    )
    first = {e["DTSTART"].dt: str(e["UID"]) for e in events(PlanCalendar().write(before, tmp_path / "a.ics"))}
    again = {e["DTSTART"].dt: str(e["UID"]) for e in events(PlanCalendar().write(after, tmp_path / "b.ics"))}
    assert len(set(first.values())) == 3
    assert again == {day: first[day] for day in again}
    other = events(PlanCalendar().write(replace(before, term_id=5), tmp_path / "c.ics"))
    assert not {str(e["UID"]) for e in other} & set(first.values())


def test_lines_of_the_calendar_file_are_folded_as_the_standard_asks(tmp_path):
    """RFC 5545 section 3.1: lines end in CRLF and are at most 75 octets."""
    sheet = replace(make_plan(1), rows=(make_row(0, title="Ñandú " * 40),))
    data = PlanCalendar().write(sheet, tmp_path / "a.ics").read_bytes()
    assert data.endswith(b"\r\n")
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))
    assert str(events(tmp_path / "a.ics")[0]["SUMMARY"]).count("Ñandú") == 40
