"""A director's own levels move the weights a little, and a published grade is weighed with ours."""

import pytest

from planner.core.difficulty import DIMENSIONS
from planner.core.profile import Contribution
from planner.levels.refit import (
    PUBLISHED_ERROR,
    Correction,
    refit,
    with_published_grade,
)
from planner.study.difficulty.weights import PLAYED
from tests.checks import some


def contributions(**levels):
    return tuple(Contribution(name, levels.get(name, 0.5), PLAYED.weights[name]) for name in DIMENSIONS)


def moved_by(found, fitted):
    """How far refitted weights move a level."""
    moves = dict(fitted.moves)
    return fitted.offset + sum(moves.get(c.name, 0.0) * (c.level - 0.5) for c in found)


def test_corrections_that_agree_change_nothing():
    pieces = [contributions(rhythm=r, key=k) for r in (1.0, 2.0, 4.0) for k in (1.0, 3.0)]
    found = refit([Correction(piece, 0.0) for piece in pieces])
    assert found.changes == ()
    assert found.offset == pytest.approx(0.0, abs=1e-6)


def test_a_director_who_finds_keys_harder_raises_that_weight_most():
    pieces = [contributions(key=k, rhythm=r) for k in (1.0, 2.0, 3.0, 4.0, 5.0) for r in (1.0, 3.0, 5.0)]
    hard = [Correction(p, 0.2 * (next(c.level for c in p if c.name == "key") - 3.0)) for p in pieces]
    found = refit(hard)
    assert found.changes[0].name == "key"
    assert found.changes[0].after > found.changes[0].before
    assert root_mean_square(hard, found) < root_mean_square(hard, refit(()))


def test_one_correction_moves_little_and_many_move_more():
    piece = contributions(rhythm=3.0, density=2.0)
    wish = Correction(piece, 1.0)
    few, many = (moved_by(piece, refit([wish] * n)) for n in (1, 40))
    assert 0.0 < few < many <= 1.01


def test_a_published_grade_pulls_by_its_certainty():
    level, error = with_published_grade(2.0, PUBLISHED_ERROR, 3.0)
    assert level == 2.5
    assert error < PUBLISHED_ERROR
    assert with_published_grade(2.0, 0.1, 3.0)[0] < 2.1
    assert with_published_grade(2.0, 0.5, None) == (2.0, 0.5)


def test_weights_and_offset_are_kept_to_a_thousandth_and_no_change_is_named_below_a_hundredth():
    piece = contributions(rhythm=3.1, density=2.3, key=1.7)
    found = refit([Correction(piece, 0.71)] * 4)
    assert some(found.moves)
    assert all(move == round(move, 3) for _, move in found.moves)
    assert found.offset == round(found.offset, 3) != round(found.offset, 2)
    moved = {name: move for name, move in found.moves if abs(move) > 0.0099}
    assert {change.name: change.after - change.before for change in found.changes} == pytest.approx(moved)
    sizes = [abs(change.after - change.before) for change in found.changes]
    assert sizes == sorted(sizes, reverse=True)


def root_mean_square(corrections, fitted):
    """How far the levels lie from the director's."""
    gaps = [each.difference - moved_by(each.contributions, fitted) for each in corrections]
    return (sum(gap**2 for gap in gaps) / len(gaps)) ** 0.5


def test_refitting_brings_the_levels_nearer_to_the_directors():
    pieces = [contributions(rhythm=level) for level in (1.5, 3.0)]
    wanted = [Correction(piece, more) for piece, more in zip(pieces, (0.3, 0.6), strict=True)]
    assert root_mean_square(wanted, refit(wanted)) < root_mean_square(wanted, refit(()))
