"""The points of a form and a reading that fell apart, wherever marks are shown: page, files, reports."""

import pytest
from openpyxl import load_workbook

from planner.adapters.exports.gradebook.workbook import GradebookWorkbook
from planner.core.term import FELL_APART_SHARE, Result
from planner.services.day.gradebook import gradebook_to_fill_in
from planner.services.day.read_day import read_record
from planner.services.reports.player_report import player_report
from planner.services.reports.section_report import section_report
from planner.services.reports.term_report import term_report
from planner.services.school_file.choose import USUAL
from planner.services.school_file.write import school_rows
from tests.fakes import changing
from tests.services.scoring_form.test_scoring_form import TODAY, TUESDAY, Desk

FLUTE = (
    "first reading fell apart, taken as 25% (weight 100) and scoring form 75% (weight 100) make 50%, "
    "which gives 65.0"
)
OTHER = "scoring form 75% gives 82.0"


@pytest.fixture
def work():
    """The flutes read and fell apart, the others have the points alone: 75 of 100 for the whole ensemble."""
    desk = Desk()
    with changing(desk.library) as work:
        work.results.put(
            Result(desk.ensemble_id, desk.flute, desk.piece, TUESDAY, FELL_APART_SHARE, fell_apart=True)
        )
    desk.give("25", "25", "25")
    desk.scheme(form="100")
    with desk.library() as work:
        yield desk, work


def table_of(view, heading):
    return next(part.table for part in view.parts if part.heading == heading)


def test_the_workbook_and_the_schools_file_have_the_marks_of_the_page(work, tmp_path):
    desk, work = work
    marks = desk.marks()
    band = work.ensembles.get(desk.ensemble_id)
    assert [float(marks[each].mark) for each in (desk.flute, desk.other)] == [65, 82]
    book = load_workbook(
        GradebookWorkbook().write(gradebook_to_fill_in(work, desk.term_id, today=TODAY), tmp_path / "a.xlsx"),
        data_only=True,
    )
    shown = {row[0]: row[6] for row in book["Sections"].iter_rows(min_row=6, values_only=True)}
    assert all(shown[each.name] == marks[each.id].mark for each in band.sections)
    assert book["Readings"]["C7"].value == "apart"
    rows = school_rows(work, work.terms.get(desk.term_id), USUAL, today=TODAY)
    found = {section: mark for _, section, mark, _ in rows[1:]}
    seated = [each for each in band.sections if each.players]
    assert found == {each.name: f"{float(marks[each.id].mark):.1f}" for each in seated}


def test_reports_have_the_points_and_say_what_fell_apart(work):
    desk, work = work
    title = work.pieces.titles()[desk.piece]
    flute = section_report(work, desk.term_id, desk.flute, TODAY)
    assert [row[4] for row in table_of(flute, "Result by result").rows] == ["apart"]
    assert [row[1:] for row in table_of(flute, "Marks").rows] == [("65.0", "100", f"{title}: {FLUTE}")]
    other = section_report(work, desk.term_id, desk.other, TODAY)
    assert [part.heading for part in other.parts] == ["Marks"], "it has no results, but points"
    assert [row[1:] for row in table_of(other, "Marks").rows] == [("82.0", "100", f"{title}: {OTHER}")]
    seat = work.ensembles.get(desk.ensemble_id).sections[0].players[0].id
    behind = table_of(player_report(work, desk.term_id, seat, TODAY), "The section's marks")
    assert [row[1:] for row in behind.rows] == [("65.0", f"{title}: {FLUTE}")]
    record = read_record(work, work.terms.get(desk.term_id))
    assert (record.rows[0].apart, record.rows[1].apart) == ((True,), (False,))


def test_a_day_of_which_there_are_points_alone_was_read(work):
    desk, work = work
    view = term_report(work, desk.term_id, TODAY)
    assert view.lead[0].startswith("1 piece was read on 1 of ")
    (row,) = table_of(view, "What was read").rows
    assert row[-2:] == ("25", "75")
    work.results.remove(desk.flute, desk.piece, TUESDAY)
    view = term_report(work, desk.term_id, TODAY)
    assert view.lead[0].startswith("1 piece was read on 1 of ")
    (row,) = table_of(view, "What was read").rows
    assert row[-2:] == ("", "75")
