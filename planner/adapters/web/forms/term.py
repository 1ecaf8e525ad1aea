"""The form of a term: its values as text, what somebody changed in it, and how it comes back."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from werkzeug.datastructures import MultiDict

from planner.adapters.web.shown import MARK, Form, Spell, Values, come_back, first_shown, mark_of, meet
from planner.core.term import Term, Wish
from planner.errors import InputError, PlannerError
from planner.services.entered.numbers import entered_number, entered_whole
from planner.services.term.terms import (
    at_time,
    parse_aims,
    parse_date,
    parse_days_off,
    spell_aims,
    spell_days_off,
)
from planner.wording.director.term_changes import TERM_FIELDS
from planner.wording.words import WEEKDAYS, listed

NEW_TERM = dict.fromkeys(TERM_FIELDS, "") | {"minutes": "10", "slots": "1", "announced_days": "14"}
"""What the form of a new term holds."""


def form_values(term: Term) -> dict[str, str]:
    """The values of a term as the form shows them, by field."""
    return {
        "name": term.name,
        "first": term.first.isoformat(),
        "last": term.last.isoformat(),
        "weekdays": ",".join(str(day) for day in term.weekdays),
        "days_off": spell_days_off(term.days_off),
        "minutes": f"{term.minutes:g}",
        "slots": str(term.slots),
        "starts_at": f"{term.starts_at:%H:%M}" if term.starts_at else "",
        "time_zone": term.time_zone,
        "start_level": _level_text(term.start_level),
        "target_level": _level_text(term.target_level),
        "aims": spell_aims(term.aims),
        "concerts": spell_days_off(term.concerts),
        "announced_days": str(term.announced_days),
    }


def typed_values(form: MultiDict[str, str], fallback: Values) -> dict[str, str]:
    """What stands in a form that was sent; a field that it does not have is as in ``fallback``."""
    return {name: _typed(form, name, fallback[name]) for name in TERM_FIELDS}


def changed_by_form(term: Term, form: MultiDict[str, str], machine_zone: str) -> Term:
    """A term with what was changed in its form.

    Args:
        term: As it is stored now; for a new term any.
        form: What was sent.
        machine_zone: The time zone that stands in where none is named.

    Raises:
        InputError: If a value cannot be read; it names the field.
        OvertakenError: If another changed a value that was changed here, since the form was shown.
    """
    stored = form_values(term) if term.id else NEW_TERM
    typed = typed_values(form, stored)
    meeting = meet(stored, typed, form.get(MARK, ""))
    changed = meeting.changed if term.id else typed
    if term.id:
        meeting.refuse_overtaken()
    values = {name: _read(name, text) for name, text in changed.items() if name in _READ}
    if "starts_at" in changed or "time_zone" in changed:
        term = at_time(term, changed.get("starts_at"), changed.get("time_zone"), machine_zone)
    return replace(term, **values)


def first_form(term: Term | None) -> Form:
    """The form of a term, or of a new one, before anybody typed in it."""
    return first_shown(form_values(term) if term else NEW_TERM)


def form_again(error: PlannerError, term: Term | None, form: MultiDict[str, str]) -> Form:
    """The form as somebody filled it, with why it was not taken."""
    stored = form_values(term) if term else NEW_TERM
    return come_back(error, stored, typed_values(form, stored), form.get(MARK, ""), _SPELL)


def stored_wishes(wishes: Sequence[Wish], piece_id: int) -> Values:
    """What is wished of a piece in a term, as its forms are made from."""
    return {"wishes": " ".join(sorted(f"{w.kind}/{w.on or ''}" for w in wishes if w.piece_id == piece_id))}


def wish_mark(wishes: Sequence[Wish], piece_id: int) -> str:
    """What a form for the wishes of a piece was made from."""
    return mark_of(stored_wishes(wishes, piece_id))


def _read(name: str, text: str) -> Any:
    """A value from its text.

    Raises:
        InputError: If it cannot be read; it names the field.
    """
    try:
        return _READ[name](text, TERM_FIELDS[name])
    except InputError as error:
        error.field = name
        raise


def _typed(form: MultiDict[str, str], name: str, shown: str) -> str:
    if name == "weekdays":
        return ",".join(sorted(day for day in form.getlist(name) if day in _WEEKDAY_NUMBERS))
    return _lines(form.get(name, shown))


def _lines(text: str) -> str:
    return text.replace("\r\n", "\n").strip()


def _level_text(level: float | None) -> str:
    return "" if level is None else f"{level:g}"


def _number(text: str, label: str) -> float:
    number = entered_number(text, f"The {label}")
    if number is None:
        raise InputError(f"The {label} is missing.")
    return number


def _whole(text: str, label: str) -> int:
    number = entered_whole(text, f"The {label}")
    if number is None:
        raise InputError(f"The {label} is missing.")
    return number


_WEEKDAY_NUMBERS = "0123456"
_READ: Mapping[str, Callable[[str, str], Any]] = {
    "name": lambda text, _: text,
    "first": lambda text, _: parse_date(text),
    "last": lambda text, _: parse_date(text),
    "weekdays": lambda text, _: tuple(int(day) for day in text.split(",") if day),
    "days_off": lambda text, _: parse_days_off(text),
    "minutes": _number,
    "slots": _whole,
    "start_level": lambda text, label: _number(text, label) if text else None,
    "target_level": lambda text, label: _number(text, label) if text else None,
    "aims": lambda text, _: parse_aims(text),
    "concerts": lambda text, _: parse_days_off(text),
    "announced_days": _whole,
}
"""How each field but the time of day is read."""

_SPELL: Spell = {
    "weekdays": lambda text: listed([WEEKDAYS[int(day)] for day in text.split(",") if day]),
    **dict.fromkeys(("days_off", "concerts", "aims"), lambda text: text.replace("\n", "; ")),
}
"""How values are said beside their field."""
