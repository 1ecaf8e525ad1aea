"""The picture of a term: every day with its aim, its forecasts, what is open and what waits."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.core.term import DayShape, Plan, Result, Slot, Wish
from planner.levels.curve import TARGET_SHARE, expected_share
from planner.levels.readable import Verdict, verdict_of
from planner.services.levels.section_term import forecast_levels
from planner.services.term.wish_notes import waiting_wishes
from planner.services.term_page.show_term import read_term, show_term
from tests.checks import some
from tests.services.term.library_for_plans import TUESDAY, make_library

ON = TUESDAY + timedelta(days=7)


@pytest.fixture
def desk():
    library, ensemble_id, term_id = make_library(14, days_off=(TUESDAY + timedelta(days=2),))
    with library() as work:
        term = work.terms.get(term_id)
        pieces = sorted(work.pieces.titles())
        slots = [
            Slot(on, 0, piece, "rhythm", featured_section_id=work.ensembles.get(ensemble_id).sections[0].id)
            for on, piece in zip(term.reading_dates()[:7], pieces, strict=False)
        ]
        work.terms.save_plan(Plan(term_id, tuple(slots)))
        yield work, term, work.ensembles.get(ensemble_id)


def picture(desk, today=TUESDAY):
    work, term, ensemble = desk
    return show_term(work, work.terms.get(term.id), ensemble, today).picture


def test_every_reading_day_is_there_and_days_off_beside_them(desk):
    _, term, _ = desk
    drawn = picture(desk)
    assert tuple(day.on for day in drawn.days) == term.reading_dates()
    off = [day.on for week in drawn.weeks for day in week.days if day.is_off]
    assert off == list(term.days_off)
    assert len(drawn.open_days) == len(term.reading_dates()) - 7
    assert all(week.days and week.monday.weekday() == 0 for week in some(drawn.weeks))


def test_each_section_gets_what_its_level_on_that_day_lets_expect_of_its_part(desk):
    work, term, ensemble = desk
    beliefs = forecast_levels(work, ensemble, term.reading_dates(), TUESDAY)
    for at, day in enumerate(some([day for day in picture(desk).days if day.slots])):
        (one,) = day.slots
        profile = work.pieces.profile(one.slot.piece_id)
        expected = [
            expected_share(beliefs[section.id][at].level, profile.part(section.name).level)
            for section in ensemble.sections
        ]
        assert [f.section for f in one.forecasts] == list(ensemble.sections)
        assert [f.share for f in one.forecasts] == pytest.approx(expected, abs=0.005), "levels are rounded"
        assert [f.verdict for f in one.forecasts] == [verdict_of(f.share) for f in one.forecasts]
        assert one.worst.share == min(f.share for f in one.forecasts)
        assert one.mean == pytest.approx(sum(expected) / len(expected), abs=0.005)
        assert day.aim == pytest.approx(TARGET_SHARE), "no line is set, and no day is easier"


def test_what_was_read_is_shown_in_place_of_a_forecast(desk):
    work, term, ensemble = desk
    slot = work.terms.plan(term.id).slots[0]
    for section, share in zip(ensemble.sections[:2], (0.5, 0.97), strict=True):
        work.results.put(Result(ensemble.id, section.id, slot.piece_id, slot.on, share))
    day = picture(desk, TUESDAY + timedelta(days=1)).days[0]
    (one,) = day.slots
    assert day.has_results
    assert [(f.share, f.was_read) for f in one.forecasts] == [(0.5, True), (0.97, True)]
    assert [f.section.name for f in one.of("too hard")] == [ensemble.sections[0].name]
    assert one.of(Verdict.TOO_EASY)[0].section == ensemble.sections[1]


def test_past_days_are_never_open_and_what_nobody_logged_is_asked(desk):
    work, term, ensemble = desk
    view = show_term(work, term, ensemble, ON + timedelta(days=1))
    assert not any(day.open_slots for day in view.picture.days if day.is_past)
    dates = [each.slot.on for each in view.unlogged]
    assert dates == [on for on in term.reading_dates() if on <= ON]


def test_absent_sections_have_no_forecast(desk):
    work, term, ensemble = desk
    first = term.reading_dates()[0]
    work.terms.update(replace(term, shapes=(DayShape(first, absent=(ensemble.sections[1].id,)),)))
    day = picture(desk).days[0]
    assert [section.id for section in day.absent] == [ensemble.sections[1].id]
    assert ensemble.sections[1] not in [f.section for f in day.slots[0].forecasts]


def test_days_that_stay_are_the_announced_ones(desk):
    days = picture(desk).days
    assert [day.on for day in days if day.stays] == [
        d.on for d in days if d.on < TUESDAY + timedelta(days=14)
    ]


def test_turns_are_those_of_the_plan(desk):
    work, term, ensemble = desk
    turns = picture(desk).turns_of(ensemble.sections[0].id)
    assert turns == tuple(slot.on for slot in work.terms.plan(term.id).slots)
    assert picture(desk).turns_of(ensemble.sections[1].id) == ()


def test_a_wish_waits_until_the_plan_meets_it():
    plan = Plan(1, (Slot(TUESDAY, 0, 5, "key"), Slot(ON, 0, 6, "key")))
    met = [Wish("pinned", 6, ON), Wish("pinned", 5), Wish("banned", 6, TUESDAY), Wish("banned", 7)]
    unmet = [
        Wish("pinned", 5, ON),
        Wish("pinned", 8),
        Wish("banned", 6, ON),
        Wish("banned", 5),
        Wish("again", 5, ON),
    ]
    past = [Wish("pinned", 9, TUESDAY)]
    assert waiting_wishes(plan, [*met, *unmet], TUESDAY) == tuple(unmet)
    assert waiting_wishes(plan, past, ON) == ()


def test_pieces_of_a_proposal_are_read_beside_those_of_the_plan(desk):
    work, term, ensemble = desk
    last = max(work.pieces.titles())
    read = read_term(work, term, ensemble, TUESDAY, also=[last])
    assert last in read.problem.problem.piece_by_id
    assert last not in read_term(work, term, ensemble, TUESDAY).problem.problem.piece_by_id
