"""Commands for a day away from the screen: its worksheet, its tally sheet, and files that were filled in."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    answers_of,
    format_option,
    home_option,
    notes,
    out,
    pick_ensemble_and_term,
    print_json,
    print_made,
    sure_option,
    term_options,
)
from planner.core.term import Term
from planner.errors import ConflictError, OddEntryError
from planner.services.day.read_day import next_reading_day
from planner.services.day.tally import publish_tally
from planner.services.ports.work import UnitOfWork
from planner.services.read_in.compare import Comparison, EntryCell, compare, term_of_file
from planner.services.read_in.day_file import publish_day_file
from planner.services.read_in.take import Taken, take_in
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.read_in import (
    FIELD_WORDS,
    left_open_sentence,
    outcome_sentence,
    place_text,
    taken_sentence,
    value_shown,
)

look_option = click.option("--look", is_flag=True, help="Show what would change, and store nothing.")
stands_option = click.option(
    "--stands",
    type=click.Choice(["file", "library"]),
    help="Which stands where both were changed: what is in the file, or what the planner has (library).",
)
on_option = click.option("--on", help="The reading day, as 2026-09-01 (default: the next one).")


@click.command()
@on_option
@term_options
@format_option
@home_option
@click.pass_obj
def worksheet(
    session: Session, on: str | None, ensemble_name: str | None, term_name: str | None, form: str
) -> None:
    """Write the worksheet of a reading day: a workbook to fill in without network."""
    tools = session.tools
    with tools.work() as work:
        term, day = _day(session, work, on, ensemble_name, term_name)
        made = publish_day_file(work, tools.day_file_writer, term_id=term.id, on=day, exports=tools.exports)
    print_made([made], form)


@click.command()
@on_option
@term_options
@format_option
@home_option
@click.pass_obj
def tally(
    session: Session, on: str | None, ensemble_name: str | None, term_name: str | None, form: str
) -> None:
    """Print the tally sheet of a reading day: boxes to tick while the ensemble reads."""
    tools = session.tools
    with tools.work() as work:
        term, day = _day(session, work, on, ensemble_name, term_name)
        made = publish_tally(
            work, tools.tally_writer, term_id=term.id, on=day, exports=tools.exports, today=tools.today()
        )
    print_made([made], form)


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@look_option
@stands_option
@sure_option
@format_option
@home_option
@click.pass_obj
def collect(session: Session, file: Path, look: bool, stands: str | None, sure: bool, form: str) -> int:
    """Take in what was typed into FILE, a worksheet or a gradebook that this program wrote.

    Cells that nobody typed in change nothing. The exit code is 2 when a cell was refused (the others are
    taken), and 4 when a cell was changed in the planner too and --stands is not given: nothing is taken then.
    """
    return read_in_file(session, file, look=look, stands=stands or "", sure=sure, form=form)


def read_in_file(session: Session, file: Path, *, look: bool, stands: str, sure: bool, form: str) -> int:
    """Read a filled-in file in, or show what that would do; the exit code.

    Args:
        session: This run.
        file: The file.
        look: Whether to show only.
        stands: ``file`` or ``library`` for what was changed in both; empty leaves it open.
        sure: Whether what is odd is right.
        form: ``text`` or ``json``.

    Raises:
        InputError: If the file cannot be read in here.
        ConflictError: If something was changed in both, and it is left open which stands.
        OddEntryError: If something is odd, and nobody is sure.
    """
    tools = session.tools
    filled = tools.filled_in.read(file)
    with changing(tools.work) as work:
        term = term_of_file(work, filled, file.name)
        by, today = session.author(), tools.today()
        found = compare(work, filled, term, by=by, today=today)
        chosen = {cell.key: stands for cell in found.conflicts} if stands else {}
        found = compare(work, filled, term, by=by, today=today, chosen=chosen) if chosen else found
        if look:
            _print_found(found, form)
            return 2 if found.refused else 0
        if found.conflicts:
            _print_cells("Changed in both", found.conflicts)
            raise ConflictError(
                left_open_sentence(len(found.conflicts)),
                hint="Say which stands: --stands file, or --stands library.",
            )
        answers = answers_of(sure)
        if not sure and found.questions:
            raise OddEntryError(found.questions)
        taken = take_in(work, found, file.name, by=by, today=today, answers=answers)
    _print_taken(found, taken, form)
    return 2 if found.refused else 0


def _day(
    session: Session, work: UnitOfWork, on: str | None, ensemble_name: str | None, term_name: str | None
) -> tuple[Term, date]:
    today = session.tools.today()
    wanted = parse_date(on) if on else today
    _, term = pick_ensemble_and_term(work, ensemble_name, term_name, wanted)
    return term, wanted if on else next_reading_day(work, term, today)


def _print_found(found: Comparison, form: str) -> None:
    if form == "json":
        print_json(_plain(found))
        return
    _print_cells("Changed", found.changes)
    _print_cells("Changed in both", found.conflicts)
    _print_refused(found)
    for question in found.questions:
        notes.print(f"Is this right? {question.sentence}", markup=False)
    out.print(outcome_sentence(len(found.changes), len(found.conflicts), len(found.refused)), markup=False)


def _print_taken(found: Comparison, taken: Taken, form: str) -> None:
    if form == "json":
        print_json(_plain(found) | {"taken": taken.cells, "change": taken.change_id})
        return
    _print_refused(found)
    levels = [(name, each.before, each.after) for name, each in taken.levels.items()]
    out.print(taken_sentence(taken.cells, len(found.refused), levels), markup=False)
    if taken.change_id is not None:
        out.print(f"Back: planner changes undo {taken.change_id}", markup=False)


def _print_cells(heading: str, cells: Sequence[EntryCell]) -> None:
    for cell in cells:
        where = f"{cell.sheet} {cell.address}".strip()
        what = f"{place_text(cell.who, cell.what, cell.about.on)}: {FIELD_WORDS[cell.field]}"
        typed, now = value_shown(cell.field, cell.typed), value_shown(cell.field, cell.now)
        out.print(f"{heading}: {where}: {what} {typed} (the library has {now})", markup=False)


def _print_refused(found: Comparison) -> None:
    for each in found.refused:
        notes.print(f"Refused: {each.sheet} {each.address}: {each.sentence}".replace("  ", " "), markup=False)


def _plain(found: Comparison) -> dict[str, Any]:
    def cell(each: EntryCell) -> dict[str, Any]:
        return {
            "sheet": each.sheet, "cell": each.address, "who": each.who, "piece": each.what or None,
            "on": each.about.on, "field": each.field, "as_written": each.was, "in_file": each.typed,
            "in_library": each.now,
        }  # fmt: skip

    return {
        "format": "read-in", "version": 1, "ensemble": found.ensemble.name, "term": found.term.name,
        "changed": [cell(each) for each in found.changes],
        "conflicts": [cell(each) for each in found.conflicts],
        "refused": [
            {"sheet": each.sheet, "cell": each.address, "sentence": each.sentence} for each in found.refused
        ],
        "questions": [each.sentence for each in found.questions],
    }  # fmt: skip


COMMANDS = (worksheet, tally, collect)
