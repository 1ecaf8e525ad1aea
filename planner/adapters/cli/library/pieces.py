"""Commands about scores: add them, correct what the catalogue says of one, study one without storing it."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_piece,
    print_json,
)
from planner.adapters.cli.jobs import do_in_foreground, exit_code_of_job, print_outcome
from planner.core.catalogue import CATALOGUE, catalogue_of
from planner.core.job import Job
from planner.core.piece import Piece
from planner.core.text import shown
from planner.services.imports.import_job import IMPORT, Brought, brought_by, import_job, start_import
from planner.services.imports.import_scores import ImportReport
from planner.services.jobs.kinds import KINDS
from planner.services.library.catalogue import correct_piece
from planner.services.library.typed import read_values
from planner.services.toolbox import changing
from planner.wording.director.catalogue import WORDS, catalogue_lines
from planner.wording.director.jobs import refusal_sentence
from planner.wording.director.matching import for_whom_note


@click.command()
@click.argument("paths", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--as-one", is_flag=True, help="Keep a file of several movements or tunes as one piece.")
@click.option(
    "--cluster", metavar="ADDRESS", help="Let a cluster study the files: the address of its Dask scheduler."
)
@format_option
@home_option
@click.pass_obj
def add(session: Session, paths: tuple[Path, ...], as_one: bool, cluster: str | None, form: str) -> int:
    """Read and study score files, folders and zips of them into the library.

    Each movement or tune of a file becomes a piece of its own. Unchanged files are skipped. A file that
    cannot be read is named with the reason, and the others still go in; the exit code is then 2.
    Ctrl-C stops; what is finished is kept, and the same command goes on. To take a whole import back:
    planner changes undo.
    """
    tools = session.tools
    if cluster is not None:
        tools.studies_on(cluster)
    with changing(tools.work) as work:
        job = start_import(work, paths, session.author(), as_one=as_one, cluster=cluster or "")
    reports: list[ImportReport] = []
    job = do_in_foreground(session, job, {**KINDS, IMPORT: partial(import_job, report=reports.append)})
    with tools.work() as work:
        brought = brought_by(work, job.id)
    if form == "json":
        print_json(_report_as_json(job, brought, reports))
        return exit_code_of_job(job)
    for piece in brought.added:
        level = f"level {piece.level:.1f}" if piece.level is not None else "level not known"
        out.print(f"{shown(piece.title)} ({level})", markup=False)
    for piece in brought.replaced:
        out.print(f"{shown(piece.title)}: read again from its changed file", markup=False)
    if brought.added:
        out.print(for_whom_note(""), markup=False)
    return print_outcome(job)


def _report_as_json(job: Job, brought: Brought, reports: Sequence[ImportReport]) -> dict[str, object]:
    """What came of an import; files that were there already are named by the command that looked at them."""
    return {
        "format": "import-report",
        "version": 1,
        "job": job.id,
        "state": job.state,
        "counts": dict(job.result),
        "added": [_piece_as_json(piece) for piece in brought.added],
        "studied_again": [_piece_as_json(piece) for piece in (*brought.replaced, *brought.studied_again)],
        "unchanged": [shown(str(path)) for report in reports for path in report.unchanged],
        "refused": [
            {"file": each.name, "kind": each.slug, "sentence": refusal_sentence(each, job.kind)}
            for each in job.refusals
        ],
    }


def _piece_as_json(piece: Piece) -> dict[str, object]:
    return {"id": piece.id, "title": piece.title, "level": piece.level, "file": piece.source.name}


def catalogue_options(command: Callable[..., int]) -> Callable[..., int]:
    """An option for each field of the catalogue; what was not given is None."""
    for field in reversed(CATALOGUE):
        option = "--" + field.name.replace("_", "-")
        command = click.option(option, field.name, help=WORDS[field.name].help)(command)
    return command


@click.command()
@click.argument("piece")
@catalogue_options
@format_option
@home_option
@click.pass_obj
def correct(session: Session, /, piece: str, form: str, **typed: str | None) -> int:
    """Correct what the catalog says of a piece: its title, its composer, its tags and so on.

    PIECE is a title or a number. An empty text empties a field. Without an option nothing is changed;
    the catalog of the piece is printed either way. To take a correction back: planner changes.
    """
    given = {name: text for name, text in typed.items() if text is not None}
    with changing(session.tools.work) as work:
        found = pick_piece(work, piece)
        if given:
            found = correct_piece(work, found.id, read_values(given), session.author())
    if form == "json":
        print_json({"format": "piece-catalogue", "version": 1, "id": found.id, **catalogue_of(found)})
        return 0
    width = max(len(field.label) for field in WORDS.values())
    for line in catalogue_lines(found):
        if line.text:
            out.print(f"{line.label:<{width}}  {line.text}", markup=False)
    return 0


COMMANDS = (add, correct)
