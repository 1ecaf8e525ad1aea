"""The values of a term as options of commands: for a new term, and to change one that is there."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import click

from planner.adapters.cli.context import NUMBER, WHOLE
from planner.core.term import Term
from planner.errors import InputError
from planner.services.term.terms import at_time, parse_aims, parse_date, parse_days_off
from planner.wording.words import WEEKDAYS

_SHORT_WEEKDAYS = {name[:3].lower(): at for at, name in enumerate(WEEKDAYS)}

_OPTIONS = (
    click.option("--first", help="First day of the term, as 2026-09-01."),
    click.option("--last", help="Last day of the term."),
    click.option("--weekday", "weekdays", multiple=True, help="Reading day, such as tue; once for each."),
    click.option("--off", multiple=True, help="A further day off, or '2026-12-21 to 2027-01-01'."),
    click.option("--minutes", type=NUMBER, help="Minutes a day (a new term: 10)."),
    click.option("--slots", type=WHOLE, help="Pieces a day (a new term: 1)."),
    click.option("--starts-at", help="When reading begins on a day, as 14:10 or '2:10 pm'; '' for no time."),
    click.option("--time-zone", help="Whose clock that is, as America/Chicago (default: this machine's)."),
    click.option("--target", type=NUMBER, help="Level to reach by the end."),
    click.option("--concert", "concerts", multiple=True, help="Date of a concert; once for each."),
    click.option("--announced", type=WHOLE, help="Days ahead for which a plan no longer changes by itself."),
)

_MORE_OPTIONS = (
    click.option("--name", help="Another name for the term."),
    click.option("--read", "not_off", multiple=True, help="A day off that is a reading day again."),
    click.option("--start", type=NUMBER, help="Level to begin at."),
    click.option("--aim", "aims", multiple=True, help="DATE=LEVEL: a level to aim at on the way."),
    click.option("--no-aim", "no_aims", multiple=True, help="DATE of a level that is no longer aimed at."),
    click.option("--no-start", is_flag=True, help="Begin where the sections are."),
    click.option("--no-target", is_flag=True, help="End where the sections get to."),
    click.option("--no-concert", "no_concerts", multiple=True, help="Date of a concert that falls away."),
)

Command = Callable[..., Any]


def value_options(command: Command) -> Command:
    """The options that a new term and an old one share."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def more_value_options(command: Command) -> Command:
    """The options that only a term that is there has: all the ways back among them."""
    for option in reversed(_MORE_OPTIONS):
        command = option(command)
    return value_options(command)


def is_changed(asked: Mapping[str, Any]) -> bool:
    """Whether any value was given."""
    return any(value is not None and value is not False and value != () for value in asked.values())


def new_term(ensemble_id: int, name: str | None, asked: Mapping[str, Any], machine_zone: str) -> Term:
    """A term from the values that were given.

    Raises:
        InputError: If a date or the weekdays are missing, or a value cannot be read.
    """
    if not asked["first"] or not asked["last"]:
        raise InputError("A new term needs its first and its last day: --first and --last.")
    if not asked["weekdays"]:
        raise InputError(
            "Say the reading days with --weekday, such as --weekday tue --weekday thu.",
            hint="To change the dates of a term that is there, name it with --term.",
        )
    first = parse_date(asked["first"])
    blank = Term(0, ensemble_id, name or f"Term from {first}", first, parse_date(asked["last"]), ())
    return changed_term(blank, asked, machine_zone)


def changed_term(term: Term, asked: Mapping[str, Any], machine_zone: str) -> Term:
    """A term with the values that were given; days off, concerts and aims are added to those there are.

    Raises:
        InputError: If a value cannot be read, or a day to take back is not there.
    """
    given = {
        "name": asked.get("name"),
        "first": parse_date(asked["first"]) if asked["first"] else None,
        "last": parse_date(asked["last"]) if asked["last"] else None,
        "weekdays": read_weekdays(asked["weekdays"]) if asked["weekdays"] else None,
        "minutes": asked["minutes"],
        "slots": asked["slots"],
        "start_level": asked.get("start"),
        "target_level": asked["target"],
        "announced_days": asked["announced"],
    }
    changed = replace(term, **{name: value for name, value in given.items() if value is not None})
    aims = dict(term.aims) | dict(parse_aims("\n".join(asked.get("aims", ()))))
    concerts = {*term.concerts, *(parse_date(on) for on in asked["concerts"])}
    days_off = {*term.days_off, *parse_days_off("\n".join(asked["off"]))}
    for option, days, kept in (
        ("--read", parse_days_off("\n".join(asked.get("not_off", ()))), days_off),
        ("--no-concert", [parse_date(on) for on in asked.get("no_concerts", ())], concerts),
        ("--no-aim", [parse_date(on) for on in asked.get("no_aims", ())], aims),
    ):
        for on in days:
            if on not in kept:
                raise InputError(f"{option} {on}: nothing is set for that day.")
            kept.pop(on) if isinstance(kept, dict) else kept.remove(on)
    changed = replace(
        changed,
        aims=tuple(sorted(aims.items())),
        concerts=tuple(sorted(concerts)),
        days_off=tuple(sorted(days_off)),
        start_level=None if asked.get("no_start") else changed.start_level,
        target_level=None if asked.get("no_target") else changed.target_level,
    )
    if asked["starts_at"] is not None or asked["time_zone"] is not None:
        changed = at_time(changed, asked["starts_at"], asked["time_zone"], machine_zone)
    return changed


def read_weekdays(names: tuple[str, ...]) -> tuple[int, ...]:
    """Days of the week by their names, Monday is 0.

    Raises:
        InputError: If one is no day of the week.

    Example:
        >>> read_weekdays(("tue", "Thursday"))
        (1, 3)
    """
    found = []
    for name in names:
        day = _SHORT_WEEKDAYS.get(name.strip().lower()[:3])
        if day is None:
            raise InputError(f"“{name}” is no day of the week; write it as tue.")
        found.append(day)
    return tuple(found)
