"""Pieces on paper in the match, in the plan and beside the guides."""

from dataclasses import replace

import pytest

from planner.core.difficulty import FOCUSES
from planner.core.term import Plan, ReasonKind, Slot
from planner.errors import ConflictError
from planner.scheduling.problem import Limits
from planner.services.day.read_day import read_day
from planner.services.levels.index import index_levels
from planner.services.library.on_paper import add_on_paper, blank_on_paper
from planner.services.match.match_grid import GridQuery, GridRoom, Shown, WhyNot, match_grid
from planner.services.match.match_pieces import match
from planner.services.plan.plan_term import plan_term
from planner.services.plan.reading_time import reading_time
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import build_problem
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.make_guides import make_guides, sheets_of_sections, without_guides
from planner.services.sheets.views import SheetKind
from planner.services.term.wishes import pin
from planner.wording.director.on_paper import known_of
from tests.checks import some
from tests.fakes import BY, make_source, within
from tests.services.term.library_for_plans import TUESDAY, make_library, make_piece_profile

WHOLE = {
    "title": "Galop", "published_grade": 1.6, "keys": ("Eb major",), "time_signatures": ("6/8",),
    "minutes": 1.3, "parts": ("Flute", "Clarinet 1", "Clarinet 2", "Trumpet", "Oboe"),
}  # fmt: skip


def paper(**changes):
    return replace(blank_on_paper(TUESDAY), **{**WHOLE, **changes})


@pytest.fixture
def desk():
    """A band, a term, no scores, and six pieces on paper that can be read; three that lack something."""
    library, ensemble_id, term_id = make_library(0, weeks=2, minutes=14.0)
    with library() as work:
        add_on_paper(work, [paper(title=f"Galop {n}") for n in range(6)])
        add_on_paper(work, [paper(title="No parts", parts=()), paper(title="No minutes", minutes=None)])
        add_on_paper(work, [paper(title="No skill", keys=(), time_signatures=())])
        index_levels(work)
        yield work, ensemble_id, term_id


def by_title(work, title):
    return next(i for i, each in work.pieces.titles().items() if each == title)


def test_the_match_casts_them_by_their_parts_with_a_wider_error(desk):
    work, ensemble_id, _ = desk
    view = match(work, ensemble_id, TUESDAY)
    assert ([one.piece.title for one in view.candidates], view.unentered) == (
        [f"Galop {n}" for n in range(6)],
        3,
    )
    outlook = view.candidates[0].outlook
    assert [fit.cast.part for fit in outlook.fits] == ["Flute", "Clarinet 1", "Clarinet 2", "Trumpet"]
    assert [part.part for part in outlook.uncovered] == ["Oboe"]
    assert {(fit.level, fit.error, fit.beyond) for fit in outlook.fits} == {(1.6, 0.75, None)}


def test_the_grid_says_what_is_missing(desk):
    work, ensemble_id, term_id = desk
    term = work.terms.get(term_id)
    room = GridRoom(work.ensembles.get(ensemble_id), TUESDAY, term, (), ())
    grid = match_grid(work, room, GridQuery(show=Shown.LEFT_OUT), Limits().lost)
    assert {row.piece.title: WhyNot.NOT_ENTERED in row.why_not for row in grid.rows} == dict.fromkeys(
        ["No parts", "No minutes", "No skill"], True
    )
    assert {row.piece.title: row.minutes is None for row in grid.rows}["No minutes"]
    assert all(not row.skills for row in grid.rows), "nobody knows what makes them hard"


def test_a_term_is_planned_with_no_focus_but_what_was_entered(desk):
    work, _, term_id = desk
    problem = build_problem(read_facts(work, term_id, TUESDAY), Limits(may_leave_open=True)).problem
    assert {piece.title for piece in problem.pieces} == {f"Galop {n}" for n in range(6)}
    for piece in some(problem.pieces):
        assert {name for name, _ in piece.trains} <= {"key", "meter"}
        assert (piece.features, {asked.error for asked in piece.parts}) == ((), {0.75})
    view = plan_term(within(work), term_id, TUESDAY, by=BY, steps=200, leave_open=True)
    planned = [entry.slot for entry in view.slots]
    assert planned
    for slot in some(planned):
        assert slot.focus in ("key", "meter")
        assert ReasonKind.FEATURES not in {reason.kind for reason in slot.reasons}
        assert 0 < slot.minutes <= 14.0


@pytest.mark.parametrize("title", ["No parts", "No minutes", "No skill"])
def test_a_pin_on_too_little_says_what_to_enter(desk, title):
    work, _, term_id = desk
    with pytest.raises(ConflictError, match="before it can be planned, enter"):
        pin(work, term_id, by_title(work, title), None, TUESDAY, by=BY)


def test_minutes_are_those_of_both_readings_and_all_between(desk):
    work, _, _ = desk
    profile = work.pieces.profile(by_title(work, "Galop 0"))
    short, long = (reading_time(replace(profile, playing_seconds=s), 1.6).minutes for s in (60.0, 120.0))
    assert long - short == pytest.approx(0.5 + 2 / 0.88, abs=0.1)


def test_a_piece_with_a_score_still_trains_what_it_did():
    library, _, term_id = make_library(len(FOCUSES) * 2)
    with library() as work:
        index_levels(work)
        alone = build_problem(read_facts(work, term_id, TUESDAY), Limits()).problem.pieces
        assert {name for piece in alone for name, _ in piece.trains} == set(FOCUSES)


class Nothing:
    """No file, no drawing, no sheet may be asked for."""

    def __getattr__(self, name):
        raise AssertionError(f"{name} was asked for")


def test_there_is_no_guide_and_the_program_says_so(desk, tmp_path):
    work, _, term_id = desk
    one = by_title(work, "Galop 1")
    work.terms.save_plan(Plan(term_id, (Slot(TUESDAY, 0, one, "key"),)))
    with pytest.raises(ConflictError, match="No guide for “Galop 1”: it is on paper"):
        make_guides(
            work,
            Nothing(),
            Nothing(),
            Nothing(),
            term_id=term_id,
            on=TUESDAY,
            exports=LooseFolder(tmp_path),
            today=TUESDAY,
        )
    score = work.pieces.add(make_source("score"), make_piece_profile(1, 2.0, "key"), TUESDAY)
    work.terms.save_plan(Plan(term_id, (Slot(TUESDAY, 0, one, "key"), Slot(TUESDAY, 1, score, "key"))))
    assert without_guides(work, term_id, TUESDAY) == ("Galop 1",)


class Views:
    """Keeps the sheets by file name; nothing is written."""

    def __init__(self):
        self.by_name = {}

    def write(self, views, path):
        self.by_name[path.name] = views
        return path

    def write_packet(self, packet, path):
        return self.write(packet.sheets, path)


def test_a_piece_on_paper_has_sheets_with_blanks_and_no_answers(desk, tmp_path):
    work, _, term_id = desk
    work.terms.save_plan(Plan(term_id, (Slot(TUESDAY, 0, by_title(work, "Galop 1"), "key"),)))
    writer = Views()
    make_guides(
        work, Nothing(), Nothing(), writer, term_id=term_id, on=TUESDAY, exports=LooseFolder(tmp_path),
        today=TUESDAY, kind=SheetKind.BLANKS,
    )  # fmt: skip
    packet = writer.by_name.pop("packet-blanks.pdf")
    band = work.ensembles.get(work.terms.get(term_id).ensemble_id)
    assert [view.part for view in packet] == [section.name for section in band.sections]
    assert [view.copies for view in packet] == [section.size for section in band.sections]
    assert len(writer.by_name) == len(packet)
    assert {each.answer for view in packet for each in view.blanks} == {""}
    day = read_day(work, term_id, TUESDAY)
    own = sheets_of_sections(day, [band.sections[0].id])
    assert {name.split("/")[1] for name in own} == {"01-flute-blanks.pdf"} <= set(writer.by_name)


def test_the_page_says_what_is_not_known(desk):
    work, _, _ = desk
    said = known_of(work.pieces.get(by_title(work, "Galop 0")))
    assert "give or take 0.8" in said[0]
    assert said[-1].endswith("no study and no guide.")
    lacking = known_of(replace(work.pieces.get(by_title(work, "No minutes")), published_grade=None))
    assert lacking[0].startswith("Its level is not known")
    assert "before it can be planned, enter its minutes" in lacking[1]
