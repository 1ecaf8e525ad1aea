"""Commands about scores: add them, correct what the catalogue says of one, study one without storing it."""

from collections.abc import Callable
from pathlib import Path

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    notes,
    out,
    pick_piece,
    print_json,
    progress_bar,
)
from planner.core.catalogue import CATALOGUE, catalogue_of
from planner.services.library.catalogue import correct_piece
from planner.services.library.import_scores import ImportReport, import_paths
from planner.services.library.typed import read_values
from planner.services.toolbox import changing
from planner.wording.director.catalogue import WORDS, catalogue_lines
from planner.wording.director.matching import for_whom_note


@click.command()
@click.argument("paths", nargs=-1, required=True, type=click.Path(exists=True, path_type=Path))
@click.option("--as-one", is_flag=True, help="Keep a file of several movements or tunes as one piece.")
@format_option
@home_option
@click.pass_obj
def add(session: Session, paths: tuple[Path, ...], as_one: bool, form: str) -> int:
    """Read and study score files or whole folders into the library.

    Each movement or tune of a file becomes a piece of its own. Unchanged files are skipped. A file that
    cannot be read is named with the reason, and the others still go in; the exit code is then 2.
    """
    tools = session.tools
    with progress_bar() as bar:
        task = bar.add_task("Reading scores", total=None, what="")
        report = import_paths(
            paths,
            source=tools.studies,
            files=tools.files,
            open_work=tools.work,
            today=tools.today(),
            progress=lambda done, total, what: bar.update(task, completed=done, total=total, what=what),
            as_one=as_one,
        )
    if form == "json":
        print_json(_report_as_json(report))
    else:
        for piece in report.added:
            level = f"level {piece.level:.1f}" if piece.level is not None else "level not known"
            out.print(f"{piece.title} ({level})", markup=False)
        for piece in report.replaced:
            out.print(f"{piece.title}: read again from its changed file", markup=False)
        for refusal in report.refused:
            notes.print(refusal.sentence, markup=False)
        if report.added:
            out.print(for_whom_note(""), markup=False)
        renewed = len(report.replaced) + len(report.studied_again)
        new = f"{len(report.added)} new" + (f", {renewed} studied again" if renewed else "")
        out.print(f"{new}, {len(report.unchanged)} unchanged, {len(report.refused)} refused.")
    return 2 if report.refused else 0


def _report_as_json(report: ImportReport) -> dict[str, object]:
    return {
        "format": "import-report",
        "version": 1,
        "added": [
            {"id": p.id, "title": p.title, "level": p.level, "file": p.source.name} for p in report.added
        ],
        "studied_again": [
            {"id": p.id, "title": p.title, "level": p.level, "file": p.source.name}
            for p in (*report.replaced, *report.studied_again)
        ],
        "unchanged": [str(path) for path in report.unchanged],
        "refused": [{"file": str(r.path), "sentence": r.sentence} for r in report.refused],
    }


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
