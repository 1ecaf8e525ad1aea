"""Words for attendance and marks: their states, what was changed of them, what makes a mark."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from planner.core.change import Change
from planner.core.term import Attendance
from planner.wording.words import count_of, listed, short_day, some_of

ATTENDANCE_WORDS: Mapping[Attendance, str] = {
    Attendance.PRESENT: "here",
    Attendance.LATE: "late",
    Attendance.ABSENT: "absent",
    Attendance.EXCUSED: "excused",
}
"""States as the pages show them."""
LETTERS: Mapping[Attendance, str] = {
    Attendance.PRESENT: "P",
    Attendance.LATE: "L",
    Attendance.ABSENT: "A",
    Attendance.EXCUSED: "E",
}
"""States in one letter, for tables with a column a day."""
NAMED_ONE_BY_ONE = 4
"""Things of one change that are named one by one; more are counted (house choice)."""
_FIELDS = {"attendance": "attendance", "mark": "mark", "made_up": "make-up", "note": "remark"}


def marks_change_text(change: Change) -> str:
    """What was entered of a section's players on a day, as the rest of a sentence.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, ChangeKind, Door, Subject
        >>> by = Author(Door.PAGE, datetime(2026, 9, 1, tzinfo=UTC))
        >>> after = {"3 mark": {"who": "Ida", "value": "90"}, "4 attendance": {"who": "Bo", "value": "late"}}
        >>> marks_change_text(Change(0, ChangeKind.MARKS, Subject("", 1, ""), {}, after, by))
        'mark of Ida now 90; Bo late'
        >>> many = {f"{n} attendance": {"who": "x", "value": "present"} for n in range(9)}
        >>> marks_change_text(Change(0, ChangeKind.MARKS, Subject("", 1, ""), {}, many, by))
        'attendance of 9 players: 9 here'
    """
    states = {name: value for name, value in change.after.items() if name.endswith(" attendance")}
    others = {name: value for name, value in change.after.items() if name not in states}
    phrases = []
    if len(others) <= NAMED_ONE_BY_ONE:
        phrases += [_other(name, value, change.before.get(name)) for name, value in others.items()]
    else:
        kinds = [word for field, word in _FIELDS.items() if any(n.endswith(f" {field}") for n in others)]
        players = {name.split()[0] for name in others}
        phrases.append(f"{listed([f'{kind}s' for kind in kinds])} of {count_of(len(players), 'player')}")
    if len(states) <= NAMED_ONE_BY_ONE:
        phrases += [_state(value, change.before.get(name)) for name, value in states.items()]
    else:
        phrases.append(f"attendance of {len(states)} players: {_counts(states)}")
    return "; ".join(phrases)


def marks_value_names(change: Change, names: Sequence[str]) -> str:
    """What values of a change are called in a sentence."""
    return some_of([f"{_FIELDS[name.split()[1]]} of {_who(change, name)}" for name in names])


def roll_text(name: str, counts: Mapping[Attendance, int], unknown: int = 0) -> str:
    """Who of a section is there, in a few words.

    Example:
        >>> roll_text("Flute", {Attendance.PRESENT: 5, Attendance.LATE: 0, Attendance.ABSENT: 1})
        'Flute: 5 here, 1 absent.'
        >>> roll_text("Flute", {}, unknown=6)
        'Flute: attendance not taken.'
    """
    found = [f"{number} {ATTENDANCE_WORDS[state]}" for state, number in counts.items() if number]
    if not found:
        return f"{name}: attendance not taken."
    rest = [f"{unknown} not entered"] if unknown else []
    return f"{name}: {', '.join([*found, *rest])}."


def mark_text(mark: Decimal | None) -> str:
    """A mark as it was entered, without needless zeros.

    Example:
        >>> mark_text(Decimal("87.50")), mark_text(Decimal("100")), mark_text(None)
        ('87.5', '100', '')
    """
    if mark is None:
        return ""
    text = f"{mark:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _who(change: Change, name: str) -> str:
    value = change.after.get(name) or change.before.get(name) or {}
    return str(value.get("who", "a player"))


def _state(value: Mapping[str, Any], before: Mapping[str, Any] | None) -> str:
    was = (before or {}).get("value")
    text = f"{value['who']} {_word(value.get('value'))}"
    return f"{text} (was {_word(was)})" if was else text


def _word(state: str | None) -> str:
    return ATTENDANCE_WORDS[Attendance(state)] if state else "not entered"


def _other(name: str, value: Mapping[str, Any], before: Mapping[str, Any] | None) -> str:
    field = name.split()[1]
    was = (before or {}).get("value")
    text = f"{_FIELDS[field]} of {value['who']} "
    text += f"now {_shown(field, value['value'])}" if value.get("value") else "taken out"
    return f"{text} (was {_shown(field, was)})" if was else text


def _shown(field: str, value: str) -> str:
    if field == "made_up":
        return short_day(date.fromisoformat(value))
    return f"“{value}”" if field == "note" else value


def _counts(states: Mapping[str, Mapping[str, Any]]) -> str:
    found = [value.get("value") for value in states.values()]
    return listed([f"{found.count(each)} {_word(each)}" for each in (*Attendance, None) if each in found])
