"""The cheapest way along a line where each note can be played in several places on the instrument."""

import numpy as np

from planner.study.notes.columns import Bools, Floats, Ints

NOWHERE = -1
"""Stands for the place of a note that the instrument does not have."""


def cheapest_path(own: Floats, move: Floats, joined: Bools) -> Ints:
    """The place of each note for which all moves and places together cost least; exact.

    A note that can be played nowhere parts the line: what comes after it begins anew.

    Args:
        own: Shape ``(n_notes, n_places)``: what playing a note in a place costs, at least 0; infinity where
            it cannot be played.
        move: Shape ``(n_places, n_places)``: what going from one to the next costs, at least 0.
        joined: Shape ``(n_notes - 1,)``: False where a rest gives time, so that the move costs nothing.

    Returns:
        Shape ``(n_notes,)``: index of the place, ``NOWHERE`` without one.

    Example:
        >>> own = np.array([[0, np.inf], [0, 0], [np.inf, 0]])
        >>> cheapest_path(own, np.array([[0.0, 3.0], [3.0, 0.0]]), np.array([True, False])).tolist()
        [0, 0, 1]
    """
    known = np.asarray(np.isfinite(own).any(axis=1), dtype=np.bool_)
    costs, came = own.copy(), np.zeros(own.shape, dtype=np.int64)
    free = np.zeros_like(move)
    for at in range(1, len(own)):
        if known[at] and known[at - 1]:
            total = costs[at - 1][:, None] + (move if joined[at - 1] else free)
            came[at] = total.argmin(axis=0)
            costs[at] += total.min(axis=0)
    path = np.full(len(own), NOWHERE, dtype=np.int64)
    for at in range(len(own) - 1, -1, -1):
        if known[at]:
            goes_on = at + 1 < len(own) and known[at + 1]
            path[at] = came[at + 1][path[at + 1]] if goes_on else costs[at].argmin()
    return path
