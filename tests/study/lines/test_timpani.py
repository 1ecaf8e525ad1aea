"""Tuning four drums: never more changes than needed, against every way to play the strokes."""

from itertools import pairwise, product

import numpy as np
import pytest

from planner.core.pitch import Pitch
from planner.study.lines.timpani import DRUM_RANGES, Stroke, retunings


def midi(names):
    return [int(Pitch.parse(name).midi) for name in names.split()]


def strokes(pitches, length=1.0):
    """One stroke a second; chords as tuples."""
    return [
        Stroke(pitch if isinstance(pitch, tuple) else (pitch,), float(at), at + length)
        for at, pitch in enumerate(pitches)
    ]


def fewest(pitches, ranges):
    """The least number of changes over every choice of a drum for every stroke."""
    able = [[d for d, (low, high) in enumerate(ranges) if low <= pitch <= high] for pitch in pitches]
    return min(
        sum(
            sum(
                a != b
                for a, b in pairwise(pitch for pitch, on in zip(pitches, drums, strict=True) if on == d)
            )
            for d in range(len(ranges))
        )
        for drums in product(*able)
    )


@pytest.mark.parametrize(
    ("ranges", "length"),
    [(DRUM_RANGES, 6), (DRUM_RANGES[1:3], 9), (DRUM_RANGES[:3], 7), (((36, 57),) * 2, 8)],
)
def test_no_way_to_play_the_strokes_needs_fewer_changes(ranges, length):
    random = np.random.default_rng(length)
    lowest, highest = min(low for low, _ in ranges), max(high for _, high in ranges)
    needed = []
    for _ in range(40):
        few = random.integers(lowest, highest + 1, 5)
        pitches = random.choice(few, length).tolist()
        needed.append(fewest(pitches, ranges))
        assert len(retunings(strokes(pitches), ranges)) == needed[-1]
    assert max(needed) > 0


# Four drums: F2 to A2 below, then to C3, F3 and A3 above; each tuned before the first note.
@pytest.mark.parametrize(
    ("pitches", "changes"),
    [
        ("G2 C3 D3 G3", []),
        ("G2 C3 G2 D3 C3 G3 F3", [(6, "D3", "F3")]),  # G3 has only just been struck
        ("G2 C3 G2 D3 C3 G3 F#3", [(6, "G3", "F#3")]),  # only the smallest drum has F♯3
        ("F2 G2 C3 F3", []),  # F and G both fit the two lower drums
        ("A2 B2 C3", []),  # the B♭ to F drum takes C
    ],
)
def test_drums_that_can_take_a_pitch_are_not_wasted(pitches, changes):
    found = [(each.at, each.before, each.after) for each in retunings(strokes(midi(pitches)))]
    assert found == [(at, *midi(f"{old} {new}")) for at, old, new in changes]


def test_of_ways_with_as_few_changes_the_one_with_time_is_taken():
    """E♭3 may replace D3 or G3; D3 was struck five seconds ago, G3 has only just ended."""
    [change] = retunings(strokes(midi("G2 C3 D3 G3 C3 G2 G3 Eb3")), enough_s=4.0)
    assert (change.before, change.after, change.seconds) == (*midi("D3 Eb3"), 4.0)


def test_a_pitch_that_no_drum_has_and_two_pitches_of_one_drum_are_passed_over():
    assert retunings(strokes(midi("C2 C4 G2"))) == ()
    assert retunings(strokes([(36, 37), (43,)]), ((36, 45),)) == ()


def test_two_pitches_at_once_take_two_drums():
    """A2 and C3 together leave B♭2 to the third drum, which must give up E3 for it."""
    together = strokes([(45, 48), (52,), (57,), (46, 57)])
    assert len(retunings(together)) == 1
    assert len(retunings(strokes([(43, 48), (43, 48)]))) == 0
