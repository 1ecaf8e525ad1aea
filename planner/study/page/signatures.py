"""Which key signatures stand on a part's own page."""

from planner.core.profile import KeySpan
from planner.core.score import Part

_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
_MINOR = ("Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#")


_SHARPS = "FCGDAEB"


def signature_alters(fifths: int) -> dict[str, int]:
    """The alteration a signature gives to each letter; letters it leaves alone are not in it.

    Beyond seven signs letters are altered twice.

    Example:
        >>> signature_alters(-2), signature_alters(8)["F"]
        ({'B': -1, 'E': -1}, 2)
    """
    letters = _SHARPS if fifths > 0 else _SHARPS[::-1]
    alters: dict[str, int] = {}
    for at in range(min(abs(fifths), 14)):
        letter = letters[at % 7]
        alters[letter] = alters.get(letter, 0) + (1 if fifths > 0 else -1)
    return alters


def signature_name(fifths: int) -> str:
    """A signature as musicians name it.

    Example:
        >>> signature_name(0), signature_name(1), signature_name(-3)
        ('no sharps or flats', '1 sharp', '3 flats')
    """
    if fifths == 0:
        return "no sharps or flats"
    kind = "sharp" if fifths > 0 else "flat"
    return f"{abs(fifths)} {kind}{'s' if abs(fifths) > 1 else ''}"


def signature_key(fifths: int, mode: str = "") -> str:
    """The key a signature belongs to: minor when the page says so, else major; empty beyond seven signs.

    Example:
        >>> signature_key(-2), signature_key(-2, "minor")
        ('Bb major', 'G minor')
    """
    if not -7 <= fifths <= 7:
        return ""
    return f"{_MINOR[fifths + 7]} minor" if mode == "minor" else f"{_MAJOR[fifths + 7]} major"


def written_keys(part: Part) -> tuple[KeySpan, ...]:
    """The signatures of a part as written: key of the signature, and how many signs in ``relation``.

    A signature repeated without change is left out; in a part of several staves the first staff counts.
    """
    found: list[KeySpan] = []
    for key in part.keys:
        if key.staff != 1:
            continue
        span = KeySpan(
            key.measure,
            signature_key(key.fifths, key.mode),
            signature_name(key.fifths),
            float(key.onset_quarters),
        )
        if not found or (found[-1].key, found[-1].relation) != (span.key, span.relation):
            found.append(span)
    return tuple(found)
