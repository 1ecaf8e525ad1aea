"""The command that shows one reading day: what is read, by whom, and what came out."""

from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_ensemble_and_term,
    print_json,
    term_options,
)
from planner.core.term import DayShape, Result
from planner.services.day.read_day import DayView, SectionRow, next_reading_day, read_day
from planner.services.day_page.procedure import set_procedure
from planner.services.day_page.room_day import RoomDay, room_day, script_of
from planner.services.sheets.files import find_guides
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.procedures import procedure_name
from planner.wording.director.results import result_text
from planner.wording.director.room import STEP_NAMES, clock_time, spare_words
from planner.wording.director.term_days import shape_text
from planner.wording.words import BarNames, bar_names, full_date


@click.command()
@click.option("--on", help="The reading day, as 2026-09-01 (default: the next one).")
@click.option("--by-minute", is_flag=True, help="The steps of the day, each with when it begins.")
@click.option(
    "--procedure", help="Study its music by a published procedure, such as uil-small; ‘none’: as planned."
)
@term_options
@format_option
@home_option
@click.pass_obj
def day(
    session: Session,
    on: str | None,
    by_minute: bool,
    procedure: str | None,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> None:
    """Show a reading day: what is read, who is away, the results so far, the printed guides."""
    tools = session.tools
    with changing(tools.work) if procedure is not None else tools.work() as work:
        wanted = parse_date(on) if on else tools.today()
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, wanted)
        chosen = wanted if on else next_reading_day(work, term, tools.today())
        if procedure is not None:
            slug = "" if procedure == "none" else procedure
            set_procedure(work, term.id, chosen, slug, by=session.author())
        view = read_day(work, term.id, chosen)
        besides = work.pieces.profiles([one.piece.id for one in view.besides])
        guides = [
            f"{path.parent.name}/{path.name}" for path in find_guides(tools.exports, work, term, view.on)
        ]
    room = room_day(view)
    if form == "json":
        print_json(_as_json(view, guides, room))
        return
    names = {section.id: section.name for section in view.ensemble.sections}
    out.print(
        f"{full_date(view.on)}, {view.term.name}: {view.term.minutes_on(view.on):g} minutes", markup=False
    )
    if view.shape != DayShape(view.on):
        out.print(shape_text(view.shape, names), markup=False)
    for slot in view.slots:
        level = "" if slot.level is None else f", level {slot.level:.1f}"
        leading = f", {slot.featured} leading" if slot.featured else ""
        out.print(f"{slot.piece.title}: trains {slot.slot.focus}{leading}{level}", markup=False)
        _print_results(slot.rows, bar_names(slot.profile))
    for one in view.besides:
        out.print(f"{one.piece.title}: read, though not planned for this day", markup=False)
        _print_results(one.rows, bar_names(besides[one.piece.id]))
    if not view.slots:
        out.print("Nothing is planned for this day.")
    if guides:
        out.print(f"Printed guides: {len(guides)}.")
    if room.procedure:
        out.print(f"Studied by {procedure_name(room.procedure.slug)}.", markup=False)
    if by_minute:
        _print_script(room)


def _print_script(room: RoomDay) -> None:
    """Each step with when it begins, and at the beginning of a turn what is read."""
    turn = -1
    for line in script_of(room):
        if line.step.turn != turn:
            turn = line.step.turn
            out.print("; ".join(line.titles), markup=False)
        name = STEP_NAMES[line.step.kind]
        out.print(f"{clock_time(line.at_s):>7}  {name}, {clock_time(line.step.seconds)}", markup=False)
    spare = spare_words(room.day.spare_s, room.view.term.minutes_on(room.view.on))
    if spare:
        out.print(spare)


def _print_results(rows: tuple[SectionRow, ...], numbers: BarNames) -> None:
    for row in rows:
        if row.result is not None:
            out.print(f"  {row.section.name}: {result_text(row.result, numbers)}", markup=False)


def _as_json(view: DayView, guides: list[str], room: RoomDay) -> dict[str, Any]:
    names = {section.id: section.name for section in view.ensemble.sections}
    return {
        "format": "reading-day", "version": 1, "term": view.term.name, "ensemble": view.ensemble.name,
        "on": view.on, "minutes": view.term.minutes_on(view.on),
        "absent": [names[i] for i in view.shape.absent if i in names],
        "stations": {s.name: [names[i] for i in s.section_ids if i in names] for s in view.shape.stations},
        "pieces": [
            {"id": slot.piece.id, "title": slot.piece.title, "position": slot.slot.position,
             "focus": slot.slot.focus, "featured": slot.featured, "level": slot.level,
             "minutes": slot.slot.minutes, "rooms": slot.rooms, "planned": True,
             "results": _results(slot.rows)}
            for slot in view.slots
        ] + [
            {"id": one.piece.id, "title": one.piece.title, "planned": False, "results": _results(one.rows)}
            for one in view.besides
        ],
        "guides": guides,
        "procedure": room.procedure.slug if room.procedure else None,
        "steps": [
            {"begins_s": line.at_s, "seconds": line.step.seconds, "step": line.step.kind,
             "turn": line.step.turn + 1, "pieces": line.titles}
            for line in script_of(room)
        ],
    }  # fmt: skip


def _results(rows: tuple[SectionRow, ...]) -> list[dict[str, Any]]:
    return [{"section": row.section.name, **_values(row.result)} for row in rows if row.result is not None]


def _values(result: Result) -> dict[str, Any]:
    return {
        "first": result.first_share, "second": result.second_share, "tempo_bpm": result.tempo_bpm,
        "problems": list(result.problems), "note": result.note, "counts": result.counts,
        "fell_apart": result.fell_apart, "wrong_bars": [list(place) for place in result.wrong_bars],
    }  # fmt: skip


COMMANDS = (day,)
