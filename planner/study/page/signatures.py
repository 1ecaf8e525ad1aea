"""Which key signatures stand on a part's own page."""

from collections.abc import Iterator

from planner.core.fact import Fact, FactKind
from planner.core.profile import PrintedSignature, SignatureSpan
from planner.core.score import Part, Score

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


def signature_key(fifths: int, mode: str = "") -> str:
    """The key a signature belongs to: minor when the page says so, else major; empty beyond seven signs.

    Example:
        >>> signature_key(-2), signature_key(-2, "minor")
        ('Bb major', 'G minor')
    """
    if not -7 <= fifths <= 7:
        return ""
    return f"{_MINOR[fifths + 7]} minor" if mode == "minor" else f"{_MAJOR[fifths + 7]} major"


def written_signatures(part: Part) -> tuple[SignatureSpan, ...]:
    """The signatures of a part as written.

    One repeated without change is left out; in a part of several staves the first staff counts.
    """
    found: list[SignatureSpan] = []
    for key in part.keys_of(staff=1):
        name = signature_key(key.fifths, key.mode)
        if not found or (found[-1].key, found[-1].fifths) != (name, key.fifths):
            found.append(SignatureSpan(key.measure, name, key.fifths, float(key.onset_quarters)))
    return tuple(found)


def printed_signatures(part: Part) -> tuple[PrintedSignature, ...]:
    """Every key signature on every staff of a part, in order of place.

    Example:
        >>> from planner.core.score import KeySignature
        >>> printed_signatures(Part("P1", "Piano", staves=2, keys=(KeySignature(0, -1, staff=2),)))
        (PrintedSignature(measure=0, staff=2, fifths=-1, mode='', offset_quarters=0.0),)
    """
    return tuple(
        PrintedSignature(key.measure, key.staff, key.fifths, key.mode, float(key.onset_quarters))
        for key in part.keys
    )


def signature_facts(score: Score) -> Iterator[Fact]:
    """For each part whose key signature changes: every new one with its bar.

    Example:
        >>> list(signature_facts(Score("Empty", (), ())))
        []
    """
    for part in score.parts:
        first, *later = written_signatures(part) or (None,)
        if first is not None and later:
            fifths = (("before", first.fifths), *(("fifths", each.fifths) for each in later))
            places = tuple((each.measure, each.measure) for each in later)
            yield Fact(FactKind.SIGNATURE_CHANGES, part.name, places=places, numbers=fifths, weight=0.6)
