"""What a term must keep to, each refusal a sentence that names the value."""

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import date, timedelta

from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL, Ensemble
from planner.core.term import DayShape, Station, Term
from planner.errors import InputError
from planner.services.entered.words import entered_line
from planner.wording.words import listed, short_day

LONGEST_TERM_DAYS = 400
"""A little over a year. Source: house choice."""

CONCERT_AFTER_DAYS = 31
"""Days after a term's last within which a concert still belongs to it. Source: house choice."""

LEAST_MINUTES, MOST_MINUTES = 3, 120
MOST_SLOTS = 4
MOST_ROUNDS = 8
MOST_ANNOUNCED_DAYS = 60
"""Minutes and pieces of a day, rounds of a day with stations, days announced ahead. Source: house choices."""


def checked_term(term: Term, ensemble: Ensemble) -> Term:
    """A term as it is stored: dates in order, each once, days that differ in nothing left out.

    Raises:
        InputError: If a value cannot hold, with the value and what to do.
    """
    name = entered_line(term.name, "The name of a term", field="name")
    if not name:
        raise InputError("A term needs a name.", field="name")
    _check_dates(term)
    _check_amounts("Reading", term.minutes, term.slots, MOST_SLOTS)
    if not 0 <= term.announced_days <= MOST_ANNOUNCED_DAYS:
        raise InputError(
            f"A plan is announced from 0 to {MOST_ANNOUNCED_DAYS} days ahead, not {term.announced_days}.",
            field="announced_days",
        )
    _check_levels("start_level", [term.start_level])
    _check_levels("target_level", [term.target_level])
    _check_levels("aims", [level for _, level in term.aims])
    checked = replace(
        term,
        name=name,
        weekdays=tuple(sorted(set(term.weekdays))),
        aims=tuple(sorted(term.aims)),
        concerts=tuple(sorted(set(term.concerts))),
        shapes=tuple(
            sorted(
                (_checked_shape(s, ensemble) for s in term.shapes if s != DayShape(s.on)), key=lambda s: s.on
            )
        ),
    )
    if not checked.reading_dates():
        raise InputError("No reading day is left between these dates.", hint="Check weekdays and days off.")
    _check_days_between(checked)
    return checked


def _check_levels(field: str, levels: Iterable[float | None]) -> None:
    for level in levels:
        if level is not None and not LOWEST_LEVEL <= level <= HIGHEST_LEVEL:
            raise InputError(
                f"A level lies from {LOWEST_LEVEL} to {HIGHEST_LEVEL}, not at {level:g}.", field=field
            )


def _check_dates(term: Term) -> None:
    if term.last < term.first:
        raise InputError(
            "The term ends before it begins.", hint="Check its first and last day.", field="last"
        )
    if (term.last - term.first).days > LONGEST_TERM_DAYS:
        raise InputError(f"A term lasts at most {LONGEST_TERM_DAYS} days.", field="last")
    if not term.weekdays or any(not 0 <= day <= 6 for day in term.weekdays):
        raise InputError("Choose at least one weekday for reading.", field="weekdays")


def _check_amounts(what: str, minutes: float, slots: int, most: int) -> None:
    if not LEAST_MINUTES <= minutes <= MOST_MINUTES:
        raise InputError(
            f"{what} takes from {LEAST_MINUTES} to {MOST_MINUTES} minutes a day, not {minutes:g}.",
            field="minutes",
        )
    if not 1 <= slots <= most:
        raise InputError(f"A day holds from 1 to {most} pieces, not {slots}.", field="slots")


def _check_days_between(term: Term) -> None:
    _check_once("level to aim at", [on for on, _ in term.aims], "aims")
    _check_once("setting of its own", [shape.on for shape in term.shapes], "")
    for on, _ in term.aims:
        if not term.first <= on <= term.last:
            raise InputError(
                f"{short_day(on)} has a level to aim at but lies outside the term.", field="aims"
            )
    latest = term.last + timedelta(days=CONCERT_AFTER_DAYS)
    for on in term.concerts:
        if not term.first <= on <= latest:
            raise InputError(
                f"A concert on {short_day(on)} is not in this term, which goes from {short_day(term.first)} "
                f"to {short_day(term.last)}.",
                field="concerts",
            )
    dates = set(term.reading_dates())
    for shape in term.shapes:
        if shape.on not in dates:
            raise InputError(
                f"{short_day(shape.on)} is set apart but would be no reading day.",
                hint="Make that day like the others first.",
            )


def _check_once(what: str, days: Iterable[date], field: str) -> None:
    twice = [on for on, count in Counter(days).items() if count > 1]
    if twice:
        raise InputError(
            f"{short_day(twice[0])} has more than one {what}.", hint="Keep one of them.", field=field
        )


def _checked_shape(shape: DayShape, ensemble: Ensemble) -> DayShape:
    """One day that differs.

    Raises:
        InputError: If its numbers, stations or sections cannot hold.
    """
    day = short_day(shape.on)
    rounds = MOST_ROUNDS if shape.stations else MOST_SLOTS
    _check_amounts(
        f"Reading on {day}",
        LEAST_MINUTES if shape.minutes is None else shape.minutes,
        1 if shape.slots is None else shape.slots,
        rounds,
    )
    names = {section.id: section.name for section in ensemble.sections}
    strangers = {*shape.absent, *(i for station in shape.stations for i in station.section_ids)} - set(names)
    if strangers:
        raise InputError(f"{day} names a section that {ensemble.name} does not have.")
    away = tuple(sorted(set(shape.absent)))
    if names and len(away) == len(names):
        raise InputError(
            f"On {day} every section would be away.", hint="Cancel the day instead.", field="absent"
        )
    return replace(
        shape, absent=away, stations=tuple(_checked_stations(day, shape.stations, names, set(away)))
    )


def _checked_stations(
    day: str, stations: Collection[Station], names: dict[int, str], away: Collection[int]
) -> list[Station]:
    checked = [
        Station(
            entered_line(one.name, "The name of a station", field="stations"),
            tuple(dict.fromkeys(one.section_ids)),
        )
        for one in stations
    ]  # fmt: skip
    seats = Counter(section for one in checked for section in one.section_ids)
    twice = [names[section] for section, count in seats.items() if count > 1]
    if twice:
        raise InputError(f"On {day} {listed(twice)} cannot sit at two stations at once.", field="stations")
    for one in checked:
        if not one.name:
            raise InputError(f"A station on {day} needs a name, such as “Brass”.", field="stations")
        if sum(other.name.casefold() == one.name.casefold() for other in checked) > 1:
            raise InputError(
                f"On {day} two stations are called {one.name}.", hint="Name them apart.", field="stations"
            )
        if not set(one.section_ids) - set(away):
            raise InputError(
                f"On {day} nobody sits at the station {one.name}.", hint="Leave it out.", field="stations"
            )
    return checked
