"""Commands about terms: list, show, change and remove them; their days and the director's wishes."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import click

from planner.adapters.cli.context import (
    NUMBER,
    WHOLE,
    Session,
    answers_of,
    ensemble_option,
    format_option,
    home_option,
    new_table,
    out,
    pick_ensemble,
    pick_ensemble_and_term,
    pick_piece,
    pick_term,
    print_json,
    sure_option,
    term_options,
)
from planner.adapters.cli.term.look import choices, known
from planner.adapters.cli.term.values import changed_term, is_changed, more_value_options
from planner.core.ensemble import Ensemble
from planner.core.term import DayShape, Plan, Slot, Station, Term, Wish
from planner.errors import InputError, NotFoundError
from planner.services.ports.work import UnitOfWork
from planner.services.term.days import (
    DayChanged,
    Instead,
    Place,
    cancel_day,
    move_slot,
    read_after_all,
    set_day,
    swap_slots,
)
from planner.services.term.stations import propose_stations
from planner.services.term.terms import keep_term, lost_slots, parse_date, remove_term
from planner.services.term.wish_notes import wish_note
from planner.services.term.wishes import ban, move_wish, pin, read_again, wish_for, withdraw_wish
from planner.services.toolbox import changing
from planner.wording.director.term_days import (
    fallen_sentence,
    moved_sentence,
    shape_text,
    term_lines,
    waiting_sentence,
    wish_line,
)
from planner.wording.words import full_day


@click.group(invoke_without_command=True)
@ensemble_option
@format_option
@home_option
@click.pass_context
def terms(context: click.Context, ensemble_name: str | None, form: str) -> None:
    """List an ensemble's terms, or change one of them."""
    if context.invoked_subcommand is not None:
        return
    session: Session = context.obj
    with session.tools.work() as work:
        ensemble = pick_ensemble(work, ensemble_name)
        found = work.terms.list_terms(ensemble.id)
        planned = work.terms.plans([term.id for term in found])
    if form == "json":
        rows = [_as_json(term, planned.get(term.id)) for term in found]
        print_json({"format": "terms", "version": 1, "ensemble": ensemble.name, "terms": rows})
        return
    sheet = new_table(
        ("Term", "First day", "Last day", "Reading days", "Readings planned"),
        title=f"Terms of {ensemble.name}",
    )
    for term in found:
        plan = planned.get(term.id)
        days, readings = len(term.reading_dates()), len(plan.slots) if plan else 0
        sheet.add_row(term.name, str(term.first), str(term.last), str(days), str(readings))
    out.print(sheet)
    if not found:
        out.print("Set one: planner plan --first DATE --last DATE --weekday tue.")


def _as_json(term: Term, plan: Plan | None) -> dict[str, Any]:
    return {
        "name": term.name, "first": term.first, "last": term.last, "weekdays": term.weekdays,
        "days_off": term.days_off, "minutes": term.minutes, "slots": term.slots,
        "start_level": term.start_level, "target_level": term.target_level, "aims": dict_of(term.aims),
        "concerts": term.concerts, "announced_days": term.announced_days, "starts_at": term.starts_at,
        "time_zone": term.time_zone, "reading_days": len(term.reading_dates()),
        "days": [
            {"on": s.on, "minutes": s.minutes, "slots": s.slots, "absent": s.absent,
             "stations": {one.name: one.section_ids for one in s.stations}}
            for s in term.shapes
        ],
        "planned": len(plan.slots) if plan else 0,
    }  # fmt: skip


def dict_of(aims: Collection[tuple[date, float]]) -> dict[str, float]:
    """Levels to aim at by date, as JSON has it.

    Example:
        >>> dict_of([(date(2026, 9, 1), 2.5)])
        {'2026-09-01': 2.5}
    """
    return {on.isoformat(): level for on, level in aims}


@terms.command()
@term_options
@format_option
@home_option
@click.pass_obj
def show(session: Session, ensemble_name: str | None, term_name: str | None, form: str) -> None:
    """Show a term: its dates and aims, the days that differ, your wishes."""
    with session.tools.work() as work:
        ensemble, term = pick_ensemble_and_term(work, ensemble_name, term_name, session.tools.today())
        wishes, plan = work.terms.wishes(term.id), work.terms.plan(term.id)
        titles = work.pieces.titles({wish.piece_id for wish in wishes})
    if form == "json":
        rows = [{"kind": w.kind, "piece": titles[w.piece_id], "on": w.on} for w in wishes]
        print_json({"format": "term", "version": 1, **_as_json(term, plan), "wishes": rows})
        return
    out.print(term.name, markup=False)
    lines = [*term_lines(term, _section_names(ensemble)), *(wish_line(wish, titles) for wish in wishes)]
    for line in lines:
        out.print(line, markup=False)


@terms.command(name="set")
@more_value_options
@sure_option
@term_options
@home_option
@click.pass_obj
def set_values(
    session: Session, /, sure: bool, ensemble_name: str | None, term_name: str | None, **asked: Any
) -> None:
    """Change a term that is there; what is not named stays. The plan follows when you plan again."""
    if not is_changed(asked):
        raise InputError("Say what to change, such as --minutes 12 or --off 2026-10-12.")
    tools = session.tools
    with changing(tools.work) as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, tools.today())
        changed = changed_term(term, asked, tools.machine_zone())
        lost = lost_slots(work, changed)
        kept = keep_term(work, changed, by=session.author(), today=tools.today(), answers=answers_of(sure))
        titles = work.pieces.titles({slot.piece_id for slot in lost})
        ensemble = work.ensembles.get(kept.ensemble_id)
    for line in term_lines(kept, _section_names(ensemble)):
        out.print(line, markup=False)
    _print_some(fallen_sentence([slot.piece_id for slot in lost], titles))


@terms.command()
@click.argument("name")
@term_options
@home_option
@click.pass_obj
def rename(session: Session, name: str, ensemble_name: str | None, term_name: str | None) -> None:
    """Call a term NAME."""
    with changing(session.tools.work) as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, session.tools.today())
        kept = keep_term(work, replace(term, name=name), by=session.author(), today=session.tools.today())
    out.print(f"{term.name} is called {kept.name} now.", markup=False)


@terms.command()
@ensemble_option
@click.option("--term", "term_name", required=True, help="Name of the term.")
@home_option
@click.pass_obj
def remove(session: Session, ensemble_name: str | None, term_name: str) -> None:
    """Take a term out with its wishes and its plan; results stay. ‘planner changes undo’ brings it back."""
    with changing(session.tools.work) as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, session.tools.today())
        remove_term(work, term.id, by=session.author())
    out.print(f"{term.name} is gone. To have it back: planner changes undo.", markup=False)


_DayAction = Callable[[UnitOfWork, Term, Ensemble], DayChanged]


def _change_day(
    session: Session, ensemble_name: str | None, term_name: str | None, action: _DayAction
) -> None:
    """Do something to a day of a term, and say what came of it."""
    with changing(session.tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        changed = action(work, pick_term(work, ensemble, term_name, session.tools.today()), ensemble)
        titles = work.pieces.titles()
    lines = (
        moved_sentence(changed.moved, titles),
        fallen_sentence(changed.fallen, titles),
        waiting_sentence(changed.waiting, titles),
    )
    if not any(lines):
        out.print("Saved.")
    for line in lines:
        _print_some(line)


def _print_some(line: str) -> None:
    if line:
        out.print(line, markup=False)


@terms.command()
@click.argument("on")
@click.option("--move-on", "instead", flag_value="move on", help="Its pieces and all after move on a day.")
@click.option("--drop", "instead", flag_value="drop", help="Its pieces go back to the library.")
@click.option("--wait", "instead", flag_value="wait", help="Its pieces wait for the next planning.")
@term_options
@home_option
@click.pass_obj
def cancel(
    session: Session, on: str, instead: str | None, ensemble_name: str | None, term_name: str | None
) -> None:
    """Cancel the reading day ON: it becomes a day off. ‘planner changes undo’ takes that back."""
    if instead is None:
        raise InputError("Say what becomes of its pieces: --move-on, --drop or --wait.")
    day, today = parse_date(on), session.tools.today()
    _change_day(
        session,
        ensemble_name,
        term_name,
        lambda work, term, _: cancel_day(work, term.id, day, Instead(instead), today, by=session.author()),
    )


@terms.command()
@click.argument("on")
@term_options
@home_option
@click.pass_obj
def reopen(session: Session, on: str, ensemble_name: str | None, term_name: str | None) -> None:
    """Make the day off ON a reading day again; it is open until you plan again."""
    day, today = parse_date(on), session.tools.today()
    with changing(session.tools.work) as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, today)
        read_after_all(work, term.id, day, today, by=session.author())
    out.print(f"{full_day(day)} is a reading day: plan again to fill it.", markup=False)


@terms.command(name="day")
@click.argument("on")
@click.option("--minutes", type=NUMBER, help="Minutes of this day alone.")
@click.option("--slots", type=WHOLE, help="Pieces of this day alone; with stations its rounds.")
@click.option("--absent", multiple=True, help="A section that is away; once for each.")
@click.option("--station", "rooms", multiple=True, help="'Brass=Trumpet, Horn': a group in its own room.")
@click.option("--stations", "is_by_family", is_flag=True, help="Stations by families of instruments.")
@click.option("--all-present", is_flag=True, help="No section is away any more.")
@click.option("--all-together", is_flag=True, help="No stations any more.")
@click.option("--like-others", is_flag=True, help="Nothing differs any more.")
@term_options
@home_option
@click.pass_obj
def day_command(
    session: Session, /, on: str, ensemble_name: str | None, term_name: str | None, **asked: Any
) -> None:
    """Give the reading day ON its own minutes, pieces, stations or absent sections; or show it."""
    day = parse_date(on)
    if not is_changed(asked):
        _show_day(session, ensemble_name, term_name, day)
        return
    _change_day(
        session,
        ensemble_name,
        term_name,
        lambda work, term, ensemble: set_day(
            work, term.id, _shape(term.shape_on(day), ensemble, asked), session.tools.today(),
            by=session.author(),
        ),
    )  # fmt: skip


def _shape(shape: DayShape, ensemble: Ensemble, asked: dict[str, Any]) -> DayShape:
    """A day with what was given; what is not named stays."""
    if asked["like_others"]:
        shape = DayShape(shape.on)
    if asked["all_present"]:
        shape = replace(shape, absent=())
    if asked["all_together"]:
        shape = replace(shape, stations=())
    stations = tuple(_station(ensemble, text) for text in asked["rooms"])
    if asked["is_by_family"]:
        stations = propose_stations(ensemble)
        if not stations:
            raise InputError(f"{ensemble.name} has only one family.", hint="Name the groups with --station.")
    return replace(
        shape,
        minutes=shape.minutes if asked["minutes"] is None else asked["minutes"],
        slots=shape.slots if asked["slots"] is None else asked["slots"],
        absent=(*shape.absent, *(_section_id(ensemble, name) for name in asked["absent"])),
        stations=stations or shape.stations,
    )


def _station(ensemble: Ensemble, text: str) -> Station:
    name, equals, sections = text.partition("=")
    if not equals:
        raise InputError(f"“{text}” is not a station; write it as “Brass=Trumpet, Horn”.")
    return Station(name, tuple(_section_id(ensemble, each) for each in sections.split(",") if each.strip()))


def _section_id(ensemble: Ensemble, name: str) -> int:
    for section in ensemble.sections:
        if section.name.casefold() == name.strip().casefold():
            return section.id
    raise NotFoundError("section", f"“{name.strip()}” in {ensemble.name}")


def _section_names(ensemble: Ensemble) -> dict[int, str]:
    return {section.id: section.name for section in ensemble.sections}


def _show_day(session: Session, ensemble_name: str | None, term_name: str | None, on: date) -> None:
    with session.tools.work() as work:
        ensemble, term = pick_ensemble_and_term(work, ensemble_name, term_name, session.tools.today())
        if on not in term.reading_dates():
            raise NotFoundError("reading day", f"{on} in {term.name}")
        plan = work.terms.plan(term.id)
        slots = plan.on(on) if plan else ()
        titles = work.pieces.titles({slot.piece_id for slot in slots})
    shape = term.shape_on(on)
    out.print(f"{full_day(on)}: {shape_text(shape, _section_names(ensemble))}.", markup=False)
    for slot in slots:
        room = f"{shape.stations[slot.station].name}: " if slot.station is not None else ""
        out.print(f"{room}{titles[slot.piece_id]}", markup=False)


@terms.command(name="move")
@click.argument("piece")
@click.option("--to", required=True, help="The day it goes to.")
@click.option("--on", help="The day it stands on, if on several.")
@term_options
@home_option
@click.pass_obj
def move(
    session: Session, piece: str, to: str, on: str | None, ensemble_name: str | None, term_name: str | None
) -> None:
    """Move the planned PIECE to another day with a place left; a pin goes with it."""
    day = parse_date(to)
    _change_day(
        session,
        ensemble_name,
        term_name,
        lambda work, term, _: move_slot(
            work, term.id, _place_of(work, term, piece, on), day, session.tools.today(), by=session.author()
        ),
    )


@terms.command()
@click.argument("piece")
@click.argument("other")
@term_options
@home_option
@click.pass_obj
def swap(session: Session, piece: str, other: str, ensemble_name: str | None, term_name: str | None) -> None:
    """Let two planned pieces change places; doing it again puts them back."""
    _change_day(
        session,
        ensemble_name,
        term_name,
        lambda work, term, _: swap_slots(
            work, term.id, _place_of(work, term, piece, None), _place_of(work, term, other, None),
            session.tools.today(), by=session.author(),
        ),
    )  # fmt: skip


def _place_of(work: UnitOfWork, term: Term, name: str, on: str | None) -> Place:
    """Where a piece stands in the plan of a term, its first reading if it is read twice.

    Raises:
        NotFoundError: If it does not.
    """
    piece, plan = pick_piece(work, name), work.terms.plan(term.id)
    day = parse_date(on) if on else None
    slots: Sequence[Slot] = plan.slots if plan else ()
    for slot in slots:
        if slot.piece_id == piece.id and day in (None, slot.on):
            return Place(slot.on, slot.position, slot.station)
    raise NotFoundError("planned piece", f"“{piece.title}” in {term.name}")


anyway_option = click.option(
    "--anyway", is_flag=True, help="Even if a section is likely lost, or the day is announced."
)

_WishAction = Callable[[UnitOfWork, Term, int], Sequence[Wish]]


def _change_wish(
    session: Session, ensemble_name: str | None, term_name: str | None, piece: str, action: _WishAction
) -> None:
    """Change what is wished of a piece, and say what came of it."""
    today = session.tools.today()
    with changing(session.tools.work) as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, today)
        before = tuple(work.terms.wishes(term.id))
        after = action(work, term, pick_piece(work, piece).id)
        note = wish_note(work, term.id, before, after, today)
    out.print(note or "Nothing was changed.", markup=False)


@terms.command(name="pin")
@click.argument("piece")
@click.option("--on", help="The reading day (default: the first that suits).")
@anyway_option
@term_options
@home_option
@click.pass_obj
def pin_command(
    session: Session,
    piece: str,
    on: str | None,
    anyway: bool,
    ensemble_name: str | None,
    term_name: str | None,
) -> None:
    """Pin PIECE to a day. ‘planner terms free’ takes that back."""
    day, today, by = parse_date(on) if on else None, session.tools.today(), session.author()
    _change_wish(
        session, ensemble_name, term_name, piece,
        lambda work, term, piece_id: pin(work, term.id, piece_id, day, today, by=by, anyway=anyway),
    )  # fmt: skip


@terms.command(name="ban")
@click.argument("piece")
@click.option("--on", help="The reading day (default: the whole term).")
@term_options
@home_option
@click.pass_obj
def ban_command(
    session: Session, piece: str, on: str | None, ensemble_name: str | None, term_name: str | None
) -> None:
    """Keep PIECE off a day, or out of the term. ‘planner terms free’ takes that back."""
    day, today, by = parse_date(on) if on else None, session.tools.today(), session.author()
    _change_wish(
        session, ensemble_name, term_name, piece,
        lambda work, term, piece_id: ban(work, term.id, piece_id, day, today, by=by),
    )  # fmt: skip


@terms.command()
@click.argument("piece")
@click.option("--on", required=True, help="The reading day.")
@anyway_option
@term_options
@home_option
@click.pass_obj
def again(
    session: Session, piece: str, on: str, anyway: bool, ensemble_name: str | None, term_name: str | None
) -> None:
    """Have PIECE read a second time on a later day. ‘planner terms free’ takes that back."""
    day, today, by = parse_date(on), session.tools.today(), session.author()
    _change_wish(
        session, ensemble_name, term_name, piece,
        lambda work, term, piece_id: read_again(work, term.id, piece_id, day, today, by=by, anyway=anyway),
    )  # fmt: skip


@terms.command(name="another-day")
@click.argument("piece")
@click.option("--on", help="The day it was asked for (default: what was asked for the whole term).")
@click.option("--to", help="Its other day (default: any day of the term).")
@anyway_option
@term_options
@home_option
@click.pass_obj
def another_day(
    session: Session,
    piece: str,
    on: str | None,
    to: str | None,
    anyway: bool,
    ensemble_name: str | None,
    term_name: str | None,
) -> None:
    """Give a pin, a ban or a second reading of PIECE another day."""
    day, other = (parse_date(each) if each else None for each in (on, to))
    today, by = session.tools.today(), session.author()

    def moved(work: UnitOfWork, term: Term, piece_id: int) -> Sequence[Wish]:
        wish = wish_for(work, term.id, piece_id, day)
        return move_wish(work, term.id, wish, other, today, by=by, anyway=anyway)

    _change_wish(session, ensemble_name, term_name, piece, moved)


@terms.command()
@click.argument("piece")
@click.option("--on", help="The day of the wish (default: the wish for the whole term).")
@term_options
@home_option
@click.pass_obj
def free(
    session: Session, piece: str, on: str | None, ensemble_name: str | None, term_name: str | None
) -> None:
    """Take back a pin, a ban or a second reading of PIECE."""
    day, by = parse_date(on) if on else None, session.author()
    _change_wish(
        session, ensemble_name, term_name, piece,
        lambda work, term, piece_id: withdraw_wish(work, term.id, piece_id, day, by=by),
    )  # fmt: skip


terms.add_command(known)
terms.add_command(choices)
COMMANDS = (terms,)
