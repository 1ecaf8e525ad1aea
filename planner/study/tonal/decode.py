"""The most likely keys and chords of a score together, by dynamic programming.

A chord is easier to name when the key is known and the key when the chords are:
one best path through (key, chord) pairs settles both.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.core.pitch import Transposition
from planner.study.notes.columns import Columns, Floats, Ints
from planner.study.tonal.chords import N_CHORDS
from planner.study.tonal.likelihood import Tables


@dataclass(frozen=True, eq=False)
class Path:
    """Key and chord of each slice, as places in ``KEYS`` and ``CHORDS``; shape ``(n_slices,)``."""

    key: Ints
    chord: Ints


def signatures_of(columns: Columns) -> Ints:
    """Sounding key signature (fifths) of each measure by the vote of the pitched parts; 99 without one."""
    measures = len(columns.measure_start)
    votes = np.zeros((measures, 31), dtype=np.int64)
    for part in columns.pitched():
        written = np.full(measures, 99)
        for key in part.part.keys:
            if 0 <= key.measure < measures:
                written[key.measure :] = key.fifths
        shift = fifths_of(part.part.transposition)
        known = np.flatnonzero(written != 99)
        places = np.clip(written[known] + shift + 15, 0, 30)
        votes[known, places] += 1
    best = votes.argmax(axis=1) - 15 if measures else np.zeros(0, dtype=np.int64)
    return np.where(votes.sum(axis=1) > 0, best, 99).astype(np.int64)


def fifths_of(transposition: Transposition) -> int:
    """How far a transposition moves a key on the line of fifths.

    Example:
        >>> fifths_of(Transposition(-1, -2))
        -2
    """
    return 7 * transposition.semitones - 12 * transposition.steps


def best_path(weight: Ints, score: Floats, tables: Tables) -> Path:
    """The best keys and chords together.

    Args:
        weight: Metrical weight of each slice, 0 to 5.
        score: Evidence, shape ``(n_slices, n_keys, n_chords)``.
        tables: How readily chords and keys follow each other.
    """
    slices = len(score)
    if not slices:
        none = np.zeros(0, dtype=np.int64)
        return Path(none, none)
    keys = len(tables.keys)
    change, modulation = tables.change.astype(np.float32), tables.modulation.astype(np.float32)
    entry, own = tables.entry.astype(np.float32), score.astype(np.float32)
    reached = np.empty((slices, keys, N_CHORDS), dtype=np.float32)
    reached[0] = own[0] + entry
    weights = weight.tolist()
    room = np.empty((N_CHORDS, keys, N_CHORDS), dtype=np.float32)
    within = np.empty((keys, N_CHORDS), dtype=np.float32)
    largest = np.maximum.reduce
    for at in range(1, slices):
        before, place = reached[at - 1], weights[at]
        np.add(before.T[:, :, None], change[place], out=room)
        largest(room, axis=0, out=within)
        across = largest(largest(before, axis=1)[:, None] + modulation[place], axis=0)
        np.maximum(within, across[:, None] + entry, out=within)
        np.add(within, own[at], out=reached[at])
        reached[at] -= reached[at, 0, 0]  # only differences count: keeps single precision exact enough
    return _trace(weights, reached, tables)


def _trace(weights: list[int], reached: NDArray[np.float32], tables: Tables) -> Path:
    """Walk back along the best path, asking at each step where its score came from."""
    slices = len(reached)
    keys, chords = np.empty(slices, dtype=np.int64), np.empty(slices, dtype=np.int64)
    key, chord = divmod(int(reached[-1].argmax()), N_CHORDS)
    for at in range(slices - 1, -1, -1):
        keys[at], chords[at] = key, chord
        if not at:
            break
        before = reached[at - 1]
        within = before[key] + tables.change[weights[at], :, key, chord]
        tops = before.max(axis=1) + tables.modulation[weights[at], :, key]
        if tops.max() + tables.entry[key, chord] > within.max():
            key = int(tops.argmax())
            chord = int(before[key].argmax())
        else:
            chord = int(within.argmax())
    return Path(tables.keys[keys], chords)


def best_chords(weight: Ints, score: Floats, keys: Ints, tables: Tables) -> Ints:
    """The best chords when the key of each slice is given, as a place in ``tables.keys``."""
    slices = len(score)
    if not slices:
        return np.zeros(0, dtype=np.int64)
    own = score[np.arange(slices), keys]
    back = np.empty((slices, N_CHORDS), dtype=np.int64)
    best = own[0] + tables.entry[keys[0]]
    for at in range(1, slices):
        if keys[at] != keys[at - 1]:
            back[at] = best.argmax()
            best = best.max() + tables.entry[keys[at]] + own[at]
            continue
        came = best[:, None] + tables.change[weight[at], :, keys[at]]
        back[at] = came.argmax(axis=0)
        best = came.max(axis=0) + own[at]
    path = np.empty(slices, dtype=np.int64)
    state = int(best.argmax())
    for at in range(slices - 1, -1, -1):
        path[at] = state
        state = int(back[at, state])
    return path
