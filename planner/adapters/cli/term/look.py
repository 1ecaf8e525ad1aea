"""Commands that look at a plan: pieces that somebody knows by now, and what else could stand there."""

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
from planner.services.term.terms import parse_date
from planner.services.term_page.show_breaches import known_slots
from planner.services.term_page.show_choices import show_choices
from planner.services.term_page.term_picture import SlotPicture
from planner.wording.director.matching import met_note
from planner.wording.director.proposal import gain_words, known_how
from planner.wording.words import full_date


@click.command()
@term_options
@format_option
@home_option
@click.pass_obj
def known(session: Session, ensemble_name: str | None, term_name: str | None, form: str) -> None:
    """Show the planned pieces that somebody in the room knows by now."""
    tools = session.tools
    with tools.work() as work:
        ensemble, term = pick_ensemble_and_term(work, ensemble_name, term_name, tools.today())
        found = known_slots(work, term, ensemble, tools.today())
        every = work.ensembles.list_ensembles()
    rows = [
        {"on": one.slot.on, "piece": one.slot.piece_id, "title": one.title,
         "why": known_how(one.known.how, met_note(one.known.exposure, every))}
        for one in found
    ]  # fmt: skip
    if form == "json":
        print_json({"format": "known", "version": 1, "term": term.name, "pieces": rows})
        return
    for one, row in zip(found, rows, strict=True):
        out.print(f"{full_date(one.slot.on)}: “{one.title}”. {row['why']}", markup=False)
    if not rows:
        out.print("Every piece still to come is new to everybody.")


@click.command()
@click.argument("on", metavar="DATE")
@click.option("--place", type=click.IntRange(1), default=1, show_default=True, help="Which piece of the day.")
@click.option("--station", type=click.IntRange(1), help="Which station, where there are some.")
@term_options
@format_option
@home_option
@click.pass_obj
def choices(
    session: Session,
    on: str,
    place: int,
    station: int | None,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> None:
    """Show what else could stand on a DATE: other pieces, and swaps with other days."""
    tools, day = session.tools, parse_date(on)
    with tools.work() as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, day)
        at = None if station is None else station - 1
        view = show_choices(work, term.id, day, place - 1, at, tools.today())
    if form == "json":
        print_json({
            "format": "choices", "version": 1, "term": term.name, "on": day,
            "now": _reading(view.now) if view.now else None,
            "pieces": [{**_reading(one.picture), "gain": gain_words(one.saved)} for one in view.choices],
            "swaps": [
                {**_reading(one.comes), "from": one.there.on, "gain": gain_words(one.saved)}
                for one in view.swaps
            ],
        })  # fmt: skip
        return
    if view.now is not None:
        out.print(f"Now: {_words(view.now)}", markup=False)
    for one in view.choices:
        out.print(f"Instead: {_words(one.picture)} {gain_words(one.saved)}", markup=False)
    for swap in view.swaps:
        when = full_date(swap.there.on)
        out.print(f"Swapped with {when}: {_words(swap.comes)} {gain_words(swap.saved)}", markup=False)
    if not view.choices and not view.swaps:
        out.print("No other fresh piece could stand here with the rest of the plan as it is.")


def _reading(picture: SlotPicture) -> dict[str, Any]:
    worst = picture.worst
    return {
        "piece": picture.piece.id, "title": picture.piece.title, "level": picture.level,
        "focus": picture.slot.focus, "featured": picture.featured,
        "hardest_for": worst.section.name if worst else None, "share": worst.share if worst else None,
    }  # fmt: skip


def _words(picture: SlotPicture) -> str:
    level = "" if picture.level is None else f", level {picture.level:.1f}"
    worst = picture.worst
    bars = "" if worst is None else f"{round(100 * worst.share)} of 100 expected"
    hardest = "" if worst is None else f", hardest for {worst.section.name} ({bars})"
    return f"{picture.piece.title}{level}{hardest}."
