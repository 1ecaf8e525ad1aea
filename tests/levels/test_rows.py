"""What makes a level, row by row, and what holds it elsewhere than its sum."""

from dataclasses import replace

import pytest

from planner.core.difficulty import DIMENSIONS, LevelCorrection, Measured, Quantity
from planner.core.profile import Contribution, PartProfile
from planner.levels.adjustment import fit_adjustment, in_force
from planner.levels.rows import SMALL_SHARE, HeldBy, rows_of
from planner.study.difficulty.weights import PLAYED
from tests.fakes import make_profile

FLAT = dict.fromkeys(DIMENSIONS, 1.6)


def contributions(levels):
    return tuple(
        Contribution(name, level, PLAYED.weights[name], (Measured(Quantity.ENTRANCES, at),))
        for at, (name, level) in enumerate(levels.items())
    )


def profile_of(levels, *, part_shift=0.0, piece_shift=0.0):
    total = PLAYED.total(levels)
    part = PartProfile(
        "Flute",
        "flute",
        0,
        9,
        None,
        None,
        round(total + part_shift, 2),
        contributions(levels),
        level_error=0.5,
    )
    level = round(total + piece_shift, 2)
    return make_profile(level=level, parts=(part,), contributions=contributions(levels))


def rows(profile, *own, grade=None):
    adjustment = fit_adjustment(())
    found = in_force(profile, adjustment, own, grade)
    return rows_of(found, profile, adjustment, own, grade)


def test_shares_add_up_and_small_ones_are_left_out():
    levels = FLAT | {"key": 6.0, "accidentals": 1.0, "meter": 0.6}
    _, (flute,) = rows(profile_of(levels))
    assert flute.base + sum(cell.share for cell in flute.cells) == pytest.approx(flute.total, abs=0.06)
    assert flute.makes[0].name == "key"
    shares = [cell.share for cell in flute.makes]
    assert shares == sorted(shares, reverse=True)
    assert min(shares) >= SMALL_SHARE > next(c.share for c in flute.cells if c.name == "meter")
    own = list(DIMENSIONS).index("key")
    assert flute.makes[0].contribution.evidence == (Measured(Quantity.ENTRANCES, own),)
    assert flute.held is None


def test_a_level_at_the_end_of_the_scale_is_not_its_sum():
    levels = dict.fromkeys(DIMENSIONS, 6.0)
    _, (flute,) = rows(profile_of(levels, part_shift=6.0 - PLAYED.total(levels)))
    assert (flute.level, flute.held) == (6.0, HeldBy.END)
    assert flute.total > 6.0


def test_a_published_grade_is_named_unless_the_director_set_the_level():
    profile = profile_of(FLAT)
    whole, _ = rows(profile, grade=4.0)
    assert (whole.held, whole.published_grade) == (HeldBy.PUBLISHED, 4.0)
    own, (flute,) = rows(profile, LevelCorrection(1, 3.0), grade=4.0)
    assert (own.is_own, own.level, own.held) == (True, 3.0, None)
    assert flute.held is HeldBy.PIECE


def test_what_shares_are_added_to_is_kept_to_a_hundredth_of_a_level():
    """The corrections add 0.123 to every level."""
    plain, profile = fit_adjustment(()), profile_of(FLAT)
    adjustment = replace(plain, refit=replace(plain.refit, offset=0.123))
    whole, (flute,) = rows_of(in_force(profile, plain, ()), profile, adjustment, ())
    assert flute.base == round(PLAYED.base + 0.123, 2)
    assert whole.base == pytest.approx(flute.base, abs=0.02)


def test_a_dimension_that_does_not_apply_has_no_cell_and_a_corrected_one_is_marked():
    levels = {name: level for name, level in FLAT.items() if name != "key"}
    _, (flute,) = rows(profile_of(levels), LevelCorrection(1, 2.5, "Flute", "rhythm"))
    by_name = dict(zip(DIMENSIONS, flute.cells, strict=True))
    assert by_name["key"] is None
    assert (by_name["rhythm"].level, by_name["rhythm"].studied, by_name["rhythm"].is_own) == (2.5, 1.6, True)
    assert not by_name["range"].is_own


def test_a_piece_nothing_is_known_of_has_a_row_without_a_level():
    bare = replace(make_profile(level=None), parts=(), contributions=())
    whole, parts = rows(bare)
    assert (whole.level, whole.makes, parts) == (None, (), ())
