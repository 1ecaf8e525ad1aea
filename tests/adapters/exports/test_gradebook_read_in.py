"""The gradebook, filled in in many ways and read in: only what was typed counts, cell by cell."""

import subprocess
from copy import copy
from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from openpyxl import Workbook, load_workbook

from planner.adapters.exports.gradebook.workbook import GradebookWorkbook
from planner.adapters.exports.tables.read_filled_in import FilledInFiles
from planner.core.filled_in import Field
from planner.core.term import Attendance, Plan, PlayerMark, Slot
from planner.errors import InputError
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.attendance import enter_marks
from planner.services.day.gradebook import gradebook_to_fill_in
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import YES_TO_ALL
from planner.services.read_in.compare import FROM_FILE, check_term, compare
from planner.services.read_in.take import take_in
from tests.fakes import BY, FakeFiles, FakeStudies, changing
from tests.programs import program
from tests.services.term.library_for_plans import TUESDAY, make_library

THURSDAY = TUESDAY + timedelta(days=2)
TODAY = TUESDAY + timedelta(days=7)
MEANS = Means(FakeFiles(), FakeStudies())


class Band:
    """A band of four sections and 13 players after two reading days, on the third, and its gradebook."""

    def __init__(self, folder) -> None:
        self.library, self.ensemble_id, self.term_id = make_library(3, weeks=2, players=True)
        with changing(self.library) as work:
            self.pieces = list(work.pieces.titles())[:3]
            one, two, three = self.pieces
            days = ((TUESDAY, one), (TUESDAY, two), (THURSDAY, three), (TODAY, one))
            slots = tuple(Slot(on, at % 2, piece, "rhythm") for at, (on, piece) in enumerate(days))
            work.terms.save_plan(Plan(self.term_id, slots))
        self.flute, self.clarinet, *_ = (section.id for section in self.ensemble.sections)
        self.seats = [player.id for section in self.ensemble.sections for player in section.players]
        self.log(
            TUESDAY, ResultEntry(self.flute, one, 0.8, 0.9, note="calm"), ResultEntry(self.flute, two, 0.7)
        )
        self.log(THURSDAY, ResultEntry(self.clarinet, three, 0.6))
        self.enter(
            PlayerMark(
                self.seats[0], TUESDAY, Attendance.ABSENT, Decimal(90), TODAY - timedelta(days=1), "flu"
            ),
            PlayerMark(self.seats[1], TUESDAY, Attendance.PRESENT),
            PlayerMark(self.seats[1], THURSDAY, Attendance.LATE),
        )
        self.path = folder / "gradebook.xlsx"
        self.write()

    @property
    def ensemble(self):
        with self.library() as work:
            return work.ensembles.get(self.ensemble_id)

    def log(self, on, *entries):
        with changing(self.library) as work:
            log_results(work, self.ensemble_id, on, entries, by=BY, today=TODAY, answers=YES_TO_ALL)

    def enter(self, *marks):
        with changing(self.library) as work:
            for mark in marks:
                enter_marks(work, self.ensemble, mark.on, [mark], today=TODAY, by=BY)

    def write(self, only=None):
        with self.library() as work:
            sheet = gradebook_to_fill_in(work, self.term_id, today=TODAY, only=only)
        return GradebookWorkbook().write(sheet, self.path)

    def fill(self, **cells):
        """Type into cells, such as ``Attendance_D5="L"``; an underscore in a sheet's name is a blank."""
        book = load_workbook(self.path)
        for place, value in cells.items():
            sheet, address = place.rsplit("_", 1)
            book[sheet.replace("_", " ")][address] = value
        book.save(self.path)

    def compared(self, only=None, path=None):
        filled = FilledInFiles().read(path or self.path)
        with self.library() as work:
            check_term(work, filled, self.term_id, "gradebook.xlsx")
            term = work.terms.get(self.term_id)
            return compare(work, filled, term, by=BY, today=TODAY, only=only)

    def take(self, chosen=None):
        filled = FilledInFiles().read(self.path)
        with changing(self.library) as work:
            term = work.terms.get(self.term_id)
            found = compare(work, filled, term, by=BY, today=TODAY, chosen=chosen)
            return take_in(work, found, "gradebook.xlsx", by=BY, today=TODAY, answers=YES_TO_ALL)

    def state(self):
        with self.library() as work:
            results = sorted(work.results.list_results(), key=lambda r: (r.on, r.piece_id, r.section_id))
            marks = sorted(work.results.marks(self.ensemble_id), key=lambda m: (m.on, m.player_id))
            return results, marks

    def marks(self):
        return {(mark.player_id, mark.on): mark for mark in self.state()[1]}


@pytest.fixture
def band(tmp_path):
    return Band(tmp_path)


def refused(found):
    return {f"{each.sheet} {each.address}": each.sentence for each in found.refused}


TYPED = {
    "Readings_D7": 75, "Readings_E8": None, "Readings_F7": "apart", "Readings_C12": 95.5,
    "Attendance_D6": "L",
    "Attendance_E5": "excused", "Own_marks_F7": 87.25, "Own_marks_D5": None, "Remarks_E5": None,
    "Remarks_F5": "=flu, and a note", "Remarks_F6": None, "Remarks_B7": datetime(2026, 9, 3),
    "Remarks_C7": "flute player 0 (flute)", "Remarks_F7": "led well",
}  # fmt: skip
"""C: Piece 1 and D: Piece 2 on Tuesday, E: Thursday, F: today; rows 7 and 8 flute and clarinet at
first sight, 12 the flutes again. On the sheets of players D, E, F are the days, and rows 5 to 7 the flutes.
"""


def test_what_was_typed_is_stored_as_one_change_and_undone_as_one(band):
    before = band.state()
    assert not band.compared().changes, "as it was written it changes nothing"
    band.fill(**TYPED)
    book = load_workbook(band.path)
    book["Remarks"]["F5"].data_type = "s"
    book.save(band.path)
    found = band.compared()
    assert not found.refused
    assert not found.conflicts
    assert len(found.changes) == 12, "of the new row the remark alone is an entry"
    done = band.take()
    results, marks = band.state()
    read = {(r.on, r.section_id, r.piece_id): r for r in results}
    one, two, _ = band.pieces
    assert read[TUESDAY, band.flute, two].first_share == 0.75
    assert (read[TUESDAY, band.flute, one].second_share, read[TUESDAY, band.flute, one].note) == (0.955, "")
    assert read[TODAY, band.flute, one].fell_apart
    assert len(read) == 3, "the clarinets' result was emptied"
    by_seat, (ann, ben, cy) = band.marks(), band.seats[:3]
    assert by_seat[ann, TUESDAY] == PlayerMark(
        ann, TUESDAY, Attendance.ABSENT, None, None, "=flu, and a note"
    )
    assert by_seat[ann, THURSDAY] == PlayerMark(ann, THURSDAY, Attendance.EXCUSED, note="led well")
    assert by_seat[ben, TUESDAY].attendance is Attendance.LATE
    assert by_seat[cy, TODAY].mark == Decimal("87.25")
    assert len(marks) == 5
    after = band.state()
    assert not band.compared().changes, "twice changes nothing"
    assert band.take().change_id is None
    assert band.state() == after
    with changing(band.library) as work:
        undo_change(work, done.change_id, BY, MEANS)
    assert band.state() == before


def test_sorted_and_deleted_rows_and_moved_columns_are_read_by_their_keys(band):
    book = load_workbook(band.path)
    page = book["Attendance"]
    page["D7"], page["F9"] = "A", "E"
    rows = [[cell.value for cell in row] for row in page.iter_rows(min_row=5, max_row=17)]
    page.delete_rows(5, 13)
    for row in [row for row in reversed(rows) if row[1] != "Flute player 1"]:
        page.append(row)
    page.move_range("D1:D40", cols=9)
    book.save(band.path)
    found = band.compared()
    assert not found.refused
    typed = {(cell.about.seat_id, cell.about.on): cell.typed for cell in found.changes}
    assert typed == {(band.seats[2], TUESDAY): "absent", (band.seats[4], TODAY): "excused"}
    band.take()
    assert band.marks()[band.seats[1], THURSDAY].attendance is Attendance.LATE, (
        "its row was deleted: it stays"
    )


def test_rows_that_were_sorted_without_their_keys_are_refused_cell_by_cell(band):
    book = load_workbook(band.path)
    page = book["Own marks"]
    page["D6"] = 77
    names = [page.cell(row, 2).value for row in (5, 6)]
    for row, name in zip((5, 6), reversed(names), strict=True):
        page.cell(row, 2).value = name
    marks = [copy(page.cell(row, 4).value) for row in (5, 6)]
    page["D5"], page["D6"] = reversed(marks)
    book["Own marks"]["E8"] = 66
    book.save(band.path)
    found = band.compared()
    assert set(refused(found)) == {"Own marks D5", "Own marks D6"}
    assert all("no longer stands beside its own name" in sentence for sentence in refused(found).values())
    assert [(cell.address, cell.typed) for cell in found.changes] == [("E8", "66")]


ADDED = {
    7: (None, "Flute player 0 (Flute)", None, None, "a", "F7", "give the day"),
    8: (datetime(2026, 9, 1), None, None, None, "a", "F8", "give the player or section"),
    9: (datetime(2026, 9, 1), "Nobody", None, None, "a", "C9", "is called “Nobody”"),
    10: (datetime(2026, 9, 1), "Flute", None, None, "a", "F10", "several pieces"),
    11: (datetime(2026, 9, 1), "Trumpet", None, None, "a", "F11", "no result of that day"),
    12: (datetime(2026, 9, 1), "Flute", "Piece 1", datetime(2026, 9, 8), None, "E12", "makes nothing up"),
    13: ("Tuesday", "Flute player 0 (Flute)", None, None, "a", "B13", "not a date"),
    14: (datetime(2026, 9, 3), "Flute player 1 (Flute)", None, datetime(2026, 9, 8), None, "E14",
         "nothing to make up"),
    15: (datetime(2025, 9, 3), "Flute player 1 (Flute)", None, None, "a", "F15", "outside the term"),
}  # fmt: skip


def test_rows_added_for_remarks_are_taken_or_refused_by_cell(band):
    book = load_workbook(band.path)
    page = book["Remarks"]
    good = {
        16: (datetime(2026, 9, 1), "Flute", "Piece 2", None, "too loud"),
        17: (datetime(2026, 9, 3), "Clarinet 1", None, None, "well begun"),
        18: ("9/1/2026", "FLUTE PLAYER 1 (flute)", None, None, "helped out"),
        19: (datetime(2026, 9, 1), "Flute player 0 (Flute)", None, None, None),
    }
    for row, values in {**ADDED, **good}.items():
        for column, value in zip("BCDEF", values, strict=False):
            page[f"{column}{row}"] = value
    book.save(band.path)
    found = band.compared()
    there = refused(found)
    assert set(there) == {f"Remarks {address}" for *_, address, _ in ADDED.values()}
    for *_, address, words in ADDED.values():
        assert words in there[f"Remarks {address}"], address
    assert {(cell.who, cell.what, cell.field, cell.typed) for cell in found.changes} == {
        ("Flute", "Piece 2", Field.NOTE, "too loud"), ("Clarinet 1", "Piece 3", Field.NOTE, "well begun"),
        ("Flute player 1", "", Field.REMARK, "helped out"),
    }  # fmt: skip
    band.take()
    assert band.marks()[band.seats[1], TUESDAY] == PlayerMark(
        band.seats[1], TUESDAY, Attendance.PRESENT, note="helped out"
    )
    assert not band.compared().changes


def test_a_remark_in_a_new_row_beside_an_old_one_of_the_same_day_takes_its_place(band):
    band.fill(Remarks_B7=datetime(2026, 9, 1), Remarks_C7="Flute player 0 (Flute)", Remarks_F7="cold")
    (cell,) = band.compared().changes
    assert (cell.was, cell.typed, cell.now) == ("flu", "cold", "flu")


def test_what_changed_in_the_library_meanwhile_is_a_conflict_and_the_rest_is_kept(band):
    band.fill(Readings_C7=85, Attendance_D6="A")
    band.log(TUESDAY, ResultEntry(band.flute, band.pieces[0], 0.6, 0.65, note="restless"))
    band.enter(PlayerMark(band.seats[1], TUESDAY, Attendance.PRESENT, Decimal(70)))
    found = band.compared()
    (cell,) = found.conflicts
    assert (cell.was, cell.typed, cell.now) == ("80", "85", "60")
    band.take(chosen={cell.key: FROM_FILE})
    one = next(r for r in band.state()[0] if r.piece_id == band.pieces[0])
    assert (one.first_share, one.second_share, one.note) == (0.85, 0.65, "restless")
    assert band.marks()[band.seats[1], TUESDAY] == PlayerMark(
        band.seats[1], TUESDAY, Attendance.ABSENT, Decimal(70)
    )


WRONG = {
    "Readings_C7": ("eighty", "must be a number"), "Readings_D7": (101, "lie from 0 to 100"),
    "Readings_D12": ("=1+1", "a formula stands there"), "Readings_E7": ("=NA()", "a formula stands there"),
    "Readings_F12": (70, "second reading without a first"), "Attendance_D5": ("X", "is none of"),
    "Attendance_F8": (True, "is none of"), "Own_marks_D5": ("A-", "a mark is a number"),
    "Own_marks_D6": (0.5, "less than one of 100"), "Own_marks_E6": (87.255, "a mark is a number"),
    "Remarks_E5": ("soon", "is not a date"),
    "Own_marks_E5": (datetime(2026, 9, 3, 7, 30), "a mark is a number"),
}  # fmt: skip


def test_every_cell_that_cannot_be_is_refused_by_its_address_and_the_others_are_taken(band):
    before = band.state()
    band.fill(**{place: value for place, (value, _) in WRONG.items()}, Own_marks_D7=55)
    there = refused(band.compared())
    assert set(there) == {place.replace("Own_marks", "Own marks").replace("_", " ") for place in WRONG}
    for place, (_, words) in WRONG.items():
        sheet, address = place.rsplit("_", 1)
        assert words in there[f"{sheet.replace('_', ' ')} {address}"], place
    band.take()
    assert band.state()[0] == before[0]
    assert band.marks()[band.seats[2], TUESDAY].mark == 55


def test_a_day_on_which_a_player_did_not_sit_there_is_refused(band):
    state = band.library.state
    first, *others = state.ensembles[band.ensemble_id].sections
    late = replace(first.players[2], joined=THURSDAY)
    sections = (replace(first, players=(*first.players[:2], late)), *others)
    state.ensembles[band.ensemble_id] = replace(state.ensembles[band.ensemble_id], sections=sections)
    band.write()
    assert load_workbook(band.path)["Attendance"]["D7"].protection.locked
    band.fill(Attendance_D7="P", Attendance_E7="P")
    found = band.compared()
    assert refused(found) == {"Attendance D7": "Flute player 2: not in the ensemble on that day."}
    assert [cell.address for cell in found.changes] == ["E7"]


def test_a_leader_has_and_changes_their_own_section_alone(band):
    band.fill(Attendance_D5="P", Attendance_D8="P")
    found = band.compared(only={band.flute})
    assert [cell.address for cell in found.changes] == ["D5"]
    assert refused(found) == {"Attendance D8": "Clarinet 1 player 0: this section is not open to you."}
    band.write(only={band.flute})
    book = load_workbook(band.path)
    assert [book["Readings"].cell(row, 2).value for row in (6, 7, 8)] == [
        "First reading",
        "Flute",
        "Second reading",
    ]
    words = {cell.value for page in book for row in page.iter_rows() for cell in row}
    assert not any("Clarinet" in str(word) for word in words)


def test_files_of_another_term_or_library_and_of_the_former_layout_are_refused(band, tmp_path):
    filled = FilledInFiles().read(band.path)
    with changing(band.library) as work:
        spring = work.terms.add(replace(work.terms.get(band.term_id), id=0, name="Spring"))
    with band.library() as work:
        with pytest.raises(InputError, match="belongs to Autumn of Band"):
            check_term(work, filled, spring, "gradebook.xlsx")
        foreign = replace(filled, identity=replace(filled.identity, library="0ther"))
        with pytest.raises(InputError, match="from another library"):
            check_term(work, foreign, band.term_id, "gradebook.xlsx")
    book = Workbook()
    for name in ("Summary", "Scale", "Sections by day", "Players by day", "2026-09-01"):
        book.create_sheet(name)
    book.save(tmp_path / "former.xlsx")
    with pytest.raises(InputError, match=r"former\.xlsx is a gradebook as this program wrote it before"):
        FilledInFiles().read(tmp_path / "former.xlsx")


ODD = (
    "_x0041_ two_x000D_lines", "=SUM(A1)", "@home", "+1", "-1", "'quoted", '"quoted"', "<b>&amp;</b>",
    "Ana  María",
    "שָׁלוֹם", "🎺🎺", "http://a.example", "mailto:a@b.example", "TRUE", "007", "1e5", "9/1/2026",
    "player 11", "x" * 200,
)  # fmt: skip


def test_odd_names_and_remarks_come_back_as_they_went_and_change_nothing(band):
    state = band.library.state
    sections, names = [], iter(ODD)
    for section in state.ensembles[band.ensemble_id].sections:
        players = tuple(replace(player, name=next(names)) for player in section.players)
        sections.append(replace(section, name=next(names), players=players))
    state.ensembles[band.ensemble_id] = replace(state.ensembles[band.ensemble_id], sections=tuple(sections))
    remarks = [each for each in ODD if each == each.strip() and "  " not in each]
    for seat, remark in zip(band.seats * 2, remarks, strict=False):
        on = (
            THURSDAY
            if seat in {mark.player_id for mark in band.state()[1] if mark.on == TUESDAY}
            else TUESDAY
        )
        band.enter(PlayerMark(seat, on, note=remark))
    band.write()
    found = band.compared()
    assert not [*found.changes, *found.conflicts, *found.refused]
    band.fill(Attendance_D6="E")
    found = band.compared()
    assert [cell.address for cell in found.changes] == ["D6"]
    assert not found.refused


@pytest.mark.slow
def test_a_file_that_libreoffice_saved_says_what_was_typed_and_nothing_else(band, tmp_path):
    band.fill(**{**TYPED, "Remarks_F5": "flu, and a note"})
    for form, folder in (("ods", "one"), ("xlsx", "two")):
        subprocess.run(
            [program("soffice"), f"-env:UserInstallation=file://{tmp_path}/office", "--headless",
             "--convert-to", form, "--outdir", str(tmp_path / folder), str(band.path)],
            check=True, capture_output=True,
        )  # fmt: skip
        band.path = tmp_path / folder / f"gradebook.{form}"
    found = band.compared()
    assert not found.refused
    assert not found.conflicts
    assert len(found.changes) == 12
    band.take()
    assert not band.compared().changes
    assert len(band.state()[1]) == 5


@pytest.mark.slow
def test_100_000_rows_of_rubbish_are_refused_and_the_rest_is_read(band):
    band.fill(Attendance_D6="A")
    book = load_workbook(band.path)
    for number in range(100_000):
        book["Attendance"].append([None, f"Somebody {number}", "Flute", "P"])
    book.save(band.path)
    found = band.compared()
    assert [cell.address for cell in found.changes] == ["D6"]
    assert len(found.refused) == 100_000, "a name alone is no entry; the letter beside it is"
    assert {cell.address[0] for cell in found.refused} == {"D"}
    assert date(2026, 9, 1) == found.changes[0].about.on
