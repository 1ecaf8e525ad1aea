"""Commands about the catalog as a whole: lists taken in and given out, pieces that exist on paper."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    notes,
    out,
    pick_piece,
    print_json,
)
from planner.adapters.cli.library.pieces import catalogue_options
from planner.core.catalogue import catalogue_of
from planner.core.table import Table, TableChoice, column_letters
from planner.core.text import shown
from planner.errors import InputError
from planner.services.catalogue.columns import LABELS, Columns, guess_columns, with_columns
from planner.services.catalogue.give_out import give_out_catalogue
from planner.services.catalogue.join import join_score
from planner.services.catalogue.preview import CellRefusal, Preview, RowChange, preview
from planner.services.catalogue.store import enter_piece, store_rows
from planner.services.finding.edit_many import SETTABLE, EditPreview, ManyEdit, edit_many, look_at_edit
from planner.services.finding.find import find_ids
from planner.services.finding.lists import list_named
from planner.services.finding.query import read_query
from planner.services.library.typed import read_values
from planner.services.toolbox import changing
from planner.wording.director.catalogue import WORDS, catalogue_lines
from planner.wording.director.catalogue_file import counts_sentence
from planner.wording.director.edit_many import outcome_words
from planner.wording.director.on_paper import lacks_note

MOST_SHOWN = 20
"""Rows of each kind that are printed one by one; more are counted (house choice). JSON holds all."""
_SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t", "pipe": "|"}


@click.group()
@home_option
def catalog() -> None:
    """Take your own list of pieces in, give the library out as one, enter a piece that is only on paper."""


def _file_options(command: Callable[..., int]) -> Callable[..., int]:
    """How a list is read, where the program does not find it out by itself."""
    for option in reversed((
        click.option(
            "--column", "columns", multiple=True, metavar="FIELD=LETTER",
            help='Which column holds a field, such as "title=B"; "title=" leaves it out. Again for more.',
        ),
        click.option("--headings", type=click.IntRange(0, 10**6), help="Row of the headings; 0 for none."),
        click.option("--sheet", default="", help="Sheet of a workbook (default: the first)."),
        click.option("--encoding", default="", help="Of a text file, such as cp1252 or mac_roman."),
        click.option("--separator", default="", help="Of a text file: comma, semicolon, tab, pipe."),
        click.option("--empty-too", is_flag=True, help="An empty cell empties its field."),
    )):  # fmt: skip
        command = option(command)
    return command


@catalog.command("look")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@_file_options
@format_option
@home_option
@click.pass_obj
def look(session: Session, /, file: Path, form: str, **options: Any) -> int:
    """Show what taking FILE in would do: which columns hold what, and new, changed and refused rows."""
    table, columns = _read(session, file, options)
    with session.tools.work() as work:
        found = preview(work, table, columns, empties_too=options["empty_too"])
    if form == "json":
        print_json(_preview_as_json(table, columns, found))
    else:
        _print_columns(table, columns)
        _print_preview(found)
    return 2 if found.refused else 0


@catalog.command("take-in")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@_file_options
@format_option
@home_option
@click.pass_obj
def take_in(session: Session, /, file: Path, form: str, **options: Any) -> int:
    """Store the rows of FILE that can be stored, all together; one undo takes all of them back.

    FILE is a workbook (.xlsx) or a text file (.csv). The exit code is 2 when a row was refused.
    """
    table, columns = _read(session, file, options)
    with changing(session.tools.work) as work:
        found = preview(work, table, columns, empties_too=options["empty_too"])
        stored = store_rows(work, found, file.name, session.author(), session.tools.today())
    if form == "json":
        print_json(_preview_as_json(table, columns, found) | {"change": stored.change_id})
    else:
        _print_preview(found)
        if stored.change_id is not None:
            out.print(f"Stored. To take it back: planner changes undo {stored.change_id}", markup=False)
    return 2 if found.refused else 0


@catalog.command("give-out")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--replace", is_flag=True, help="Write over a file of that name.")
@format_option
@home_option
@click.pass_obj
def give_out(session: Session, file: Path, replace: bool, form: str) -> None:
    """Write the catalog of the library to FILE, a workbook (.xlsx) or a text file (.csv)."""
    if file.exists() and not replace:
        raise InputError(f"{file} is there already.", hint="Choose another name, or say --replace.")
    with session.tools.work() as work:
        path = give_out_catalogue(work, session.tools.table_writers, file)
    if form == "json":
        print_json({"format": "files", "version": 1, "files": [str(path)]})
    else:
        out.print(f"Wrote {path}", markup=False)


@catalog.command("enter")
@catalogue_options
@format_option
@home_option
@click.pass_obj
def enter(session: Session, /, form: str, **typed: str | None) -> int:
    """Enter a piece that exists on paper only; --title is needed."""
    given = {name: text for name, text in typed.items() if text is not None}
    with changing(session.tools.work) as work:
        piece = enter_piece(work, read_values(given), session.author(), session.tools.today())
    if form == "json":
        print_json({"format": "piece-catalogue", "version": 1, "id": piece.id, **catalogue_of(piece)})
        return 0
    out.print(f"Entered as number {piece.id}.", markup=False)
    width = max(len(label) for label in LABELS.values())
    for line in catalogue_lines(piece):
        if line.text:
            out.print(f"{line.label:<{width}}  {line.text}", markup=False)
    if lacks_note(piece):
        notes.print(lacks_note(piece), markup=False)
    return 0


@catalog.command("edit")
@click.argument("pieces", nargs=-1)
@click.option("--list", "list_name", help="The pieces of this list as well.")
@click.option("--found", metavar="WORDS", help="The pieces that a search for WORDS finds as well.")
@click.option("--add-tags", default="", help="Tags to add, with commas between them.")
@click.option("--take-tags", default="", help="Tags to take away.")
@click.option("--set-tags", default="", help="Tags in place of those they have.")
@click.option("--shelf", default="", help=WORDS["shelf"].help)
@click.option("--rights", default="", help=WORDS["rights"].help)
@click.option("--rights-reason", default="", help=WORDS["rights_reason"].help)
@click.option("--remarks", default="", help="Remarks in place of those they have.")
@click.option("--add-remark", default="", help="A line below the remarks they have.")
@click.option("--copies", default="", help="Copies of every part.")
@click.option("--look", is_flag=True, help="Show what would change, and store nothing.")
@format_option
@home_option
@click.pass_obj
def edit(
    session: Session,
    /,
    pieces: tuple[str, ...],
    list_name: str | None,
    found: str | None,
    look: bool,
    form: str,
    **typed: str,
) -> int:
    """Change many PIECES (titles or numbers) at once; one undo takes all of it back.

    A single hyphen empties a field. A piece that cannot be changed so is named with the reason; the exit code
    is then 2.
    """
    asked = ManyEdit(
        values={name: typed[name] for name in SETTABLE},
        **{name: text for name, text in typed.items() if name not in SETTABLE},
    )
    change = None
    with changing(session.tools.work) as work:
        ids = [pick_piece(work, piece).id for piece in pieces]
        for given in ({"list": list_name}, {"text": found}):
            ((name, text),) = given.items()
            if text:
                value = str(list_named(work, text).id) if name == "list" else text
                ids += find_ids(work, read_query({name: value}, (), None), session.tools.today())
        if look:
            seen = look_at_edit(work, ids, asked)
        else:
            seen, change = edit_many(work, ids, asked, by=session.author())
    if form == "json":
        print_json(_edit_as_json(seen, change))
        return 2 if seen.refused else 0
    for one in seen.changed[:MOST_SHOWN]:
        for new in one.changes:
            before, after = (text or "empty" for text in (new.before, new.after))
            out.print(
                f"{shown(one.piece.title)}: {LABELS[new.name].lower()} {before} → {after}", markup=False
            )
    for refused in seen.refused:
        notes.print(f"{shown(refused.piece.title)}: {refused.sentence}", markup=False)
    counts = (len(seen.changed), seen.unchanged, len(seen.refused))
    out.print(outcome_words(*counts, is_done=not look), markup=False)
    if change is not None:
        out.print(f"To take it back: planner changes undo {change}", markup=False)
    return 2 if seen.refused else 0


def _edit_as_json(seen: EditPreview, change: int | None) -> dict[str, object]:
    return {
        "format": "pieces-edited", "version": 1, "change": change, "unchanged": seen.unchanged,
        "changed": [
            {"id": one.piece.id, "title": one.piece.title,
             "values": {v.name: {"before": v.before, "after": v.after} for v in one.changes}}
            for one in seen.changed
        ],
        "refused": [
            {"id": one.piece.id, "title": one.piece.title, "sentence": one.sentence} for one in seen.refused
        ],
    }  # fmt: skip


@catalog.command("join")
@click.argument("piece")
@click.argument("score")
@home_option
@click.pass_obj
def join(session: Session, piece: str, score: str) -> None:
    """Give PIECE, which is on paper, the score that was added as SCORE; its results and plan places stay."""
    with changing(session.tools.work) as work:
        joined = join_score(work, pick_piece(work, piece).id, pick_piece(work, score).id, by=session.author())
    out.print(f"“{joined.title}” has its score now: {joined.source.name}.", markup=False)


def _read(session: Session, file: Path, options: dict[str, Any]) -> tuple[Table, Columns]:
    separator = _SEPARATORS.get(options["separator"].lower(), options["separator"])
    table = session.tools.tables.read(file, TableChoice(options["sheet"], options["encoding"], separator))
    return table, with_columns(
        guess_columns(table, options["headings"]), dict(map(_column, options["columns"]))
    )


def _column(text: str) -> tuple[str, str]:
    target, equals, letters = text.partition("=")
    if not equals:
        raise InputError(f"“{text}” names no column; write it as “title=B”.")
    return target.strip().replace("-", "_"), letters.strip()


def _print_columns(table: Table, columns: Columns) -> None:
    heading = next((row for row in table.rows if row.number == columns.heading_row), None)
    for at, target in enumerate(columns.targets):
        words = heading.cell(at).text.strip() if heading else ""
        holds = LABELS[target] if target else "left out"
        out.print(f"{column_letters(at):<3} {words[:40]:<40}  {holds}", markup=False)
    out.print("")


def _print_preview(found: Preview) -> None:
    _print_rows("New", found.new)
    _print_rows("Changed", found.changed)
    _print_refusals("Refused", found.refused)
    _print_refusals("Left out of their rows", found.left_out)
    out.print(
        counts_sentence(len(found.new), len(found.changed), found.unchanged, len(found.refused)), markup=False
    )


def _print_rows(heading: str, rows: Sequence[RowChange]) -> None:
    for row in rows[:MOST_SHOWN]:
        cells = "; ".join(
            f"{cell.address} {LABELS[cell.name].lower()} “{_flat(cell.after)}”"
            + (f" (was “{_flat(cell.before)}”)" if cell.before else "")
            for cell in row.cells
        )
        out.print(f"{heading}: {row.title}: {cells}", markup=False)
    if len(rows) > MOST_SHOWN:
        out.print(f"{heading}: {len(rows) - MOST_SHOWN} more", markup=False)


def _print_refusals(heading: str, refusals: Sequence[CellRefusal]) -> None:
    for refusal in refusals[:MOST_SHOWN]:
        notes.print(f"{heading}: {refusal.address}: {refusal.sentence}", markup=False)
    if len(refusals) > MOST_SHOWN:
        notes.print(f"{heading}: {len(refusals) - MOST_SHOWN} more", markup=False)


def _flat(text: str, most: int = 60) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= most else f"{flat[: most - 1]}…"


def _preview_as_json(table: Table, columns: Columns, found: Preview) -> dict[str, Any]:
    def row_as_json(row: RowChange) -> dict[str, Any]:
        cells = [
            {"cell": cell.address, "field": cell.name, "before": cell.before, "after": cell.after}
            for cell in row.cells
        ]
        return {"row": row.row, "piece": row.piece_id or None, "title": row.title, "cells": cells}

    def refusal_as_json(refusal: CellRefusal) -> dict[str, str]:
        return {"cell": refusal.address, "sentence": refusal.sentence}

    return {
        "format": "catalog-preview",
        "version": 1,
        "read_as": {"sheet": table.choice.sheet, "encoding": table.choice.encoding,
                    "separator": table.choice.separator, "headings": columns.heading_row},
        "columns": {target: column_letters(at) for target, at in columns.places.items()},
        "new": [row_as_json(row) for row in found.new],
        "changed": [row_as_json(row) for row in found.changed],
        "unchanged": found.unchanged,
        "refused": [refusal_as_json(each) for each in found.refused],
        "left_out": [refusal_as_json(each) for each in found.left_out],
    }  # fmt: skip


COMMANDS = (catalog,)
