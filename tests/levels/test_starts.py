"""Where a section's level starts, against the rules it is taken from."""

import pytest

from planner.levels.belief import DEFAULT_ERROR
from planner.levels.curve import TARGET_SHARE
from planner.levels.forecast import GROWTH_A_WEEK
from planner.levels.starts import start_from_last_year, start_from_placement, start_from_years


def test_starts_rise_with_the_years_played():
    levels = [start_from_years(years / 2)[0] for years in range(60)]
    assert levels == sorted(levels)
    assert (levels[0], levels[-1]) == (0.5, 5.5)
    # Sources: Michigan, District 10 (2025): middle schools read 1 to 3, high schools 4 to 6. A page of rules
    # (tapestrymusic.com): a level below what they perform, which is 2 in eighth grade and 4 as seniors.
    for years, low, high in ((3, 1, 3), (7, 3, 5)):
        level, error = start_from_years(years)
        assert low <= level <= high
        assert error >= 0.5


def test_a_summer_costs_a_month_and_new_players_widen_the_doubt():
    level, error = start_from_last_year(2.5, 0.2, 10)
    assert level == pytest.approx(2.5 - 4 * GROWTH_A_WEEK)
    assert error > 0.3
    assert start_from_last_year(2.5, 0.2, 0) == (2.5, 0.2)
    assert start_from_last_year(2.5, None, 10)[1] > DEFAULT_ERROR
    assert start_from_last_year(0.5, 0.2, 10)[0] == 0.5


def test_a_placement_says_more_the_surer_its_part():
    assert start_from_placement(2.0, TARGET_SHARE)[0] == pytest.approx(2.0, abs=0.1)
    levels = [start_from_placement(2.0, share / 20)[0] for share in range(21)]
    assert levels == sorted(levels)
    assert start_from_placement(2.0, 0.8, 0.3)[1] < start_from_placement(2.0, 0.8, 0.9)[1] < 1.0
