"""Words about who was there on a day."""

from collections import Counter
from collections.abc import Mapping
from typing import Any

from planner.core.change import Change
from planner.wording.words import count_of, listed

NAMED_ONE_BY_ONE = 4
"""Players of one change that are named one by one; more are counted. Source: house choice."""

Value = Mapping[str, Any] | None


def attendance_text(there: int, away: int, unknown: int) -> str:
    """How many were there, in a sentence.

    Example:
        >>> attendance_text(57, 3, 0), attendance_text(0, 0, 60)
        ('57 players there, 3 away.', 'Nothing is entered of 60 players.')
    """
    if not there and not away:
        return f"Nothing is entered of {count_of(unknown, 'player')}."
    rest = f"; nothing is entered of {count_of(unknown, 'player')}" if unknown else ""
    return f"{count_of(there, 'player')} there, {away} away{rest}."


def presence_word(is_present: bool | None) -> str:
    """``there``, ``away``, or ``not entered``."""
    return "not entered" if is_present is None else "there" if is_present else "away"


def attendance_change_text(change: Change) -> str:
    """What a change did, each player by name or all of them counted."""
    if len(change.after) <= NAMED_ONE_BY_ONE:
        return "; ".join(
            f"{player_of(change, name)} {attendance_value(value)} "
            f"(was {attendance_value(change.before.get(name))})"
            for name, value in change.after.items()
        )
    counts = Counter(attendance_value(value).partition(",")[0] for value in change.after.values())
    return listed([f"{number} {word}" for word, number in counts.items()])


def player_of(change: Change, name: str) -> str:
    """Who a value of a change speaks of."""
    value = change.after.get(name) or change.before.get(name) or {}
    return str(value.get("who") or "a player")


def attendance_value(value: Value) -> str:
    """What was entered of a player.

    Example:
        >>> attendance_value({"present": True, "mark": 92.0, "note": ""}), attendance_value(None)
        ('there, mark 92', 'not entered')
    """
    if value is None:
        return presence_word(None)
    mark = "" if value["mark"] is None else f", mark {value['mark']:g}"
    return presence_word(value["present"]) + mark
