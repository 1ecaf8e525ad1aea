"""Pedal points: a bass note that stays while the chords over it change."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.analysis.chords import CHORDS, KEYS
from planner.analysis.columns import TICKS_PER_QUARTER, Ints
from planner.analysis.sonority import Heads, Sonority

LEAST_QUARTERS = 6
"""Shortest pedal point told, in quarters (house choice)."""
LEAST_CHORDS = 3
"""Fewest chord changes over a pedal point (house choice: away and back again)."""


@dataclass(frozen=True, slots=True)
class Pedal:
    """A pedal point: its note on the line of fifths, first and last measure, and who holds it."""

    lof: int
    first: int
    last: int
    parts: tuple[int, ...]


def find_pedals(sonority: Sonority, heads: Heads, key: Ints, chord: Ints) -> tuple[Pedal, ...]:
    """Stretches with one bass note under at least three chords, one of which does not contain it."""
    if not len(sonority):
        return ()
    change = np.flatnonzero(np.append(True, sonority.bass[1:] != sonority.bass[:-1]))
    ends = np.append(change[1:], len(sonority))
    long = (sonority.end[ends - 1] - sonority.start[change]) >= LEAST_QUARTERS * TICKS_PER_QUARTER
    found = []
    for first, end in zip(change[long].tolist(), ends[long].tolist(), strict=True):
        lof = int(sonority.bass[first])
        if lof != 99 and _is_pedal(lof, key[first:end], chord[first:end]):
            holders = _holders(heads, lof, int(sonority.start[first]), int(sonority.end[end - 1]))
            if holders:
                measures = sonority.measure[[first, end - 1]].tolist()
                found.append(Pedal(lof, measures[0], measures[1], holders))
    return tuple(found)


def _is_pedal(lof: int, key: Ints, chord: Ints) -> bool:
    pairs = list(zip(key.tolist(), chord.tolist(), strict=True))
    changes = 1 + sum(a != b for a, b in pairwise(pairs))
    return changes >= LEAST_CHORDS and any(not _contains(lof, *pair) for pair in set(pairs))


def _contains(lof: int, key: int, chord: int) -> bool:
    own = KEYS[key]
    found = CHORDS[own.is_minor][chord]
    return any((lof - own.tonic - found.root - tone) % 12 == 0 for tone in found.tones)


def _holders(heads: Heads, lof: int, start: int, end: int) -> tuple[int, ...]:
    """Parts in which every note of the stretch is the pedal note, sounding for most of it."""
    inside = (heads.onset < end) & (heads.end > start)
    parts = heads.part[inside]
    right = heads.lof[inside] == lof
    length = np.minimum(heads.end[inside], end) - np.maximum(heads.onset[inside], start)
    return tuple(
        int(part)
        for part in np.unique(parts)
        if right[parts == part].all() and length[parts == part].sum() >= 0.6 * (end - start)
    )
