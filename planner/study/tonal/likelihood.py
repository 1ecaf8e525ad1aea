"""How well a key and a chord explain what sounds, and how readily one follows another.

Every score is a sum of weights; ``Places`` says which weight each case uses, so that
the same tables serve for reading music and for learning the weights.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from planner.study.notes.columns import TICKS_PER_QUARTER, Floats, Ints
from planner.study.notes.sonority import LOF_COUNT, LOF_LOW, Sonority
from planner.study.tonal.chords import CHORDS, KEYS, N_CHORDS, N_KEYS, Chord, Key

FUNCTIONS = ("tonic", "predominant", "dominant", "other")
WEIGHT_SHAPES: dict[str, tuple[int, ...]] = {
    "role": (6,),
    "degree": (2, 19),
    "bass": (9,),
    "bass_degree": (2, 12),
    "absent": (4,),
    "signature": (2, 9),
    "habit": (2, N_CHORDS),
    "entry": (2, N_CHORDS),
    "functions": (2, 4, 4),
    "roots": (2, 13),
    "special": (4,),
    "change": (5,),
    "new_key": (5,),
    "modulation": (4, 13),
    "pause": (2, 2, N_CHORDS),
}
"""What is weighed, and how many cases each has.

- ``role``: sounding time of the root, third, fifth, seventh, of a chord tone spelled otherwise,
  of another note.
- ``degree``: sounding time by mode and by place on the line of fifths from the tonic, -9 to 9.
- ``bass``: root, third, fifth, seventh, other in the bass; for a cadential six-four
  the same but the seventh.
- ``bass_degree``: semitones from the tonic to the bass, by mode.
- ``absent``: root, third, fifth, seventh that does not sound.
- ``signature``: signs between key and signature, -4 to 4, by mode.
- ``habit``, ``entry``: a new chord within a key, and after a change of key.
- ``functions``, ``roots``: from one function to another; root motion on the line of fifths, -6 to 6.
- ``special``: applied chord resolved, not resolved; cadential six-four resolved, not resolved.
- ``change``, ``new_key``: a new chord or a new key off the beat, on a beat, a strong beat,
  a downbeat, after a pause.
- ``pause``: a chord on which the music stands still for two beats, or at a fermata or common rest, by mode.
- ``modulation``: from mode to mode by distance of the tonics, -6 to 6.
"""

Weights = dict[str, Floats]


@dataclass(frozen=True, eq=False)
class Places:
    """For each case, the place of its weight in the flat array of its kind.

    ``tone`` and ``degree`` have shape ``(n_keys, n_chords, 35)`` and ``(n_keys, 35)``; ``bass`` and
    ``bass_degree`` likewise; ``absent`` is ``(n_keys, n_chords, 12)`` with -1 for other notes;
    ``habit`` is ``(n_keys, n_chords)``; ``functions``, ``roots`` and ``special`` are
    ``(2, n_chords, n_chords)`` from old to new; ``modulation`` is ``(n_keys, n_keys)``.
    """

    tone: Ints
    degree: Ints
    bass: Ints
    bass_degree: Ints
    absent: Ints
    habit: Ints
    pause: Ints
    functions: Ints
    roots: Ints
    special: Ints
    modulation: Ints


@cache
def places() -> Places:
    """The places of all weights."""
    tonic = np.array([key.tonic for key in KEYS])
    minor = np.array([int(key.is_minor) for key in KEYS])
    lof = np.arange(LOF_COUNT) + LOF_LOW
    away = np.clip(lof[None, :] - tonic[:, None], -9, 9) + 9
    tone, bass, absent = _chord_places()
    functions, roots, special = _change_places()
    return Places(
        tone=tone,
        degree=minor[:, None] * 19 + away,
        bass=bass,
        bass_degree=minor[:, None] * 12 + (7 * (lof[None, :] - tonic[:, None])) % 12,
        absent=absent,
        habit=minor[:, None] * N_CHORDS + np.arange(N_CHORDS)[None, :],
        pause=np.arange(2)[:, None, None] * 2 * N_CHORDS
        + minor[None, :, None] * N_CHORDS
        + np.arange(N_CHORDS)[None, None, :],
        functions=functions,
        roots=roots,
        special=special,
        modulation=(minor[:, None] * 2 + minor[None, :]) * 13
        + np.clip(tonic[None, :] - tonic[:, None], -6, 6)
        + 6,
    )


def _chord_places() -> tuple[Ints, Ints, Ints]:
    tone = np.full((N_KEYS, N_CHORDS, LOF_COUNT), 5)
    bass = np.full((N_KEYS, N_CHORDS, LOF_COUNT), 4)
    absent = np.full((N_KEYS, N_CHORDS, 12), -1)
    for at, key in enumerate(KEYS):
        for place, chord in enumerate(CHORDS[key.is_minor]):
            if chord.is_cadential:
                bass[at, place] = 8
            for role, step in enumerate(chord.tones):
                _mark_tone(key, chord, role, step, tone[at, place], bass[at, place], absent[at, place])
    return tone, bass, absent


def _mark_tone(key: Key, chord: Chord, role: int, step: int, tone: Ints, bass: Ints, absent: Ints) -> None:
    lof = key.tonic + chord.root + step
    same = (7 * (np.arange(LOF_COUNT) + LOF_LOW - lof)) % 12 == 0
    tone[same] = 4
    if 0 <= lof - LOF_LOW < LOF_COUNT:
        tone[lof - LOF_LOW] = role
    bass[same] = role + 5 if chord.is_cadential else role
    absent[(7 * lof) % 12] = role


def _change_places() -> tuple[Ints, Ints, Ints]:
    functions = np.zeros((2, N_CHORDS, N_CHORDS), dtype=np.int64)
    roots, special = np.zeros_like(functions), np.full_like(functions, -1)
    for mode in (0, 1):
        for old_at, old in enumerate(CHORDS[mode]):
            for new_at, new in enumerate(CHORDS[mode]):
                pair = FUNCTIONS.index(old.function) * 4 + FUNCTIONS.index(new.function)
                functions[mode, old_at, new_at] = mode * 16 + pair
                motion = (new.root - old.root + 6) % 12 - 6
                roots[mode, old_at, new_at] = mode * 13 + motion + 6
                special[mode, old_at, new_at] = _special(old, new)
    return functions, roots, special


def _special(old: Chord, new: Chord) -> int:
    """Place in ``special``, or -1 when the old chord does not ask for a resolution."""
    if old.is_cadential:
        return 2 if new.figure in ("V", "V7") else 3
    if old.is_applied:
        leading = old.figure.startswith("vii")
        return 0 if new.root == old.root + (-5 if leading else -1) else 1
    return -1


def flat(weights: Weights, name: str) -> Floats:
    """The weights of a kind in one row, with a zero at the end for "no weight" (place -1)."""
    return np.append(weights[name].reshape(-1), 0.0)


@dataclass(frozen=True, eq=False)
class Tables:
    """The weights spread over all cases.

    ``n_keys`` is the number of keys considered.

    Attributes:
        keys: Places in ``KEYS`` of the keys considered, ascending.
        emission: ``(n_keys, n_chords, 83)``: 35 tones, 35 basses, 12 presences, 1 constant.
        signature: ``(2, 9)``.
        pause: ``(3, n_keys, n_chords)``, zero where the music does not stand still.
        change: ``(6, n_chords, n_keys, n_chords)`` from old (second axis) to new chord, by metrical weight.
        entry: ``(n_keys, n_chords)``: a chord that opens a key.
        modulation: ``(6, n_keys, n_keys)`` from old (first) to new key, by metrical weight; free for the
            last weight, where the music does not go on from what is written before.
    """

    keys: Ints
    emission: Floats
    signature: Floats
    pause: Floats
    change: Floats
    entry: Floats
    modulation: Floats

    def only(self, keys: Ints) -> "Tables":
        """The same for some of the keys, given by their places in ``KEYS`` (ascending)."""
        at = np.searchsorted(self.keys, keys)
        return Tables(
            keys=keys,
            emission=self.emission[at],
            signature=self.signature,
            pause=self.pause[:, at],
            change=np.ascontiguousarray(self.change[:, :, at]),
            entry=self.entry[at],
            modulation=np.ascontiguousarray(self.modulation[:, at][:, :, at]),
        )


def tables_of(weights: Weights) -> Tables:
    """Spread weights over all cases."""
    at = places()
    minor = np.array([int(key.is_minor) for key in KEYS])
    tone = flat(weights, "role")[at.tone] + flat(weights, "degree")[at.degree][:, None, :]
    bass = flat(weights, "bass")[at.bass] + flat(weights, "bass_degree")[at.bass_degree][:, None, :]
    absent = flat(weights, "absent")[at.absent]
    constant = absent.sum(axis=2, keepdims=True)
    emission = np.concatenate([tone, bass, -absent, constant], axis=2)
    follow = (
        flat(weights, "functions")[at.functions]
        + flat(weights, "roots")[at.roots]
        + flat(weights, "special")[at.special]
        + weights["habit"][:, None, :]
    )
    change = follow[None] + weights["change"][:, None, None, None]
    change[:, :, np.arange(N_CHORDS), np.arange(N_CHORDS)] = 0.0
    change = np.concatenate([change, change[-1:]])
    other = -1e6 * np.eye(N_KEYS)
    modulation = flat(weights, "modulation")[at.modulation] + other
    return Tables(
        keys=np.arange(N_KEYS),
        emission=emission,
        signature=weights["signature"],
        pause=np.concatenate([np.zeros((1, N_KEYS, N_CHORDS)), flat(weights, "pause")[at.pause]]),
        change=np.ascontiguousarray(change[:, minor].transpose(0, 2, 1, 3)),
        entry=flat(weights, "entry")[at.habit],
        modulation=np.concatenate([modulation[None] + weights["new_key"][:, None, None], other[None]]),
    )


def features_of(sonority: Sonority) -> Floats:
    """What is heard in each slice, shape ``(n_slices, 83)``, weighted by how long and how fully it sounds."""
    total = sonority.mass.sum(axis=1, keepdims=True)
    share = sonority.mass / np.maximum(total, 1e-9)
    bass = np.zeros((len(sonority), LOF_COUNT))
    heard = np.flatnonzero(sonority.bass != 99)
    bass[heard, np.clip(sonority.bass[heard] - LOF_LOW, 0, LOF_COUNT - 1)] = 1.0
    fold = np.zeros((LOF_COUNT, 12))
    fold[np.arange(LOF_COUNT), 7 * (np.arange(LOF_COUNT) + LOF_LOW) % 12] = 1.0
    present = np.minimum(6 * (share @ fold), 1.0)
    heard_row = (total > 0).astype(np.float64)
    return np.asarray(np.concatenate([share, bass, present, heard_row], axis=1) * pull_of(sonority)[:, None])


def pull_of(sonority: Sonority) -> Floats:
    """Weight of the evidence of each slice: it grows with the square root of its length, to two quarters."""
    length = np.minimum((sonority.end - sonority.start) / TICKS_PER_QUARTER, 4.0)
    return np.asarray(np.sqrt(length) * np.minimum(sonority.mass.sum(axis=1), 1.5), dtype=np.float64)


def signature_places(fifths: Ints) -> Ints:
    """Place of each key in ``signature`` under each signature, shape ``(n, n_keys)``; -1 without one."""
    apart = np.clip(np.array([key.fifths for key in KEYS])[None, :] - fifths[:, None], -4, 4) + 4
    minor = np.array([int(key.is_minor) for key in KEYS])
    return np.where(fifths[:, None] == 99, -1, minor[None, :] * 9 + apart)


def evidence(sonority: Sonority, heard: Floats, signatures: Ints, tables: Tables) -> Floats:
    """How well each chord of each key explains each slice, shape ``(n_slices, n_keys, n_chords)``.

    ``heard`` is ``features_of(sonority)``.
    """
    keys, chords, width = tables.emission.shape
    score = _product(heard, tables.emission.reshape(keys * chords, width))
    score = score.reshape(-1, keys, chords)
    if len(sonority):
        score += _signature_row(sonority, signatures, tables)[:, :, None]
        still = np.flatnonzero(sonority.pause)
        score[still] += tables.pause[sonority.pause[still]]
    return np.asarray(score, dtype=np.float64)


_BLOCK = 250_000
"""Multiplications in one call: below this the linear algebra library stays on one thread. Waking the
others costs ten milliseconds on a small score, more than the whole study of a chorale (measured)."""


def _product(rows: Floats, columns: Floats) -> Floats:
    """``rows @ columns.T``, a few rows at a time."""
    out = np.empty((len(rows), len(columns)))
    step = max(1, _BLOCK // max(columns.size, 1))
    for at in range(0, len(rows), step):
        np.matmul(rows[at : at + step], columns.T, out=out[at : at + step])
    return out


def _signature_row(sonority: Sonority, signatures: Ints, tables: Tables) -> Floats:
    weights = np.append(tables.signature.reshape(-1), 0.0)
    row = weights[signature_places(signatures[sonority.measure])][:, tables.keys]
    return np.asarray(row * quarters_of(sonority)[:, None], dtype=np.float64)


_COMMON = (("I", "ii", "IV", "V", "V7", "vi"), ("i", "iio", "iv", "V", "V7", "VI"))
_PLAIN = np.array([
    [at for at, chord in enumerate(row) if chord.figure in common]
    for row, common in zip(CHORDS, _COMMON, strict=True)
])  # fmt: skip
"""The commonest chords of each mode: enough to tell which keys are worth a closer look."""
_WINDOW, _CANDIDATES, _LEAST_TIMES = 8, 3, 2
"""In the first look: slices to either side, keys kept for each slice, and slices for which a key must be kept
(house choice: wider limits cost time and changed the agreement with people by less than half a point)."""


def likely_keys(sonority: Sonority, heard: Floats, signatures: Ints, tables: Tables) -> Ints:
    """Keys among the best few somewhere in the score, by their commonest chords over a short window."""
    slices = len(sonority)
    minor = np.array([int(KEYS[key].is_minor) for key in tables.keys])
    plain = tables.emission[np.arange(len(minor))[:, None], _PLAIN[minor]]
    keys, chords, width = plain.shape
    score = _product(heard, plain.reshape(keys * chords, width))
    best = score.reshape(slices, keys, chords).max(axis=2) + _signature_row(sonority, signatures, tables)
    running = np.concatenate([np.zeros((1, keys)), np.cumsum(best, axis=0)])
    at = np.arange(slices)
    window = running[np.minimum(at + _WINDOW, slices)] - running[np.maximum(at - _WINDOW, 0)]
    count = min(_CANDIDATES, keys)
    kept = np.argpartition(-window, count - 1, axis=1)[:, :count]
    times = np.bincount(kept.reshape(-1), minlength=keys)
    return tables.keys[times >= min(_LEAST_TIMES, slices)]


def quarters_of(sonority: Sonority) -> Floats:
    """Length of each slice in quarters, at most four."""
    return np.asarray(np.minimum((sonority.end - sonority.start) / TICKS_PER_QUARTER, 4.0), dtype=np.float64)
