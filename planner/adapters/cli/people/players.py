"""Commands about players: listed, added, renamed, moved, taken out; rosters; who leaves and comes back."""

import sys
from collections.abc import Callable
from pathlib import Path

import click

from planner.adapters.cli.context import (
    Session,
    answers_of,
    ensemble_option,
    format_option,
    home_option,
    new_table,
    out,
    pick_ensemble,
    pick_section,
    print_json,
    sure_option,
)
from planner.adapters.cli.people.privacy import PRIVACY
from planner.core.ensemble import Ensemble
from planner.core.text import folded
from planner.errors import InputError, NotFoundError
from planner.services.entered.numbers import number_of_thing
from planner.services.entered.words import short
from planner.services.people.lists.players_table import day_after
from planner.services.people.lists.roster_import import (
    Answer,
    RosterPreview,
    RowKind,
    preview_roster,
    take_roster,
)
from planner.services.people.lists.rows import Rows, split_rows
from planner.services.people.players import (
    SOMEONE_ELSE,
    Seat,
    add_player,
    alike,
    come_back,
    move_player,
    remove_player,
    rename_player,
    seats_of,
    set_days,
)
from planner.services.ports.work import UnitOfWork
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.people import answer_words, roster_counts_text, roster_taken_text
from planner.wording.words import full_date, listed

section_option = click.option("--section", help="In which section, where the name alone does not say it.")


@click.group(invoke_without_command=True)
@ensemble_option
@format_option
@home_option
@click.pass_context
def players(context: click.Context, ensemble_name: str | None, form: str) -> None:
    """List the players; add, rename, move or remove one; take in a roster; show or delete all records."""
    if context.invoked_subcommand is not None:
        return
    with context.obj.tools.work() as work:
        ensemble = pick_ensemble(work, ensemble_name)
        seats = seats_of(work, ensemble.id)
    if form == "json":
        rows = [
            {"name": seat.player.name, "section": seat.section.name, "first_day": seat.player.joined,
             "last_day": seat.player.last_day, "person": seat.player.person}
            for seat in seats
        ]  # fmt: skip
        print_json({"format": "players", "version": 1, "ensemble": ensemble.name, "players": rows})
        return
    sheet = new_table(("Player", "Section", "First day", "Last day"), title=f"Players of {ensemble.name}")
    for seat in seats:
        first, last = seat.player.joined, seat.player.last_day
        sheet.add_row(
            seat.player.name, seat.section.name, full_date(first) if first else "",
            full_date(last) if last else "",
        )  # fmt: skip
    out.print(sheet)


@players.command()
@click.argument("name")
@click.option("--section", required=True, help="Where the player sits.")
@click.option("--first-day", help="As 2026-09-01; empty when not known.")
@click.option("--last-day", help="As 2027-06-11; empty when still there.")
@click.option("--same", is_flag=True, help="The same person as the player of that name who is there already.")
@click.option("--other", is_flag=True, help="Someone else of that name.")
@sure_option
@ensemble_option
@home_option
@click.pass_obj
def add(
    session: Session,
    name: str,
    section: str,
    first_day: str | None,
    last_day: str | None,
    same: bool,
    other: bool,
    sure: bool,
    ensemble_name: str | None,
) -> None:
    """Seat a player called NAME in a section."""
    tools = session.tools
    with changing(tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        add_player(
            work,
            pick_section(ensemble, section),
            name,
            today=tools.today(),
            by=session.author(),
            joined=parse_date(first_day) if first_day else None,
            left=day_after(parse_date(last_day)) if last_day else None,
            person=SOMEONE_ELSE if other else _the_same(work, name) if same else None,
            answers=answers_of(sure),
        )
    out.print(f"{name.strip()} is in {section}.", markup=False)


@players.command()
@click.argument("name")
@click.argument("new_name")
@click.option("--other", is_flag=True, help="Someone else may have that name already.")
@section_option
@ensemble_option
@home_option
@click.pass_obj
def rename(
    session: Session, name: str, new_name: str, other: bool, section: str | None, ensemble_name: str | None
) -> None:
    """Call the player NAME NEW_NAME from now on."""
    with changing(session.tools.work) as work:
        seat = _seat(work, pick_ensemble(work, ensemble_name), name, section)
        rename_player(work, seat.player.person, new_name, by=session.author(), is_sure=other)
    out.print(f"{seat.player.name} is called {new_name.strip()} now.", markup=False)


@players.command()
@click.argument("name")
@click.option("--to", "target", required=True, help="Section where they sit from then on.")
@click.option("--on", help="First day there (default: today).")
@click.option("--always", is_flag=True, help="They always sat there and were entered wrongly.")
@section_option
@sure_option
@ensemble_option
@home_option
@click.pass_obj
def move(
    session: Session,
    name: str,
    target: str,
    on: str | None,
    always: bool,
    section: str | None,
    sure: bool,
    ensemble_name: str | None,
) -> None:
    """Seat the player NAME in another section; what they met where they sat comes along."""
    if always and on:
        raise InputError("Say --on or --always, not both.")
    today = session.tools.today()
    day = None if always else parse_date(on) if on else today
    with changing(session.tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        seat = _seat(work, ensemble, name, section)
        section_id = pick_section(ensemble, target)
        move_player(
            work, seat.player.id, section_id, by=session.author(), today=today, on=day,
            answers=answers_of(sure),
        )  # fmt: skip
    since = f" from {full_date(day)} on" if day else ""
    out.print(f"{seat.player.name} sits in {target}{since}.", markup=False)


@players.command()
@click.argument("name")
@click.option("--first-day", help="As 2026-09-01, or “none”.")
@click.option("--last-day", help="As 2027-06-11, or “none”.")
@section_option
@sure_option
@ensemble_option
@home_option
@click.pass_obj
def days(
    session: Session,
    name: str,
    first_day: str | None,
    last_day: str | None,
    section: str | None,
    sure: bool,
    ensemble_name: str | None,
) -> None:
    """Say from which day to which the player NAME is there: who leaves gets a last day."""
    if first_day is None and last_day is None:
        raise InputError("Give --first-day or --last-day.")
    with changing(session.tools.work) as work:
        seat = _seat(work, pick_ensemble(work, ensemble_name), name, section)
        joined, left = seat.player.joined, seat.player.left
        if first_day is not None:
            joined = None if first_day.strip().lower() == "none" else parse_date(first_day)
        if last_day is not None:
            left = None if last_day.strip().lower() == "none" else day_after(parse_date(last_day))
        today = session.tools.today()
        by, answers = session.author(), answers_of(sure)
        set_days(work, seat.player.id, joined, left, by=by, today=today, answers=answers)
    out.print(f"The days of {seat.player.name} are stored.", markup=False)


@players.command()
@click.argument("name")
@click.option("--on", help="First day again (default: today).")
@section_option
@sure_option
@ensemble_option
@home_option
@click.pass_obj
def back(
    session: Session, name: str, on: str | None, section: str | None, sure: bool, ensemble_name: str | None
) -> None:
    """Seat the player NAME, who had left, once more."""
    today = session.tools.today()
    day = parse_date(on) if on else today
    with changing(session.tools.work) as work:
        seat = _seat(work, pick_ensemble(work, ensemble_name), name, section)
        by, answers = session.author(), answers_of(sure)
        come_back(work, seat.player.id, day, by=by, today=today, answers=answers)
    out.print(f"{seat.player.name} is back in {seat.section.name} from {full_date(day)} on.", markup=False)


@players.command()
@click.argument("name")
@section_option
@ensemble_option
@home_option
@click.pass_obj
def remove(session: Session, name: str, section: str | None, ensemble_name: str | None) -> None:
    """Take the player NAME out who was entered by mistake; one who leaves gets a last day instead."""
    with changing(session.tools.work) as work:
        seat = _seat(work, pick_ensemble(work, ensemble_name), name, section)
        remove_player(work, seat.player.id, by=session.author())
    out.print(f"{seat.player.name} is taken out. Undo it: planner changes undo NUMBER.", markup=False)


@players.command()
@click.argument("file", type=click.Path(dir_okay=False, allow_dash=True, path_type=Path))
@click.option("--take", is_flag=True, help="Store it; without this, it is only shown.")
@click.option("--section", help="Where players sit of whom the list does not say it.")
@click.option(
    "--answer", "answers", multiple=True, metavar="LINE=ANSWER",
    help="Who is meant where the name is known already, as the list shows it; repeat it.",
)  # fmt: skip
@sure_option
@ensemble_option
@home_option
@click.pass_obj
def roster(
    session: Session,
    file: Path,
    take: bool,
    section: str | None,
    answers: tuple[str, ...],
    sure: bool,
    ensemble_name: str | None,
) -> None:
    """Take a roster in from FILE (.xlsx, .csv, or - for what is pasted): names, sections, days."""
    tools = session.tools
    rows = _rows(file, tools.rosters.read)
    answered = dict(_answer(text) for text in answers)
    with changing(tools.work) if take else tools.work() as work:
        ensemble = pick_ensemble(work, ensemble_name)
        section_id = pick_section(ensemble, section) if section else None
        seen = preview_roster(
            work, ensemble, rows, today=tools.today(), section_id=section_id, answers=answered
        )  # fmt: skip
        _print_preview(seen, is_sheet=file.suffix.lower() == ".xlsx")
        if not take:
            out.print("Nothing is stored yet: say --take.")
            return
        by, yes = session.author(), answers_of(sure)
        done = take_roster(work, ensemble, seen, by=by, today=tools.today(), answers=yes)
    out.print(
        roster_taken_text(done.new, done.changed, done.moved, done.sections, done.refused), markup=False
    )


def _rows(file: Path, read: Callable[[Path], Rows]) -> Rows:
    if str(file) != "-":
        return read(file)
    return split_rows(sys.stdin.read())


def _answer(text: str) -> tuple[int, str]:
    line, mark, answer = text.partition("=")
    number = number_of_thing(line)
    if not mark or number is None:
        raise InputError(f"“{short(text)}” is no answer; write the line and the answer, such as 4=else.")
    return number, answer.strip()


def _print_preview(seen: RosterPreview, *, is_sheet: bool) -> None:
    out.print(roster_counts_text(seen.counts, seen.missing), markup=False)
    for section in seen.new_sections:
        out.print(f"New section: {section.name}, at level {section.level:.1f}.", markup=False)
    for row in seen.rows:
        place, where = row.row.place(row.field, is_sheet=is_sheet), f"{row.player.name}, {row.section}"
        if row.kind is RowKind.REFUSED:
            out.print(f"{place}: {row.refused}", markup=False)
        elif row.kind is RowKind.ASKED:
            choices = "; ".join(f"{row.row.row}={each.key}: {_words(each)}" for each in row.answers)
            taken = f" (taken: {row.answer})" if row.answer else ""
            out.print(f"{place}: {where}. Is this the same person? {choices}{taken}", markup=False)
        elif row.kind is not RowKind.SAME:
            out.print(f"{place}: {where}, {row.kind}", markup=False)


def _words(answer: Answer) -> str:
    places = [f"{seat.section.name} of {seat.ensemble.name}" for seat in answer.seats]
    return answer_words(places, moves=answer.moves)


def _the_same(work: UnitOfWork, name: str) -> int:
    """The one person of that name.

    Raises:
        NotFoundError: If there is nobody of that name.
        InputError: If there are several.
    """
    known = alike(seats_of(work), name)
    if not known:
        raise NotFoundError("player", f"“{name}”")
    if len(known) > 1:
        raise InputError(f"Several players are called {name}.", hint="Use the page of players.")
    return next(iter(known))


def _seat(work: UnitOfWork, ensemble: Ensemble, name: str, section: str | None) -> Seat:
    """The seat of a player: the one in the section that is named, else the only or the newest one open.

    Raises:
        NotFoundError: If nobody is called so.
        InputError: If several seats may be meant.
    """
    found = [seat for seats in alike(seats_of(work, ensemble.id), name).values() for seat in seats]
    if section is not None:
        found = [seat for seat in found if folded(seat.section.name) == folded(section)]
    if not found:
        raise NotFoundError("player", f"“{name}” in {section or ensemble.name}")
    here = [seat for seat in found if seat.player.left is None] or found[-1:]
    if len(here) > 1:
        places = listed([seat.section.name for seat in here])
        raise InputError(f"{name} sits in {places}.", hint="Say which with --section.")
    return here[0]


for _command in PRIVACY:
    players.add_command(_command)

COMMANDS = (players,)
