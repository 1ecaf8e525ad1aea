"""Exact repeats in a string of numbers: suffix array, common prefixes, maximal repeats, tandem runs."""

from dataclasses import dataclass

import numpy as np

from planner.study.notes.arrays import borders_of, differences, numbered
from planner.study.notes.columns import Bools, Ints


@dataclass(frozen=True, slots=True)
class Repeat:
    """A stretch of ``length`` symbols found at each of ``starts`` (ascending, none overlapping another)."""

    length: int
    starts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Run:
    """A shape stated again at once: from ``start``, ``length`` places match the place ``period`` later."""

    start: int
    period: int
    length: int
    step: int

    @property
    def legs(self) -> int:
        """How often the shape is stated in full."""
        return 1 + self.length // self.period


def suffix_array(symbols: Ints) -> Ints:
    """Starts of the suffixes in sorted order, by prefix doubling.

    Example:
        >>> suffix_array(np.array([2, 1, 2, 1])).tolist()
        [3, 1, 2, 0]
    """
    count = len(symbols)
    if not count:
        return np.zeros(0, dtype=np.int64)
    rank = numbered(symbols)[1] + 1
    step = 1
    while True:
        after = np.zeros(count, dtype=np.int64)
        after[: count - step] = rank[step:] if step < count else 0
        pair = rank * (count + 2) + after
        order = np.argsort(pair, kind="stable")
        new, ordered = np.ones(count, dtype=np.int64), pair[order]
        new[order[1:]] += (ordered[1:] != ordered[:-1]).cumsum()
        rank, step = new, step * 2
        if new[order[-1]] == count or step >= count:
            return order.astype(np.int64)


def common_prefixes(symbols: Ints, order: Ints) -> list[int]:
    """Length of the prefix each suffix shares with the one before it in sorted order (first is 0)."""
    count = len(order)
    text, place = symbols.tolist(), order.tolist()
    rank = [0] * count
    for at, start in enumerate(place):
        rank[start] = at
    shared, length = [0] * count, 0
    for start in range(count):
        at = rank[start]
        if at == 0:
            length = 0
            continue
        other = place[at - 1]
        while (
            start + length < count and other + length < count and text[start + length] == text[other + length]
        ):
            length += 1
        shared[at] = length
        length = max(length - 1, 0)
    return shared


def maximal_repeats(symbols: Ints, *, least: int) -> tuple[Repeat, ...]:
    """Every repeat of at least ``least`` symbols that cannot be made longer without losing an appearance.

    Appearances that overlap an earlier one are left out; a repeat left with one appearance is not given.

    Example:
        >>> maximal_repeats(np.array([1, 2, 3, 9, 1, 2, 3]), least=2)
        (Repeat(length=3, starts=(0, 4)),)
    """
    order = suffix_array(symbols)
    shared = common_prefixes(symbols, order)
    text, place = symbols.tolist(), order.tolist()
    found: list[Repeat] = []
    stack: list[tuple[int, int]] = []
    for at in range(1, len(place) + 1):
        height = shared[at] if at < len(place) else 0
        left = at - 1
        while stack and stack[-1][0] > height:
            length, left = stack.pop()
            starts = place[left:at]
            if length >= least and len({text[s - 1] if s else None for s in starts}) > 1:
                found += _apart(length, sorted(starts))
        if height and (not stack or stack[-1][0] < height):
            stack.append((height, left))
    return tuple(sorted(found, key=lambda r: (-r.length, r.starts)))


def _apart(length: int, starts: list[int]) -> list[Repeat]:
    kept: list[int] = []
    for start in starts:
        if not kept or start >= kept[-1] + length:
            kept.append(start)
    return [Repeat(length, tuple(kept))] if len(kept) > 1 else []


def longest_stretch(claim: Bools) -> tuple[int, int]:
    """First index, and index behind the last, of the longest unbroken stretch of True.

    Example:
        >>> longest_stretch(np.array([True, False, True, True]))
        (2, 4)
    """
    edges = borders_of(claim)
    if not edges.size:
        return 0, 0
    longest = int(np.argmax(edges[1::2] - edges[::2]))
    return int(edges[2 * longest]), int(edges[2 * longest + 1])


def tandem_runs(values: Ints, rhythm: Ints, longest: int) -> list[Run]:
    """Maximal stretches where a shape comes again at once, shifted by one same step; short shapes first.

    ``values[i + period] - values[i]`` is the same along the stretch and ``rhythm`` repeats exactly, for each
    period up to ``longest`` symbols.
    """
    count = len(values)
    place = np.arange(count)
    later = place + np.arange(1, longest + 1)[:, None]
    inside = later < count
    later = np.where(inside, later, 0)
    same = inside & (rhythm[later] == rhythm)
    step = np.where(same, values[later] - values, _NEVER).reshape(-1)  # each period's row ends with "never"
    begins = np.append(True, step[1:] != step[:-1]).nonzero()[0] if len(step) else place[:0]
    lengths = differences(begins, len(step))
    long = ((lengths > begins // max(count, 1)) & (step[begins] != _NEVER)).nonzero()[0]
    found = zip(begins[long].tolist(), lengths[long].tolist(), step[begins[long]].tolist(), strict=True)
    return [Run(begin % count, begin // count + 1, length, moved) for begin, length, moved in found]


_NEVER = 1 << 40
"""A step that no two staff places are apart."""
