"""How likely each key and chord is at each moment of a score, by sums over all paths through them.

A chord is easier to name when the key is known and the key when the chords are:
the chain of (key, chord) pairs settles both. The sums forward and backward through a chain are those of
Rabiner 1989; what is read off them is, slice by slice, what is right most often.
"""

from dataclasses import dataclass

import numpy as np

from planner.core.pitch import Transposition
from planner.study.notes.arrays import within
from planner.study.notes.columns import Columns, Floats, Ints
from planner.study.tonal.chords import CHORDS, N_CHORDS
from planner.study.tonal.likelihood import FUNCTIONS, MINOR, Tables


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
        places = within(written[known] + shift + 15, 0, 30)
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


@dataclass(frozen=True, eq=False)
class Chain:
    """What is needed to walk through a score.

    Attributes:
        weight: Metrical weight of each slice, 0 to 5.
        keys: Places in ``KEYS`` of the keys considered, shape ``(2, n)``: major keys, minor keys.
        score: Evidence, shape ``(n_slices, 2 * n, n_chords)``.
    """

    weight: Ints
    keys: Ints
    score: Floats


@dataclass(frozen=True, eq=False)
class Sums:
    """Sums over all paths through a chain.

    Attributes:
        total: Logarithm of the sum over all paths.
        before: Share of each key and chord given all up to its slice; ``(n_slices, n_keys, n_chords)``.
        after: What follows a key and chord, against what was to be expected; same shape.
        own: Factor of each slice by its own evidence and all after it; same shape. Zero in the first.
        step: Factors between keys by metrical weight, ``(6, n_keys, n_keys)``.
    """

    total: float
    before: Floats
    after: Floats
    own: Floats
    step: Floats

    @property
    def share(self) -> Floats:
        """How likely each key and chord is in each slice; sums to one."""
        return self.before * self.after


def sums_of(chain: Chain, tables: Tables) -> Sums:
    """The sums over all paths through a chain of at least one slice."""
    slices, keys = len(chain.score), chain.keys.size
    each = (2, keys // 2, N_CHORDS)
    step = tables.modulation[:, chain.keys.reshape(-1)[:, None], chain.keys.reshape(-1)[None, :]]
    entry, leave = tables.entry[:, None, :], tables.leave[:, None, :]
    top = chain.score.reshape(slices, -1).max(axis=1)
    own = np.exp(chain.score - top[:, None, None]).reshape(slices, *each)
    before, after = np.empty_like(own), np.ones_like(own)
    scale = np.empty(slices)
    weight = chain.weight.tolist()
    between = list(step)
    forward = list(_with_column(tables.change, tables.leave))
    back = list(_with_column(tables.change.transpose(0, 1, 3, 2), tables.entry))
    now, whole = entry * own[0], np.add.reduce
    for at in range(slices):
        if at:
            moved = before[at - 1] @ forward[weight[at]]
            arriving = moved[:, :, -1].reshape(-1) @ between[weight[at]]
            now = arriving.reshape(2, -1, 1) * entry
            now += moved[:, :, :-1]
            now *= own[at]
        scale[at] = total = whole(now, axis=None)
        np.divide(now, total, out=before[at])
    own[0] = 0.0
    for at in range(slices - 1, 0, -1):
        own[at] *= after[at] / scale[at]
        moved = own[at] @ back[weight[at]]
        leaving = between[weight[at]] @ moved[:, :, -1].reshape(-1)
        np.multiply(leaving.reshape(2, -1, 1), leave, out=after[at - 1])
        after[at - 1] += moved[:, :, :-1]
    flat = (slices, keys, N_CHORDS)
    return Sums(
        float(np.log(scale).sum() + top.sum()),
        before.reshape(flat), after.reshape(flat), own.reshape(flat), step,
    )  # fmt: skip


def _with_column(change: Floats, other: Floats) -> Floats:
    """The factors from chord to chord with one more column, of what leads to or from another key."""
    column = np.broadcast_to(other[None, :, :, None], (len(change), *other.shape, 1))
    return np.concatenate([change, column], axis=3)


def best_path(chain: Chain, tables: Tables) -> Path:
    """In each slice the likeliest key, in it the likeliest function, and the likeliest chord of that.

    The keys and chords that are right most often, not the one path that is likeliest as a whole.
    """
    if not len(chain.score):
        none = np.zeros(0, dtype=np.int64)
        return Path(none, none)
    share = sums_of(chain, tables).share
    key = share.sum(axis=2).argmax(axis=1)
    keys = chain.keys.reshape(-1)[key]
    return Path(keys, likeliest_chords(share[np.arange(len(key)), key], keys))


def likeliest_chords(share: Floats, keys: Ints) -> Ints:
    """The likeliest chord of the likeliest function, from the shares of the chords of each slice's key."""
    functions = _FUNCTION_OF[MINOR[keys]]
    of_function = np.stack([(share * (functions == at)).sum(axis=1) for at in range(len(FUNCTIONS))], axis=1)
    chosen = functions == of_function.argmax(axis=1)[:, None]
    return np.asarray(np.where(chosen, share, -1.0).argmax(axis=1), dtype=np.int64)


_FUNCTION_OF = np.array([[FUNCTIONS.index(chord.function) for chord in row] for row in CHORDS])
