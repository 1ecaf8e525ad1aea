"""Units of musical time, and the metronome series."""

from bisect import bisect_left
from fractions import Fraction

Quarters = Fraction
"""Score time: exact quarter notes."""

METRONOME_MARKS: tuple[int, ...] = (
    *range(40, 60, 2),
    *range(60, 72, 3),
    *range(72, 120, 4),
    *range(120, 144, 6),
    *range(144, 209, 8),
)
"""The 39 marks of the traditional metronome, in beats per minute.

Source: common practice: the series on mechanical metronomes, in steps of 2, 3, 4, 6 and 8.
"""


def nearest_mark(bpm: float) -> int:
    """The metronome mark nearest to a tempo; the slower one when two are equally near.

    Args:
        bpm: Beats per minute, above 0. Outside 40-208 the end mark is returned.

    Example:
        >>> nearest_mark(97)
        96
    """
    return min(METRONOME_MARKS, key=lambda mark: (abs(mark - bpm), mark))


def marks_below(bpm: float, marks: int) -> int:
    """The metronome mark a number of steps below a tempo (never below the slowest, 40).

    Args:
        bpm: Beats per minute; first rounded down to a mark.
        marks: How many marks to go down, 0 or more.

    Example:
        >>> marks_below(96, 3)
        84
    """
    at = bisect_left(METRONOME_MARKS, bpm)
    if at == len(METRONOME_MARKS) or METRONOME_MARKS[at] != bpm:
        at -= 1
    return METRONOME_MARKS[max(0, at - marks)]
