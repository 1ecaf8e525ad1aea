"""What a published plan says: titles, levels and tempos of the pieces, and how sure the plan is."""

from dataclasses import replace
from datetime import date, time
from pathlib import Path

import pytest

from planner.core.piece import PieceQuery
from planner.core.profile import Tempo
from planner.core.term import Plan, Reason, ReasonKind, Slot
from planner.errors import NotFoundError
from planner.services.term.publish_plan import plan_sheet, proof_text, publish_plan
from planner.study.difficulty.together import level_together
from tests.fakes import at_a_door
from tests.services.term.library_for_plans import make_library

DAY = date(2026, 9, 3)
TODAY = date(2026, 9, 10)


class Writer:
    """Keeps the sheet in place of writing it."""

    def __init__(self, suffix):
        self.suffix = suffix
        self.sheet = None

    def write(self, sheet, path):
        self.sheet = sheet
        return path


@pytest.fixture
def planned():
    library, ensemble_id, term_id = make_library(3, weeks=2)
    with library() as work:
        pieces, _ = work.pieces.list_pieces(PieceQuery())
        section = work.ensembles.get(ensemble_id).sections[1]
        pinned = (Reason(ReasonKind.PINNED),)
        slots = (
            Slot(
                date(2026, 9, 1),
                0,
                pieces[0].id,
                "rhythm",
                section.id,
                9.0,
                reasons=pinned,
            ),
            Slot(DAY, 0, pieces[1].id, "key", None, 8.0, is_pinned=True),
        )
        work.terms.save_plan(Plan(term_id, slots, cost=10.0, bound=9.9, is_proven=True))
        work.commit()
    return library, term_id


def test_each_slot_becomes_a_row_with_the_facts_of_its_piece(planned):
    library, term_id = planned
    first, second = at_a_door(library, plan_sheet, term_id, today=DAY).rows
    assert (first.title, first.featured, first.focus) == ("Piece 1", "Clarinet 1", "rhythm")
    assert first.level == level_together([1.1, 1.3, 1.6, 1.3]), "of the four parts that the band reads"
    assert (first.reading_bpm, first.beat_unit, first.credit) == (80, "quarter", "Ada Weir")
    assert first.reasons == ("You put it on this day.",)
    assert (first.is_past, second.is_past) == (True, False)
    assert (first.is_pinned, second.is_pinned) == (False, True)
    assert second.featured == ""


def test_a_first_reading_tempo_stands_before_the_reading_tempo(planned):
    library, term_id = planned
    with library() as work:
        piece_id = work.terms.plan(term_id).slots[0].piece_id
        tempo = Tempo(96.0, "half", 80, first_reading=69)
        profile = replace(work.pieces.profile(piece_id), tempo_bpm=tempo)
        work.pieces.replace_profile(piece_id, profile)
        work.commit()
    row = at_a_door(library, plan_sheet, term_id, today=DAY).rows[0]
    assert (row.reading_bpm, row.beat_unit) == (69, "half")


def test_days_without_a_piece_are_listed(planned):
    library, term_id = planned
    sheet = at_a_door(library, plan_sheet, term_id, today=DAY)
    assert sheet.empty_days == (
        date(2026, 9, 8),
        date(2026, 9, 10),
    )


def test_each_writer_gets_the_sheet_and_a_name_with_its_suffix(planned):
    library, term_id = planned
    writers, told = [Writer(".pdf"), Writer(".ics")], []
    paths = at_a_door(
        library, publish_plan, writers, term_id=term_id, out_dir=Path("out"), today=TODAY,
        starts_at=time(8, 5), progress=lambda *args: told.append(args),
    )  # fmt: skip
    assert paths == (Path("out/plan-autumn.pdf"), Path("out/plan-autumn.ics"))
    assert writers[0].sheet == writers[1].sheet
    assert writers[0].sheet.starts_at == time(8, 5)
    assert told == [(1, 2, "plan-autumn.pdf"), (2, 2, "plan-autumn.ics")]


def test_a_term_without_a_plan_is_said():
    library, _, term_id = make_library(1)
    with pytest.raises(NotFoundError, match="Autumn"):
        at_a_door(library, plan_sheet, term_id, today=TODAY)


@pytest.mark.parametrize(
    ("plan", "sentence"),
    [
        (Plan(1, (), 10.0, 10.0, True), "Proven best by the planning rules."),
        (Plan(1, (), 10.0, 9.9, True), "Proven best to within 1.0% by the planning rules."),
        (Plan(1, (), 10.0, 8.0), "Meets the planning rules; a better plan could cost at most 20.0% less."),
        (Plan(1, (), 0.0, 0.0), "Meets the planning rules."),
    ],
)
def test_how_sure_the_plan_is_is_never_overstated(plan, sentence):
    assert proof_text(plan) == sentence
