"""Keys and chords as places on the line of fifths: names, templates and the habits of chords."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from planner.analysis.columns import Floats, Ints
from planner.core.profile import Function

_LETTERS = "FCGDAEB"


def lof_name(lof: int) -> str:
    """Letter and signs of a place on the line of fifths.

    Example:
        >>> lof_name(-2), lof_name(6), lof_name(0)
        ('Bb', 'F#', 'C')
    """
    signs, letter = divmod(lof + 1, 7)
    return _LETTERS[letter] + ("#" * signs if signs > 0 else "b" * -signs)


@dataclass(frozen=True, slots=True)
class Key:
    """A key: tonic on the line of fifths, and mode."""

    tonic: int
    is_minor: bool

    @property
    def name(self) -> str:
        """``"Bb major"``."""
        return f"{lof_name(self.tonic)} {'minor' if self.is_minor else 'major'}"

    @property
    def fifths(self) -> int:
        """Sharps of its signature (flats negative)."""
        return self.tonic - 3 if self.is_minor else self.tonic


KEYS: tuple[Key, ...] = tuple(Key(tonic, False) for tonic in range(-7, 8)) + tuple(
    Key(tonic, True) for tonic in range(-4, 11)
)
"""The 15 major and 15 minor keys that have a signature of at most seven signs."""

_BY_NAME = {key.name: key for key in KEYS}


def parse_key(name: str) -> Key | None:
    """The key of a name such as ``"Bb major"``; None for an empty or unknown one."""
    return _BY_NAME.get(name)


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord of a key.

    Attributes:
        figure: Roman numeral without inversion.
        root: Steps on the line of fifths from the tonic to the root.
        tones: Steps on the line of fifths from the *root*: root, third, fifth, seventh.
        quality: Name of its kind.
        function: Its function in the key.
        habit: Logarithm of how readily it is used.
    """

    figure: str
    root: int
    tones: tuple[int, ...]
    quality: str
    function: Function
    habit: float


_KINDS: dict[str, tuple[int, ...]] = {
    "major": (0, 4, 1),
    "minor": (0, -3, 1),
    "diminished": (0, -3, -6),
    "augmented": (0, 4, 8),
    "dominant seventh": (0, 4, 1, -2),
    "major seventh": (0, 4, 1, 5),
    "minor seventh": (0, -3, 1, -2),
    "half-diminished seventh": (0, -3, -6, -2),
    "diminished seventh": (0, -3, -6, -9),
    "augmented sixth": (0, 4, 10),
}

_MAJOR: tuple[tuple[str, int, str, Function, float], ...] = (
    ("I", 0, "major", "tonic", 0.0),
    ("ii", 2, "minor", "predominant", -1.3),
    ("ii7", 2, "minor seventh", "predominant", -1.6),
    ("iii", 4, "minor", "other", -2.6),
    ("IV", -1, "major", "predominant", -0.9),
    ("IV7", -1, "major seventh", "predominant", -2.6),
    ("V", 1, "major", "dominant", -0.4),
    ("V7", 1, "dominant seventh", "dominant", -0.7),
    ("vi", 3, "minor", "other", -1.5),
    ("vi7", 3, "minor seventh", "other", -2.8),
    ("viio", 5, "diminished", "dominant", -1.5),
    ("viio7", 5, "diminished seventh", "dominant", -2.2),
    ("viiø7", 5, "half-diminished seventh", "dominant", -2.2),
    ("V/V", 2, "major", "dominant", -2.4),
    ("V7/V", 2, "dominant seventh", "dominant", -2.2),
    ("viio/V", 6, "diminished", "dominant", -2.6),
    ("viio7/V", 6, "diminished seventh", "dominant", -2.6),
    ("V7/IV", 0, "dominant seventh", "dominant", -2.4),
    ("V/vi", 4, "major", "dominant", -3.0),
    ("V7/vi", 4, "dominant seventh", "dominant", -2.8),
    ("V/ii", 3, "major", "dominant", -3.0),
    ("V7/ii", 3, "dominant seventh", "dominant", -2.8),
    ("iv", -1, "minor", "predominant", -3.2),
    ("iiø7", 2, "half-diminished seventh", "predominant", -3.2),
)
_MINOR: tuple[tuple[str, int, str, Function, float], ...] = (
    ("i", 0, "minor", "tonic", 0.0),
    ("I", 0, "major", "tonic", -2.2),
    ("iio", 2, "diminished", "predominant", -1.8),
    ("iiø7", 2, "half-diminished seventh", "predominant", -1.6),
    ("III", -3, "major", "other", -1.9),
    ("III+", -3, "augmented", "dominant", -4.0),
    ("iv", -1, "minor", "predominant", -1.1),
    ("iv7", -1, "minor seventh", "predominant", -2.4),
    ("IV", -1, "major", "predominant", -2.4),
    ("v", 1, "minor", "dominant", -2.4),
    ("V", 1, "major", "dominant", -0.5),
    ("V7", 1, "dominant seventh", "dominant", -0.8),
    ("VI", -4, "major", "other", -1.7),
    ("VI7", -4, "major seventh", "other", -3.2),
    ("VII", -2, "major", "dominant", -2.2),
    ("V7/III", -2, "dominant seventh", "dominant", -2.8),
    ("viio", 5, "diminished", "dominant", -1.6),
    ("viio7", 5, "diminished seventh", "dominant", -1.6),
    ("V/V", 2, "major", "dominant", -3.0),
    ("V7/V", 2, "dominant seventh", "dominant", -2.8),
    ("viio7/V", 6, "diminished seventh", "dominant", -2.8),
    ("V7/iv", 0, "dominant seventh", "dominant", -2.6),
    ("bII", -5, "major", "predominant", -3.0),
    ("Ger", -4, "augmented sixth", "predominant", -3.2),
)


def _chords(rows: tuple[tuple[str, int, str, Function, float], ...]) -> tuple[Chord, ...]:
    return tuple(
        Chord(figure, root, _KINDS[kind], kind, function, habit)
        for figure, root, kind, function, habit in rows
    )


CHORDS: tuple[tuple[Chord, ...], tuple[Chord, ...]] = (_chords(_MAJOR), _chords(_MINOR))
"""Chords of a major key and of a minor key, equally many.

Source: order of the habits from published chord counts of chorales and songs
(When in Rome, doi 10.5334/tismir.165); rounded by house choice.
"""

N_CHORDS = len(CHORDS[0])

_SCALE = (frozenset(range(-1, 6)), frozenset((-4, -3, -2, -1, 0, 1, 2, 3, 5)))

_ROLE = (1.35, 1.3, 1.15, 1.0)
"""Evidence of a sounding root, third, fifth and seventh (house choice)."""
_IN_SCALE, _OUTSIDE, _RESPELLED = -1.1, -2.4, 0.35


@cache
def tone_table() -> Floats:
    """Evidence that each spelled pitch class gives for each chord of each key.

    Shape ``(n_keys, n_chords, 35)``.
    """
    table = np.empty((len(KEYS), N_CHORDS, 35))
    for at, key in enumerate(KEYS):
        for place, chord in enumerate(CHORDS[key.is_minor]):
            table[at, place] = _tone_row(key, chord)
    return table


def _tone_row(key: Key, chord: Chord) -> Floats:
    row = np.empty(35)
    root = key.tonic + chord.root
    sounding = {(7 * (root + tone)) % 12: _ROLE[role] for role, tone in enumerate(chord.tones)}
    spelled = {root + tone for tone in chord.tones}
    for place in range(35):
        lof = place - 15
        if lof in spelled:
            row[place] = sounding[(7 * lof) % 12]
        elif (7 * lof) % 12 in sounding:
            row[place] = sounding[(7 * lof) % 12] - _RESPELLED
        else:
            row[place] = _IN_SCALE if lof - key.tonic in _SCALE[key.is_minor] else _OUTSIDE
    return row


_BASS_ROLE = (0.9, 0.45, -0.1, 0.1)
_BASS_OTHER = -0.7


@cache
def bass_table() -> Floats:
    """Evidence that each spelled bass gives for each chord, shape ``(n_keys, n_chords, 35)``."""
    table = np.full((len(KEYS), N_CHORDS, 35), _BASS_OTHER)
    for at, key in enumerate(KEYS):
        for place, chord in enumerate(CHORDS[key.is_minor]):
            for role, tone in enumerate(chord.tones):
                same = (7 * (np.arange(35) - 15 - key.tonic - chord.root - tone)) % 12 == 0
                table[at, place, same] = _BASS_ROLE[role]
    return table


@cache
def chord_change_table() -> Floats:
    """Logarithm of how readily one chord follows another, shape ``(2, n_chords, n_chords)``."""
    table = np.empty((2, N_CHORDS, N_CHORDS))
    for mode in (0, 1):
        for old_at, old in enumerate(CHORDS[mode]):
            for new_at, new in enumerate(CHORDS[mode]):
                table[mode, old_at, new_at] = new.habit + _follow(old, new)
            table[mode, old_at, old_at] = 0.0
    return table


_FOLLOWS: dict[tuple[str, str], float] = {
    ("dominant", "tonic"): 0.8,
    ("predominant", "dominant"): 0.6,
    ("dominant", "predominant"): -0.8,
    ("tonic", "other"): 0.0,
    ("dominant", "other"): -0.2,
    ("other", "predominant"): 0.3,
}


def _follow(old: Chord, new: Chord) -> float:
    bonus = _FOLLOWS.get((old.function, new.function), 0.0)
    if "/" in old.figure:
        target = new.root == old.root - 1 or new.root == old.root - 5
        bonus = 1.2 if target else -1.0
    if new.root == old.root:
        bonus += 0.3
    return bonus


@cache
def key_change_table() -> Floats:
    """Logarithm of how readily one key follows another, shape ``(n_keys, n_keys)``; the diagonal is 0."""
    tonic = np.array([key.tonic for key in KEYS])
    fifths = np.array([key.fifths for key in KEYS])
    minor = np.array([key.is_minor for key in KEYS])
    signature = np.abs(fifths[:, None] - fifths[None, :])
    parallel = (tonic[:, None] == tonic[None, :]) & (minor[:, None] != minor[None, :])
    table = -0.6 * np.minimum(signature, 8).astype(np.float64)
    table[parallel] = -1.0
    np.fill_diagonal(table, 0.0)
    return table


def signature_of(fifths: Ints) -> Floats:
    """Support of a key signature for each key, shape ``(n_keys,)`` behind the given shape."""
    distance = np.abs(np.array([key.fifths for key in KEYS]) - fifths[..., None])
    return np.asarray(-0.12 * np.minimum(distance, 5), dtype=np.float64)
