"""A level over time: what must hold of it whatever the results."""

import math
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.levels.belief import DEFAULT_ERROR
from planner.levels.curve import TARGET_SHARE, expected_share
from planner.levels.forecast import GROWTH_A_WEEK
from planner.levels.history import LevelPoint, focus_offsets, trace_level
from tests.checks import some

START = date(2026, 9, 1)
WEEK = timedelta(weeks=1)


def results(*shares, part=2.0, error=0.5, every=3):
    return [
        LevelPoint(START + timedelta(days=every * at), part, share, error) for at, share in enumerate(shares)
    ]


POINTS = st.lists(
    st.tuples(st.integers(0, 12), st.floats(1, 4), st.floats(0, 1), st.floats(0, 1)).map(
        lambda t: LevelPoint(START + timedelta(days=5 * t[0]), *t[1:])
    ),
    min_size=1,
    max_size=6,
)


@settings(max_examples=20, deadline=None)
@given(POINTS, st.randoms())
def test_the_order_in_which_results_are_entered_does_not_matter(points, random):
    shuffled = points[:]
    random.shuffle(shuffled)
    assert trace_level(2.0, None, points) == trace_level(2.0, None, shuffled)


@settings(max_examples=20, deadline=None)
@given(POINTS)
def test_a_belief_lies_on_the_scale_between_the_ends_of_its_interval(points):
    for day in some(trace_level(2.0, None, points).days):
        for belief in (day.before, day.after):
            assert 0.5 <= belief.low <= belief.level <= belief.high <= 6.0
            assert 0.05 < belief.error < 1.5
        assert 0.0 <= day.expected <= 1.0
        assert math.isfinite(day.surprise)


@settings(max_examples=20, deadline=None)
@given(POINTS, st.integers(0, 5))
def test_a_result_that_does_not_count_changes_nothing(points, which):
    aside = replace(points[which % len(points)], share=0.0, counts=False, on=START + timedelta(days=2))
    assert trace_level(2.0, None, [*points, aside]) == trace_level(2.0, None, points)


def test_no_results_leave_the_start_and_its_forecast():
    trace = trace_level(2.0, None, [], start_on=START)
    assert trace.days == ()
    assert (trace.now.level, trace.now.error) == (2.0, DEFAULT_ERROR)
    assert trace.forecast(START) == trace.now
    later = trace.forecast(START + 16 * WEEK)
    assert later.level == pytest.approx(2.0 + 16 * GROWTH_A_WEEK, abs=0.02)
    assert later.error > DEFAULT_ERROR
    assert trace_level(2.0, None, []).forecast(START + 16 * WEEK) == trace.now


@pytest.mark.parametrize("error", [0.2, 0.5, DEFAULT_ERROR])
@pytest.mark.parametrize("part", [1.5, 2.0, 3.0])
def test_more_bars_right_never_lower_the_level(error, part):
    """Up to the point where a result is so strange that it is hardly believed: half the bars."""
    known = results(0.84, 0.84, 0.8, 0.9)
    for before in ([], known):
        at = START + timedelta(days=12)
        levels = [
            trace_level(2.0, error, [*before, LevelPoint(at, part, 0.5 + step / 40, 0.5)]).now.level
            for step in range(21)
        ]
        assert all(higher >= lower - 1e-3 for lower, higher in pairwise(levels))
        assert levels[-1] > levels[0] + 0.1


def test_a_little_more_moves_the_level_a_little():
    usual = trace_level(2.0, None, results(0.8, 0.9, 0.7)).now
    for nudged in (
        results(0.8, 0.902, 0.7),
        results(0.8, 0.9, 0.7, part=2.002),
        results(0.8, 0.9, 0.7, error=0.502),
    ):
        now = trace_level(2.0, None, nudged).now
        assert 0 < abs(now.level - usual.level) < 0.01
        assert abs(now.error - usual.error) < 0.01


def test_results_as_expected_make_the_level_surer():
    errors = [DEFAULT_ERROR] + [day.after.error for day in trace_level(2.0, None, results(*[0.82] * 12)).days]
    assert errors == sorted(errors, reverse=True)
    assert errors[-1] < 0.25


def test_surprising_results_widen_the_doubt_and_are_reported():
    usual = trace_level(2.0, None, results(*[0.85] * 10))
    lower = trace_level(2.0, None, results(*[0.85] * 7, 0.45, 0.4, 0.45))
    assert usual.misfit is None
    assert lower.now.error > 1.3 * usual.now.error
    assert lower.misfit is not None
    assert (lower.misfit.kind, lower.misfit.days) == ("lower", 3)
    assert (lower.misfit.since, lower.misfit.until) == (
        START + timedelta(days=21),
        START + timedelta(days=27),
    )
    higher = trace_level(3.0, 0.3, results(*[0.97] * 4, part=3.5))
    assert higher.misfit is not None
    assert higher.misfit.kind == "higher"
    assert trace_level(2.0, None, results(*[0.85] * 8, 0.45, 0.4)).misfit is None


def test_a_run_is_over_when_a_day_is_as_expected():
    assert trace_level(2.0, None, results(*[0.85] * 7, 0.45, 0.4, 0.45, 0.8)).misfit is None


def test_one_bad_day_is_nearly_forgotten_after_two_more():
    usual = trace_level(2.0, None, results(*[0.84] * 15)).now.level
    hurt = trace_level(2.0, None, results(*[0.84] * 12, 0.55, 0.84, 0.84)).now.level
    assert 0 < usual - hurt < 0.15


def test_a_jump_is_recognised_within_eight_results():
    before, after = expected_share(2.5, 2.0), expected_share(1.7, 2.0)
    trace = trace_level(2.5, 0.3, results(*[before] * 12, *[after] * 8))
    assert trace.now.level == pytest.approx(1.75, abs=0.2)
    assert trace.days[11].after.level > 2.4


def test_growth_is_learnt_from_the_section():
    slow = [LevelPoint(START + at * WEEK, 2.0, expected_share(2.0, 2.0), 0.3) for at in range(30)]
    quick = [
        LevelPoint(START + at * WEEK, 2.0 + 0.06 * at, expected_share(2.0 + 0.06 * at, 2.0 + 0.06 * at), 0.3)
        for at in range(30)
    ]
    found = [trace_level(2.0, 0.3, points) for points in (slow, quick)]
    still, growing = (trace.days[-1].growth for trace in found)
    assert still < GROWTH_A_WEEK < growing
    on = START + 46 * WEEK
    ahead = [trace.forecast(on).level - trace.now.level for trace in found]
    assert ahead[0] < 17 * GROWTH_A_WEEK < ahead[1]
    assert all(trace.days[-1].growth_error < trace.days[0].growth_error for trace in found)


def test_a_section_that_reads_better_than_believed_climbs_to_its_true_level():
    trace = trace_level(2.0, None, results(*[expected_share(2.9, 2.0)] * 14))
    assert trace.now.level == pytest.approx(2.9, abs=0.25)


def test_an_uncertain_part_moves_the_level_less():
    sure, unsure = (trace_level(2.0, 0.5, results(0.98, error=error)).now.level for error in (0.3, 1.0))
    assert 2.0 < unsure < sure


def test_a_gap_without_results_widens_the_doubt():
    first = LevelPoint(START, 2.0, TARGET_SHARE, 0.5)
    close, apart = (
        trace_level(2.0, None, [first, replace(first, on=START + timedelta(days=days))]).now.error
        for days in (1, 300)
    )
    assert apart > close


def test_time_before_the_first_result_counts_where_its_start_has_a_date():
    at = START + 20 * WEEK
    read = [LevelPoint(at, 2.5, TARGET_SHARE, 0.5)]
    dated = trace_level(2.0, 0.2, read, start_on=START).days[0]
    undated = trace_level(2.0, 0.2, read).days[0]
    assert dated.before.level == pytest.approx(2.5, abs=0.02)
    assert (undated.before.level, undated.before.error) == pytest.approx((2.0, 0.2), abs=0.005)
    assert dated.before.error > undated.before.error


def test_a_forecast_from_fewer_days_is_that_of_those_days():
    points = results(0.9, 0.5, 0.95, 0.7)
    whole, half = trace_level(2.0, None, points), trace_level(2.0, None, points[:2])
    on = START + 9 * WEEK
    assert replace(whole, days=whole.days[:2]).forecast(on) == half.forecast(on)
    assert whole.forecast(START) == whole.now


def test_what_was_expected_is_what_the_belief_before_lets_expect():
    day = trace_level(2.0, 0.1, results(0.6, part=2.0, error=0.3)).days[0]
    assert day.expected == pytest.approx(expected_share(2.0, 2.0), abs=0.03)
    assert day.expected < expected_share(2.0, 2.0)
    assert day.observed == 0.6
    assert -3 < day.surprise < -1


DEMANDS = (("rhythm", 2.0), ("key", 2.0), ("motion", 2.0), ("range", 2.0))


def named(*problems, demands=DEMANDS):
    return LevelPoint(START, 2.0, 0.7, 0.5, problems=problems, demands=demands)


def test_a_skill_named_again_and_again_is_told():
    found = focus_offsets([named("rhythm")] * 10)
    assert [each.focus for each in found] == ["rhythm"]
    assert -1.0 < found[0].offset < -0.3
    assert (found[0].named, found[0].expected) == (10, pytest.approx(2.5))


def test_a_skill_named_as_often_as_the_parts_ask_for_it_is_not():
    hard = (("rhythm", 3.6), ("key", 0.6), ("motion", 0.6), ("range", 0.6))
    assert focus_offsets([named("rhythm", demands=hard)] * 10) == ()
    turns = [named(focus) for focus in ("rhythm", "key", "motion", "range")] * 4
    assert focus_offsets(turns) == ()


def test_thin_evidence_about_skills_is_silent():
    assert focus_offsets([named("rhythm")] * 5) == ()
    assert focus_offsets([replace(named("rhythm"), demands=())] * 20) == ()
    assert focus_offsets([replace(named("rhythm"), counts=False)] * 20) == ()


def test_a_dimension_counts_for_the_skill_that_stands_for_it():
    dense = (("rhythm", 1.0), ("motion", 1.0), ("density", 4.0))
    assert focus_offsets([named("motion", demands=dense)] * 10) == ()


def test_the_trace_brings_the_skills():
    points = [replace(named("key"), on=START + at * WEEK) for at in range(10)]
    assert [each.focus for each in trace_level(2.0, None, points).by_focus] == ["key"]
