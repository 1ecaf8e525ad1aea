"""The ranking of candidates, reckoned by hand: levels, parts nobody reads, ranges."""

from dataclasses import replace
from math import erfc, exp, sqrt

from planner.core.profile import PartProfile
from planner.levels.curve import SLOPE, TARGET_LOGIT
from planner.levels.readable import LOST_GAP
from tests.services.match.test_match_pieces import add, matched
from tests.services.term.library_for_plans import BAND, make_library, make_piece_profile

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


def of_gaps(*gaps):
    """Cost of parts so far above their sections: off the aim, the worst, each and the middle; out; lost."""
    shares = [1 / (1 + exp(SLOPE * gap - TARGET_LOGIT)) for gap in gaps]
    squares = [(10 * (share - 0.8413)) ** 2 for share in shares]
    middle = (10 * (sum(shares) / len(shares) - 0.8413)) ** 2
    out = sum(not 0.7 <= share <= 0.95 for share in shares) / len(shares)
    lost = max(0.5 * erfc((LOST_GAP - gap) / (0.75 * sqrt(2))) for gap in gaps)
    own = 30 * max(squares) + 30 * sum(squares) / len(squares)
    return round(own + 60 * middle + 100 * out + 100 * lost)


def test_the_band_of_these_tests_is_as_the_sums_take_it():
    assert (SIZES, LEVELS) == ([3, 3, 4, 3], [2.2, 2.0, 1.7, 2.0])


def test_parts_on_their_sections_levels_cost_only_the_doubt_about_the_sections():
    assert cost_of(*LEVELS) == of_gaps(0, 0, 0, 0) == 4


def test_levels_off_cost_their_squares_whoever_reads_them():
    assert cost_of(2.2, 2.4, 1.7, 2.0) == of_gaps(0, 0.4, 0, 0)
    assert cost_of(2.2, 1.6, 1.7, 2.0) == of_gaps(0, -0.4, 0, 0)
    assert cost_of(2.5, 1.5, 1.9, 2.1) == of_gaps(0.3, -0.5, 0.2, 0.1)


def test_parts_nobody_reads_cost_by_their_share_of_all_parts():
    tuba = PartProfile("Tuba", "tuba", 0, 40, ("Bb1", "Bb2"), ("Bb1", "Bb2"), 2.0)
    assert cost_of(*LEVELS, more=(tuba,)) == of_gaps(0, 0, 0, 0) + 150 / 5
    harp = PartProfile("Harp", "harp", 0, 40, ("C4", "C5"), ("C4", "C5"), 2.0)
    assert cost_of(*LEVELS, more=(tuba, harp)) == of_gaps(0, 0, 0, 0) + 150 * 2 / 6


def test_parts_out_of_comfortable_range_cost_by_their_share_of_the_sections():
    high = {"written_range": ("C4", "C6"), "sounding_range": ("Bb3", "Bb5")}
    assert cost_of(*LEVELS, parts={3: high}) == of_gaps(0, 0, 0, 0) + 40 / 4


def test_a_part_without_a_level_says_nothing_of_the_ranking():
    assert cost_of(2.2, 2.4, None, 2.0) == of_gaps(0, 0.4, 0)
