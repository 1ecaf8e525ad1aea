"""Commands for a reading day's players: who was there, own marks, make-ups and remarks."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from datetime import date

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    new_table,
    out,
    pick_ensemble,
    pick_section,
    pick_term,
    print_json,
    term_options,
)
from planner.core.ensemble import Ensemble
from planner.core.term import Attendance, PlayerMark
from planner.errors import InputError, NotFoundError
from planner.services.day.attendance import (
    PlayerLine,
    SectionRoll,
    enter_marks,
    mark_from_text,
    read_roll,
    with_states,
)
from planner.services.day.read_day import find_day
from planner.services.ports.work import UnitOfWork
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.marks import ATTENDANCE_WORDS, mark_text
from planner.wording.words import count_of, full_date

on_option = click.option("--on", required=True, help="The reading day, as 2026-09-01.")
section_option = click.option("--section", help="Only this section.")


@click.command()
@click.argument("states", nargs=-1)
@on_option
@section_option
@click.option(
    "--rest-here", is_flag=True, help="Everyone who is not entered was there: in --section, or in all."
)
@click.option("--everyone", is_flag=True, help="Everyone was there, whatever was entered.")
@click.option("--take-back", is_flag=True, help="Take the attendance back.")
@term_options
@format_option
@home_option
@click.pass_obj
def attendance(
    session: Session, states: tuple[str, ...], on: str, section: str | None, rest_here: bool, everyone: bool,
    take_back: bool, ensemble_name: str | None, term_name: str | None, form: str,
) -> None:  # fmt: skip
    """Say who was there on a reading day: STATES such as "Ida Holm=absent"; or show it.

    A state is present, late, absent or excused. "Ida Holm=" takes it back for one player.
    """
    if sum((rest_here, everyone, take_back)) > 1:
        raise InputError("Give one of --rest-here, --everyone and --take-back.")
    if states and (everyone or take_back):
        raise InputError(
            "--everyone and --take-back speak of all players of a section.",
            hint="Give them without states, or use --rest-here.",
        )

    def entered(rolls: Sequence[SectionRoll]) -> list[PlayerMark]:
        own = {line.player.id: _state(text) for line, text in _named(rolls, states)}
        every = Attendance.PRESENT if everyone else None
        found = []
        for roll in rolls:
            whole = {line.player.id: every for line in roll.lines} if everyone or take_back else {}
            found += with_states(roll, {**whole, **own}, is_taken=rest_here)
        return found

    asked = bool(states or rest_here or everyone or take_back)
    _change_or_show(session, on, section, ensemble_name, term_name, form, entered if asked else None)


@click.command()
@click.argument("marks", nargs=-1)
@on_option
@section_option
@click.option("--made-up", multiple=True, help='When a player made it up, such as "Ida Holm=2026-09-08".')
@click.option("--remark", multiple=True, help='A remark, such as "Ida Holm=counts well".')
@term_options
@format_option
@home_option
@click.pass_obj
def marks(
    session: Session, marks: tuple[str, ...], on: str, section: str | None, made_up: Sequence[str],
    remark: Sequence[str], ensemble_name: str | None, term_name: str | None, form: str,
) -> None:  # fmt: skip
    """Give players marks of their own for a day: MARKS such as "Ida Holm=87.5"; or show them.

    A mark lies from 0 to 100. "Ida Holm=" takes the mark back; the same goes for make-ups and remarks.
    """

    def entered(rolls: Sequence[SectionRoll]) -> list[PlayerMark]:
        found: dict[int, PlayerMark] = {}

        def current(line: PlayerLine) -> PlayerMark:
            return found.get(line.player.id, line.entered)

        for line, text in _named(rolls, marks):
            found[line.player.id] = replace(current(line), mark=mark_from_text(text, line.player.name))
        for line, text in _named(rolls, made_up):
            found[line.player.id] = replace(current(line), made_up_on=parse_date(text) if text else None)
        for line, text in _named(rolls, remark):
            found[line.player.id] = replace(current(line), note=text)
        return list(found.values())

    asked = bool(marks or made_up or remark)
    _change_or_show(session, on, section, ensemble_name, term_name, form, entered if asked else None)


def _change_or_show(
    session: Session, on: str, section: str | None, ensemble_name: str | None, term_name: str | None,
    form: str, entered: Callable[[Sequence[SectionRoll]], list[PlayerMark]] | None,
) -> None:  # fmt: skip
    tools, day = session.tools, parse_date(on)
    changed: tuple[PlayerMark, ...] = ()
    if entered is not None:
        with changing(tools.work) as work:
            ensemble, only = _day_of(work, ensemble_name, term_name, section, day)
            wanted = entered(read_roll(work, ensemble, day, only))
            changed = enter_marks(work, ensemble, day, wanted, today=tools.today(), by=session.author())
    with tools.work() as work:
        ensemble, only = _day_of(work, ensemble_name, term_name, section, day)
        rolls = read_roll(work, ensemble, day, only)
    if form == "json":
        print_json({"format": "day-marks", "version": 1, "on": day, "sections": [_plain(r) for r in rolls]})
        return
    if entered is not None:
        out.print(f"Saved for {count_of(len(changed), 'player')}." if changed else "Nothing was changed.")
    if entered is None or changed:
        _print_rolls(rolls, day, {mark.player_id for mark in changed})


def _day_of(
    work: UnitOfWork, ensemble_name: str | None, term_name: str | None, section: str | None, on: date
) -> tuple[Ensemble, set[int] | None]:
    ensemble = pick_ensemble(work, ensemble_name)
    find_day(work, pick_term(work, ensemble, term_name, on).id, on)
    return ensemble, {pick_section(ensemble, section)} if section else None


def _named(rolls: Sequence[SectionRoll], typed: Sequence[str]) -> list[tuple[PlayerLine, str]]:
    """Each ``NAME=VALUE`` with the player it names.

    Raises:
        InputError: If there is no ``=``, or several players have that name.
        NotFoundError: If nobody has it.
    """
    lines = [(roll.section.name, line) for roll in rolls for line in roll.lines]
    found = []
    for text in typed:
        name, equals, value = text.partition("=")
        if not equals:
            raise InputError(f"“{text}” names no value.", hint='Write it as "Name=value".')
        same = [
            (section, line) for section, line in lines
            if line.player.name.casefold() == name.strip().casefold()
        ]  # fmt: skip
        if not same:
            raise NotFoundError("player", f"{name.strip()} on that day", hint="Look: planner players")
        if len(same) > 1:
            where = ", ".join(section for section, _ in same)
            raise InputError(f"{name.strip()} sits in {where}.", hint="Say which with --section.")
        found.append((same[0][1], value.strip()))
    return found


def _state(text: str) -> Attendance | None:
    known = {**{str(state): state for state in Attendance}, **{w: s for s, w in ATTENDANCE_WORDS.items()}}
    if text and text.casefold() not in known:
        raise InputError(f"“{text}” is none of {', '.join(Attendance)}.")
    return known[text.casefold()] if text else None


def _plain(roll: SectionRoll) -> dict[str, object]:
    return {
        "section": roll.section.name,
        "taken": roll.is_taken,
        "players": [
            {
                "player": line.player.name, "attendance": line.entered.attendance,
                "mark": mark_text(line.entered.mark) or None, "made_up_on": line.entered.made_up_on,
                "remark": line.entered.note,
            }
            for line in roll.lines
        ],
    }  # fmt: skip


def _print_rolls(rolls: Sequence[SectionRoll], on: date, only: Collection[int]) -> None:
    """The players of some seats, or everyone where none is named."""
    sheet = new_table(
        ("Section", "Player", "Attendance", "Own mark", "Made up on", "Remark"), title=full_date(on)
    )
    for roll in rolls:
        for line in (each for each in roll.lines if not only or each.player.id in only):
            entered = line.entered
            sheet.add_row(
                roll.section.name, line.player.name,
                ATTENDANCE_WORDS[entered.attendance] if entered.attendance else "not entered",
                mark_text(entered.mark), full_date(entered.made_up_on) if entered.made_up_on else "",
                entered.note,
            )  # fmt: skip
    out.print(sheet)


COMMANDS = (attendance, marks)
