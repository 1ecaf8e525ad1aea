"""The simulated sections are what they say, and the belief finds their levels."""

from dataclasses import replace

import numpy as np
import pytest

from planner.levels.curve import expected_share
from planner.levels.history import LevelPoint
from tests.benchmarks.section_levels import (
    DAYS,
    PLAIN,
    REPORTED_ON,
    Change,
    Life,
    World,
    after_jumps,
    covers,
    figures,
    jumping,
    levels_by_elo,
    levels_by_glicko2,
    levels_by_mean,
    levels_of,
    miss,
    sections,
    traced,
)
from tests.checks import some

SURE = World(part_error=0.0, sway=0.0, off=0.0, bars=(400, 400), clusters=0.0, guess=0.0)


def test_a_seed_gives_the_same_sections_again():
    assert sections(5, count=3) == sections(5, count=3)
    assert sections(5, count=3) != sections(6, count=3)


def test_a_paired_section_differs_by_the_change_alone():
    usual = sections(5, count=4)
    jumped = sections(5, change=jumping, count=4)
    lowered = sections(5, change=lambda rng: Change(lower_on=7), count=4)
    for life, after, low in zip(some(usual), jumped, lowered, strict=True):
        at = after.jump
        assert life.truth[:at] == after.truth[:at]
        assert [abs(b - a) for a, b in zip(life.truth[at:], after.truth[at:], strict=True)] == pytest.approx(
            [0.8] * (DAYS - at)
        )
        assert low.truth == life.truth
        day = life.on[7]
        for one, other in zip(some(life.results), low.results, strict=True):
            assert replace(one, share=0.0) == replace(other, share=0.0)
            assert other.share <= one.share if one.on == day else other.share == one.share


def test_shares_follow_the_curve_in_a_world_without_chance():
    for life in some(sections(3, SURE, count=5)):
        truth = dict(zip(life.on, life.truth, strict=True))
        for point in some(life.results):
            assert point.share == pytest.approx(expected_share(truth[point.on], point.part_level), abs=0.08)


def test_the_spreads_of_the_world_are_those_it_names():
    results = [point for life in sections(4, World(sway=0.0, off=0.0), count=150) for point in life.results]
    assert 0.3 < np.mean([point.share for point in results]) < 0.95
    assert {round(point.share * 20) / 20 == point.share for point in results} == {True}
    starts = [life.start - life.truth[0] for life in sections(4, count=150)]
    assert np.std(starts) == pytest.approx(1.2 / 3**0.5, abs=0.08)


def test_rivals_find_a_level_that_stays():
    start = sections(3, SURE, count=1)[0]
    share = expected_share(3.0, 2.5)
    life = Life(2.5, tuple(LevelPoint(on, 2.5, share, 0.3) for on in start.on), (3.0,) * DAYS)
    found = (levels_by_elo(life, 1.0), levels_by_glicko2(life, 3.0, 0.4, 0.5), levels_by_mean(life))
    for levels in found:
        assert len(levels) == DAYS
        assert levels[-1] == pytest.approx(3.0, abs=0.1)


def test_a_small_draw_is_found_and_covered():
    """Few sections, wide bounds: a belief that is worth nothing misses them all the same."""
    lives, jumped = sections(8, count=30), sections(8, change=jumping, count=30)
    traces = traced(lives)
    assert miss(levels_of(traces), lives) < 0.42
    assert miss(levels_of(traces), lives) < miss([levels_by_elo(life, 1.0) for life in lives], lives)
    assert np.mean([covers(*each, 30) for each in zip(traces, lives, strict=True)]) > 0.8
    assert after_jumps(traced(jumped), jumped) < 0.4


@pytest.mark.slow
def test_the_figures_reach_their_floors():
    rows = list(figures(REPORTED_ON, PLAIN, "", has_floors=True))
    assert {row.name for row in some(rows) if not row.holds} == set()
