"""The most likely keys and chords of a score together, by dynamic programming.

A chord is easier to name when the key is known and the key when the chords are:
one best path through (key, chord) pairs settles both.
"""

from dataclasses import dataclass

import numpy as np

from planner.analysis import profiles
from planner.analysis.columns import TICKS_PER_QUARTER, Columns, Floats, Ints
from planner.analysis.sonority import Sonority
from planner.core.pitch import Transposition

CHANGE_COST = (2.6, 1.6, 1.2, 0.9)
"""Cost of a new chord off the beat, on a beat, on a strong beat, on a downbeat (house choice)."""
KEY_COST = (7.0, 5.5, 5.0, 4.5)
"""Cost of a new key at the same places (house choice)."""
_EVIDENCE = 1.6
"""Weight of one quarter's sounds against the costs above (house choice)."""


@dataclass(frozen=True, eq=False)
class Path:
    """Key and chord of each slice, as indices into ``KEYS`` and ``CHORDS``; shape ``(n_slices,)``."""

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
        shift = _fifths_of(part.part.transposition)
        known = np.flatnonzero(written != 99)
        places = np.clip(written[known] + shift + 15, 0, 30)
        votes[known, places] += 1
    best = votes.argmax(axis=1) - 15 if measures else np.zeros(0, dtype=np.int64)
    return np.where(votes.sum(axis=1) > 0, best, 99).astype(np.int64)


def _fifths_of(transposition: Transposition) -> int:
    """How far a transposition moves a key on the line of fifths: up a whole step is 2."""
    return 7 * transposition.semitones - 12 * transposition.steps


def evidence(sonority: Sonority, signatures: Ints) -> Floats:
    """How well each chord of each key explains each slice, shape ``(n_slices, n_keys, n_chords)``."""
    tones, basses = profiles.tone_table(), profiles.bass_table()
    states = tones.shape[0] * tones.shape[1]
    total = sonority.mass.sum(axis=1, keepdims=True)
    share = sonority.mass / np.maximum(total, 1e-9)
    length = (sonority.end - sonority.start) / TICKS_PER_QUARTER
    pull = _EVIDENCE * np.minimum(np.sqrt(length), 2.0) * np.minimum(total[:, 0], 1.5)
    score = share @ tones.reshape(states, -1).T
    heard = np.flatnonzero(sonority.bass != 99)
    place = np.clip(sonority.bass[heard] + 15, 0, 34)
    score[heard] += basses.reshape(states, -1).T[place]
    score = score.reshape(-1, tones.shape[0], tones.shape[1]) * pull[:, None, None]
    if len(sonority):
        fifths = signatures[sonority.measure]
        prior = np.where((fifths == 99)[:, None], 0.0, profiles.signature_of(fifths))
        score += (prior * np.minimum(length, 4.0)[:, None])[:, :, None]
    return np.asarray(score, dtype=np.float64)


def best_path(sonority: Sonority, score: Floats) -> Path:
    """The best keys and chords together."""
    slices, keys, chords = score.shape
    if not slices:
        none = np.zeros(0, dtype=np.int64)
        return Path(none, none)
    minor = np.array([key.is_minor for key in profiles.KEYS]).astype(np.int64)
    follow = profiles.chord_change_table()
    habit = np.array([[chord.habit for chord in row] for row in profiles.CHORDS])[minor]
    modulate = profiles.key_change_table()
    staying = np.eye(chords, dtype=bool)
    tables = []
    for cost in CHANGE_COST:
        table = follow - cost
        table[:, staying] = 0.0
        tables.append(np.ascontiguousarray(table.transpose(0, 2, 1))[minor])
    strangers = modulate - 1e9 * np.eye(keys)
    back = np.empty((slices, keys, chords), dtype=np.int64)
    best = score[0] + habit
    rows = np.arange(keys)
    for at in range(1, slices):
        weight = sonority.weight[at]
        within = best[:, None, :] + tables[weight]
        came = within.argmax(axis=2)
        value = np.take_along_axis(within, came[:, :, None], axis=2)[:, :, 0]
        top = best.argmax(axis=1)
        entry = best[rows, top][:, None] + strangers
        source = entry.argmax(axis=0)
        across = (entry[source, rows] - KEY_COST[weight])[:, None] + habit
        moved = across > value
        back[at] = np.where(moved, (source * chords + top[source])[:, None], came + rows[:, None] * chords)
        best = np.where(moved, across, value) + score[at]
    return _trace(back, int(best.argmax()), chords)


def _trace(back: Ints, state: int, chords: int) -> Path:
    flat = back.reshape(len(back), -1)
    states = np.empty(len(back), dtype=np.int64)
    for at in range(len(back) - 1, -1, -1):
        states[at] = state
        if at:
            state = int(flat[at, state])
    return Path(states // chords, states % chords)


def best_chords(sonority: Sonority, score: Floats, keys: Ints) -> Ints:
    """The best chords when the key of each slice is given."""
    slices, _, chords = score.shape
    if not slices:
        return np.zeros(0, dtype=np.int64)
    minor = np.array([key.is_minor for key in profiles.KEYS]).astype(np.int64)[keys]
    follow = profiles.chord_change_table()
    habit = np.array([[chord.habit for chord in row] for row in profiles.CHORDS])
    own = score[np.arange(slices), keys]
    back = np.empty((slices, chords), dtype=np.int64)
    best = own[0] + habit[minor[0]]
    columns = np.arange(chords)
    for at in range(1, slices):
        if keys[at] != keys[at - 1]:
            back[at] = best.argmax()
            best = best.max() + habit[minor[at]] + own[at]
            continue
        table = follow[minor[at]] - CHANGE_COST[sonority.weight[at]]
        np.fill_diagonal(table, 0.0)
        reached = best[:, None] + table
        back[at] = reached.argmax(axis=0)
        best = reached[back[at], columns] + own[at]
    path = np.empty(slices, dtype=np.int64)
    state = int(best.argmax())
    for at in range(slices - 1, -1, -1):
        path[at] = state
        state = int(back[at, state])
    return path
