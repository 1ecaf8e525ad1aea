"""The command about what was met: noted for one piece or many, withdrawn, listed."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import cast

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
    pick_piece,
    pick_section,
    print_json,
    sure_option,
)
from planner.core.ensemble import Ensemble, Exposure, ExposureKind
from planner.errors import InputError, NotFoundError
from planner.services.people.exposures import (
    EXPOSURE_KINDS,
    chosen_exposures,
    list_exposures,
    person_named,
    read_titles,
    record_exposures,
    withdraw_exposures,
)
from planner.services.ports.work import UnitOfWork
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.people import group_name, noted_text, withdrawn_text
from planner.wording.words import full_date


@click.command()
@click.argument("pieces", nargs=-1)
@click.option("--how", type=click.Choice(EXPOSURE_KINDS), default="performed", show_default=True)
@click.option("--on", help="When, as 2026-09-01; empty when not known.")
@click.option("--section", help="Only this section; without it, everyone.")
@click.option("--player", help="Only this player.")
@click.option(
    "--titles", type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A file with one title or number a line, such as a concert program.",
)  # fmt: skip
@click.option(
    "--withdraw", is_flag=True, help="Take back what was entered so, on whatever day if none is given."
)
@sure_option
@ensemble_option
@format_option
@home_option
@click.pass_obj
def met(
    session: Session,
    pieces: tuple[str, ...],
    how: str,
    on: str | None,
    section: str | None,
    player: str | None,
    titles: Path | None,
    withdraw: bool,
    sure: bool,
    ensemble_name: str | None,
    form: str,
) -> None:
    """Note that a group or a player has met PIECES (titles or numbers), withdraw that, or list it all."""
    if not pieces and titles is None:
        with session.tools.work() as work:
            _list(work, pick_ensemble(work, ensemble_name), form)
        return
    day = parse_date(on) if on else None
    with changing(session.tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        pattern = Exposure(
            ensemble.id, 0, cast(ExposureKind, how), day,
            pick_section(ensemble, section) if section else None,
            person=person_named(work, ensemble.id, player) if player else None,
        )  # fmt: skip
        wanted = [_of_piece(pattern, pick_piece(work, name).id) for name in pieces]
        if titles is not None:
            wanted += chosen_exposures(read_titles(work, _text_of(titles)), pattern)
        if withdraw:
            gone = withdraw_exposures(work, _entered(work, wanted, day), by=session.author())
            outcome = withdrawn_text(len(gone))
        else:
            done = record_exposures(
                work, wanted, by=session.author(), today=session.tools.today(), answers=answers_of(sure)
            )
            outcome = noted_text(len(done.new), len(done.known))
        names = work.pieces.titles([each.piece_id for each in wanted])
    out.print(outcome, markup=False)
    if not withdraw:
        whom = player or section or ensemble.name
        for name in names.values():
            out.print(f"{name} is no longer fresh for {whom}.", markup=False)


def _of_piece(pattern: Exposure, piece_id: int) -> Exposure:
    return Exposure(
        pattern.ensemble_id, piece_id, pattern.how, pattern.on, pattern.section_id, person=pattern.person
    )


def _entered(work: UnitOfWork, wanted: Sequence[Exposure], day: date | None) -> list[int]:
    """What is stored like what is asked for, of any day where none is given.

    Raises:
        NotFoundError: If nothing is.
    """
    there = work.ensembles.exposures(wanted[0].ensemble_id)
    found = []
    for one in wanted:
        alike = [
            each.id for each in there
            if (each.piece_id, each.how, each.section_id, each.person)
            == (one.piece_id, one.how, one.section_id, one.person)
            and day in (None, each.on)
        ]  # fmt: skip
        if not alike:
            title = work.pieces.get(one.piece_id).title
            raise NotFoundError("entry", f"that “{title}” was {one.how}", hint="List them: planner met.")
        found += alike
    return found


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            f"{path.name} cannot be read as a list of titles.", hint="Save it as text."
        ) from error


def _list(work: UnitOfWork, ensemble: Ensemble, form: str) -> None:
    found = list_exposures(work, ensemble.id)
    titles = work.pieces.titles({each.piece_id for each in found})
    people = work.ensembles.people()
    if form == "json":
        rows = [
            {
                "piece": each.piece_id, "title": titles.get(each.piece_id, ""), "how": each.how,
                "on": each.on, "section": each.section_id, "player": people.get(each.person or 0),
                "note": each.note,
            }
            for each in found
        ]  # fmt: skip
        print_json({"format": "met", "version": 1, "ensemble": ensemble.name, "met": rows})
        return
    sheet = new_table(("Piece", "Who", "How", "When"), title=f"What {ensemble.name} has met")
    for each in found:
        who = group_name(each, [ensemble], people)
        sheet.add_row(
            titles.get(each.piece_id, ""), who, each.how, full_date(each.on) if each.on else "not known"
        )
    out.print(sheet)


COMMANDS = (met,)
