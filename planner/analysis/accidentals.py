"""Which accidentals a part meets, against the signature on its own page."""

from dataclasses import dataclass

from planner.analysis.columns import Columns
from planner.core.profile import AccidentalUse, Statement
from planner.core.score import KeySignature, Part

_SHARPS = "FCGDAEB"


@dataclass(frozen=True, slots=True)
class AccidentalStudy:
    """The accidentals of each part, in score order, and what to say of them."""

    by_part: tuple[tuple[AccidentalUse, ...], ...]
    statements: tuple[Statement, ...] = ()


def find_accidentals(columns: Columns) -> AccidentalStudy:
    """The written accidentals of every part.

    Example:
        >>> from planner.analysis.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_accidentals(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    return AccidentalStudy(tuple(accidentals_of(part) for part in columns.score.parts))


def signature_alters(fifths: int) -> dict[str, int]:
    """The alteration a signature gives to each letter; letters it leaves alone are not in it.

    Example:
        >>> signature_alters(-2)
        {'B': -1, 'E': -1}
    """
    letters = _SHARPS[:fifths] if fifths > 0 else _SHARPS[::-1][:-fifths] if fifths < 0 else ""
    return dict.fromkeys(letters, 1 if fifths > 0 else -1)


def accidentals_of(part: Part) -> tuple[AccidentalUse, ...]:
    """Each pitch name foreign to the signature, where it first stands and how often."""
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
    return tuple(AccidentalUse(measure, name, "first", times[name]) for name, measure in first.items())
