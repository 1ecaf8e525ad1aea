"""The form of a term: its values as text, and what somebody changed in it.

The form sends each value as it was shown beside what stands in it now, so that only what was changed is
stored, and what another changed meanwhile is told and not written over.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from werkzeug.datastructures import MultiDict

from planner.core.term import Term
from planner.errors import ConflictError, InputError
from planner.services.term.terms import (
    at_time,
    parse_aims,
    parse_date,
    parse_days_off,
    spell_aims,
    spell_days_off,
)
from planner.wording.director.term_changes import TERM_FIELDS

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


def form_as_sent(form: MultiDict[str, str]) -> dict[str, str]:
    """The form as somebody filled it, and beside each field what it was made from.

    The page that says what cannot be used shows it again, so that nothing typed is lost.
    """
    shown = {f"shown-{name}": _lines(form.get(f"shown-{name}", NEW_TERM[name])) for name in TERM_FIELDS}
    return {name: _typed(form, name, shown[f"shown-{name}"]) for name in TERM_FIELDS} | shown


def changed_by_form(term: Term, form: MultiDict[str, str], machine_zone: str) -> Term:
    """A term with what was changed in its form.

    Args:
        term: As it is stored now; for a new term any.
        form: What was sent.
        machine_zone: The time zone that stands in where none is named.

    Raises:
        InputError: If a value cannot be read.
        ConflictError: If another changed a value that was changed here, since the form was shown.
    """
    shown = {name: _lines(form.get(f"shown-{name}", NEW_TERM[name])) for name in TERM_FIELDS}
    typed = {name: _typed(form, name, shown[name]) for name in TERM_FIELDS}
    changed = {name: text for name, text in typed.items() if text != shown[name] or not term.id}
    if term.id:
        _refuse_overtaken(term, changed, shown)
    values = {name: _READ[name](text, TERM_FIELDS[name]) for name, text in changed.items() if name in _READ}
    if "starts_at" in changed or "time_zone" in changed:
        term = at_time(term, changed.get("starts_at"), changed.get("time_zone"), machine_zone)
    return replace(term, **values)


def _refuse_overtaken(term: Term, changed: Mapping[str, str], shown: Mapping[str, str]) -> None:
    now = form_values(term)
    for name, text in changed.items():
        if now[name] not in (shown[name], text):
            raise ConflictError(
                f"The {TERM_FIELDS[name]} of {term.name} changed since you opened this page: now "
                f"“{now[name].replace(chr(10), ', ') or 'none'}”. Nothing was overwritten.",
                hint="Open the page again and look.",
            )


def _typed(form: MultiDict[str, str], name: str, shown: str) -> str:
    if name == "weekdays":
        return ",".join(sorted(day for day in form.getlist(name) if day.isdigit()))
    return _lines(form.get(name, shown))


def _lines(text: str) -> str:
    return text.replace("\r\n", "\n").strip()


def _level_text(level: float | None) -> str:
    return "" if level is None else f"{level:g}"


def _number(text: str, label: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        missing = f"The {label} must be a number, not “{text}”." if text else f"The {label} is missing."
        raise InputError(missing) from None


def _whole(text: str, label: str) -> int:
    number = _number(text, label)
    if number != int(number):
        raise InputError(f"The {label} must be a whole number, not “{text}”.")
    return int(number)


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
