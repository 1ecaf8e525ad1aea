"""Levels of sections follow everything they rest on, and are shown day by day over a term."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from planner.levels.curve import expected_share
from planner.levels.history import trace_level
from planner.scheduling.problem import Limits
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import NONE_YET, YES_TO_ALL
from planner.services.levels.correct import correct_level
from planner.services.levels.section_levels import follow_levels, refresh_levels, section_evidence
from planner.services.levels.section_term import (
    belief_before,
    forecast_levels,
    level_alone,
    sections_over_term,
)
from planner.services.library.catalogue import correct_piece
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import build_problem
from tests.checks import some
from tests.fakes import BY, FakeFiles, FakeStudies, at_a_door, changing
from tests.services.term.library_for_plans import TUESDAY, make_library

WEEK = timedelta(days=7)


def sections_of(library, ensemble_id):
    with library() as work:
        return {s.name: s for s in work.ensembles.get(ensemble_id).sections}


def log(library, ensemble_id, on, piece_id, shares, answers=NONE_YET, **marks):
    sections = sections_of(library, ensemble_id)
    entries = [ResultEntry(sections[name].id, piece_id, share, **marks) for name, share in shares.items()]
    return at_a_door(library, log_results, ensemble_id, on, entries, by=BY, today=on, answers=answers)


@pytest.fixture
def band():
    """A band that has read two pieces: library, ensemble, term, and the two pieces."""
    library, ensemble_id, term_id = make_library(weeks=8)
    ids = sorted(library.state.pieces)
    log(library, ensemble_id, TUESDAY, ids[3], {"Flute": 0.8, "Trumpet": 0.7})
    log(library, ensemble_id, TUESDAY + WEEK, ids[9], {"Flute": 0.9, "Trumpet": 0.6})
    return library, ensemble_id, term_id, ids


def corrected_part(library, piece_id):
    at_a_door(library, correct_level, piece_id, 3.2, by=BY, part="Flute")


def corrected_piece(library, piece_id):
    at_a_door(library, correct_level, piece_id, 3.5, by=BY)


def studied_again(library, piece_id):
    with changing(library) as work:
        profile = work.pieces.profile(piece_id)
        parts = tuple(replace(part, level=part.level + 1) for part in profile.parts)
        work.pieces.replace_profile(piece_id, replace(profile, parts=parts))
        follow_levels(work, [piece_id])


@pytest.mark.parametrize("change", [corrected_part, corrected_piece, studied_again])
def test_a_section_follows_the_level_of_what_it_has_read(band, change):
    library, ensemble_id, _, ids = band
    before = sections_of(library, ensemble_id)["Flute"]
    change(library, ids[3])
    after = sections_of(library, ensemble_id)["Flute"]
    assert after.level > before.level + 0.05, "the part turned out harder, so the same share says more"
    assert (after.start_level, after.start_error) == (before.start_level, before.start_error)
    with library() as work:
        evidence = section_evidence(work, work.ensembles.get(ensemble_id))
        assert refresh_levels(work, evidence) == (), "nothing is left to be stored"


def test_taking_a_correction_back_puts_the_sections_back(band):
    library, ensemble_id, _, ids = band
    before = sections_of(library, ensemble_id)
    corrected_part(library, ids[3])
    with library() as work:
        change = work.changes.list_changes(1)[0]
    at_a_door(library, undo_change, change.id, BY, Means(FakeFiles(), FakeStudies()))
    assert sections_of(library, ensemble_id) == before


def test_a_piece_nobody_has_read_moves_no_section(band):
    library, ensemble_id, _, ids = band
    before = sections_of(library, ensemble_id)
    studied_again(library, ids[15])
    assert sections_of(library, ensemble_id) == before


def test_a_published_grade_moves_those_who_read_at_the_level_of_the_piece(band):
    library, ensemble_id, _, ids = band
    with changing(library) as work:
        profile = work.pieces.profile(ids[3])
        parts = tuple(part for part in profile.parts if part.name != "Trumpet")
        work.pieces.replace_profile(ids[3], replace(profile, parts=parts))
        follow_levels(work, [ids[3]])
    before = sections_of(library, ensemble_id)["Trumpet"]
    at_a_door(library, correct_piece, ids[3], {"published_grade": 4.0}, BY)
    assert sections_of(library, ensemble_id)["Trumpet"].level > before.level


def test_one_section_alone_is_what_it_is_among_all(band):
    library, ensemble_id, _, _ = band
    with library() as work:
        ensemble = work.ensembles.get(ensemble_id)
        everyone = section_evidence(work, ensemble)
        for section in some(ensemble.sections):
            assert section_evidence(work, ensemble, only=section.id) == {section.id: everyone[section.id]}


def test_forecasts_start_at_the_last_result_and_grow_less_sure(band):
    library, ensemble_id, _, _ = band
    today = TUESDAY + WEEK
    days = [today - WEEK, today, today + 4 * WEEK, today + 12 * WEEK]
    with library() as work:
        ensemble = work.ensembles.get(ensemble_id)
        ahead = forecast_levels(work, ensemble, days, today)
        evidence = section_evidence(work, ensemble)
    flute = next(s for s in ensemble.sections if s.name == "Flute")
    past, now, later, last = ahead[flute.id]
    assert past == now == evidence[flute.id].trace.now
    assert now.error < later.error < last.error
    assert now.level < later.level < last.level


def test_a_section_that_never_read_stands_at_its_number_today():
    library, ensemble_id, _ = make_library()
    today = TUESDAY + 3 * WEEK
    with library() as work:
        ensemble = work.ensembles.get(ensemble_id)
        ahead = forecast_levels(work, ensemble, [today, today + 4 * WEEK], today)
    for section in some(ensemble.sections):
        now, later = ahead[section.id]
        assert now.level == section.level
        assert later == trace_level(section.level, None, [], start_on=today).forecast(today + 4 * WEEK)


def test_the_plan_goes_by_the_forecast_of_each_section(band):
    library, ensemble_id, term_id, _ = band
    today = TUESDAY + 2 * WEEK
    with library() as work:
        facts = read_facts(work, term_id, today)
        days = facts.term.reading_dates()
        ahead = forecast_levels(work, work.ensembles.get(ensemble_id), days, today)
    problem = build_problem(facts, Limits(may_leave_open=True)).problem
    for section in some(problem.sections):
        for day in range(len(days)):
            expected = ahead[section.id][day]
            assert section.levels[day] == pytest.approx(expected.level, abs=0.001)
            assert section.errors[day] == pytest.approx(expected.error, abs=0.001)


class TestOverATerm:
    def view(self, band, today=TUESDAY + 2 * WEEK, name="Flute"):
        library, ensemble_id, term_id, _ = band
        with library() as work:
            ensemble = work.ensembles.get(ensemble_id)
            views = sections_over_term(work, ensemble, work.terms.get(term_id), today)
        return next(view for view in views.values() if view.section.name == name)

    def test_it_runs_from_the_first_day_to_the_last(self, band):
        view = self.view(band)
        assert (view.so_far[0].on, view.so_far[-1].on) == (TUESDAY, TUESDAY + WEEK)
        assert (view.ahead[0].on, view.ahead[-1].on) == (TUESDAY + WEEK, view.last)
        assert view.so_far[-1].belief == view.ahead[0].belief == view.trace.now
        dates = [moment.on for moment in (*view.so_far, *view.ahead)]
        assert dates == sorted(dates)

    def test_what_was_expected_is_what_was_believed_that_morning(self, band):
        view = self.view(band)
        assert len(view.results) == len(view.trace.days) == 2
        for point, day in some(zip(view.results, view.trace.days, strict=True)):
            assert point.expected == expected_share(day.before.level, point.part_level)
            assert expected_share(point.alone, point.part_level) == pytest.approx(point.share)

    def test_later_results_do_not_change_what_was_expected_before(self, band):
        library, ensemble_id, _, ids = band
        first = self.view(band).results[0]
        log(library, ensemble_id, TUESDAY + 2 * WEEK, ids[12], {"Flute": 0.1})
        assert self.view(band).results[0] == first

    def test_a_result_that_does_not_count_is_shown_beside_what_was_expected(self, band):
        library, ensemble_id, _, ids = band
        on = TUESDAY + 2 * WEEK
        log(library, ensemble_id, on, ids[12], {"Flute": 0.2}, counts=False)
        view = self.view(band, today=on)
        point = view.results[-1]
        assert (point.on, point.counts, point.share) == (on, False, 0.2)
        assert point.expected == expected_share(view.trace.forecast(on).level, point.part_level)
        assert view.so_far[-1].on == TUESDAY + WEEK, "it is no part of the belief"

    def test_results_from_before_the_start_are_shown_as_being_in_it(self, band):
        library, ensemble_id, _, _ = band
        with changing(library) as work:
            flute = next(s for s in work.ensembles.get(ensemble_id).sections if s.name == "Flute")
            on = TUESDAY + timedelta(days=2)
            work.ensembles.update_section(replace(flute, start_level=3.0, start_error=None, start_on=on))
        view = self.view(band)
        assert [(p.on, p.is_in_start) for p in view.results] == [(TUESDAY, True), (TUESDAY + WEEK, False)]
        assert view.so_far[0].on == on

    def test_before_its_start_there_is_no_level_to_draw(self, band):
        library, ensemble_id, _, _ = band
        with changing(library) as work:
            flute = next(s for s in work.ensembles.get(ensemble_id).sections if s.name == "Flute")
            on = TUESDAY + 30 * WEEK
            work.ensembles.update_section(replace(flute, start_level=3.0, start_error=None, start_on=on))
        view = self.view(band)
        assert (view.so_far, view.ahead) == ((), ())
        assert [p.is_in_start for p in view.results] == [True, True]

    def test_a_term_before_the_last_results_has_no_forecast(self, band):
        library, ensemble_id, _, ids = band
        log(library, ensemble_id, TUESDAY + 30 * WEEK, ids[12], {"Flute": 0.9}, answers=YES_TO_ALL)
        view = self.view(band)
        assert view.ahead == ()
        assert view.so_far[-1].on == TUESDAY + WEEK

    def test_without_a_term_it_begins_with_the_first_result(self, band):
        library, ensemble_id, _, _ = band
        today = TUESDAY + 3 * WEEK
        with library() as work:
            views = sections_over_term(work, work.ensembles.get(ensemble_id), None, today)
        for view in some(views.values()):
            assert view.first == TUESDAY
            assert view.last > today


def test_the_morning_before_the_first_result_is_the_start(band):
    library, ensemble_id, _, _ = band
    with library() as work:
        evidence = section_evidence(work, work.ensembles.get(ensemble_id))
    for each in some(evidence.values()):
        assert belief_before(each.trace, date(2026, 8, 1)).level == each.trace.start.level


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_everything_or_nothing_right_speaks_for_a_level_on_the_scale(share):
    assert 0.5 <= level_alone(share, 2.0) <= 6.0
    assert (level_alone(share, 2.0) > 2.0) is (share == 1.0)
