"""Keys and chords as places on the line of fifths: their names, tones and functions."""

from dataclasses import dataclass

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

_BY_NAME = {key.name: at for at, key in enumerate(KEYS)}


def key_index(name: str) -> int | None:
    """Place in ``KEYS`` of a name such as ``"Bb major"``; None for an empty or unknown one."""
    return _BY_NAME.get(name)


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord of a key.

    Attributes:
        figure: Roman numeral without inversion; ``I64`` is the cadential six-four.
        root: Steps on the line of fifths from the tonic to the root.
        tones: Steps on the line of fifths from the *root*: root, third, fifth, seventh.
        quality: Name of its kind.
        function: Its function in the key; an applied chord counts by its own numeral.
    """

    figure: str
    root: int
    tones: tuple[int, ...]
    quality: str
    function: Function

    @property
    def is_cadential(self) -> bool:
        """A tonic triad over its fifth that leans on the dominant."""
        return self.figure.endswith("64")

    @property
    def is_applied(self) -> bool:
        """A dominant of another degree than the tonic."""
        return "/" in self.figure

    def applied_key(self, local: Key) -> Key | None:
        """The key that an applied chord points to from a local key; None for another chord.

        Its tonic is a fifth below the root of an applied dominant, a step above that of an applied
        leading-tone chord; its mode is that of the degree in the scale of the local key (common practice).

        Example:
            >>> chord = next(each for each in CHORDS[False] if each.figure == "V7/vi")
            >>> chord.applied_key(Key(0, False)).name
            'A minor'
        """
        if not self.is_applied:
            return None
        degree = self.figure.partition("/")[2]
        below = 1 if self.figure.startswith("V") else 5
        is_minor = degree.islower() or (local.is_minor and degree == "V")
        return Key(local.tonic + self.root - below, is_minor)


KINDS: dict[str, tuple[int, ...]] = {
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

_MAJOR: tuple[tuple[str, int, str, Function], ...] = (
    ("I", 0, "major", "tonic"),
    ("ii", 2, "minor", "predominant"),
    ("ii7", 2, "minor seventh", "predominant"),
    ("iii", 4, "minor", "other"),
    ("IV", -1, "major", "predominant"),
    ("IV7", -1, "major seventh", "predominant"),
    ("V", 1, "major", "dominant"),
    ("V7", 1, "dominant seventh", "dominant"),
    ("vi", 3, "minor", "other"),
    ("vi7", 3, "minor seventh", "other"),
    ("viio", 5, "diminished", "dominant"),
    ("viio7", 5, "diminished seventh", "dominant"),
    ("viiø7", 5, "half-diminished seventh", "dominant"),
    ("V/V", 2, "major", "dominant"),
    ("V7/V", 2, "dominant seventh", "dominant"),
    ("viio/V", 6, "diminished", "dominant"),
    ("viio7/V", 6, "diminished seventh", "dominant"),
    ("V7/IV", 0, "dominant seventh", "dominant"),
    ("V/vi", 4, "major", "dominant"),
    ("V7/vi", 4, "dominant seventh", "dominant"),
    ("V/ii", 3, "major", "dominant"),
    ("V7/ii", 3, "dominant seventh", "dominant"),
    ("iv", -1, "minor", "predominant"),
    ("iiø7", 2, "half-diminished seventh", "predominant"),
    ("I64", 0, "major", "dominant"),
    ("VII", -2, "major", "dominant"),
    ("v", 1, "minor", "dominant"),
    ("i", 0, "minor", "tonic"),
    ("Ger", -4, "augmented sixth", "predominant"),
    ("bII", -5, "major", "predominant"),
    ("bVI", -4, "major", "other"),
    ("viio7/vi", 8, "diminished seventh", "dominant"),
)
_MINOR: tuple[tuple[str, int, str, Function], ...] = (
    ("i", 0, "minor", "tonic"),
    ("I", 0, "major", "tonic"),
    ("iio", 2, "diminished", "predominant"),
    ("iiø7", 2, "half-diminished seventh", "predominant"),
    ("III", -3, "major", "other"),
    ("III+", -3, "augmented", "other"),
    ("iv", -1, "minor", "predominant"),
    ("iv7", -1, "minor seventh", "predominant"),
    ("IV", -1, "major", "predominant"),
    ("v", 1, "minor", "dominant"),
    ("V", 1, "major", "dominant"),
    ("V7", 1, "dominant seventh", "dominant"),
    ("VI", -4, "major", "other"),
    ("VI7", -4, "major seventh", "other"),
    ("VII", -2, "major", "dominant"),
    ("V7/III", -2, "dominant seventh", "dominant"),
    ("viio", 5, "diminished", "dominant"),
    ("viio7", 5, "diminished seventh", "dominant"),
    ("V/V", 2, "major", "dominant"),
    ("V7/V", 2, "dominant seventh", "dominant"),
    ("viio7/V", 6, "diminished seventh", "dominant"),
    ("V7/iv", 0, "dominant seventh", "dominant"),
    ("bII", -5, "major", "predominant"),
    ("Ger", -4, "augmented sixth", "predominant"),
    ("i64", 0, "minor", "dominant"),
    ("ii", 2, "minor", "predominant"),
    ("viio/V", 6, "diminished", "dominant"),
    ("V7/VI", -3, "dominant seventh", "dominant"),
    ("ii7", 2, "minor seventh", "predominant"),
    ("v7", 1, "minor seventh", "dominant"),
    ("viø7", 3, "half-diminished seventh", "other"),
    ("viio7/iv", 4, "diminished seventh", "dominant"),
)


def _chords(rows: tuple[tuple[str, int, str, Function], ...]) -> tuple[Chord, ...]:
    return tuple(Chord(figure, root, KINDS[kind], kind, function) for figure, root, kind, function in rows)


CHORDS: tuple[tuple[Chord, ...], tuple[Chord, ...]] = (_chords(_MAJOR), _chords(_MINOR))
"""Chords of a major key and of a minor key, equally many.

Source: the grouping into functions is that of published chord counts (When in Rome,
doi 10.5334/tismir.165): tonic is I; predominant ii, IV, flat II and the augmented sixths;
dominant V and vii; vi and iii stand apart. The cadential six-four is a dominant (common practice).
"""

N_KEYS, N_CHORDS = len(KEYS), len(CHORDS[0])
