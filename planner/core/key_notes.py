"""Keys by fifths: their signatures and tonics, the notes that a signature gives, the one that leads home."""

from planner.core.pitch import STEPS, Pitch

BY_FIFTHS = "FCGDAEB"
"""Note letters by fifths."""
_OF_SCALE = tuple(range(7))
_RAISED = (7, 9)
"""Fifths above the lowest note of a signature: its seven notes, and the raised sixth and seventh of minor."""


def fifths_of_key(key: str) -> int:
    """Sharps in the signature of a key, flats below 0.

    Example:
        >>> fifths_of_key("Bb major"), fifths_of_key("E minor")
        (-2, 1)
    """
    tonic, _, mode = key.partition(" ")
    sharps = BY_FIFTHS.index(tonic[0]) - 1 + 7 * (tonic.count("#") - tonic[1:].count("b"))
    return sharps - (3 if mode == "minor" else 0)


def tonic_of_signature(fifths: int, mode: str) -> str:
    """The tonic of the major or minor key with a signature.

    Example:
        >>> tonic_of_signature(-3, "major"), tonic_of_signature(3, "minor"), tonic_of_signature(-7, "major")
        ('Eb', 'F#', 'Cb')
    """
    return _by_fifths(fifths + 1 + (3 if mode == "minor" else 0))


def note_in_signature(diatonic: int, fifths: int) -> Pitch:
    """The note of a signature on a step of the staff.

    Args:
        diatonic: Steps from C0.
        fifths: Sharps of the signature, flats below 0.

    Example:
        >>> str(note_in_signature(34, -2)), str(note_in_signature(31, 1))
        ('Bb4', 'F#4')
    """
    octave, step = divmod(diatonic, 7)
    place = BY_FIFTHS.index(STEPS[step])
    return Pitch.parse(f"{_by_fifths(place + 7 * ((fifths - place + 6) // 7))}{octave}")


def signature_notes(fifths: int) -> tuple[str, ...]:
    """The notes that a signature alters, in the order in which it is printed.

    Example:
        >>> signature_notes(2), signature_notes(-3)
        (('F#', 'C#'), ('Bb', 'Eb', 'Ab'))
    """
    if fifths >= 0:
        return tuple(f"{letter}#" for letter in BY_FIFTHS[:fifths])
    return tuple(f"{letter}b" for letter in BY_FIFTHS[::-1][:-fifths])


def scale_of_key(key: str) -> frozenset[str]:
    """The notes of a key; in minor with the sixth and seventh also raised.

    Example:
        >>> sorted(scale_of_key("A minor"))
        ['A', 'B', 'C', 'D', 'E', 'F', 'F#', 'G', 'G#']
    """
    lowest = fifths_of_key(key)
    steps = (*_OF_SCALE, *_RAISED) if key.endswith("minor") else _OF_SCALE
    return frozenset(_by_fifths(lowest + step) for step in steps)


def _by_fifths(place: int) -> str:
    """The note so many fifths above F."""
    signs = place // 7
    return BY_FIFTHS[place % 7] + ("#" * signs if signs > 0 else "b" * -signs)


def leading_note(key: str) -> str:
    """The note a semitone below the tonic of a key.

    Example:
        >>> leading_note("F major"), leading_note("G minor"), leading_note("Db major")
        ('E', 'F#', 'C')
    """
    tonic = Pitch.parse(f"{key.split(' ')[0]}4")
    step = STEPS[(STEPS.index(tonic.step) - 1) % 7]
    alter = (int(tonic.midi - 1 - Pitch.parse(f"{step}4").midi) + 6) % 12 - 6
    return step + ("#" * alter if alter > 0 else "b" * -alter)
