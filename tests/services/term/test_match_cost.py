"""The ranking of candidates, reckoned by hand: levels, parts nobody reads, ranges."""

from dataclasses import replace

import pytest

from planner.core.profile import PartProfile
from tests.services.term.library_for_plans import BAND, make_library, make_piece_profile
from tests.services.term.test_match_pieces import add, matched

SIZES = [section.size for section in BAND.sections]
LEVELS = [section.level for section in BAND.sections]


def cost_of(*levels, **changes):
    """What a piece costs whose parts have these levels, for flute, first and second clarinet and trumpet."""
    library, ensemble_id, _ = make_library(0)
    profile = make_piece_profile(1, 2.0, "key")
    parts = [replace(part, level=level) for part, level in zip(profile.parts, levels, strict=True)]
    for at, change in changes.pop("parts", {}).items():
        parts[at] = replace(parts[at], **change)
    add(library, replace(profile, parts=(*parts, *changes.get("more", ()))), "one")
    return matched(library, ensemble_id).candidates[0].outlook.cost


def off(*gaps):
    """Mean square over the players of 3, 3, 4 and 3: too easy counts a quarter."""
    return sum(n * g * g * (1.0 if g > 0 else 0.25) for n, g in zip(SIZES, gaps, strict=True)) / 13


def test_the_band_of_these_tests_is_as_the_sums_take_it():
    assert (SIZES, LEVELS) == ([3, 3, 4, 3], [2.2, 2.0, 1.7, 2.0])


def test_parts_on_their_sections_levels_cost_nothing():
    assert cost_of(*LEVELS) == 0


def test_levels_off_cost_their_squares_by_the_players_and_too_easy_a_quarter():
    assert cost_of(2.2, 2.4, 1.7, 2.0) == pytest.approx(off(0, 0.4, 0, 0), abs=1e-4)
    assert cost_of(2.2, 1.6, 1.7, 2.0) == pytest.approx(off(0, -0.4, 0, 0), abs=1e-4)
    assert cost_of(2.5, 1.5, 1.9, 2.1) == pytest.approx(off(0.3, -0.5, 0.2, 0.1), abs=1e-4)


def test_players_for_whom_it_is_too_hard_cost_half_their_share_besides():
    assert cost_of(2.2, 2.0, 2.9, 2.0) == pytest.approx(off(0, 0, 1.2, 0) + 0.5 * 4 / 13, abs=1e-4)


def test_parts_nobody_reads_cost_half_their_share_of_all_parts():
    tuba = PartProfile("Tuba", "tuba", 0, 40, ("Bb1", "Bb2"), ("Bb1", "Bb2"), 2.0)
    assert cost_of(*LEVELS, more=(tuba,)) == pytest.approx(0.5 / 5)
    harp = PartProfile("Harp", "harp", 0, 40, ("C4", "C5"), ("C4", "C5"), 2.0)
    assert cost_of(*LEVELS, more=(tuba, harp)) == pytest.approx(0.5 * 2 / 6, abs=1e-4)


def test_parts_out_of_comfortable_range_cost_a_tenth_of_their_share():
    high = {"written_range": ("C4", "C6"), "sounding_range": ("Bb3", "Bb5")}
    assert cost_of(*LEVELS, parts={3: high}) == pytest.approx(0.1 / 4)


def test_a_part_without_a_level_says_nothing_of_the_ranking():
    known = (3 * 0.16 + 0) / (13 - 4)
    assert cost_of(2.2, 2.4, None, 2.0) == pytest.approx(known, abs=1e-4)
