"""Words for what was changed in a term: its dates and aims, days, wishes, planned pieces."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from planner.core.change import Change
from planner.wording.director.marks import SCHEME_FIELDS, scheme_value
from planner.wording.director.procedures import procedure_name
from planner.wording.director.scoring_form import form_change_text, form_value
from planner.wording.words import WEEKDAYS, count_of, listed, listed_dates, short_day

NAMED_ONE_BY_ONE = 4
"""Days of one change that are named one by one; more are counted (house choice)."""

TERM_FIELDS = {
    "name": "name",
    "first": "first day",
    "last": "last day",
    "weekdays": "weekdays",
    "days_off": "days off",
    "minutes": "minutes a day",
    "slots": "pieces a day",
    "starts_at": "time of day",
    "time_zone": "time zone",
    "start_level": "level to begin at",
    "target_level": "level to reach",
    "aims": "levels to aim at",
    "concerts": "concerts",
    "announced_days": "days announced ahead",
}
"""The values of a term, in the order of their form, as a sentence names them."""

_WISHES = {"pinned": "pinned to", "banned": "kept off", "again": "read again on"}


def term_change_text(change: Change) -> str:
    """What was done to a term, as the rest of a sentence that begins with its name.

    Example:
        >>> from planner.core.change import Author, ChangeKind, Door, Subject
        >>> from datetime import UTC, datetime
        >>> by = Author(Door.PAGE, datetime(2026, 9, 1, tzinfo=UTC))
        >>> term = Subject("term", 1, "Autumn")
        >>> term_change_text(Change(0, ChangeKind.TERM, term, {"minutes": 10.0}, {"minutes": 12.0}, by))
        'minutes a day now 12 (was 10)'
        >>> was, now = ["2026-11-23", "2026-11-24"], ["2026-11-24", "2026-12-01", "2026-12-02"]
        >>> term_change_text(Change(0, ChangeKind.TERM, term, {"days_off": was}, {"days_off": now}, by))
        'Dec 1 and Dec 2 now days off, Nov 23 no longer'
    """
    if "name" in change.before and change.before["name"] is None:
        return "a new term"
    if "name" in change.after and change.after["name"] is None:
        return "taken out"
    fields = [name for name in change.after if name in TERM_FIELDS]
    phrases = [
        _dates_changed(name, change.after[name] or [], change.before.get(name) or [])
        if name in _DATES
        else f"{term_value_name(name)} now {term_value(name, change.after[name])}"
        f" (was {term_value(name, change.before.get(name))})"
        for name in fields
    ]
    phrases += [
        f"{term_value_name(name)} now {term_value(name, change.after[name])}"
        f" (was {term_value(name, change.before.get(name))})"
        for kind in ("marks", "procedure")
        for name in _named(change, kind)
    ]
    if "form" in change.after:
        phrases.append(form_change_text(change.before.get("form"), change.after["form"]))
    phrases += [_wish(change, name) for name in _named(change, "wish")]
    phrases += [_shape(name, change.after[name]) for name in _named(change, "shape")]
    return (
        "; ".join([*phrases, *(_days(change) or _proposal(change))])
        or "what its pieces are there for changed"
    )


def term_value_name(name: str) -> str:
    """What a value of a term is called in a sentence.

    Example:
        >>> term_value_name("slots"), term_value_name("day 2026-09-03")
        ('pieces a day', 'plan of Sep 3')
    """
    kind, _, rest = name.partition(" ")
    if kind == "day":
        return f"plan of {_day(rest)}"
    if kind == "shape":
        return f"setting of {_day(rest)}"
    if kind == "wish":
        return "wish"
    if kind == "proposal":
        return "proposed plan"
    if kind == "form":
        return "scoring form"
    if kind == "marks":
        return f"marks: {SCHEME_FIELDS[rest]}"
    if kind == "procedure":
        return f"study on {_day(rest)}"
    return TERM_FIELDS.get(name, name)


def term_value(name: str, value: Any) -> str:
    """A value of a term in a sentence."""
    kind, _, rest = name.partition(" ")
    if kind == "marks":
        return scheme_value(rest, value)
    if kind == "procedure":
        return procedure_name(value or "")
    if kind == "form":
        return form_value(value)
    if kind == "day":
        return _pieces(value)
    if kind == "shape":
        return _shape_text(value)
    if kind == "wish":
        return _wish_text(value) if value else "taken back"
    if kind == "proposal":
        return "there" if value else "gone"
    return _VALUES.get(name, _plain)(value)


def _plain(value: Any) -> str:
    if value is None or value == "":
        return "not set"
    return f"{value:g}" if isinstance(value, int | float) else str(value)


_DATES = {"days_off": ("a day off", "days off"), "concerts": ("a concert", "concerts")}
"""Values that are many dates, of which only those that came and went are named: of one, and of several."""


def _dates_changed(name: str, after: Sequence[str], before: Sequence[str]) -> str:
    """Which dates came and which went."""
    new, gone = ([on for on in one if on not in other] for one, other in ((after, before), (before, after)))
    what = _DATES[name][len(new or gone) > 1]
    came = f"{_some_days(new)} now {what}" if new else ""
    if not gone:
        return came
    return f"{came}, {_some_days(gone)} no longer" if came else f"{_some_days(gone)} no longer {what}"


def _some_days(days: Sequence[str]) -> str:
    if len(days) > NAMED_ONE_BY_ONE:
        return listed_dates(date.fromisoformat(on) for on in days)
    return listed([_day(on) for on in days])


def _dates(days: Sequence[str] | None) -> str:
    return listed_dates(date.fromisoformat(on) for on in days) if days else "none"


def _aims(aims: Sequence[Sequence[Any]] | None) -> str:
    return listed([f"{level:g} on {_day(on)}" for on, level in aims]) if aims else "none"


_VALUES: Mapping[str, Callable[[Any], str]] = {
    "name": lambda value: f"“{value}”",
    "first": lambda value: _day(value),
    "last": lambda value: _day(value),
    "weekdays": lambda days: listed([WEEKDAYS[day] for day in days or ()]),
    "days_off": _dates,
    "concerts": _dates,
    "aims": _aims,
}


def _day(text: str) -> str:
    return short_day(date.fromisoformat(text))


def _named(change: Change, kind: str) -> list[str]:
    return [name for name in change.after if name.partition(" ")[0] == kind]


def _wish(change: Change, name: str) -> str:
    after, before = change.after[name], change.before.get(name)
    return _wish_text(after) if after else f"no longer {_wish_text(before or {}, is_first=False)}"


def _wish_text(value: Mapping[str, Any], *, is_first: bool = True) -> str:
    if value.get("on"):
        does, where = _WISHES[value["kind"]], _day(value["on"])
    else:
        does, where = ("kept out of" if value["kind"] == "banned" else "pinned to"), "the term"
    return f"“{value['title']}” {does} {where}" if is_first else f"{does} {where}: “{value['title']}”"


def _shape(name: str, value: Mapping[str, Any] | None) -> str:
    day = _day(name.partition(" ")[2])
    return f"{day} now {_shape_text(value)}"


def _shape_text(value: Mapping[str, Any] | None) -> str:
    if not value:
        return "like the other days"
    parts = []
    if value["minutes"] is not None:
        parts.append(f"{value['minutes']:g} minutes")
    if value["slots"] is not None:
        parts.append(count_of(value["slots"], "round" if value["stations"] else "piece"))
    if value["stations"]:
        parts.append(f"stations {listed([name for name, _ in value['stations']])}")
    if value["absent"]:
        away = [value["sections"].get(str(i)) or "a section" for i in value["absent"]]
        parts.append(f"without {listed(away)}")
    return ", ".join(parts) or "like the other days"


def _days(change: Change) -> list[str]:
    pieces = {n: (_pieces(change.after[n]), _pieces(change.before.get(n))) for n in _named(change, "day")}
    names = [name for name, (now, before) in pieces.items() if now != before]
    if len(names) > NAMED_ONE_BY_ONE:
        return [f"the plan of {len(names)} days changed"]
    return [f"{_day(n.partition(' ')[2])} now {pieces[n][0]} (was {pieces[n][1]})" for n in names]


def _proposal(change: Change) -> list[str]:
    """What became of a proposed plan, where nothing else changed."""
    if "proposal" not in change.after:
        return []
    return ["the proposed plan is back" if change.after["proposal"] else "the proposed plan dropped"]


def _pieces(slots: Sequence[Mapping[str, Any]] | None) -> str:
    if not slots:
        return "open"
    ordered = sorted(slots, key=lambda slot: (slot["position"], slot["station"] or 0))
    return listed([f"“{slot['title']}”{' (pinned)' if slot['pinned'] else ''}" for slot in ordered])
