"""The grid of pieces and sections: what each cell and each reason rests on, order, filters, pages."""

from dataclasses import replace

import pytest

from planner.core.ensemble import Exposure
from planner.core.profile import PartProfile
from planner.core.term import Plan, Result, Slot, Wish
from planner.levels.readable import Verdict
from planner.matching.outlook import error_of
from planner.scheduling.problem import Limits
from planner.services.levels.index import index_levels
from planner.services.match.match_grid import (
    ANYBODY,
    PAGE_ROWS,
    GridQuery,
    GridRoom,
    Order,
    Shown,
    WhyNot,
    match_grid,
)
from planner.services.match.match_pieces import match
from planner.services.plan.demands import Ladder, skill_shares
from tests.checks import some
from tests.fakes import make_source
from tests.services.term.library_for_plans import TUESDAY, make_library, make_piece_profile

LOST = Limits().lost


@pytest.fixture
def desk():
    """A band with players known by name, twelve pieces to read and one each that is not."""
    library, ensemble_id, term_id = make_library(12, players=True)
    with library() as work:
        hard = make_piece_profile(90, 4.5, "key")
        strings = replace(
            make_piece_profile(91, 2.0, "key"),
            parts=tuple(PartProfile(f"Violin {n}", "violin", 0, 60, None, None, 2.0) for n in range(3)),
        )
        lone = replace(make_piece_profile(92, 2.0, "key"), parts=make_piece_profile(92, 2.0, "key").parts[:1])
        for each in (hard, strings, lone):
            work.pieces.add(make_source(each.title), each, TUESDAY)
        index_levels(work)
        yield Desk(work, ensemble_id, term_id)


class Desk:
    def __init__(self, work, ensemble_id, term_id):
        self.work, self.ensemble = work, work.ensembles.get(ensemble_id)
        self.term = work.terms.get(term_id)

    def grid(self, **asked):
        terms = self.work.terms
        slots = terms.planned([self.term.id]).get(self.term.id, ())
        room = GridRoom(self.ensemble, TUESDAY, self.term, slots, terms.wishes(self.term.id))
        return match_grid(self.work, room, GridQuery(**asked), LOST)

    def row(self, title, **asked):
        return next(row for row in self.grid(show=Shown.ALL, **asked).rows if row.piece.title == title)

    def id_of(self, title):
        return next(i for i, each in self.work.pieces.titles().items() if each == title)


def test_what_is_ready_are_the_candidates_of_the_match_at_the_same_cost(desk):
    view = match(desk.work, desk.ensemble.id, TUESDAY)
    rows = {row.piece.id: row for row in desk.grid().rows}
    by_match = {each.piece.id: each for each in view.candidates if max(f.lost for f in each.fits) <= LOST}
    assert rows.keys() == by_match.keys()
    for piece_id, row in some(rows.items()):
        assert (row.cost, row.level) == (by_match[piece_id].outlook.cost, by_match[piece_id].outlook.level)
        shares = {fit.section.id: fit.share for fit in by_match[piece_id].outlook.readings}
        assert {cell.section.id: cell.share for cell in row.cells} == shares
        assert row.worst.share == min(shares.values())


def test_every_piece_left_out_says_why(desk):
    before = desk.grid()
    assert desk.row("Piece 90").why_not == (WhyNot.LOST,)
    assert {cell.verdict for cell in desk.row("Piece 90").lost} == {Verdict.TOO_HARD}
    assert desk.row("Piece 91").why_not == (WhyNot.NOT_CAST,)
    assert desk.row("Piece 92").why_not == (WhyNot.IDLE,)
    desk.work.terms.set_wishes(desk.term.id, [Wish("banned", desk.id_of("Piece 3"))])
    assert desk.row("Piece 3").why_not == (WhyNot.BANNED,)
    grid = desk.grid()
    assert (grid.ready, grid.left_out) == (before.ready - 1, before.left_out + 1)
    assert grid.ready == len(grid.rows) == sum(not row.why_not for row in desk.grid(show=Shown.ALL).rows)
    assert desk.grid(show=Shown.ALL).total == 15
    assert all(row.why_not for row in some(desk.grid(show=Shown.LEFT_OUT).rows))


def test_a_part_that_is_likely_lost_by_its_error_alone_is_left_out(desk):
    row = desk.row("Piece 4")
    assert not row.why_not
    sure = {cell.section.id: cell.lost for cell in row.cells}
    parts = tuple(replace(part, level_error=3.0) for part in desk.work.pieces.profile(row.piece.id).parts)
    profile = replace(desk.work.pieces.profile(row.piece.id), parts=parts)
    desk.work.pieces.replace_profile(row.piece.id, profile)
    index_levels(desk.work, [row.piece.id])
    unsure = desk.row("Piece 4")
    assert unsure.why_not == (WhyNot.LOST,)
    assert all(cell.lost > sure[cell.section.id] for cell in unsure.cells)
    assert all(error_of(section) < 3.0 for section in desk.ensemble.sections)


def test_who_has_met_a_piece_is_asked_of_everyone_of_a_section_or_of_nobody(desk):
    flute, other = desk.ensemble.sections[:2]
    met = desk.id_of("Piece 5")
    desk.work.ensembles.add_exposure(Exposure(desk.ensemble.id, met, "heard", section_id=flute.id))
    assert desk.row("Piece 5").why_not == (WhyNot.MET,)
    assert desk.row("Piece 5").known.exposure.section_id == flute.id
    assert desk.row("Piece 5", fresh_for=flute.id).why_not == (WhyNot.MET,)
    assert not desk.row("Piece 5", fresh_for=other.id).why_not
    assert not desk.row("Piece 5", fresh_for=ANYBODY).why_not
    read = desk.id_of("Piece 6")
    desk.work.results.put(Result(desk.ensemble.id, other.id, read, TUESDAY, 0.9))
    assert desk.row("Piece 6", fresh_for=other.id).why_not == (WhyNot.MET,)


def test_what_the_term_has_planned_is_told_and_is_no_reason(desk):
    on, piece = desk.term.reading_dates()[2], desk.id_of("Piece 4")
    desk.work.terms.save_plan(Plan(desk.term.id, (Slot(on, 0, piece, "rhythm"),)))
    assert (desk.row("Piece 4").planned_on, desk.row("Piece 4").why_not) == (on, ())


@pytest.mark.parametrize("order", list(Order))
def test_rows_stand_by_what_was_asked_from_either_end_and_the_unknown_last(desk, order):
    value = {
        Order.COST: lambda row: row.cost,
        Order.TITLE: lambda row: row.piece.title.casefold(),
        Order.LEVEL: lambda row: row.level,
        Order.MINUTES: lambda row: row.minutes,
        Order.WORST: lambda row: row.worst.share if row.worst else None,
    }[order]
    for is_falling in (False, True):
        rows = desk.grid(show=Shown.ALL, order=order, is_falling=is_falling).rows
        values = [value(row) for row in rows]
        known = [each for each in values if each is not None]
        assert known == sorted(known, reverse=is_falling)
        assert values[: len(known)] == known
        assert len(values) == 15


def test_the_filters_leave_what_they_say(desk):
    title = desk.grid().rows[0].piece.title
    assert [row.piece.title for row in desk.grid(text=title.upper()).rows if row.piece.title == title]
    assert desk.grid(key="Bb major").total == desk.grid().total
    assert desk.grid(key="C major").total == 0
    minutes = sorted(row.minutes for row in desk.grid().rows)
    short = desk.grid(minutes=minutes[4])
    assert [row.minutes for row in some(short.rows) if row.minutes > minutes[4]] == []
    assert short.total == sum(1 for each in minutes if each <= minutes[4])


def test_no_study_is_opened_whatever_is_asked(desk, monkeypatch):
    for name in ("outlines", "profiles", "profile"):
        monkeypatch.setattr(desk.work.pieces, name, lambda _: pytest.fail("a study was opened"))
    assert desk.grid(minutes=1.0).total == 0
    assert desk.grid(minutes=60.0).total == desk.grid().total > 0
    assert desk.grid(focus="rhythm", show=Shown.ALL).total > 0
    assert all(row.skills and row.minutes for row in some(desk.grid(text="piece").rows))


def test_minutes_and_skills_are_those_of_the_study(desk):
    view = match(desk.work, desk.ensemble.id, TUESDAY)
    rows = {row.piece.id: row for row in desk.grid().rows}
    for each in some([each for each in view.candidates if each.piece.id in rows]):
        row = rows[each.piece.id]
        assert row.minutes == each.minutes
        assert dict(row.skills) == skill_shares(each.outlook)
        assert list(dict(row.skills).values()) == sorted(dict(row.skills).values(), reverse=True)


def test_a_piece_of_which_nothing_is_worked_out_yet_has_no_level(desk):
    new = desk.work.pieces.add(make_source("new"), make_piece_profile(93, 2.0, "key"), TUESDAY)
    assert desk.row("Piece 93").why_not == (WhyNot.NO_LEVEL,)
    index_levels(desk.work, [new])
    assert desk.row("Piece 93").why_not == ()


def test_what_trains_a_skill_is_what_the_plan_takes_it_for(desk):
    rows = desk.grid(show=Shown.ALL).rows
    ladder = Ladder({row.piece.id: dict(row.skills) for row in rows if row.outlook.can_be_cast})
    for skill in ("rhythm", "key", "meter"):
        wanted = {
            row.piece.title
            for row in rows
            if row.outlook.can_be_cast and skill in dict(ladder.trains(row.piece.id))
        }
        assert {row.piece.title for row in some(desk.grid(show=Shown.ALL, focus=skill).rows)} == wanted


def test_a_large_library_comes_in_pages_and_only_their_parts_are_looked_at(monkeypatch):
    library, ensemble_id, term_id = make_library(95)
    with library() as work:
        index_levels(work)
        desk, opened = Desk(work, ensemble_id, term_id), []
        lines = work.pieces.lines
        monkeypatch.setattr(work.pieces, "lines", lambda ids: opened.append(list(ids)) or lines(ids))
        pages = [desk.grid(show=Shown.ALL, offset=offset) for offset in (0, PAGE_ROWS, 2 * PAGE_ROWS)]
    titles = [row.piece.title for page in pages for row in page.rows]
    assert [len(page.rows) for page in pages] == [PAGE_ROWS, PAGE_ROWS, 95 - 2 * PAGE_ROWS]
    assert [page.last for page in pages] == [PAGE_ROWS, 2 * PAGE_ROWS, 95]
    assert len(set(titles)) == 95
    assert max(len(ids) for ids in opened) == PAGE_ROWS


def test_sections_are_counted_over_all_that_is_ready(desk):
    grid = desk.grid(text="Piece 1")
    for at in range(len(desk.ensemble.sections)):
        verdicts = [row.cells[at].verdict for row in desk.grid().rows]
        counted = {verdict: number for verdict, number in grid.counts[at].items() if number}
        assert counted == {verdict: verdicts.count(verdict) for verdict in set(verdicts)}
