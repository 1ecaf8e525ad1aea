"""Commands about people: sections with their levels, and who has met which piece."""

import csv
import io
from dataclasses import replace
from pathlib import Path

import click
from rich.table import Table

from planner.adapters.cli.context import (
    Session,
    ensemble_option,
    format_option,
    home_option,
    out,
    pick_ensemble,
    pick_piece,
    print_json,
)
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.instruments import get_instrument, recognise
from planner.errors import InputError, NotFoundError
from planner.services.people.roster import (
    EXPOSURE_KINDS,
    add_ensemble,
    add_section,
    change_section,
    record_exposure,
)
from planner.services.people.sections_from_score import add_sections_from_piece
from planner.services.ports import UnitOfWork
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing

_COLUMNS = ("name", "instrument", "chair", "players", "level")


@click.command()
@ensemble_option
@click.option("--new", "is_new", is_flag=True, help="Begin the ensemble named with --ensemble.")
@click.option("--kind", default="band", show_default=True, help="Kind of a new ensemble.")
@click.option("--from-piece", help="Add a section for each part of this piece (title or number).")
@click.option("--level", default=2.0, show_default=True, help="Level of sections made from a piece.")
@click.option(
    "--file", "table", type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Add or change sections from a CSV file with the columns name, instrument, chair, players, level.",
)  # fmt: skip
@format_option
@home_option
@click.pass_obj
def sections(
    session: Session,
    ensemble_name: str | None,
    is_new: bool,
    kind: str,
    from_piece: str | None,
    level: float,
    table: Path | None,
    form: str,
) -> None:
    """Show an ensemble's sections, or set them up."""
    open_work = session.tools.work
    with changing(open_work) if is_new or from_piece or table else open_work() as work:
        if is_new:
            add_ensemble(work, ensemble_name or "", kind)
        ensemble = pick_ensemble(work, ensemble_name)
        if from_piece:
            add_sections_from_piece(work, ensemble.id, pick_piece(work, from_piece).id, level=level)
        if table is not None:
            _take_table(work, work.ensembles.get(ensemble.id), table)
        ensemble = work.ensembles.get(ensemble.id)
    if form == "json":
        print_json(
            {"format": "sections", "version": 1, "ensemble": ensemble.name, "sections": _rows(ensemble)}
        )
    else:
        _print_sections(ensemble)


def _rows(ensemble: Ensemble) -> list[dict[str, object]]:
    return [
        {
            "name": s.name,
            "instrument": s.instrument,
            "chair": s.chair,
            "players": s.size,
            "level": round(s.level, 2),
            "level_error": s.level_error,
        }
        for s in ensemble.sections
    ]


def _print_sections(ensemble: Ensemble) -> None:
    sheet = Table(title=ensemble.name, title_justify="left", box=None, pad_edge=False)
    for heading in ("Section", "Instrument", "Players", "Level", "Error"):
        sheet.add_column(heading)
    for s in ensemble.sections:
        sure = f"± {s.level_error:.1f}" if s.level_error is not None else "your word"
        sheet.add_row(s.name, get_instrument(s.instrument).name, str(s.size), f"{s.level:.1f}", sure)
    out.print(sheet)


def _take_table(work: UnitOfWork, ensemble: Ensemble, path: Path) -> None:
    """Add or change sections from a table."""
    have = {section.name: section for section in ensemble.sections}
    wanted = [_section_of(row, number, have) for number, row in enumerate(_read_rows(path), start=2)]
    for section in wanted:
        if section.id:
            change_section(work, section)
        else:
            add_section(work, ensemble.id, section)


def _read_rows(path: Path) -> list[dict[str, str]]:
    try:
        rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path.name} cannot be read as a table: {error}.") from error
    missing = [name for name in _COLUMNS if not rows or name not in rows[0]]
    if missing:
        raise InputError(f"{path.name} lacks the columns {', '.join(missing)}.")
    return rows


def _section_of(row: dict[str, str], number: int, have: dict[str, Section]) -> Section:
    name = row["name"].strip()
    known = have.get(name, Section(0, name, ""))
    try:
        instrument = get_instrument(row["instrument"].strip()).id
    except KeyError:
        instrument = recognise(row["instrument"]).instrument
    if not instrument:
        raise InputError(f"Row {number}: the planner knows no instrument “{row['instrument']}”.")
    try:
        return replace(
            known,
            instrument=instrument,
            chair=int(row["chair"] or 1),
            size=int(row["players"] or 1),
            level=float(row["level"]),
            level_error=None,
        )
    except ValueError as error:
        raise InputError(f"Row {number}: chair, players and level must be numbers ({error}).") from error


@click.command()
@click.argument("piece")
@click.option("--how", type=click.Choice(EXPOSURE_KINDS), default="performed", show_default=True)
@click.option("--on", help="When, as 2026-09-01; empty when not known.")
@click.option("--section", help="Only this section; without it, everyone.")
@ensemble_option
@home_option
@click.pass_obj
def met(
    session: Session, piece: str, how: str, on: str | None, section: str | None, ensemble_name: str | None
) -> None:
    """Note that the ensemble, or one section, has met PIECE (title or number): it is no longer fresh."""
    day = parse_date(on) if on else None
    with changing(session.tools.work) as work:
        ensemble, found = pick_ensemble(work, ensemble_name), pick_piece(work, piece)
        section_id = _section_id(ensemble, section) if section else None
        record_exposure(work, Exposure(ensemble.id, found.id, how, day, section_id))  # type: ignore[arg-type]
    out.print(f"{found.title} is no longer fresh for {section or ensemble.name}.", markup=False)


def _section_id(ensemble: Ensemble, name: str) -> int:
    for section in ensemble.sections:
        if section.name.casefold() == name.casefold():
            return section.id
    raise NotFoundError("section", f"“{name}” in {ensemble.name}")


COMMANDS = (sections, met)
