"""The file for a school's system: columns, order, letters, numbers, dates as chosen; marks as everywhere."""

import csv
import io
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from planner.core.ensemble import Player
from planner.core.school_file import (
    DATE_FORMS,
    ENCODINGS,
    SEPARATORS,
    SchoolColumn,
    SchoolFile,
    SchoolRows,
    school_file_of,
    school_file_values,
)
from planner.core.term import Attendance, PlayerMark
from planner.core.text import STARTS_FORMULA
from planner.errors import InputError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.log_results import log_results
from planner.services.day.marks import read_term_marks
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import YES_TO_ALL
from planner.services.school_file.choose import (
    USUAL,
    choose_school_file,
    columns_from_words,
    school_file,
    school_file_from_text,
    school_file_text,
)
from planner.services.school_file.write import school_file_bytes, school_rows
from planner.wording.director.changes import change_sentence
from planner.wording.director.marks import shown_mark
from tests.checks import some
from tests.fakes import BY, FakeFiles, FakeStudies, changing
from tests.services.term.library_for_plans import TUESDAY, make_library

TODAY = TUESDAY + timedelta(days=9)
NAMES = (
    "=1+1 Holm",
    "van der Berg, Jan",
    "Zoë Őrsi",
    "+49 Ida",
    "-Bo",
    "@Kim",
    'Ann "Red" Lee',
    "Ida; Maria",
)
EVERY_PLAYER = tuple(
    (column, column.value)
    for column in SchoolColumn
    if column.value not in ("day", "attendance", "own-mark", "made-up", "remark")
)
EVERY_DAY = tuple(
    (column, column.value)
    for column in SchoolColumn
    if column.value not in ("present", "late", "absent", "excused", "days")
)


@pytest.fixture(scope="module")
def band():
    """A band with odd names, two days of results, and what was entered of some players."""
    library, ensemble_id, term_id = make_library(2, weeks=2)
    with changing(library) as work:
        sections = work.ensembles.get(ensemble_id).sections
        seats = [work.ensembles.add_player(sections[0].id, Player(0, name)) for name in NAMES]
        piece = next(iter(work.pieces.titles()))
        for number, on in enumerate((TUESDAY, date(2026, 9, 3))):
            entries = [ResultEntry(section.id, piece, 0.71 + 0.1 * number) for section in sections]
            log_results(work, ensemble_id, on, entries, by=BY, today=TODAY, answers=YES_TO_ALL)
        work.results.put_mark(PlayerMark(seats[0], TUESDAY, Attendance.LATE, Decimal("87.5"), note="=2+2"))
        work.results.put_mark(PlayerMark(seats[1], TUESDAY, Attendance.ABSENT, Decimal(70), date(2026, 9, 8)))
        work.results.put_mark(PlayerMark(seats[2], TUESDAY, Attendance.EXCUSED))
    return library, ensemble_id, term_id


def written(band, choice):
    library, _, term_id = band
    with library() as work:
        rows = school_rows(work, work.terms.get(term_id), choice, today=TODAY)
    data = school_file_bytes(choice, rows)
    text = data.decode(ENCODINGS[choice.encoding])
    return list(csv.DictReader(io.StringIO(text, newline=""), delimiter=SEPARATORS[choice.separator])), data


@pytest.mark.parametrize("separator", SEPARATORS)
@pytest.mark.parametrize("decimal_mark", ["point", "comma"])
def test_marks_are_those_of_the_gradebook_and_every_cell_comes_back_whole(band, separator, decimal_mark):
    library, _, term_id = band
    choice = SchoolFile(EVERY_PLAYER, separator=separator, decimal_mark=decimal_mark, is_guarded=False)
    rows, _ = written(band, choice)
    with library() as work:
        marks = read_term_marks(work, term_id, today=TODAY)
    assert [row["player"] for row in rows] == list(NAMES)
    for row, player in zip(some(rows), marks.players, strict=True):
        by_day = {f"days {each.day.on}": shown_mark(each.day.mark) for each in player.term.days}
        found = {name: text.replace(",", ".") for name, text in row.items() if name in by_day}
        assert found == by_day
        assert row["mark"].replace(",", ".") == shown_mark(player.term.mark)
        assert ("," in row["mark"]) == (decimal_mark == "comma")
        assert row["word"] == player.term.word
    assert [rows[1][name] for name in ("first-name", "last-name")] == ["Jan", "van der Berg"]
    assert [rows[0][name] for name in ("late", "absent", "present")] == ["1", "0", "0"]


def test_a_row_for_each_day_has_what_was_entered(band):
    choice = SchoolFile(EVERY_DAY, SchoolRows.DAYS, date_form="month-first", decimal_mark="comma")
    rows, _ = written(band, choice)
    first, second = rows[0], rows[2]
    assert [first[name] for name in ("day", "attendance", "own-mark")] == ["9/1/2026", "late", "87,5"]
    assert first["remark"] == "'=2+2", "no spreadsheet takes it for a formula"
    assert [second[name] for name in ("attendance", "made-up", "mark")] == ["absent", "9/8/2026", "70,0"]
    assert len(rows) == 2 * len(NAMES)


DATES = {"year-first": "2026-09-08", "month-first": "9/8/2026", "month-first-padded": "09/08/2026",
         "day-first": "08/09/2026", "day-first-points": "08.09.2026"}  # fmt: skip


@pytest.mark.parametrize("form", DATE_FORMS)
def test_dates_are_written_as_chosen(band, form):
    choice = SchoolFile(((SchoolColumn.MADE_UP, "on"),), SchoolRows.DAYS, date_form=form)
    assert DATES[form] in {row["on"] for row in written(band, choice)[0]}


def test_what_begins_like_a_formula_is_guarded_or_left_as_it_is(band):
    columns = ((SchoolColumn.PLAYER, "=HEAD()"), (SchoolColumn.SECTION, "Section"))
    guarded, _ = written(band, SchoolFile(columns))
    assert list(guarded[0]) == ["'=HEAD()", "Section"]
    texts = [row["'=HEAD()"] for row in guarded]
    assert not [text for text in texts if text.startswith(STARTS_FORMULA)]
    assert [text.removeprefix("'") for text in texts] == list(NAMES)
    plain, _ = written(band, SchoolFile(columns, is_guarded=False))
    assert [row["=HEAD()"] for row in plain] == list(NAMES)


def test_letters_that_an_encoding_lacks_are_refused_by_name(band):
    columns = ((SchoolColumn.PLAYER, "Player"),)
    with pytest.raises(InputError, match="“Zoë Őrsi” cannot be written in Windows-1252"):
        written(band, SchoolFile(columns, encoding="windows-1252"))
    assert written(band, SchoolFile(columns))[1].startswith(b"\xef\xbb\xbfPlayer\r\n")
    assert written(band, SchoolFile(columns, encoding="utf-8"))[1].startswith(b"Player\r\n")
    bare = SchoolFile(columns, has_headings=False, encoding="utf-8")
    assert written(band, bare)[1].startswith(b"'=1+1 Holm\r\n")


def test_the_choice_is_kept_for_the_ensemble_journaled_and_undone(band):
    library, ensemble_id, _ = band
    choice = replace(USUAL, separator="tab", columns=(*USUAL.columns, (SchoolColumn.LATE, "Tardy")))

    def choose(wanted):
        with changing(library) as work:
            choose_school_file(work, work.ensembles.get(ensemble_id), wanted, by=BY)

    def now():
        with library() as work:
            return school_file(work, ensemble_id)

    assert now() == USUAL
    choose(choice)
    choose(choice)
    assert now() == choice
    choose(replace(choice, is_guarded=False))
    with library() as work:
        last, first = [each.change for each in list_journal(work).entries[:2]]
    assert change_sentence(last) == (
        "“Band”: file for the school's system: apostrophe before formulas chosen."
    )
    for change, after in ((last, choice), (first, USUAL)):
        with changing(library) as work:
            undo_change(work, change.id, BY, Means(FakeFiles(), FakeStudies()))
        assert now() == after


def test_a_choice_as_text_and_as_values_is_the_choice_again():
    choice = SchoolFile(EVERY_DAY[::-1], SchoolRows.DAYS, has_headings=False, is_guarded=False)
    assert school_file_from_text(school_file_text(choice)) == choice
    assert school_file_of(school_file_values(choice)) == choice
    assert columns_from_words("mark=Grade; player") == (
        (SchoolColumn.MARK, "Grade"), (SchoolColumn.PLAYER, "Player"),
    )  # fmt: skip


REFUSED = {
    "place-mark": ("first", "is no place for the mark"), "separator": ("|", "is none of comma"),
    "place-remark": ("9", "has no column for the remark"), "heading-mark": ("x" * 121, "at most 120 fit"),
}  # fmt: skip


@pytest.mark.parametrize("field", REFUSED)
def test_what_cannot_be_chosen_is_refused_with_its_field(band, field):
    library, ensemble_id, _ = band
    typed, words = REFUSED[field]

    def choose(work):
        choice = school_file_from_text({**school_file_text(USUAL), field: typed})
        choose_school_file(work, work.ensembles.get(ensemble_id), choice, by=BY)

    with library() as work, pytest.raises(InputError, match=words) as refused:
        choose(work)
    assert refused.value.field == field
