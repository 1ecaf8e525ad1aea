"""Which accidentals a part meets, against the signature on its own page."""

from dataclasses import dataclass

from planner.core.profile import AccidentalUse
from planner.core.score import KeySignature, Part

_SHARPS = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class AccidentalStudy:
    """A part's accidentals, by place."""

    uses: tuple[AccidentalUse, ...]


def signature_alters(fifths: int) -> dict[str, int]:
    """The alteration a signature gives to each letter; letters it leaves alone are not in it.

    Example:
        >>> signature_alters(-2)
        {'B': -1, 'E': -1}
    """
    letters = _SHARPS[:fifths] if fifths > 0 else _SHARPS[::-1][:-fifths] if fifths < 0 else ""
    return dict.fromkeys(letters, 1 if fifths > 0 else -1)


def find_accidentals(part: Part) -> AccidentalStudy:
    """Each pitch name foreign to the signature, where it first stands and how often.

    Example:
        >>> find_accidentals(Part("P1", "Flute")).uses
        ()
    """
    first: dict[str, int] = {}
    times: dict[str, int] = {}
    keys = list(part.keys) or [KeySignature(0, 0)]
    at, alters = 0, signature_alters(keys[0].fifths)
    for note in part.notes:
        while at + 1 < len(keys) and keys[at + 1].measure <= note.measure:
            at += 1
            alters = signature_alters(keys[at].fifths)
        if note.pitch is None or not note.is_struck or note.pitch.alter == alters.get(note.pitch.step, 0):
            continue
        name = note.pitch.pitch_class_name
        first.setdefault(name, note.measure)
        times[name] = times.get(name, 0) + 1
    return AccidentalStudy(
        tuple(AccidentalUse(measure, name, "first", times[name]) for name, measure in first.items())
    )
