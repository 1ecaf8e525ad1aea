"""The strings of a bowed instrument: where each note lies, fourth finger and open strings included."""

from functools import lru_cache

import numpy as np

from planner.study.lines.cheapest import NOWHERE, cheapest_path
from planner.study.notes.columns import Bools, Floats, Ints

STRINGS: dict[str, tuple[int, ...]] = {
    "violin": (55, 62, 69, 76), "viola": (48, 55, 62, 69), "cello": (36, 43, 50, 57),
    "double-bass": (40, 45, 50, 55),
}  # fmt: skip
"""Written MIDI numbers of the open strings. Source: common practice."""
REACH: dict[str, tuple[int, ...]] = {
    "violin": (7, 9, 11, 12, 14, 16, 17, 19), "viola": (7, 9, 11, 12, 14, 16, 17, 19),
    "cello": (5, 7, 9, 10, 12, 14, 16), "double-bass": (4, 5, 7, 9, 10, 12, 14),
}  # fmt: skip
"""Semitones above an open string within reach of the first, second, third … position. From memory."""
HAND: dict[str, int] = {"violin": 6, "viola": 6, "cello": 4, "double-bass": 3}
"""Semitones from the lowest note under a hand, first finger drawn back, to its highest. From memory."""

_JUMP, _SHIFT, _CROSSING = 10_000.0, 20.0, 1.0
"""Jumps over a string weigh more than any number of shifts, a shift more than crossings. House choice."""

Place = tuple[int, int]
"""A string, 0 the lowest, and a position of the hand from 1."""


@lru_cache(maxsize=64)
def _places(group: str, highest: int) -> tuple[Place, ...]:
    return tuple(
        (string, position) for position in range(1, highest + 1) for string in range(len(STRINGS[group]))
    )


@lru_cache(maxsize=4096)
def _costs(group: str, highest: int, note: int) -> tuple[float, ...]:
    """What each place costs for a note: nothing, or infinity where it does not lie under the hand."""
    return tuple(0.0 if _lies(group, note, place) else float("inf") for place in _places(group, highest))


def _lies(group: str, note: int, place: Place) -> bool:
    """Whether a note is an open string, or under a hand in a position."""
    string, position = place
    above, reach = note - STRINGS[group][string], REACH[group][position - 1]
    return above == 0 or max(1, reach - HAND[group]) <= above <= reach


def positions_needed(group: str, notes: Ints) -> Ints:
    """Lowest left-hand position in which each note can be played; 0 below the open strings.

    Above the highest position of ``REACH`` it is one more than that.

    Example:
        >>> positions_needed("violin", np.array([83, 86, 76, 54])).tolist()  # B5 D6 E5 F♯3
        [1, 3, 1, 0]
    """
    strings, reach = np.array(STRINGS[group]), np.array(REACH[group])
    string = np.searchsorted(strings, notes, side="right") - 1
    above = notes - strings[np.maximum(string, 0)]
    place = np.where(string >= 0, np.searchsorted(reach, above, side="left") + 1, 0)
    found: Ints = np.where(above == 0, 1, place)
    return found


def strings_used(group: str, notes: Ints, near: Bools, highest: int = 1) -> Ints:
    """The string of each written note, 0 the lowest and -1 for none: as few jumps over a string as can be.

    Then as few shifts, then as few changes of string. The fourth finger stands in for the open string above
    it, and a note within reach of several positions may be taken in any of them.

    Args:
        group: Instrument group of ``STRINGS``.
        notes: Written MIDI numbers.
        near: For each pair of neighbours, whether the second follows without a real rest.
        highest: Highest position of the hand; a note that lies above it is taken on the highest string.

    Example:
        >>> strings_used("violin", np.array([62, 76, 62]), np.array([True, True])).tolist()  # D4 E5 D4
        [1, 2, 1]
    """
    highest = min(max(1, highest), len(REACH[group]))
    places = _places(group, highest)
    own = np.array([_costs(group, highest, note) for note in notes.tolist()]).reshape(-1, len(places))
    top = len(STRINGS[group]) - 1
    beyond = np.isinf(own).all(axis=1) & (notes > STRINGS[group][top])
    own[np.ix_(beyond, [places.index((top, highest))])] = 0.0
    path = cheapest_path(own, _moves(group, highest), near)
    string = np.array([place[0] for place in places])
    return np.where(path == NOWHERE, NOWHERE, string[path])


@lru_cache(maxsize=64)
def _moves(group: str, highest: int) -> Floats:
    string, position = np.array(_places(group, highest)).T
    across = np.abs(string[:, None] - string[None, :])
    shift = position[:, None] != position[None, :]
    return np.asarray(_JUMP * np.maximum(0, across - 1) + _SHIFT * shift + _CROSSING * across, dtype=float)


def strings_skipped(group: str, notes: Ints, near: Bools, highest: int = 1) -> Ints:
    """Strings jumped over between neighbouring notes on that path; 0 without strings or off them."""
    if group not in STRINGS or len(notes) < 2:
        return np.zeros(max(0, len(notes) - 1), dtype=np.int64)
    used = strings_used(group, notes, near, highest)
    known = (used[1:] != NOWHERE) & (used[:-1] != NOWHERE)
    return np.asarray(np.where(known, np.maximum(0, np.abs(np.diff(used)) - 1), 0), dtype=np.int64)
