"""The worksheet of a day, filled in in many ways and read in: only what was typed counts; nothing is lost."""

import csv
import io
import subprocess
import zipfile
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from openpyxl import load_workbook

from planner.adapters.exports.day_file_xlsx import DayFileWorkbook
from planner.adapters.exports.tables import opening
from planner.adapters.exports.tables.read_filled_in import FilledInFiles
from planner.core.change import Author, ChangeKind, Door
from planner.core.filled_in import Field, place_of
from planner.core.term import Attendance, Plan, PlayerMark, Slot
from planner.errors import ConflictError, InputError, OddEntryError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.attendance import enter_marks
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import NONE_YET, YES_TO_ALL
from planner.services.read_in.compare import FROM_FILE, FROM_LIBRARY, check_term, compare
from planner.services.read_in.day_file import day_file_sheet
from planner.services.read_in.take import take_in
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeStudies, changing
from tests.programs import program
from tests.services.term.library_for_plans import TUESDAY, make_library

TODAY = TUESDAY + timedelta(days=7)
MEANS = Means(FakeFiles(), FakeStudies())
ANOTHER = Author(Door.COMMAND, BY.at, "ada")


class Band:
    """A band of four sections with a planned day of two pieces, and the worksheet of that day."""

    def __init__(self, folder) -> None:
        self.library, self.ensemble_id, self.term_id = make_library(3, weeks=2, players=True)
        with changing(self.library) as work:
            self.pieces = list(work.pieces.titles())[:2]
            slots = tuple(Slot(TUESDAY, at, piece, "rhythm") for at, piece in enumerate(self.pieces))
            work.terms.save_plan(Plan(self.term_id, slots))
        self.path = folder / "worksheet.xlsx"
        self.write()

    @property
    def ensemble(self):
        with self.library() as work:
            return work.ensembles.get(self.ensemble_id)

    def write(self, path=None):
        with self.library() as work:
            sheet = day_file_sheet(work, self.term_id, TUESDAY)
        return DayFileWorkbook().write(sheet, path or self.path)

    def fill(self, **cells):
        """Type into cells of the worksheet, such as ``Sections_D5=85``."""
        book = load_workbook(self.path)
        for place, value in cells.items():
            sheet, address = place.split("_")
            book[sheet][address] = value
        book.save(self.path)

    def compared(self, path=None, chosen=None, only=None):
        filled = FilledInFiles().read(path or self.path)
        with self.library() as work:
            term = work.terms.get(self.term_id)
            check_term(work, filled, self.term_id, "worksheet.xlsx")
            return compare(work, filled, term, by=BY, today=TODAY, chosen=chosen, only=only)

    def take(self, path=None, chosen=None, answers=YES_TO_ALL):
        filled = FilledInFiles().read(path or self.path)
        with changing(self.library) as work:
            term = work.terms.get(self.term_id)
            found = compare(work, filled, term, by=BY, today=TODAY, chosen=chosen)
            return take_in(work, found, "worksheet.xlsx", by=BY, today=TODAY, answers=answers)

    def results(self):
        with self.library() as work:
            return {(r.section_id, r.piece_id): r for r in work.results.list_results(self.ensemble_id)}

    def marks(self):
        with self.library() as work:
            return {m.player_id: m for m in work.results.marks(self.ensemble_id)}

    def log(self, *entries, by=BY):
        with changing(self.library) as work:
            log_results(work, self.ensemble_id, TUESDAY, entries, by=by, today=TODAY, answers=YES_TO_ALL)

    def levels(self):
        return [(s.level, s.level_error) for s in self.ensemble.sections]

    def state(self):
        with self.library() as work:
            return work.results.list_results(), work.results.marks(self.ensemble_id), self.levels()


@pytest.fixture
def band(tmp_path):
    return Band(tmp_path)


def typed(found):
    return {(cell.address, cell.field): cell.typed for cell in found.changes}


def test_what_was_typed_is_stored_as_one_change_and_undone_as_one(band):
    before = band.state()
    band.fill(
        Sections_D5=85, Sections_E5=92.5, Sections_F5="key, rhythm", Sections_G5=96,
        Sections_I5="=late start",
        Sections_D6="fell apart", Sections_D9=0.7, Players_D5="absent", Players_E6=87.5,
        Players_F5=TODAY - timedelta(days=2), Players_G6="led well", Players_D7="L",
    )  # fmt: skip
    book = load_workbook(band.path)
    book["Sections"]["I5"].data_type = "s"
    book["Sections"]["D9"].number_format = "0%"
    book.save(band.path)
    found = band.compared()
    assert not found.refused
    assert not found.conflicts
    assert len(found.changes) == 12
    done = band.take()
    first, second = band.pieces
    flute, clarinet = (section.id for section in band.ensemble.sections[:2])
    read = band.results()
    one = read[flute, first]
    assert (one.first_share, one.second_share, one.tempo_bpm) == (0.85, 0.925, 96)
    assert (one.problems, one.note) == (("rhythm", "key"), "=late start")
    assert read[clarinet, first].fell_apart
    assert read[flute, second].first_share == 0.7
    seats = [player.id for player in band.ensemble.sections[0].players]
    marks = band.marks()
    assert (marks[seats[0]].attendance, marks[seats[0]].made_up_on) == (Attendance.ABSENT, date(2026, 9, 6))
    assert (marks[seats[1]].mark, marks[seats[1]].note) == (Decimal("87.5"), "led well")
    assert marks[seats[2]].attendance is Attendance.LATE
    assert band.levels() != before[2]
    with band.library() as work:
        entries = list_journal(work).entries
    assert [each.change.kind for each in entries] == [ChangeKind.READ_IN], "one change, whatever it touched"
    assert entries[0].change.id == done.change_id
    assert (
        change_sentence(entries[0].change) == "“worksheet.xlsx”: 3 results and entries of 3 players, Sep 1."
    )
    after = band.state()
    assert not band.compared().changes, "twice changes nothing"
    assert band.take().change_id is None
    assert band.state() == after
    with changing(band.library) as work:
        back = undo_change(work, done.change_id, BY, MEANS)
    assert band.state() == before
    with changing(band.library) as work:
        undo_change(work, back.id, BY, MEANS)
    assert band.state() == after


def test_a_result_that_was_emptied_is_taken_back_and_an_untouched_one_stays(band):
    flute, clarinet = (section.id for section in band.ensemble.sections[:2])
    piece = band.pieces[0]
    band.log(ResultEntry(flute, piece, 0.8, note="calm"), ResultEntry(clarinet, piece, 0.7, 0.9))
    band.write()
    band.fill(Sections_D5=None)
    band.take()
    assert set(band.results()) == {(clarinet, piece)}
    assert band.results()[clarinet, piece].second_share == 0.9
    assert not band.compared().changes


def test_what_changed_in_the_library_meanwhile_is_shown_and_chosen(band):
    flute, clarinet = (section.id for section in band.ensemble.sections[:2])
    piece = band.pieces[0]
    band.log(ResultEntry(flute, piece, 0.8), ResultEntry(clarinet, piece, 0.6))
    band.write()
    band.fill(Sections_D5=90)
    band.log(ResultEntry(flute, piece, 0.75), ResultEntry(clarinet, piece, 0.65), by=ANOTHER)
    (cell,) = band.compared().conflicts
    assert (cell.address, cell.was, cell.typed, cell.now) == ("D5", "80", "90", "75")
    with pytest.raises(ConflictError, match="changed in the planner too"):
        band.take()
    assert band.results()[flute, piece].first_share == 0.75
    assert band.take(chosen={cell.key: FROM_LIBRARY}).change_id is None
    assert band.results()[flute, piece].first_share == 0.75
    band.take(chosen={cell.key: FROM_FILE})
    assert band.results()[flute, piece].first_share == 0.9
    assert band.results()[clarinet, piece].first_share == 0.65, "nobody typed there: it keeps what it has"
    assert not band.compared().conflicts, "what was chosen is no conflict any more"


REFUSED = {
    "Sections_D5": ("abc", "bars right must be a number"),
    "Sections_D6": (120, "lie from 0 to 100, not 120"),
    "Sections_E7": (80, "second reading without a first"),
    "Sections_F8": ("rythm", "“rythm” is none of"),
    "Sections_G9": ("fast", "the tempo is a number of beats a minute"),
    "Sections_H10": ("perhaps", "neither yes nor no"),
    "Sections_I11": ("hard", "nothing is kept without a first reading"),
    "Sections_D12": ("=40+45", "a formula stands there"),
    "Players_D5": ("Z", "none of present, late, absent, excused"),
    "Players_E6": ("A-", "a mark is a number from 0 to 100"),
    "Players_E7": (101, "lies from 0 to 100, not 101"),
    "Players_F8": ("2026-02-30", "is not a day of the calendar"),
    "Players_F9": (date(2026, 9, 3), "there is nothing to make up"),
    "Players_E10": (date(2026, 9, 3), "a mark is a number"),
}


def test_every_refused_cell_is_named_by_its_address_and_the_others_are_taken(band):
    band.fill(**{place: value for place, (value, _) in REFUSED.items()}, Players_G12="fine")
    found = band.compared()
    sentences = {f"{each.sheet}_{each.address}": each.sentence for each in found.refused}
    assert set(sentences) == set(REFUSED)
    for place, (_, words) in REFUSED.items():
        assert words in sentences[place], place
    assert [cell.typed for cell in found.changes] == ["fine"]
    band.take()
    assert not band.results()
    assert [mark.note for mark in band.marks().values()] == ["fine"]


def test_sorted_deleted_copied_and_added_rows_and_moved_columns(band):
    book = load_workbook(band.path)
    page = book["Players"]
    rows = [[cell.value for cell in row] for row in page.iter_rows(min_row=5, max_row=17)]
    keys = [row[0] for row in rows]
    rows[0][3], rows[4][3], rows[12][3] = "absent", "late", "excused"
    kept = [row for row in reversed(rows) if row[0] not in keys[1:3]]
    page.delete_rows(5, 13)
    new = [None, "Flute", "A new one", "late", None, None, None]
    for row in [*kept, kept[0], new, new]:
        page.append(row)
    page.move_range("D3:D40", cols=8)
    book.save(band.path)
    found = band.compared()
    there = {cell.about.seat_id: cell.typed for cell in found.changes}
    wanted = {keys[0]: "absent", keys[4]: "late", keys[12]: "excused"}
    assert there == {int(key.split()[1]): state for key, state in wanted.items()}
    assert all(cell.address.startswith("L") for cell in found.changes)
    assert [each.address for each in found.refused] == [f"L{6 + len(kept)}", f"L{7 + len(kept)}"]
    assert all("this row was added to the file" in each.sentence for each in found.refused)
    book["Players"][f"L{5 + len(kept)}"] = "present"
    book.save(band.path)
    assert sum("stands in the file twice" in each.sentence for each in band.compared().refused) == 2


def test_rows_that_were_sorted_without_their_keys_are_refused(band):
    book = load_workbook(band.path)
    page = book["Players"]
    rows = [[cell.value for cell in row][1:] for row in page.iter_rows(min_row=5, max_row=7)]
    rows[0][2] = "absent"
    for at, row in enumerate(reversed(rows), start=5):
        for column, value in enumerate(row, start=2):
            page.cell(at, column).value = value
    page["D6"] = "late"
    book.save(band.path)
    found = band.compared()
    (kept,) = found.changes
    assert (kept.address, kept.typed) == ("D6", "late"), "the row in the middle is where it was"
    (moved,) = found.refused
    assert moved.address == "D7"


def test_another_file_is_refused(band, tmp_path):
    other = Band(tmp_path)
    with changing(other.library) as work:
        other.term_id = work.terms.add(replace(work.terms.get(other.term_id), id=0, name="Spring"))
        work.terms.save_plan(Plan(other.term_id, (Slot(TUESDAY, 0, other.pieces[0], "rhythm"),)))
    path = other.write(tmp_path / "spring.xlsx")
    with other.library() as work, pytest.raises(InputError, match="belongs to Spring of Band"):
        check_term(work, FilledInFiles().read(path), band.term_id, "spring.xlsx")
    filled = FilledInFiles().read(band.path)
    foreign = replace(filled, identity=replace(filled.identity, library="another"))
    with band.library() as work, pytest.raises(InputError, match="from another library"):
        check_term(work, foreign, band.term_id, "spring.xlsx")


def test_a_leader_changes_nothing_of_another_section(band):
    band.fill(Sections_D5=85, Sections_D6=75)
    own = band.ensemble.sections[0].id
    found = band.compared(only={own})
    assert [cell.about.section_id for cell in found.changes] == [own]
    assert [each.sentence for each in found.refused] == ["Clarinet 1: this section is not open to you."]


def test_what_is_odd_is_asked_and_nothing_is_stored_before(band):
    band.fill(Sections_D5=1)
    assert "1 bar of 100" in band.compared().questions[0].sentence
    with pytest.raises(OddEntryError):
        band.take(answers=NONE_YET)
    assert not band.results()


@pytest.mark.parametrize(("encoding", "separator"), [("cp1252", ";"), ("utf-16", "\t"), ("utf-8-sig", ",")])
def test_a_sheet_that_was_saved_as_text(band, tmp_path, encoding, separator):
    flute, clarinet = (section.id for section in band.ensemble.sections[:2])
    band.log(ResultEntry(flute, band.pieces[0], 0.8), ResultEntry(clarinet, band.pieces[0], 0.7))
    page = load_workbook(band.write())["Sections"]
    rows = [["" if cell.value is None else str(cell.value) for cell in row] for row in page.iter_rows()]
    rows[4][3], rows[5][3], rows[6][3], rows[6][8] = "", "72,5", "87,5", "früh"
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=separator).writerows(rows)
    path = tmp_path / "sections.csv"
    path.write_bytes(text.getvalue().encode(encoding))
    found = band.compared(path)
    assert {(cell.typed, cell.now) for cell in found.conflicts} == {("72.5", "70")}
    assert typed(found) == {("D7", Field.FIRST): "87.5", ("I7", Field.NOTE): "früh"}
    assert not found.refused


def test_a_change_that_somebody_overtook_is_not_taken_back(band):
    band.fill(Sections_D5=85, Players_E5=90)
    done = band.take()
    flute = band.ensemble.sections[0]
    band.log(ResultEntry(flute.id, band.pieces[0], 0.6))
    with changing(band.library) as work:
        there = [PlayerMark(flute.players[0].id, TUESDAY, mark=Decimal(95))]
        enter_marks(work, band.ensemble, TUESDAY, there, today=TODAY, by=BY)
    after = band.state()
    with changing(band.library) as work, pytest.raises(ConflictError) as refused:
        undo_change(work, done.change_id, BY, MEANS)
    changed = "the result of Flute on Sep 1 and the entry of Flute player 0 on Sep 1 changed since."
    assert refused.value.message == f"“worksheet.xlsx”: {changed}"
    assert band.state() == after


@pytest.mark.slow
def test_a_sheet_that_libreoffice_saved_as_text(band, tmp_path):
    band.fill(Sections_D5=85, Sections_D6=72.5, Sections_I6="früh; spät")
    form = "csv:Text - txt - csv (StarCalc):59,34,1252,1"  # semicolons, Windows-1252
    subprocess.run(
        [program("soffice"), f"-env:UserInstallation=file://{tmp_path}/office", "--headless", "--convert-to",
         form, "--outdir", str(tmp_path / "text"), str(band.path)],
        check=True, capture_output=True,
    )  # fmt: skip
    found = band.compared(tmp_path / "text" / "worksheet.csv")
    assert typed(found) == {
        ("D5", Field.FIRST): "85", ("D6", Field.FIRST): "72.5", ("I6", Field.NOTE): "früh; spät",
    }  # fmt: skip
    assert not found.refused


DAMAGED = {
    "empty.xlsx": b"", "list.csv": b"Section,First\nFlute,85\n", "old.xls": b"\xd0\xcf\x11\xe0" * 99,
    "cut.xlsx": b"PK\x03\x04" + b"x" * 200,
}  # fmt: skip


@pytest.mark.parametrize("name", DAMAGED)
def test_no_file_of_ours_is_refused(tmp_path, name):
    (tmp_path / name).write_bytes(DAMAGED[name])
    with pytest.raises(InputError, match=name):
        FilledInFiles().read(tmp_path / name)


def test_attacks_by_the_package_are_refused(band, tmp_path, monkeypatch):
    path = tmp_path / "attack.xlsx"
    with zipfile.ZipFile(band.path) as good, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as bad:
        for each in good.namelist():
            data = good.read(each)
            if each == "xl/workbook.xml":
                data = data.replace(b"<workbook", b'<!DOCTYPE x [<!ENTITY a "b">]><workbook', 1)
            bad.writestr(each, data)
    with pytest.raises(InputError, match="damaged"):
        FilledInFiles().read(path)
    monkeypatch.setattr(opening, "MOST_UNPACKED", 1024**2)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as bomb:
        for number in range(4):
            bomb.writestr(f"xl/{number}.xml", b" " * (300 * 1024))
    with pytest.raises(InputError, match="far more than a table"):
        FilledInFiles().read(path)


def test_keys_that_somebody_changed_are_refused_or_mean_nothing(band):
    band.fill(Players_A5="player 99999 2026-09-01", Players_D5="late", Sections_A5="reading 1 1 1999-01-01",
              Sections_D5=70, Sections_A6="nonsense", Sections_D6=80, Sections_A7="=1+1",
              Sections_D7=60)  # fmt: skip
    found = band.compared()
    assert not found.changes
    assert {each.address for each in found.refused} == {"D5", "D6", "D7"}
    assert place_of("player 1 2026-09-01 mark; drop") is None


def test_who_has_not_seen_what_a_file_brought_is_asked(band):
    band.fill(Sections_D5=85)
    band.take()
    flute = band.ensemble.sections[0].id
    with changing(band.library) as work, pytest.raises(OddEntryError, match="Flute has 85 of 100, entered"):
        log_results(
            work,
            band.ensemble_id,
            TUESDAY,
            [ResultEntry(flute, band.pieces[0], 0.6)],
            by=ANOTHER,
            today=TODAY,
        )


def test_a_mark_of_a_player_keeps_what_was_entered_elsewhere_meanwhile(band):
    seat = band.ensemble.sections[0].players[0].id
    band.fill(Players_E5=90)
    with changing(band.library) as work:
        there = [PlayerMark(seat, TUESDAY, Attendance.LATE, note="bus")]
        enter_marks(work, band.ensemble, TUESDAY, there, today=TODAY, by=ANOTHER)
    band.take()
    assert band.marks()[seat] == PlayerMark(seat, TUESDAY, Attendance.LATE, Decimal(90), note="bus")
