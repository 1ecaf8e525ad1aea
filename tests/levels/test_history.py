"""A level over time: order, growth and doubt."""

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.levels.belief import DEFAULT_ERROR
from planner.levels.curve import expected_share
from planner.levels.forecast import DRIFT_A_WEEK, GROWTH_A_WEEK, forecast_level
from planner.levels.history import LevelPoint, trace_level
from tests.checks import some

START = date(2026, 9, 1)
POINTS = st.lists(
    st.tuples(st.integers(0, 60), st.floats(1, 4), st.floats(0, 1)).map(
        lambda t: LevelPoint(START + timedelta(days=t[0]), t[1], t[2])
    ),
    min_size=1,
    max_size=8,
)


@given(POINTS, st.randoms())
def test_the_order_in_which_results_are_entered_does_not_matter(points, random):
    shuffled = points[:]
    random.shuffle(shuffled)
    one, other = trace_level(2.0, None, points), trace_level(2.0, None, shuffled)
    for here, there in zip(some(one.days), other.days, strict=True):
        assert here.after.level == pytest.approx(there.after.level, abs=1e-6)
        assert here.after.error == pytest.approx(there.after.error, abs=1e-6)


def test_no_results_trace_nothing():
    assert trace_level(2.0, None, []).days == ()
    assert trace_level(2.0, None, []).now.level == 2.0


def test_a_section_that_reads_better_than_believed_climbs_to_its_true_level():
    points = [LevelPoint(START + timedelta(days=4 * n), 2.0, expected_share(2.9, 2.0)) for n in range(14)]
    levels = [day.after.level for day in trace_level(2.0, None, points).days]
    assert levels == sorted(levels)
    assert levels[-1] == pytest.approx(2.9, abs=0.15)


def test_a_gap_without_results_widens_the_doubt():
    close = [LevelPoint(START, 2.0, 0.84), LevelPoint(START + timedelta(days=1), 2.0, 0.84)]
    apart = [LevelPoint(START, 2.0, 0.84), LevelPoint(START + timedelta(days=300), 2.0, 0.84)]
    assert trace_level(2.0, None, apart).now.error > trace_level(2.0, None, close).now.error


def test_the_forecast_grows_steadily_and_its_doubt_with_the_root_of_time():
    level, error = forecast_level(2.0, None, 16)
    assert level == pytest.approx(2.0 + 16 * GROWTH_A_WEEK)
    assert error == pytest.approx(math.hypot(DEFAULT_ERROR, DRIFT_A_WEEK * 4))
    assert forecast_level(5.95, 0.1, 100)[0] == 6.0
