"""Values of a result as people type them."""

from collections.abc import Iterable, Sequence

from planner.core.difficulty import FOCUSES
from planner.core.fact import Place
from planner.core.term import FELL_APART_SHARE
from planner.errors import InputError
from planner.services.entered.numbers import number_in, whole_in
from planner.services.entered.shares import read_bars
from planner.services.entered.words import short

FELL_APART = "fell apart"
"""What is typed, or begun to be typed, for a first reading that stopped before its end."""

SLOWEST_BPM, FASTEST_BPM = 10.0, 400.0
"""Beats a minute of a tempo that was taken. Source: house choice, against slips of the pen."""


def read_first(name: str, text: str, field: str = "") -> tuple[float | None, bool]:
    """Bars right of 100 on the first reading as a share, and whether the reading fell apart.

    Args:
        name: Whose they are, for the sentence.
        text: A number, or the beginning of ``fell apart``.
        field: Which value it is.

    Raises:
        InputError: If it is neither.

    Example:
        >>> read_first("Flute", "85"), read_first("Flute", "f"), read_first("Flute", "")
        ((0.85, False), (0.25, True), (None, False))
    """
    word = " ".join(text.casefold().split())
    if word and FELL_APART.startswith(word):
        return FELL_APART_SHARE, True
    try:
        return read_bars(name, text, field), False
    except InputError as error:
        if error.hint or number_in(text.strip().removesuffix("%")) is not None:
            raise
        raise InputError(str(error), hint="Or write “fell apart”.", field=field) from error


def read_tempo(name: str, text: str, field: str = "") -> float | None:
    """A tempo in beats a minute; None when empty.

    Raises:
        InputError: If it is no number, or no tempo.

    Example:
        >>> read_tempo("Flute", "96"), read_tempo("Flute", " ")
        (96.0, None)
    """
    typed = text.strip()
    if not typed:
        return None
    number = number_in(typed)
    if number is None:
        raise InputError(
            f"{name}: the tempo is a number of beats a minute, not “{short(typed)}”.", field=field
        )
    check_tempo(name, number, field)
    return number


def check_tempo(name: str, bpm: float, field: str = "") -> None:
    """A tempo must be one that can be taken.

    Raises:
        InputError: If it cannot.
    """
    if not SLOWEST_BPM <= bpm <= FASTEST_BPM:
        raise InputError(
            f"{name}: a tempo lies from {SLOWEST_BPM:g} to {FASTEST_BPM:g} beats a minute, not {bpm:g}.",
            field=field,
        )


def places_text(places: Iterable[Place]) -> str:
    """Places as a form holds them: measures counted from 0.

    Example:
        >>> places_text([(8, 9), (14, 14)])
        '8-9,14-14'
    """
    return ",".join(f"{first}-{last}" for first, last in sorted(places))


def read_places(text: str) -> tuple[Place, ...]:
    """What ``places_text`` wrote; pieces of text that are no places are passed over.

    Example:
        >>> read_places("14-14,8-9,x")
        ((8, 9), (14, 14))
    """
    found = set()
    for each in text.split(","):
        first, _, last = each.partition("-")
        ends = whole_in(first), whole_in(last)
        if ends[0] is not None and ends[1] is not None:
            found.add((ends[0], ends[1]))
    return tuple(sorted(found))


def read_wrong(
    name: str, words: Iterable[str], numbers: Sequence[str]
) -> tuple[tuple[str, ...], tuple[Place, ...]]:
    """What went wrong as a command names it: skills, and bars by their printed numbers.

    Args:
        name: Whose, for the sentence.
        words: Such as ``rhythm``, ``12`` or ``12-15``.
        numbers: The printed number of every measure.

    Raises:
        InputError: If a word is neither a skill nor a bar that the piece has once.

    Example:
        >>> read_wrong("Flute", ["key", "2-3", "1"], ("1", "2", "3"))
        (('key',), ((0, 0), (1, 2)))
    """
    skills, places = set(), set()
    for word in (each.strip() for each in words):
        if word in FOCUSES:
            skills.add(word)
        elif word:
            first, _, last = word.replace("–", "-").partition("-")
            begin, end = (_measure(name, bar, numbers) for bar in (first, last or first))
            if end < begin:
                raise InputError(f"{name}: bars {word} run backward.")
            places.add((begin, end))
    return tuple(each for each in FOCUSES if each in skills), tuple(sorted(places))


def _measure(name: str, bar: str, numbers: Sequence[str]) -> int:
    found = [at for at, number in enumerate(numbers) if number == bar.strip()]
    if len(found) == 1:
        return found[0]
    if found:
        raise InputError(
            f"{name}: the piece has {len(found)} bars numbered {short(bar)}.",
            hint="Mark it on the page of results, or name it in the remark.",
        )
    raise InputError(
        f"{name}: “{short(bar)}” is neither a skill nor a bar of the piece.",
        hint=f"Skills are {', '.join(FOCUSES)}; bars go by their printed number, such as 12 or 12-15.",
    )
