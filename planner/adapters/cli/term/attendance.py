"""The command of who was there on a reading day."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import click
from rich.table import Table

from planner.adapters.cli.context import (
    Session,
    answers_of,
    ensemble_option,
    format_option,
    home_option,
    out,
    pick_ensemble,
    print_json,
    sure_option,
)
from planner.core.text import folded
from planner.errors import InputError, NotFoundError
from planner.services.day.attendance import AttendanceEntry, Attendee, attendees, take_attendance
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.attendance import attendance_text, presence_word
from planner.wording.words import full_date, listed


@dataclass(frozen=True, slots=True)
class Named:
    """The players named with each option."""

    away: Sequence[str]
    there: Sequence[str]
    marks: Sequence[str]
    forgotten: Sequence[str]
    others_there: bool

    @property
    def is_anything(self) -> bool:
        """Whether anything is to be stored."""
        return bool(self.away or self.there or self.marks or self.forgotten or self.others_there)


@click.command()
@click.option("--on", required=True, help="The reading day, as 2026-09-01.")
@click.option("--away", multiple=True, help="A player who was away; once for each.")
@click.option("--there", multiple=True, help="A player who was there; once for each.")
@click.option("--others-there", is_flag=True, help="Everybody else of that day was there.")
@click.option("--mark", "marks", multiple=True, metavar="NAME=MARK", help="A player's own mark of 100.")
@click.option("--forget", "forgotten", multiple=True, help="A player of whom nothing is to be entered.")
@sure_option
@ensemble_option
@format_option
@home_option
@click.pass_obj
def attendance(
    session: Session,
    /,
    on: str,
    sure: bool,
    ensemble_name: str | None,
    form: str,
    **given: Sequence[str] | bool,
) -> None:
    """Show who was there on a reading day, or enter it."""
    tools, day = session.tools, parse_date(on)
    named = Named(**given)  # type: ignore[arg-type]
    with changing(tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        rows = attendees(work, ensemble, day)
        if named.is_anything:
            rows = take_attendance(
                work, ensemble.id, day, list(_entries(rows, named)), by=session.author(),
                today=tools.today(), answers=answers_of(sure),
            )  # fmt: skip
    if form == "json":
        _print_json(ensemble.name, day.isoformat(), rows)
        return
    known = [row.mark.is_present for row in rows if row.mark]
    sheet = Table(title=f"{ensemble.name}, {full_date(day)}", title_justify="left", box=None, pad_edge=False)
    for heading in ("Player", "Section", "", "Mark"):
        sheet.add_column(heading)
    for row in rows:
        mark = "" if row.mark is None or row.mark.mark is None else f"{row.mark.mark:g}"
        word = presence_word(row.mark.is_present if row.mark else None)
        sheet.add_row(row.player.name, row.section.name, word, mark)
    out.print(sheet)
    out.print(attendance_text(sum(known), len(known) - sum(known), len(rows) - len(known)))


def _entries(rows: Sequence[Attendee], named: Named) -> Iterator[AttendanceEntry]:
    """What was given, over what is known of each player."""
    found: dict[int, AttendanceEntry] = {}

    def entry(name: str) -> AttendanceEntry:
        seat = _seat(rows, name)
        return found.get(seat.player.id) or _stored(seat)

    for names, is_present in ((named.there, True), (named.away, False), (named.forgotten, None)):
        for name in names:
            one = replace(entry(name), is_present=is_present)
            if one.seat in found:
                raise InputError(f"{name.strip()} is named twice.", hint="Say one thing of each player.")
            found[one.seat] = one
    for text in named.marks:
        name, equals, mark = text.rpartition("=")
        number = _number(mark) if equals else None
        if number is None:
            raise InputError(f"“{text}” is not a mark; write it as “Ida Weir=92”.")
        one = replace(entry(name), mark=number)
        found[one.seat] = one if one.is_present is not None else replace(one, is_present=True)
    if named.others_there:
        for row in rows:
            if row.player.id not in found:
                found[row.player.id] = replace(_stored(row), is_present=True)
    yield from found.values()


def _number(text: str) -> float | None:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return None


def _stored(row: Attendee) -> AttendanceEntry:
    mark = row.mark
    return AttendanceEntry(row.player.id, mark.is_present if mark else None, mark.mark if mark else None)


def _seat(rows: Sequence[Attendee], name: str) -> Attendee:
    """The player of that day who is called so.

    Raises:
        NotFoundError: If nobody is.
        InputError: If several are.
    """
    found = [row for row in rows if folded(row.player.name) == folded(name)]
    if not found:
        raise NotFoundError("player", f"“{name.strip()}” on that day", hint="Look at the players.")
    if len(found) > 1:
        places = listed([row.section.name for row in found])
        raise InputError(f"Several players are called {name.strip()}: in {places}.", hint="Use the page.")
    return found[0]


def _print_json(ensemble: str, on: str, rows: Sequence[Attendee]) -> None:
    players = [
        {"name": row.player.name, "section": row.section.name,
         "present": row.mark.is_present if row.mark else None,
         "mark": row.mark.mark if row.mark else None, "note": row.mark.note if row.mark else ""}
        for row in rows
    ]  # fmt: skip
    print_json({"format": "attendance", "version": 1, "ensemble": ensemble, "on": on, "players": players})


COMMANDS = (attendance,)
