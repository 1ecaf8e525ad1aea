"""Commands about sections: shown with their levels, set up, changed, taken out, and where they start."""

import csv
import io
from collections.abc import Mapping
from pathlib import Path

import click

from planner.adapters.cli.context import (
    NUMBER,
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
from planner.adapters.cli.people.history import history
from planner.core.change import Author
from planner.core.ensemble import Ensemble, StartBasis, StartKind, basis_values
from planner.core.instruments import get_instrument
from planner.core.text import folded
from planner.errors import EntriesError, InputError
from planner.levels.history import LevelTrace
from planner.services.changes.records import Means
from planner.services.entered.numbers import number_in
from planner.services.entered.shares import read_bars
from planner.services.entered.words import short
from planner.services.levels.section_levels import section_evidence
from planner.services.people.lists.sections_table import SectionEntry, take_table
from planner.services.people.roster import add_ensemble, remove_section
from planner.services.people.sections_from_score import add_sections_from_piece
from planner.services.people.starts import set_start, take_back_start
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import changing
from planner.wording.director.sections import misfit_notes, range_text, start_in_sentence, start_text

_COLUMNS = ("name", "instrument", "chair", "players", "level")


@click.group(invoke_without_command=True)
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
@click.pass_context
def sections(
    context: click.Context,
    ensemble_name: str | None,
    is_new: bool,
    kind: str,
    from_piece: str | None,
    level: float,
    table: Path | None,
    form: str,
) -> None:
    """Show an ensemble's sections, or set them up."""
    if context.invoked_subcommand is not None:
        return
    session: Session = context.obj
    open_work, today = session.tools.work, session.tools.today()
    with changing(open_work) if is_new or from_piece or table else open_work() as work:
        if is_new:
            add_ensemble(work, ensemble_name or "", kind, by=session.author())
        ensemble = pick_ensemble(work, ensemble_name)
        if from_piece:
            add_sections_from_piece(
                work, ensemble.id, pick_piece(work, from_piece).id, level=level, by=session.author()
            )
        if table is not None:
            _take_table(work, work.ensembles.get(ensemble.id), table, session.author())
        ensemble = work.ensembles.get(ensemble.id)
        evidence = section_evidence(work, ensemble, today=today)
    traces = {i: each.trace for i, each in evidence.items()}
    if form == "json":
        rows = _rows(ensemble, traces)
        print_json({"format": "sections", "version": 1, "ensemble": ensemble.name, "sections": rows})
    else:
        _print_sections(ensemble, traces)


def _rows(ensemble: Ensemble, traces: Mapping[int, LevelTrace]) -> list[dict[str, object]]:
    return [
        {
            "name": s.name,
            "instrument": s.instrument,
            "chair": s.chair,
            "players": s.size,
            "level": round(s.level, 2),
            "level_error": s.level_error,
            "low": round(trace.now.low, 2),
            "high": round(trace.now.high, 2),
            "start": {
                "level": round(trace.start.level, 2),
                "on": s.start_on,
                "basis": basis_values(s.start_basis),
            },
            "unexpected": trace.misfit.kind if trace.misfit else None,
        }
        for s, trace in ((s, traces[s.id]) for s in ensemble.sections)
    ]


def _print_sections(ensemble: Ensemble, traces: Mapping[int, LevelTrace]) -> None:
    sheet = new_table(("Section", "Instrument", "Players", "Level", "Between", "Starts"), title=ensemble.name)
    for s in ensemble.sections:
        between, start = range_text(traces[s.id].now), start_text(s.start_basis)
        instrument = get_instrument(s.instrument).name
        sheet.add_row(s.name, instrument, str(s.size), f"{s.level:.1f}", between, start)
    out.print(sheet)
    out.print("Between: nineteen times in twenty the section's true level lies there.")
    misfits = {s.name: traces[s.id].misfit for s in ensemble.sections}
    read = sum(bool(trace.days) for trace in traces.values())
    for note in misfit_notes({name: one for name, one in misfits.items() if one}, read):
        out.print(note, markup=False)


@sections.command()
@click.argument("section")
@click.option("--years", type=NUMBER, help="Years its players have played, on the average.")
@click.option("--last-year", is_flag=True, help="From its results of before this term, carried over summer.")
@click.option("--last-level", type=NUMBER, help="Its level at the end of last year.")
@click.option("--weeks", type=NUMBER, help="Weeks since last year's level (default 10).")
@click.option("--placement", help="LEVEL,BARS: a reading of a part of that level, bars right of 100.")
@click.option("--level", type=NUMBER, help="Your own number: what was read before is in it.")
@click.option("--take-back", is_flag=True, help="Take the last change of its start back.")
@sure_option
@ensemble_option
@home_option
@click.pass_obj
def start(
    session: Session,
    section: str,
    years: float | None,
    last_year: bool,
    last_level: float | None,
    weeks: float | None,
    placement: str | None,
    level: float | None,
    take_back: bool,
    sure: bool,
    ensemble_name: str | None,
) -> None:
    """Say where a SECTION's level starts: years of playing, last year, a placement reading, your number."""
    given = [
        years is not None, last_year or last_level is not None, placement is not None, level is not None,
        take_back,
    ]  # fmt: skip
    if sum(given) != 1:
        raise InputError(
            "Say where the level starts, in one way: --years, --last-year (or --last-level), --placement, "
            "--level, or --take-back."
        )
    if years is not None:
        basis = StartBasis(StartKind.YEARS, years=years)
    elif placement is not None:
        basis = _placement(placement)
    elif level is not None:
        basis = StartBasis(StartKind.WORD, level=level)
    else:
        basis = StartBasis(StartKind.LAST_YEAR, level=last_level, weeks=weeks)
    tools, by = session.tools, session.author()
    with changing(tools.work) as work:
        section_id = pick_section(pick_ensemble(work, ensemble_name), section)
        if take_back:
            found = take_back_start(work, section_id, by, Means(tools.files, tools.studies))
        else:
            found = set_start(work, section_id, basis, today=tools.today(), by=by, answers=answers_of(sure))
    out.print(f"{found.name} starts {start_in_sentence(found.start_basis)}.", markup=False)
    out.print(f"It stands at level {found.level:.1f}.", markup=False)


def _placement(text: str) -> StartBasis:
    level, _, bars = text.partition(",")
    read = number_in(level)
    if read is None:
        raise InputError(
            f"“{short(text)}” is not a placement reading; write level and bars right of 100, as “2.5,80”."
        )
    return StartBasis(StartKind.PLACEMENT, level=read, share=read_bars("The placement", bars))


def _take_table(work: UnitOfWork, ensemble: Ensemble, path: Path, by: Author) -> None:
    """Add or change sections from a table; cells that are not in it stay as they are."""
    have = {folded(section.name): section.id for section in ensemble.sections}
    rows = _read_rows(path)
    entries = [SectionEntry(have.get(folded(row["name"]), 0), row, {}) for row in rows]
    try:
        take_table(work, ensemble.id, entries, by=by)
    except EntriesError as error:
        wrong = [f"Row {int(key.split()[0]) + 2}: {sentence}" for key, sentence in error.faults.items()]
        raise InputError(" ".join(dict.fromkeys(wrong))) from error


def _read_rows(path: Path) -> list[dict[str, str]]:
    """The rows of a table, by the fields of a section.

    Raises:
        InputError: If it cannot be read, or lacks a column.
    """
    try:
        rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise InputError(f"{path.name} cannot be read as a table: {error}.") from error
    missing = [name for name in _COLUMNS if not rows or name not in rows[0]]
    if missing:
        raise InputError(f"{path.name} lacks the columns {', '.join(missing)}.")
    names = {"players": "size"}
    return [{names.get(name, name): (row[name] or "").strip() for name in _COLUMNS} for row in rows]


@sections.command()
@click.argument("section")
@click.option("--name", help="Another name.")
@click.option("--instrument", help="What it plays, as you say it.")
@click.option("--chair", help="Which of several parts of the instrument it reads.")
@click.option("--players", "size", help="How many play in it.")
@click.option("--level", help="Its reading level, 0.5 to 6: your word from now on.")
@ensemble_option
@home_option
@click.pass_obj
def change(session: Session, /, section: str, ensemble_name: str | None, **typed: str | None) -> None:
    """Change a SECTION: its name, its instrument, its chair, its size, its level."""
    values = {field: text for field, text in typed.items() if text is not None}
    if not values:
        raise InputError("Say what to change, such as --name or --level.")
    with changing(session.tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        section_id = pick_section(ensemble, section)
        take_table(work, ensemble.id, [SectionEntry(section_id, values, {})], by=session.author())
        found = next(each for each in work.ensembles.get(ensemble.id).sections if each.id == section_id)
    instrument = get_instrument(found.instrument).name
    out.print(
        f"{found.name}: {instrument}, chair {found.chair}, players {found.size}, level {found.level:.1f}.",
        markup=False,
    )


@sections.command()
@click.argument("section")
@ensemble_option
@home_option
@click.pass_obj
def remove(session: Session, section: str, ensemble_name: str | None) -> None:
    """Take a SECTION out that has neither results nor entries of what it has met."""
    with changing(session.tools.work) as work:
        section_id = pick_section(pick_ensemble(work, ensemble_name), section)
        gone = remove_section(work, section_id, by=session.author())
    out.print(f"{gone.name} is gone. Have it back: planner changes undo NUMBER.", markup=False)


sections.add_command(history)
COMMANDS = (sections,)
