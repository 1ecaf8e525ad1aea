"""What a published plan says: titles, levels and tempos of the pieces, and how sure the plan is."""

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from planner.core.piece import PieceQuery
from planner.core.profile import Tempo
from planner.core.term import DayShape, Plan, Reason, ReasonKind, Result, Slot, Station
from planner.errors import ExportError, NotFoundError
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.views import DayWithoutPiece
from planner.services.term.publish_plan import plan_sheet, proof_text, publish_plan
from planner.study.difficulty.together import level_together
from tests.fakes import at_a_door
from tests.services.term.library_for_plans import make_library

DAY = date(2026, 9, 3)
TODAY = date(2026, 9, 10)
NOW = datetime(2026, 9, 10, 7, 30, tzinfo=UTC)

OUT = LooseFolder(Path("out"))


class Writer:
    """Keeps the sheet in place of writing it."""

    def __init__(self, suffix, updates_copies=False):
        self.suffix, self.updates_copies = suffix, updates_copies
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
    reason = "left open: no fresh piece suits, or not planned yet"
    assert sheet.without_piece == (
        DayWithoutPiece(date(2026, 9, 8), reason),
        DayWithoutPiece(date(2026, 9, 10), reason),
    )
    (past, _) = at_a_door(library, plan_sheet, term_id, today=date(2026, 9, 9)).without_piece
    assert past.reason == "nothing was planned"


def test_a_day_says_how_it_differs_what_is_still_open_and_who_reads_where(planned):
    library, term_id = planned
    with library() as work:
        term, plan = work.terms.get(term_id), work.terms.plan(term_id)
        first, second, *_ = work.ensembles.get(term.ensemble_id).sections
        rooms = (Station("High", (first.id,)), Station("Low", (second.id,)))
        work.terms.update(replace(term, shapes=(DayShape(DAY, 20.0, 2, rooms),), slots=2))
        moved = [replace(slot, station=1) if slot.on == DAY else slot for slot in plan.slots]
        work.terms.save_plan(replace(plan, slots=tuple(moved)))
        work.commit()
    sheet = at_a_door(library, plan_sheet, term_id, today=DAY)
    assert [row.room for row in sheet.rows] == ["", "round 1, Low"]
    above, beneath = (note for note in sheet.notes if note.on == DAY)
    assert above.is_above
    assert above.text.startswith("20 minutes, 2 rounds, stations High (")
    assert (beneath.text, beneath.is_above) == ("3 more places are open", False)
    assert [note.on for note in sheet.notes if note.on < DAY] == [], "a past day is not filled any more"


def change_term(library, term_id, **changes):
    with library() as work:
        work.terms.update(replace(work.terms.get(term_id), **changes))
        work.commit()


def test_a_day_off_stands_among_the_days_and_ends_of_the_term_are_reading_days(planned):
    library, term_id = planned
    change_term(library, term_id, days_off=(date(2026, 9, 5), date(2026, 9, 8)), last=date(2026, 9, 11))
    sheet = at_a_door(library, plan_sheet, term_id, today=DAY)
    assert sheet.without_piece[0] == DayWithoutPiece(date(2026, 9, 8), "day off")
    assert date(2026, 9, 5) not in [day.on for day in sheet.without_piece], "a Saturday is no reading day"
    assert (sheet.first, sheet.last) == (date(2026, 9, 1), date(2026, 9, 10))


def test_what_was_planned_for_a_day_that_the_term_lost_is_left_out_unless_it_was_read(planned):
    library, term_id = planned
    change_term(library, term_id, days_off=(DAY,))
    assert [row.on for row in at_a_door(library, plan_sheet, term_id, today=DAY).rows] == [date(2026, 9, 1)]
    with library() as work:
        ensemble = work.ensembles.get(work.terms.get(term_id).ensemble_id)
        slot = work.terms.plan(term_id).slots[1]
        work.results.put(Result(ensemble.id, ensemble.sections[0].id, slot.piece_id, DAY, 0.8))
        work.commit()
    sheet = at_a_door(library, plan_sheet, term_id, today=DAY)
    assert [row.on for row in sheet.rows] == [date(2026, 9, 1), DAY]
    assert DAY not in [day.on for day in sheet.without_piece]


def test_each_writer_gets_the_sheet_and_a_name_with_its_suffix(planned):
    library, term_id = planned
    writers, told = [Writer(".pdf"), Writer(".ics", updates_copies=True)], []
    paths = at_a_door(
        library, publish_plan, writers, term_id=term_id, exports=OUT, today=TODAY,
        now=NOW, progress=lambda *args: told.append(args),
    )  # fmt: skip
    assert [each.path.as_posix() for each in paths] == [
        "out/band/autumn/plan-autumn.pdf",
        "out/band/autumn/plan-autumn.ics",
    ]
    assert writers[0].sheet == writers[1].sheet
    assert [day.on for day in writers[1].sheet.calendar] == [date(2026, 9, 1), DAY]
    with library() as work:
        assert [day.on for day in work.published.days(term_id)] == [date(2026, 9, 1), DAY]
    assert told == [(1, 2, "plan-autumn.pdf"), (2, 2, "plan-autumn.ics")]


def test_a_sheet_for_paper_leaves_nothing_behind(planned):
    library, term_id = planned
    writer = Writer(".pdf")
    at_a_door(library, publish_plan, [writer], term_id=term_id, exports=OUT, today=TODAY, now=NOW)
    assert writer.sheet.calendar == ()
    with library() as work:
        assert work.published.days(term_id) == ()


def test_a_file_that_cannot_be_written_leaves_the_calendar_as_it_was(planned):
    library, term_id = planned

    class Full(Writer):
        def write(self, sheet, path):
            raise ExportError(path, "the disk is full")

    with pytest.raises(ExportError):
        at_a_door(
            library, publish_plan, [Full(".ics", updates_copies=True)], term_id=term_id,
            exports=OUT, today=TODAY, now=NOW,
        )  # fmt: skip
    with library() as work:
        assert work.published.days(term_id) == ()


def test_a_term_without_a_plan_is_said():
    library, _, term_id = make_library(1)
    with pytest.raises(NotFoundError, match="Autumn"):
        at_a_door(library, plan_sheet, term_id, today=TODAY)


@pytest.mark.parametrize(
    ("plan", "sentence"),
    [
        (Plan(1, (), 10.0, 10.0, True), "When it was made, no plan was better by the planning rules."),
        (
            Plan(1, (), 10.0, 9.9, True),
            "When it was made, no plan was more than 1.0% better by the planning rules.",
        ),
        (
            Plan(1, (), 10.0, 8.0),
            "When it was made, it met every planning rule; a better plan could cost at most 20.0% less.",
        ),
        (Plan(1, (), 0.0, 0.0), "When it was made, it met every planning rule."),
    ],
)
def test_how_sure_the_plan_is_is_never_overstated(plan, sentence):
    assert proof_text(plan) == sentence
