"""A director's own levels move the weights a little, and a published grade is weighed with ours."""

import pytest

from planner.core.profile import DIMENSIONS, Contribution
from planner.levels.refit import (
    PUBLISHED_ERROR,
    Correction,
    corrected_level,
    level_for_cast,
    refit,
    with_published_grade,
)
from planner.study.difficulty.weights import WEIGHTS, piece_level, weighted
from planner.study.study import study
from tests.builders import make_part, make_score


def contributions(**levels):
    return tuple(Contribution(name, levels.get(name, 0.5), WEIGHTS[name], "because") for name in DIMENSIONS)


def agreed(found):
    return piece_level(weighted({c.name: c.level for c in found}, WEIGHTS))


def test_corrections_that_agree_change_nothing():
    pieces = [contributions(rhythm=r, key=k) for r in (1.0, 2.0, 4.0) for k in (1.0, 3.0)]
    found = refit([Correction(piece, agreed(piece)) for piece in pieces])
    assert found.changes == ()
    assert found.offset == pytest.approx(0.0, abs=1e-6)


def test_a_director_who_finds_keys_harder_raises_that_weight_most():
    pieces = [contributions(key=k, rhythm=r) for k in (1.0, 2.0, 3.0, 4.0, 5.0) for r in (1.0, 3.0, 5.0)]
    hard = [
        Correction(p, agreed(p) + 0.2 * (next(c.level for c in p if c.name == "key") - 3.0)) for p in pieces
    ]
    found = refit(hard)
    assert found.changes[0].name == "key"
    assert found.changes[0].after > found.changes[0].before
    assert found.error_after < found.error_before


def test_one_correction_moves_little_and_many_move_more():
    piece = contributions(rhythm=3.0, density=2.0)
    wish = Correction(piece, agreed(piece) + 1.0)
    few, many = (corrected_level(piece, refit([wish] * n)) for n in (1, 40))
    assert agreed(piece) < few < many <= round(wish.level, 2) + 0.01


def test_a_published_grade_pulls_by_its_certainty():
    level, error = with_published_grade(2.0, PUBLISHED_ERROR, 3.0)
    assert level == 2.5
    assert error < PUBLISHED_ERROR
    assert with_published_grade(2.0, 0.1, 3.0)[0] < 2.1
    assert with_published_grade(2.0, 0.5, None) == (2.0, 0.5)


def test_leaving_out_the_hardest_part_lowers_the_piece():
    easy = make_part(" | ".join(["C5*4"] * 8), name="Easy")
    hard = make_part(" | ".join(["C4*1/4 G5*1/4 D4*1/4 A5*1/4 E4 B5*1/2 F4*1/2 C6"] * 8), name="Hard")
    profile = study(make_score(easy, hard))
    assert level_for_cast(profile, ["Easy", "Hard"]) == profile.level
    assert level_for_cast(profile, ["Easy"]) < profile.level
    assert level_for_cast(profile, []) is None
