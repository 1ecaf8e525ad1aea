"""Exactly spelled pitches, and the transposition from written to sounding."""

import re
from dataclasses import dataclass
from fractions import Fraction

STEPS = "CDEFGAB"
STEP_SEMITONES: dict[str, int] = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SPELLED = re.compile(r"^([A-G])([#b]*)(-?\d+)$")


@dataclass(frozen=True, slots=True)
class Pitch:
    """A pitch as spelled: step letter, alteration in semitones, octave (4 starts at middle C).

    ``alter`` is exact; quarter tones are halves. Two enharmonic pitches are
    different values with the same ``midi``.

    Example:
        >>> str(Pitch.parse("Bb4")), Pitch.parse("A#4").midi == Pitch.parse("Bb4").midi
        ('Bb4', True)
    """

    step: str
    octave: int
    alter: Fraction = Fraction(0)

    @classmethod
    def parse(cls, text: str) -> "Pitch":
        """Read a name such as ``F#3`` or ``Ebb5``.

        Raises:
            ValueError: If the text is not a step, sharps or flats, and an octave.
        """
        match = _SPELLED.match(text)
        if not match:
            raise ValueError(f"{text!r} is not a pitch such as F#3 or Bb4")
        step, signs, octave = match.groups()
        return cls(step, int(octave), Fraction(signs.count("#") - signs.count("b")))

    @property
    def midi(self) -> Fraction:
        """Semitones on the MIDI scale: middle C is 60."""
        return 12 * (self.octave + 1) + STEP_SEMITONES[self.step] + self.alter

    @property
    def diatonic(self) -> int:
        """Steps on the staff, counted from C0: neighbouring letters differ by 1."""
        return 7 * self.octave + STEPS.index(self.step)

    @property
    def pitch_class_name(self) -> str:
        """Letter and signs without the octave, e.g. ``Bb``."""
        return self.step + _signs(self.alter)

    def __str__(self) -> str:
        return f"{self.pitch_class_name}{self.octave}"


def _signs(alter: Fraction) -> str:
    whole = int(alter)
    sign = "#" * whole if whole > 0 else "b" * -whole
    if alter != whole:
        sign += "+" if alter > whole else "-"
    return sign


@dataclass(frozen=True, slots=True)
class Transposition:
    """What is added to a written pitch to get the sounding one (MusicXML ``transpose``).

    Attributes:
        diatonic: Staff steps, without whole octaves.
        chromatic: Semitones, without whole octaves.
        octave_change: Whole octaves on top.

    Example:
        >>> str(Transposition(-1, -2, -1).to_sounding(Pitch.parse("C5")))
        'Bb3'
    """

    diatonic: int = 0
    chromatic: int = 0
    octave_change: int = 0

    @property
    def semitones(self) -> int:
        """Whole distance in semitones, octaves included."""
        return self.chromatic + 12 * self.octave_change

    @property
    def steps(self) -> int:
        """Whole distance in staff steps, octaves included."""
        return self.diatonic + 7 * self.octave_change

    def to_sounding(self, written: Pitch) -> Pitch:
        """The sounding pitch of a written one."""
        return _shift(written, self.steps, self.semitones)

    def to_written(self, sounding: Pitch) -> Pitch:
        """The written pitch of a sounding one."""
        return _shift(sounding, -self.steps, -self.semitones)


CONCERT = Transposition()
"""Sounds as written."""


def _shift(pitch: Pitch, steps: int, semitones: int) -> Pitch:
    if steps == 0 and semitones == 0:
        return pitch
    octave, index = divmod(pitch.diatonic + steps, 7)
    step = STEPS[index]
    alter = pitch.midi + semitones - (12 * (octave + 1) + STEP_SEMITONES[step])
    return Pitch(step, octave, alter)
