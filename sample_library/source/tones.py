"""Spelled tones, keys and meters: the small arithmetic the sample pieces need.

The sample pieces exist to be read by the program, so they share no code with it.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

LETTERS = "CDEFGAB"
SEMITONES = (0, 2, 4, 5, 7, 9, 11)
SHARP_ORDER = "FCGDAEB"
FIFTHS = {
    "Cb": -7, "Gb": -6, "Db": -5, "Ab": -4, "Eb": -3, "Bb": -2, "F": -1, "C": 0, "G": 1, "D": 2, "A": 3,
    "E": 4, "B": 5, "F#": 6, "C#": 7,
}  # fmt: skip


class Tone(NamedTuple):
    """A spelled tone: staff steps above C0, and its alteration in semitones."""

    step: int
    alter: int

    @property
    def midi(self) -> int:
        """Semitones, middle C is 60."""
        octave, letter = divmod(self.step, 7)
        return 12 * (octave + 1) + SEMITONES[letter] + self.alter

    @property
    def letter(self) -> str:
        """Letter name without alteration."""
        return LETTERS[self.step % 7]

    @property
    def octave(self) -> int:
        """Octave number, 4 from middle C up."""
        return self.step // 7

    def moved(self, steps: int, semitones: int) -> "Tone":
        """The tone ``steps`` staff steps and ``semitones`` semitones higher."""
        plain = Tone(self.step + steps, 0)
        return Tone(plain.step, self.midi + semitones - plain.midi)

    def __str__(self) -> str:
        return f"{self.letter}{'#' * self.alter}{'b' * -self.alter}{self.octave}"


def tone(text: str) -> Tone:
    """Read ``Bb4`` or ``F#3``."""
    body, octave = text[:-1], int(text[-1])
    alter = body.count("#") - body[1:].count("b")
    return Tone(7 * octave + LETTERS.index(body[0]), alter)


def key_alter(letter: str, fifths: int) -> int:
    """Alteration that a signature of ``fifths`` gives a letter."""
    if fifths >= 0:
        return int(SHARP_ORDER.index(letter) < fifths)
    return -int(SHARP_ORDER[::-1].index(letter) < -fifths)


@dataclass(frozen=True, slots=True)
class Key:
    """A concert key: ``Bb`` is major, ``Gm`` is minor."""

    name: str

    @property
    def is_minor(self) -> bool:
        """True for a minor key."""
        return self.name.endswith("m")

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats of its signature."""
        return FIFTHS[self.name.removesuffix("m")] - (3 if self.is_minor else 0)


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter and the groups its beams show; from ``4/4``, ``C|``, ``7/8:2+2+3``."""

    text: str

    @property
    def _head(self) -> str:
        return {"C|": "2/2", "C": "4/4"}.get(self.text, self.text.partition(":")[0])

    @property
    def beats(self) -> int:
        """Upper number."""
        return int(self._head.split("/")[0])

    @property
    def unit(self) -> int:
        """Lower number."""
        return int(self._head.split("/")[1])

    @property
    def symbol(self) -> str:
        """``cut``, ``common`` or empty."""
        return {"C|": "cut", "C": "common"}.get(self.text, "")

    @property
    def length(self) -> Fraction:
        """Quarters in a full bar."""
        return Fraction(4 * self.beats, self.unit)

    @property
    def groups(self) -> tuple[Fraction, ...]:
        """Lengths, in quarters, of the groups that beams may not cross."""
        if ":" in self.text:
            return tuple(Fraction(4 * int(n), self.unit) for n in self.text.partition(":")[2].split("+"))
        if self.unit == 8 and self.beats % 3 == 0:
            return (Fraction(3, 2),) * (self.beats // 3)
        return (Fraction(4, self.unit),) * self.beats
