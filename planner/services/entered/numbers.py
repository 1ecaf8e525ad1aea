"""Numbers as people type them; whatever else looks like one to a computer is none."""

import re

from planner.errors import InputError
from planner.services.entered.words import short

_FIGURE = re.compile(r"[+-]?\d{1,12}(\.\d{1,12})?", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d{1,9}", re.ASCII)
"""At most nine figures: what every database holds as a number, and more than anybody counts."""


def number_in(text: str) -> float | None:
    """A number with a point or a comma, as people write it; None for none.

    Example:
        >>> [number_in(text) for text in ("2,5", "3½", " ½ ", "1e3", "²", "nan", "inf", "٣", "9" * 20)]
        [2.5, 3.5, 0.5, None, None, None, None, None, None]
    """
    text = text.strip()
    half = 0.5 if text.endswith("½") else 0.0
    text = text.removesuffix("½").strip()
    if half and not text:
        return half
    plain = text.replace(",", ".")
    return float(plain) + half if _FIGURE.fullmatch(plain) else None


def whole_in(text: str) -> int | None:
    """A whole number of at most nine figures; None for none.

    Example:
        >>> [whole_in(text) for text in (" 12 ", "-3", "²", "2.0", "٣", "9" * 20, "")]
        [12, -3, None, None, None, None, None]
    """
    plain = text.strip()
    return int(plain) if _WHOLE.fullmatch(plain) else None


def number_of_thing(text: str) -> int | None:
    """The number by which something stored is known; None when the text is none.

    Example:
        >>> number_of_thing("12"), number_of_thing("-1"), number_of_thing("Twelve")
        (12, None, None)
    """
    number = whole_in(text)
    return None if number is None or number < 0 else number


def entered_number(text: str, name: str, *, field: str = "") -> float | None:
    """The number that was entered for something; None where nothing was.

    Args:
        text: As typed.
        name: What it is for, as the sentence begins: "The minutes".
        field: Which value it is.

    Raises:
        InputError: If it is not a number.
    """
    if not text.strip():
        return None
    number = number_in(text)
    if number is None:
        raise InputError(f"{name} must be a number, not “{short(text)}”.", field=field)
    return number


def entered_whole(text: str, name: str, *, field: str = "") -> int | None:
    """The whole number that was entered for something, also as 2.0; arguments as of ``entered_number``.

    Raises:
        InputError: If it is not a whole number.
    """
    number = entered_number(text, name, field=field)
    if number is not None and number != int(number):
        raise InputError(f"{name} must be a whole number, not “{short(text)}”.", field=field)
    return None if number is None else int(number)
