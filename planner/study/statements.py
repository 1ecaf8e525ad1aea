"""Putting statements in the order they are read, and the small words they share."""

from collections.abc import Iterable, Sequence

from planner.core.profile import TOPICS, Statement
from planner.core.score import Score

_FLAT, _SHARP = "♭", "♯"


def in_reading_order(statements: Iterable[Statement], part_names: Sequence[str]) -> tuple[Statement, ...]:
    """Statements by topic, those for everyone first, then by part in score order, then by place."""
    place = {name: at for at, name in enumerate(part_names)}
    return tuple(
        sorted(
            statements,
            key=lambda s: (
                TOPICS.index(s.topic),
                place.get(s.part, -1),
                -1 if s.measure is None else s.measure,
            ),
        )
    )


def bars(score: Score, first: int, last: int | None = None) -> str:
    """``"bar 5"`` or ``"bars 5–8"``, by printed numbers."""
    return f"bar{'' if last is None or last == first else 's'} {numbers(score, first, last)}"


def numbers(score: Score, first: int, last: int | None = None) -> str:
    """``"5"`` or ``"5–8"``, by printed numbers."""
    opening = score.measure_number(first)
    if last is None or last == first:
        return opening
    return f"{opening}–{score.measure_number(last)}"


def bar_list(score: Score, measures: Sequence[int], most: int = 8) -> str:
    """``"bar 5"`` or ``"bars 5, 8 and 11"``, each once; those beyond ``most`` are counted."""
    told = [score.measure_number(measure) for measure in dict.fromkeys(measures)]
    plural = len(told) > 1
    if len(told) > most:
        told = [*told[:most], f"{len(told) - most} more"]
    return f"bar{'s' if plural else ''} {listed(told)}"


def listed(items: Sequence[str]) -> str:
    """Items as a list in a sentence.

    Example:
        >>> listed(["a", "b", "c"])
        'a, b and c'
    """
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} and {items[-1]}"


def spoken_pitch(name: str) -> str:
    """A pitch name with real signs.

    Example:
        >>> spoken_pitch("Bb"), spoken_pitch("F##4"), spoken_pitch("B")
        ('B♭', 'F♯♯4', 'B')
    """
    return name[:1] + name[1:].replace("b", _FLAT).replace("#", _SHARP)


def capital(text: str) -> str:
    """A text with its first letter large, the rest as it is."""
    return text[:1].upper() + text[1:]
