"""How many of 100 bars came out right, as people type it, and as a share from 0 to 1."""

from collections.abc import Iterator

from planner.core.question import Question
from planner.errors import InputError
from planner.services.entered.numbers import number_in
from planner.services.entered.words import short


def read_bars(name: str, text: str, field: str = "") -> float | None:
    """Bars right of 100, such as ``85``, ``87,5`` or ``85 %``, as a share; None when empty.

    Args:
        name: Of whom they are, for the sentence.
        text: As typed.
        field: Which value it is.

    Raises:
        InputError: If it is no number from 0 to 100.

    Example:
        >>> read_bars("Flute", "85"), read_bars("Flute", "87,5%"), read_bars("Flute", "")
        (0.85, 0.875, None)
    """
    typed = text.strip()
    if not typed:
        return None
    number = number_in(typed.removesuffix("%"))
    if number is None:
        raise InputError(f"{name}: bars right must be a number, not “{short(typed)}”.", field=field)
    if not 0 <= number <= 100:
        raise InputError(f"{name}: bars right of 100 lie from 0 to 100, not {number:g}.", field=field)
    check_share(name, number / 100, field)
    return number / 100


def check_share(name: str, share: float, field: str = "") -> None:
    """A share must be one that can be meant.

    Raises:
        InputError: If it lies outside 0 to 1, or between none and one bar of 100: then a share such as 0.85
            was written where bars of 100 are asked for.
    """
    if not 0.0 <= share <= 1.0:
        raise InputError(
            f"{name}: {share:g} is no share of the bars, which lies from 0 to 1.",
            hint="Enter the bars right of 100.", field=field,
        )  # fmt: skip
    bars = 100 * share
    if 0 < bars < 1 - 1e-9:
        raise InputError(
            f"{name}: {bars:g} is less than one bar of 100.",
            hint=f"If {100 * bars:g} of 100 bars came out right, write {100 * bars:g}.", field=field,
        )  # fmt: skip


def share_questions(name: str, share: float | None, field: str) -> Iterator[Question]:
    """A single bar of 100 may be a 1 that stands for all of them."""
    if share is not None and abs(100 * share - 1) < 1e-9:
        yield Question(
            f"one bar {field}", f"{name}: 1 bar of 100 came out right (all of them would be 100).", field
        )
