"""Plain questions of one-dimensional arrays, answered without the fixed cost of numpy's general functions.

Most parts of most pieces are short: there a call that looks after every shape and type costs more than its
work. Each function here gives what the named function of numpy gives for the arrays the study has.
"""

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from planner.study.notes.columns import Bools, Floats, Ints

Numbers = TypeVar("Numbers", bound=np.generic)


def _opens(ordered: NDArray[Any]) -> Bools:
    """Where another number begins in an ordered array."""
    opens = np.ones(len(ordered), dtype=np.bool_)
    np.not_equal(ordered[1:], ordered[:-1], out=opens[1:])
    return opens


def distinct(values: NDArray[Numbers]) -> NDArray[Numbers]:
    """The different numbers, ascending, as ``np.unique`` gives them.

    Example:
        >>> distinct(np.array([3, 1, 3])).tolist()
        [1, 3]
    """
    ordered = np.sort(values)
    return ordered[_opens(ordered)]


def first_places(values: NDArray[Numbers]) -> tuple[NDArray[Numbers], Ints]:
    """The different numbers, ascending, and where each stands first.

    Example:
        >>> [each.tolist() for each in first_places(np.array([3, 1, 3]))]
        [[1, 3], [1, 0]]
    """
    order = values.argsort(kind="stable")
    ordered = values[order]
    opens = _opens(ordered)
    return ordered[opens], order[opens]


def numbered(values: NDArray[Numbers]) -> tuple[NDArray[Numbers], Ints]:
    """The different numbers, ascending, and for each value the place of its number among them.

    Example:
        >>> [each.tolist() for each in numbered(np.array([3, 1, 3]))]
        [[1, 3], [1, 0, 1]]
    """
    order = values.argsort(kind="stable")
    ordered = values[order]
    opens = _opens(ordered)
    place = np.empty(len(values), dtype=np.int64)
    place[order] = opens.cumsum() - 1
    return ordered[opens], place


def counted(values: NDArray[Numbers]) -> tuple[NDArray[Numbers], Ints]:
    """The different numbers, ascending, and how often each stands there.

    Example:
        >>> [each.tolist() for each in counted(np.array([3, 1, 3]))]
        [[1, 3], [1, 2]]
    """
    ordered = np.sort(values)
    first = _opens(ordered).nonzero()[0]
    return ordered[first], differences(first, len(values))


def differences(values: Ints, end: int) -> Ints:
    """From each number to the next, and from the last to ``end``.

    Example:
        >>> differences(np.array([0, 2]), 5).tolist()
        [2, 3]
    """
    found = np.empty(len(values), dtype=np.int64)
    if len(found):
        np.subtract(values[1:], values[:-1], out=found[:-1])
        found[-1] = end - values[-1]
    return found


def borders_of(claim: Bools) -> Ints:
    """Where each unbroken stretch of True begins and, by turns, the place behind its end.

    Example:
        >>> borders_of(np.array([True, False, True, True])).tolist()
        [0, 1, 2, 4]
    """
    edges = np.zeros(len(claim) + 2, dtype=np.bool_)
    edges[1:-1] = claim
    return np.asarray((edges[1:] != edges[:-1]).nonzero()[0], dtype=np.int64)


def is_among(values: Ints, ascending: Ints) -> Bools:
    """For each value whether it is one of some numbers, which stand in ascending order.

    Example:
        >>> is_among(np.array([3, 4, 9]), np.array([1, 3])).tolist()
        [True, False, False]
    """
    if not len(ascending):
        return np.zeros(len(values), dtype=np.bool_)
    place = ascending.searchsorted(values)
    place[place == len(ascending)] = 0
    return np.asarray(ascending[place] == values, dtype=np.bool_)


def within(values: NDArray[Numbers], low: float | Ints, high: float) -> NDArray[Numbers]:
    """The values, those below ``low`` and above ``high`` set to these.

    Example:
        >>> within(np.array([-1, 1, 9]), 0, 4).tolist()
        [0, 1, 4]
    """
    held: NDArray[Numbers] = np.minimum(np.maximum(values, low), high)
    return held


def quantile(values: Floats, share: float) -> float:
    """What ``np.quantile`` gives for one or more numbers, between the two nearest in a straight line.

    Example:
        >>> quantile(np.array([4.0, 1.0, 2.0]), 0.75)
        3.0
    """
    ordered = np.sort(values)
    place = (len(ordered) - 1) * share
    at = int(place)
    low, high, way = float(ordered[at]), float(ordered[min(at + 1, len(ordered) - 1)]), place - at
    between = high - low
    return low + between * way if way < 0.5 else high - between * (1.0 - way)
