"""What the gradebook holds: every reading day, what was entered, and only who was there."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest

from planner.core.mark_scheme import SCALE
from planner.core.piece import PieceQuery
from planner.core.term import Attendance, Plan, PlayerMark, Result, Slot
from planner.errors import NotFoundError
from planner.services.day.gradebook import gradebook_sheet, publish_gradebook
from planner.services.ports.files import Filed
from planner.services.sheets.filing import LooseFolder
from tests.fakes import at_a_door
from tests.services.term.library_for_plans import make_library

FIRST, SECOND = date(2026, 9, 1), date(2026, 9, 3)


@pytest.fixture
def term():
    library, ensemble_id, term_id = make_library(3, weeks=2, players=True)
    with library() as work:
        pieces, _ = work.pieces.list_pieces(PieceQuery())
        work.terms.save_plan(
            Plan(term_id, (Slot(FIRST, 0, pieces[0].id, "key"), Slot(FIRST, 1, pieces[1].id, "key")))
        )
        sections = work.ensembles.get(ensemble_id).sections
        work.results.put(Result(ensemble_id, sections[0].id, pieces[1].id, FIRST, 0.8, 0.9, note="sharp"))
        ann, ben = sections[0].players[:2]
        work.results.put_mark(PlayerMark(ann.id, FIRST, Attendance.PRESENT, Decimal(95)))
        work.results.put_mark(PlayerMark(ben.id, FIRST, Attendance.ABSENT))
        work.commit()
    return library, term_id


def sheet_of(library, term_id):
    return at_a_door(library, gradebook_sheet, term_id, today=FIRST)


def test_every_reading_day_of_the_term_has_its_sheet(term):
    days = sheet_of(*term).days
    assert [day.on.day for day in days] == [1, 3, 8, 10]
    assert days[0].pieces == ("Piece 1", "Piece 2")
    assert days[1].pieces == ()


def test_each_section_has_a_row_for_each_piece_and_one_on_an_unplanned_day(term):
    days = sheet_of(*term).days
    assert len(days[0].readings) == 8
    assert [r.section for r in days[1].readings] == ["Flute", "Clarinet 1", "Clarinet 2", "Trumpet"]


def test_a_result_that_moves_no_level_is_marked_and_stays(term):
    library, term_id = term
    with library() as work:
        (result,) = work.results.list_results()
        work.results.put(replace(result, counts=False))
        work.commit()
    entered = [r for r in sheet_of(library, term_id).days[0].readings if r.first_share is not None]
    assert [(r.first_share, r.note, r.counts) for r in entered] == [(0.8, "sharp", False)]


def test_results_and_marks_stand_where_they_belong(term):
    day = sheet_of(*term).days[0]
    entered = [r for r in day.readings if r.first_share is not None]
    assert [(r.section, r.piece, r.first_share, r.second_share, r.note) for r in entered] == [
        ("Flute", "Piece 2", 0.8, 0.9, "sharp")
    ]
    assert [(p.attendance, p.mark) for p in day.players[:3]] == [
        (Attendance.PRESENT, 95), (Attendance.ABSENT, None), (None, None),
    ]  # fmt: skip


def test_a_player_who_had_not_joined_or_has_left_is_not_on_the_day(term):
    library, term_id = term
    state = library.state
    ensemble = state.ensembles[state.terms[term_id].ensemble_id]
    flutes, *others = ensemble.sections
    ann, ben, *more = flutes.players
    players = (replace(ann, joined=SECOND), replace(ben, left=date(2026, 9, 2)), *more)
    state.ensembles[ensemble.id] = replace(ensemble, sections=(replace(flutes, players=players), *others))
    sheet = sheet_of(*term)
    assert ann.id not in {p.player_id for p in sheet.days[0].players}
    assert ben.id in {p.player_id for p in sheet.days[0].players}
    assert ann.id in {p.player_id for p in sheet.days[1].players}
    assert ben.id not in {p.player_id for p in sheet.days[1].players}
    assert {ann.id, ben.id} <= {player_id for player_id, _, _ in sheet.players}


def test_a_result_on_an_unplanned_day_is_kept_and_one_of_another_term_is_not(term):
    library, term_id = term
    with library() as work:
        ensemble_id = work.terms.get(term_id).ensemble_id
        section = work.ensembles.get(ensemble_id).sections[0]
        piece = work.pieces.list_pieces(PieceQuery())[0][2]
        work.results.put(Result(ensemble_id, section.id, piece.id, date(2026, 9, 4), 0.7))
        work.results.put(Result(ensemble_id, section.id, piece.id, date(2027, 2, 2), 0.1))
        work.commit()
    days = {day.on: day for day in sheet_of(*term).days}
    assert days[date(2026, 9, 4)].readings[0].first_share == 0.7
    assert date(2027, 2, 2) not in days


def test_without_a_plan_the_days_come_from_the_calendar():
    library, _, term_id = make_library(1, weeks=1)
    days = sheet_of(library, term_id).days
    assert [day.on for day in days] == [FIRST, SECOND]
    assert all(day.pieces == () for day in days)


def test_the_scale_rises_and_covers_everything():
    assert SCALE[0].share == 0
    pairs = list(pairwise(SCALE))
    assert all(a.share < b.share and a.mark < b.mark for a, b in pairs)
    assert all(0 <= step.mark <= 100 and step.word for step in SCALE)


def test_the_workbook_is_named_after_the_term(term):
    class Writer:
        def write(self, sheet, path):
            return path

    library, term_id = term
    out = LooseFolder(Path("out"))
    made = at_a_door(library, publish_gradebook, Writer(), term_id=term_id, exports=out, today=FIRST)
    assert made == Filed(Path("out/band/autumn/gradebook-autumn.xlsx"))
    with pytest.raises(NotFoundError):
        at_a_door(library, publish_gradebook, Writer(), term_id=99, exports=out, today=FIRST)
