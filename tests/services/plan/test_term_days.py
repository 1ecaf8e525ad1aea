"""What each reading day aims at: the line of the term, easier days, days that differ."""

from datetime import date

import pytest

from planner.core.ensemble import Ensemble, Section
from planner.core.term import DayShape, Station, Term
from planner.levels.history import LevelBelief
from planner.services.plan.term_days import easier_days, line_of, mean_levels, plan_days

BAND = Ensemble(
    1, "Band", sections=(Section(1, "Flute", "flute", size=9), Section(2, "Tuba", "tuba", size=1))
)
FIRST = date(2026, 9, 1)


def term(last=date(2026, 9, 29), **changes):
    return Term(1, 1, "Autumn", FIRST, last, (1,), **changes)


def beliefs(one, count, levels=(2.0, 3.0)):
    return {
        i: tuple(LevelBelief(level + 0.02 * n, 0.3, 0.0, 0.0) for n in range(count))
        for i, level in zip((1, 2), levels, strict=True)
    }


def stretches(one, **how):
    count = len(one.reading_dates())
    return [day.stretch for day in plan_days(one, BAND, beliefs(one, count, **how), ())]


def test_without_a_line_every_day_aims_at_the_sections_own_levels():
    assert stretches(term()) == [0.0] * 5
    assert [round(day.aim, 4) for day in plan_days(term(), BAND, beliefs(term(), 5), ())] == [0.8413] * 5


def test_every_section_counts_once_for_the_mean():
    assert mean_levels(term(), BAND, beliefs(term(), 5))[0] == 2.5


def test_a_line_may_rise_rest_and_dip():
    """From 2.4 to 2.8 on the 8th, to 2.6 on the 22nd, to 3.0 at the end: read off a drawn line."""
    line = term(
        start_level=2.4,
        target_level=3.0,
        aims=((date(2026, 9, 8), 2.8), (date(2026, 9, 15), 2.8), (date(2026, 9, 22), 2.6)),
    )
    assert line_of(line, (2.5,) * 5) == pytest.approx((2.4, 2.8, 2.8, 2.6, 3.0))
    assert stretches(line) == pytest.approx([-0.1, 0.28, 0.26, 0.04, 0.42])


def test_where_only_the_end_is_set_the_line_begins_at_the_sections():
    assert line_of(term(target_level=3.3), (2.5, 2.5, 2.5, 2.5, 2.5)) == pytest.approx(
        (2.5, 2.7, 2.9, 3.1, 3.3)
    )


def test_a_line_beyond_reach_still_aims_at_what_is_just_readable():
    aims = [day.aim for day in plan_days(term(target_level=6.0), BAND, beliefs(term(), 5), ())]
    assert aims[-1] == pytest.approx(0.70, abs=1e-3)
    aims = [day.aim for day in plan_days(term(target_level=0.5), BAND, beliefs(term(), 5), ())]
    assert aims[-1] == pytest.approx(0.95, abs=1e-3)


def test_the_reading_before_a_concert_and_the_first_after_a_break_are_easier():
    off = (date(2026, 9, 15),)
    on = term(days_off=off, concerts=(date(2026, 9, 5), date(2026, 12, 1)))
    assert easier_days(on) == {date(2026, 9, 1), date(2026, 9, 22)}
    assert stretches(on) == [-0.3, 0.0, -0.3, 0.0]


def test_a_week_between_readings_is_no_break():
    assert easier_days(term()) == frozenset()


def test_days_that_differ_keep_their_shape():
    stations = (Station("Winds", (1,)), Station("Brass", (2,)))
    shapes = (
        DayShape(date(2026, 9, 8), minutes=25.0, slots=2, stations=stations),
        DayShape(date(2026, 9, 15), absent=(2,)),
    )
    days = plan_days(term(shapes=shapes), BAND, beliefs(term(), 5), {FIRST})
    assert [(day.minutes, day.slots) for day in days] == [
        (10.0, 1),
        (25.0, 2),
        (10.0, 1),
        (10.0, 1),
        (10.0, 1),
    ]
    assert [day.is_settled for day in days] == [True, False, False, False, False]
    assert days[1].stations == stations
    assert days[2].absent == {2}
