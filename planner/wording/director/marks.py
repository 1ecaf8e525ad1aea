"""Words for attendance and marks: their states, what was changed of them, what makes a mark."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from planner.core.change import Change
from planner.core.mark_scheme import CHOICES, USUAL, full_scheme_values
from planner.core.term import Attendance
from planner.marks.day_marks import LeftOut, Part, Share, ShareKind, Source
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


TAKEN_AS = "fell apart, taken as"
"""Before the share that a reading which fell apart counts as."""
SCHEME_FIELDS: Mapping[str, str] = {
    "scale": "scale",
    "even": "the mark rises evenly between steps",
    "first": "weight of the first reading",
    "second": "weight of the second reading",
    "gain": "weight of the gain",
    "form": "weight of the scoring form",
    "section": "weight of the section's mark",
    "own": "weight of an own mark",
    "attendance": "weight of attendance",
    "own_replaces": "an own mark in place of the section's",
    "late": "credit for late",
    "absent": "credit for absent",
    "drop": "lowest days left out",
    "days": "weights of days",
}
"""What the director chooses of how marks are worked out, in the order of its form, within a sentence."""
SCALE_WORDS: Mapping[str, str] = {
    "usual": "The usual words",
    "letters": "Letters A to F",
    "points": "Points: the share itself",
    "standards": "Standards in words",
}
"""Scales to begin from."""
LEFT_OUT_WORDS: Mapping[LeftOut, str] = {
    LeftOut.OWN_STANDS: "the own mark stands in its place",
    LeftOut.MISSED: "the player was not there",
    LeftOut.NOT_MADE_UP: "the day was missed and is not made up",
    LeftOut.EXCUSED: "excused",
    LeftOut.NO_WEIGHT: "its weight is 0",
}
"""Why a part of a mark does not count."""
SHARE_WORDS: Mapping[ShareKind, str] = {
    ShareKind.FIRST: "first reading",
    ShareKind.SECOND: "second reading",
    ShareKind.GAIN: "gain",
    ShareKind.FORM: "scoring form",
}
"""What makes the share of a reading, within a sentence."""


def scheme_value(name: str, value: Any) -> str:
    """A choice of how marks are worked out, in a sentence.

    Example:
        >>> scheme_value("drop", None), scheme_value("own_replaces", False), scheme_value("gain", "12.5")
        ('0', 'no', '12.5')
        >>> scheme_value("scale", [["0", "50", "Try again"], ["0.855", "90", "Sure"]])
        'from 0% 50, from 85.5% 90'
    """
    if value is None:
        value = full_scheme_values(USUAL)[name]
    if name == "scale":
        return ", ".join([f"from {share_text(Decimal(share))} {mark}" for share, mark, _ in value])
    if name == "days":
        days = [f"{short_day(date.fromisoformat(on))} {weight}" for on, weight in value]
        return listed(days) if days else "all alike"
    if name in CHOICES:
        return "yes" if value else "no"
    return str(value)


def share_text(share: Decimal) -> str:
    """A share as percent, exactly.

    Example:
        >>> share_text(Decimal("0.855")), share_text(Decimal("1"))
        ('85.5%', '100%')
    """
    return f"{mark_text(100 * share)}%"


def shown_mark(mark: Fraction | None) -> str:
    """A mark that was worked out, to a tenth, halves upward; empty without one.

    Example:
        >>> shown_mark(Fraction(1705, 20)), shown_mark(Fraction(250, 3)), shown_mark(None)
        ('85.3', '83.3', '')
    """
    if mark is None:
        return ""
    tenths = (20 * mark + 1) // 2
    return f"{tenths // 10}.{tenths % 10}"


def part_text(part: Part) -> str:
    """What a part of a mark is, and what it comes to.

    Example:
        >>> from planner.marks.day_marks import Share
        >>> part_text(Part(Source.READING, Fraction(90), Decimal(1), name="Rondo", share=Fraction(7, 8)))
        'Rondo: 87.5% of bars right gives 90.0'
        >>> first = Share(ShareKind.FIRST, Fraction(3, 5), Decimal(1))
        >>> both = (first, Share(ShareKind.GAIN, Fraction(1, 2), Decimal(1)))
        >>> part_text(Part(Source.READING, Fraction(65), Decimal(1), None, "Rondo", Fraction(11, 20), both))
        'Rondo: first reading 60% (weight 1) and gain 50% (weight 1) make 55%, which gives 65.0'
        >>> apart = Part(Source.READING, Fraction(50), Decimal(1), None, "Rondo", Fraction(1, 4), (), True)
        >>> part_text(apart)
        'Rondo: fell apart, taken as 25% of bars right, gives 50.0'
        >>> part_text(Part(Source.OWN, Fraction(70), Decimal(100), LeftOut.NOT_MADE_UP))
        'own mark 70.0, does not count: the day was missed and is not made up'
        >>> part_text(Part(Source.SECTION, Fraction(82), Decimal(50)))
        "section's mark 82.0, weight 50"
    """
    if part.source is Source.READING:
        return f"{part.name or 'Reading'}: {_reading_text(part)} {shown_mark(part.mark)}"
    text = f"{_SOURCES[part.source]} {shown_mark(part.mark)}"
    if part.left_out is not None:
        return f"{text}, does not count: {LEFT_OUT_WORDS[part.left_out]}"
    return f"{text}, weight {mark_text(part.weight)}"


def _reading_text(part: Part) -> str:
    share = shown_percent(Fraction(0) if part.share is None else part.share)
    counted = [each for each in part.shares if each.weight]
    if not counted or [each.kind for each in counted] == [ShareKind.FIRST]:
        right = f"{share} of bars right"
        return f"{TAKEN_AS} {right}, gives" if part.fell_apart else f"{right} gives"
    if len(counted) == 1:
        return f"{SHARE_WORDS[counted[0].kind]} {share} gives"
    made = listed([_weighed_share(each, fell_apart=part.fell_apart) for each in counted])
    return f"{made} make {share}, which gives"


def _weighed_share(each: Share, *, fell_apart: bool) -> str:
    words = SHARE_WORDS[each.kind]
    if fell_apart and each.kind is ShareKind.FIRST:
        words = f"{words} {TAKEN_AS}"
    return f"{words} {shown_percent(each.share)} (weight {mark_text(each.weight)})"


def shown_percent(share: Fraction) -> str:
    """A share in percent to a tenth, without a needless zero.

    Example:
        >>> shown_percent(Fraction(7, 8)), shown_percent(Fraction(9, 10))
        ('87.5%', '90%')
    """
    return f"{shown_mark(100 * share).removesuffix('.0')}%"


_SOURCES = {Source.SECTION: "section's mark", Source.OWN: "own mark", Source.ATTENDANCE: "attendance"}


def marks_change_text(change: Change) -> str:
    """What was entered of a section's players on a day, as the rest of a sentence.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, ChangeKind, Door, Subject
        >>> by = Author(Door.PAGE, datetime(2026, 9, 1, tzinfo=UTC))
        >>> ida, bo = {"who": "Ida", "value": "90"}, {"who": "Bo", "value": "late"}
        >>> after = {"mark 3 mark": ida, "mark 4 attendance": bo}
        >>> marks_change_text(Change(0, ChangeKind.ATTENDANCE, Subject("", 1, ""), {}, after, by))
        'mark of Ida now 90; Bo late'
        >>> many = {f"mark {n} attendance": {"who": "x", "value": "present"} for n in range(9)}
        >>> marks_change_text(Change(0, ChangeKind.ATTENDANCE, Subject("", 1, ""), {}, many, by))
        'attendance of 9 players: 9 here'
    """
    states = {name: value for name, value in change.after.items() if name.endswith(" attendance")}
    others = {name: value for name, value in change.after.items() if name not in states}
    phrases = []
    if len(others) <= NAMED_ONE_BY_ONE:
        phrases += [
            _other(name, value or {}, change.before.get(name) or {}) for name, value in others.items()
        ]
    else:
        kinds = [word for field, word in _FIELDS.items() if any(n.endswith(f" {field}") for n in others)]
        players = {name.split()[1] for name in others}
        phrases.append(f"{listed([f'{kind}s' for kind in kinds])} of {count_of(len(players), 'player')}")
    if len(states) <= NAMED_ONE_BY_ONE:
        phrases += [_state(value or {}, change.before.get(name) or {}) for name, value in states.items()]
    else:
        phrases.append(f"attendance of {len(states)} players: {_counts(states)}")
    return "; ".join(phrases)


def marks_value_names(change: Change, names: Sequence[str]) -> str:
    """What values of a change are called in a sentence."""
    return some_of([f"{_FIELDS[name.split()[2]]} of {_who(change, name)}" for name in names])


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
    return _player(change.after.get(name) or change.before.get(name) or {})


def _state(value: Mapping[str, Any], before: Mapping[str, Any]) -> str:
    text = f"{_player({**before, **value})} {_word(value.get('value'))}"
    return f"{text} (was {_word(before['value'])})" if before.get("value") else text


def _player(value: Mapping[str, Any]) -> str:
    return str(value.get("who") or "a player")


def _word(state: str | None) -> str:
    return ATTENDANCE_WORDS[Attendance(state)] if state else "not entered"


def _other(name: str, value: Mapping[str, Any], before: Mapping[str, Any]) -> str:
    field = name.split()[2]
    text = f"{_FIELDS[field]} of {_player({**before, **value})} "
    text += f"now {_shown(field, value['value'])}" if value.get("value") else "taken out"
    return f"{text} (was {_shown(field, before['value'])})" if before.get("value") else text


def _shown(field: str, value: str) -> str:
    if field == "made_up":
        return short_day(date.fromisoformat(value))
    return f"“{value}”" if field == "note" else value


def _counts(states: Mapping[str, Mapping[str, Any]]) -> str:
    found = [(value or {}).get("value") for value in states.values()]
    return listed([f"{found.count(each)} {_word(each)}" for each in (*Attendance, None) if each in found])
