"""Counting aloud as it is taught in band rooms.

Source: common practice ("1 e & a", "1 la li", 6/8 in six).
"""

from fractions import Fraction

import pytest

from planner.wording.counting import counts_of, counts_under

F = Fraction
FOUR = [F(beat) for beat in range(4)]
SIX_EIGHT = [F(0), F(3, 2)]


@pytest.mark.parametrize(
    ("attacks", "pulses", "bar", "spoken"),
    [
        ((0, 1, 2, 3), FOUR, 4, "1 2 3 4"),
        ((0, 2), FOUR, 4, "1 (2) 3 (4)"),
        ((0, F(3, 2), 2), FOUR, 4, "1 (2) & 3 (4)"),
        ((0, F(1, 4), F(1, 2), F(3, 4), 1, 2, 3), FOUR, 4, "1 e & a 2 3 4"),
        ((0, F(1, 3), F(2, 3), 1), FOUR[:2], 2, "1 la li 2"),
        ((F(1, 2), F(3, 2)), FOUR[:2], 2, "(1) & (2) &"),
        ((0, 1, F(3, 2), F(5, 2)), SIX_EIGHT, 3, "1 (2) 3 4 (5) 6"),
        ((0, F(1, 4)), SIX_EIGHT, 3, "1 & (2) (3) (4) (5) (6)"),
        ((0, 1, 2), [F(0), F(1), F(2)], F(7, 2), "1 (2) 1 (2) 1 (2) (3)"),
        ((0, 2), [F(0), F(2)], 4, "1 2"),
        ((0, 1, 2, 3), [F(0), F(2)], 4, "1 & 2 &"),
    ],
)
def test_each_note_has_its_count_and_a_count_without_a_note_stands_in_brackets(attacks, pulses, bar, spoken):
    found = counts_under([F(at) for at in attacks], pulses, F(bar))
    assert " ".join(word for _, word in found) == spoken
    assert [at for at, word in found if not word.startswith("(")] == [F(at) for at in attacks]


def test_what_has_no_count_is_not_counted():
    assert counts_under([F(0), F(1, 5)], FOUR, F(4)) == ()


@pytest.mark.parametrize(("pulses", "bar"), [(FOUR, 4), (SIX_EIGHT, 3), ([F(0), F(1), F(5, 2)], F(7, 2))])
def test_counts_fill_the_bar(pulses, bar):
    counts = counts_of(pulses, F(bar))
    assert sum(length for _, length, _ in counts) == bar
    assert [start for start, _, _ in counts] == sorted({start for start, _, _ in counts})
