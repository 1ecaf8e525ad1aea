"""How well a key and a chord explain what is heard, and how readily one follows another.

Every score is a sum of weights; ``Places`` says which weight each case uses, so that
the same tables serve for reading music and for learning the weights. The model is a conditional
random field over pairs of a key and a chord (Lafferty, McCallum and Pereira 2001).
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from planner.study.notes.arrays import within
from planner.study.notes.columns import Floats, Ints
from planner.study.notes.sonority import LOF_COUNT, LOF_LOW, Sonority
from planner.study.tonal.chords import CHORDS, KEYS, KINDS, N_CHORDS, N_KEYS, Chord, Key
from planner.study.tonal.heard import CHORD_VIEWS, KEY_VIEWS, Heard, starts_of

FUNCTIONS = ("tonic", "predominant", "dominant", "other")
WEIGHT_SHAPES: dict[str, tuple[int, ...]] = {
    "role": (6,),
    "kind": (len(KINDS), 6),
    "bass": (9,),
    "inversion": (2, N_CHORDS, 5),
    "absent": (4,),
    "role_of_beat": (6,),
    "bass_of_beat": (9,),
    "absent_in_beat": (4,),
    "role_of_bar": (6,),
    "bass_of_bar": (9,),
    "degree": (2, 19),
    "bass_degree": (2, 12),
    "ahead": (2, 19),
    "behind": (2, 19),
    "around": (2, 19),
    "bass_around": (2, 12),
    "signature": (2, 9),
    "habit": (2, N_CHORDS),
    "entry": (2, N_CHORDS),
    "exit": (2, N_CHORDS),
    "stay": (2, N_CHORDS),
    "functions": (2, 4, 4),
    "roots": (2, 13),
    "special": (4,),
    "change": (5,),
    "new_key": (5,),
    "modulation": (4, 13),
}
"""What is weighed, and how many cases each has.

- ``role``: sounding time of the root, third, fifth, seventh, of a chord tone spelled otherwise,
  of another note; ``kind`` the same by kind of chord; ``role_of_beat`` and ``role_of_bar`` in the
  whole beat and bar.
- ``bass``: root, third, fifth, seventh, other in the bass; for a cadential six-four
  the same but the seventh. Likewise of beat and bar, with their first bass note. ``inversion``: root,
  third, fifth, seventh, other in the bass, by chord.
- ``absent``: root, third, fifth, seventh that does not sound, in the slice and in the beat.
- ``degree``: sounding time by mode and by place on the line of fifths from the tonic, -9 to 9;
  ``ahead``, ``behind`` and ``around`` the same in the ``KEY_VIEWS``.
- ``bass_degree``: semitones from the tonic to the bass, by mode; likewise ``bass_around``.
- ``signature``: signs between key and signature, -4 to 4, by mode.
- ``habit``, ``entry``, ``exit``, ``stay``: a new chord within a key, after a change of key, a chord before
  one, a chord that goes on.
- ``functions``, ``roots``: from one function to another; root motion on the line of fifths, -6 to 6.
- ``special``: applied chord resolved, not resolved; cadential six-four resolved, not resolved.
- ``change``, ``new_key``: a new chord or a new key off the beat, on a beat, a strong beat,
  a downbeat, after a pause.
- ``modulation``: from mode to mode by distance of the tonics, -6 to 6.
"""

Weights = dict[str, Floats]
Singles = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Places:
    """For each case, the place of its weight in the flat array of its kind.

    ``tone``, ``kind``, ``bass`` and ``inversion`` have shape ``(n_keys, n_chords, 35)``, ``degree`` and
    ``bass_degree`` ``(n_keys, 35)``; ``absent`` is ``(n_keys, n_chords, 12)`` with -1 for other notes;
    ``functions``, ``roots`` and ``special`` are
    ``(2, n_chords, n_chords)`` from old to new; ``modulation`` is ``(n_keys, n_keys)``.
    """

    tone: Ints
    kind: Ints
    bass: Ints
    inversion: Ints
    absent: Ints
    degree: Ints
    bass_degree: Ints
    functions: Ints
    roots: Ints
    special: Ints
    modulation: Ints


CHORD_USES = (
    ("role", "notes", "tone"),
    ("kind", "notes", "kind"),
    ("bass", "bass", "bass"),
    ("inversion", "bass", "inversion"),
    ("absent", "present", "absent"),
    ("role_of_beat", "notes_of_beat", "tone"),
    ("bass_of_beat", "bass_of_beat", "bass"),
    ("absent_in_beat", "present_in_beat", "absent"),
    ("role_of_bar", "notes_of_bar", "tone"),
    ("bass_of_bar", "bass_of_bar", "bass"),
    ("degree", "notes", "degree"),
    ("bass_degree", "bass", "bass_degree"),
)
"""Which weight looks at which view of a chord, and by which places."""
KEY_USES = (
    ("ahead", "ahead", "degree"),
    ("behind", "behind", "degree"),
    ("around", "around", "degree"),
    ("bass_around", "bass_around", "bass_degree"),
)
"""The same of a key."""

MINOR = np.array([int(key.is_minor) for key in KEYS])
"""Mode of each key: 1 for minor."""
_FIFTHS = np.array([key.fifths for key in KEYS])


@cache
def places() -> Places:
    """The places of all weights."""
    tonic = np.array([key.tonic for key in KEYS])
    lof = np.arange(LOF_COUNT) + LOF_LOW
    away = np.clip(lof[None, :] - tonic[:, None], -9, 9) + 9
    tone, bass, absent = _chord_places()
    functions, roots, special = _change_places()
    kinds = np.array([[tuple(KINDS).index(chord.quality) for chord in row] for row in CHORDS])
    chord = MINOR[:, None] * N_CHORDS + np.arange(N_CHORDS)[None, :]
    inverted = np.where(bass < 5, bass, np.where(bass == 8, 4, bass - 5))
    return Places(
        tone=tone,
        kind=kinds[MINOR][:, :, None] * 6 + tone,
        bass=bass,
        inversion=chord[:, :, None] * 5 + inverted,
        absent=absent,
        degree=MINOR[:, None] * 19 + away,
        bass_degree=MINOR[:, None] * 12 + (7 * (lof[None, :] - tonic[:, None])) % 12,
        functions=functions,
        roots=roots,
        special=special,
        modulation=(MINOR[:, None] * 2 + MINOR[None, :]) * 13
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
    """The weights spread over all cases; what follows what as factors, not as their logarithms.

    Attributes:
        chord: ``(n_keys, n_chords, n_columns)``, one column for each of ``Heard.chord``.
        key: ``(n_keys, n_columns)``, one column for each of ``Heard.key``.
        signature: ``(19,)``, the last for no signature.
        change: ``(6, 2, n_chords, n_chords)`` from old to new chord, by metrical weight and mode.
        entry, leave: ``(2, n_chords)``: a chord that opens a key, and one before another key, by mode.
        modulation: ``(6, n_keys, n_keys)`` from old to new key, by metrical weight; free for the
            last weight, where the music does not go on from what is written before.
    """

    chord: Singles
    key: Singles
    signature: Floats
    change: Floats
    entry: Floats
    leave: Floats
    modulation: Floats


def tables_of(weights: Weights) -> Tables:
    """Spread weights over all cases."""
    at = places()
    row = {name: flat(weights, name) for name in WEIGHT_SHAPES}
    follow = (
        row["functions"][at.functions]
        + row["roots"][at.roots]
        + row["special"][at.special]
        + weights["habit"][:, None, :]
    )
    by_weight = np.append(weights["change"], weights["change"][-1])
    change = follow[None] + by_weight[:, None, None, None]
    same = np.arange(N_CHORDS)
    change[:, :, same, same] = weights["stay"]
    modulation = row["modulation"][at.modulation][None] + weights["new_key"][:, None, None]
    moved = np.exp(np.concatenate([modulation, np.zeros((1, N_KEYS, N_KEYS))]))
    moved[:, np.arange(N_KEYS), np.arange(N_KEYS)] = 0.0
    return Tables(
        chord=_chord_columns(row, at),
        key=_key_columns(row, at),
        signature=row["signature"],
        change=np.exp(change),
        entry=np.exp(weights["entry"]),
        leave=np.exp(weights["exit"]),
        modulation=moved,
    )


def _chord_columns(row: dict[str, Floats], at: Places) -> Singles:
    start = starts_of(CHORD_VIEWS)
    width = sum(count for _, count in CHORD_VIEWS)
    columns = np.zeros((N_KEYS, N_CHORDS, width))
    for name, view, by in CHORD_USES:
        own, begin = row[name][getattr(at, by)], start[view]
        if by == "absent":  # what is not present counts: all of it, less what is
            columns[:, :, begin : begin + 12] -= own
            columns[:, :, start["sounds"]] += own.sum(axis=2)
        else:
            columns[:, :, begin : begin + LOF_COUNT] += own if own.ndim == 3 else own[:, None, :]
    return columns.astype(np.float32)


def _key_columns(row: dict[str, Floats], at: Places) -> Singles:
    start = starts_of(KEY_VIEWS)
    columns = np.zeros((N_KEYS, sum(count for _, count in KEY_VIEWS)))
    for name, view, by in KEY_USES:
        columns[:, start[view] : start[view] + LOF_COUNT] += row[name][getattr(at, by)]
    return columns.astype(np.float32)


def signature_places(fifths: Ints) -> Ints:
    """Place of each key in ``signature`` under each signature, shape ``(n, n_keys)``; -1 without one."""
    apart = within(_FIFTHS[None, :] - fifths[:, None], -4, 4) + 4
    return np.where(fifths[:, None] == 99, -1, MINOR[None, :] * 9 + apart)


def evidence(sonority: Sonority, heard: Heard, signatures: Ints, keys: Ints, tables: Tables) -> Floats:
    """How well each chord of some keys explains each slice, shape ``(n_slices, n_keys, n_chords)``.

    Args:
        sonority: The slices.
        heard: What is heard around them.
        signatures: Signature of each measure, 99 for none.
        keys: Places in ``KEYS`` of the keys asked about.
        tables: The weights.
    """
    shape = (len(sonority), len(keys), N_CHORDS)
    chords = tables.chord[keys].reshape(len(keys) * N_CHORDS, -1)
    score = _product(heard.chord, chords).reshape(shape)
    score += _product(heard.key, tables.key[keys])[:, :, None]
    own = tables.signature[signature_places(signatures[sonority.measure])][:, keys]
    score += (own * heard.quarters[:, None])[:, :, None]
    return score


_BLOCK = 250_000
"""Multiplications in one call: below this the linear algebra library stays on one thread. Waking the
others costs ten milliseconds on a small score, more than the whole study of a chorale (measured)."""


def _product(rows: Floats, columns: Singles) -> Floats:
    """``rows @ columns.T``, a few rows at a time; what is 0 in all rows (notes never heard) is left out."""
    used = np.flatnonzero(rows.any(axis=0))
    single, columns = rows[:, used].astype(np.float32), columns[:, used]
    out = np.empty((len(rows), len(columns)), dtype=np.float32)
    step = max(1, _BLOCK // max(columns.size, 1))
    for at in range(0, len(rows), step):
        np.matmul(single[at : at + step], columns.T, out=out[at : at + step])
    return np.asarray(out, dtype=np.float64)


CANDIDATES = 5
"""Keys of each mode that are looked at closely (house choice: in the songs the analyst's key is among them
for 98 % of the time)."""


def likely_keys(heard: Heard, signatures: Ints) -> Ints:
    """The likeliest keys of each mode somewhere in a score, shape ``(2, CANDIDATES)``, ascending.

    A first look by the notes of the scale around each slice, with some more for the tonic, its fifth and
    third, and by the signature (house choice: plain sense, nothing learned).

    Args:
        heard: What is heard around each slice.
        signatures: Signature of the measure of each slice, 99 for none.
    """
    at, start = places(), starts_of(KEY_VIEWS)

    def view(name: str) -> Floats:
        return heard.key[:, start[name] : start[name] + LOF_COUNT]

    notes = view("ahead") + view("behind") + 0.3 * view("around")
    fit = notes @ _SCALE.reshape(-1)[at.degree].T
    fit += 0.4 * view("bass_around") @ _BASS[at.bass_degree % 12].T
    fit /= np.maximum(heard.quarters, 1e-9)[:, None]
    signs = signature_places(signatures)
    fit -= 0.05 * np.where(signs >= 0, np.abs(signs % 9 - 4), 0)
    found = []
    for mode in (0, 1):
        own = np.flatnonzero(mode == MINOR)
        lead = fit[:, own] - fit[:, own].max(axis=1, keepdims=True)
        time = (np.exp(8 * lead) * heard.quarters[:, None]).sum(axis=0)
        found.append(np.sort(own[np.argsort(-time, kind="stable")[:CANDIDATES]]))
    return np.array(found)


def _scale(steps: set[int], third: int) -> Floats:
    plain = np.array([0.0 if away in steps else -1.2 for away in range(-9, 10)])
    for away, more in ((0, 0.5), (1, 0.35), (third, 0.3)):
        plain[away + 9] += more
    return plain


_SCALE = np.stack([
    _scale({-1, 0, 1, 2, 3, 4, 5}, 4),
    _scale({-4, -3, -2, -1, 0, 1, 2, 3, 5}, -3),
])  # fmt: skip
_BASS = np.array([1.0, 0, 0, 0, 0, 0, 0, 0.7, 0, 0, 0, 0])
"""What tonic and fifth in the bass say for a key, by semitones from the tonic."""
