"""Music is known again in another key, octave, rhythm of values or order of parts, and strangers are not."""

import random
from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.fingerprint import MOST_TURNS, Fingerprint, Kin
from planner.study.form.fingerprint import find_fingerprint
from planner.study.form.kinship import find_likenesses
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.variations import a_fifth, by_octaves, first_measures, in_other_values

STEPS = ("C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5", "E5")


def tune(seed, bars=16, name="Flute"):
    rng = random.Random(seed)
    return make_part(
        " | ".join(
            " ".join(f"{rng.choice(STEPS)}*{rng.choice(('1', '2'))}" for _ in range(4)) for _ in range(bars)
        ),
        name=name,
    )


def kin(*scores):
    prints = {at: find_fingerprint(columns_of(score)) for at, score in enumerate(scores)}
    return {(one.piece_id, one.other_id): one.kin for one in find_likenesses(prints, frozenset(prints))}


@pytest.fixture
def duet():
    return make_score(tune(1), tune(2, name="Oboe"))


def test_copies_are_known_again(duet):
    other_order = replace(duet, parts=tuple(by_octaves(part, -1) for part in reversed(duet.parts)))
    for copy in (a_fifth(duet), other_order, first_measures(duet, 9), in_other_values(duet, Fraction(2))):
        assert kin(duet, copy) == {(0, 1): Kin.SAME}


def test_another_setting_of_the_tune_is_only_related(duet):
    setting = make_score(tune(1), tune(3, name="Oboe"), tune(4, name="Horn"), tune(5, name="Cello"))
    assert kin(duet, setting) == {(0, 1): Kin.TUNE}


def test_strangers_and_what_is_everybodys_are_not_alike(duet):
    scale = " | ".join(["C4 D4 E4 F4 G4 A4 B4 C5"] * 16)
    assert kin(duet, make_score(tune(6), tune(7, name="Oboe"))) == {}
    assert kin(make_score(make_part(scale)), make_score(make_part(scale))) == {}


def test_too_little_music_is_not_judged():
    assert kin(make_score(tune(1, bars=4)), make_score(tune(1, bars=4))) == {}


def test_a_part_of_a_long_piece_is_known_by_the_turns_that_were_kept():
    long = tuple(range(0, 40 * MOST_TURNS, 40))
    part = tuple(turn for turn in range(0, 80 * MOST_TURNS, 40) if turn % 3 == 0)
    prints = {1: Fingerprint(long, (), ()), 2: Fingerprint(part[:MOST_TURNS], (), ()), 3: Fingerprint()}
    (found,) = find_likenesses(prints, frozenset({2}))
    assert (found.piece_id, found.other_id, found.kin, found.share) == (1, 2, Kin.SAME, 1.0)
