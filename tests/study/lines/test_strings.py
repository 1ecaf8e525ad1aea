"""Strings, fourth finger and open strings, against method books (common practice) and every fingering."""

from itertools import product

import numpy as np
import pytest

from planner.core.pitch import Pitch
from planner.study.lines.strings import STRINGS, positions_needed, strings_skipped, strings_used


def midi(names):
    return np.array([int(Pitch.parse(name).midi) for name in names.split()])


def skipped(group, music, highest=1, near=None):
    notes = midi(music)
    every = np.ones(len(notes) - 1, dtype=bool) if near is None else np.array(near)
    return strings_skipped(group, notes, every, highest).tolist()


def test_positions_of_a_violin():
    # First position ends at B5 on the E string, third at D6 (string method books, common practice).
    assert positions_needed("violin", midi("B5 D6 E5 G3")).tolist() == [1, 3, 1, 1]


@pytest.mark.parametrize(
    ("group", "music", "jumps"),
    [
        ("violin", "D4 E5 D4", [0, 0]),  # the fourth finger on the A string
        ("violin", "G3 A4 G3", [0, 0]),  # the fourth finger on the D string
        ("violin", "G3 E5 G3", [1, 1]),  # the A string at the nearest
        ("violin", "G3 B4 G3", [1, 1]),  # B4 is first finger on A, above the reach of D
        ("violin", "A3 B4 A3", [1, 1]),
        ("violin", "A4 E5 B5", [0, 0]),
        ("viola", "C3 D4 C3", [0, 0]),
        ("cello", "C2 D3 C2", [1, 1]),  # no fourth finger stands in for an open string in first position
        ("cello", "C2 G2 D3", [0, 0]),
        ("double-bass", "E2 D3 E2", [1, 1]),
        ("double-bass", "E2 C#3 E2", [0, 0]),  # fourth finger on the A string
    ],
)
def test_a_jump_over_a_string_only_where_no_fingering_in_first_position_avoids_it(group, music, jumps):
    assert skipped(group, music) == jumps


def test_a_higher_position_saves_a_jump_that_first_position_has():
    assert skipped("violin", "G3 B4 G3", highest=1) == [1, 1]
    assert skipped("violin", "G3 B4 G3", highest=3) == [0, 0], "third position on the D string"


def test_a_note_above_the_position_allowed_lies_on_the_highest_string():
    assert strings_used("violin", midi("E6 F6"), np.array([True])).tolist() == [3, 3]


def test_notes_below_the_instrument_lie_nowhere():
    assert strings_used("violin", midi("F3 G3"), np.array([True])).tolist() == [-1, 0]
    assert skipped("violin", "F3 E5") == [0]


def test_no_fingering_of_first_position_has_fewer_jumps():
    """Every choice of strings for short lines: open, or up to a fifth above the open string."""
    random = np.random.default_rng(5)
    for _ in range(80):
        notes = random.integers(55, 84, 5)
        choices = [
            [s for s, low in enumerate(STRINGS["violin"]) if 0 <= note - low <= 7] for note in notes.tolist()
        ]
        near = random.random(4) < 0.8
        least = min(
            sum(max(0, abs(path[at + 1] - path[at]) - 1) for at in range(4) if near[at])
            for path in product(*choices)
        )
        assert int(strings_skipped("violin", notes, near)[near].sum()) == least
