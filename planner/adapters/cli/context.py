"""What every command shares: the home folder, the output format, the wired toolbox, exit codes."""

import json
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from planner.adapters.cli.terminal import has_every_letter
from planner.config import Settings, load_settings
from planner.core.change import Author, Door
from planner.core.ensemble import Ensemble
from planner.core.piece import Piece, PieceQuery
from planner.core.term import Term
from planner.core.text import folded
from planner.errors import (
    BackupError,
    ClusterError,
    ConflictError,
    DamagedHomeError,
    ExportError,
    ForeignHomeError,
    HomeError,
    InfeasiblePlanError,
    InputError,
    NewerHomeError,
    NotFoundError,
    OddEntryError,
    PinFailsError,
    PlannerError,
    PlanTimeoutError,
    QuestionError,
    TooFewPiecesError,
)
from planner.services.entered.answers import NONE_YET, YES_TO_ALL, Answers
from planner.services.entered.numbers import number_in, number_of_thing, whole_in
from planner.services.entered.words import short
from planner.services.ports.files import Filed
from planner.services.ports.work import UnitOfWork
from planner.services.sheets.filing import kept_notes
from planner.services.toolbox import Toolbox

EXIT_CODES: dict[type[PlannerError], int] = {
    InputError: 2,
    HomeError: 2,
    DamagedHomeError: 12,
    ForeignHomeError: 13,
    NewerHomeError: 14,
    BackupError: 15,
    NotFoundError: 3,
    ConflictError: 4,
    InfeasiblePlanError: 5,
    PlanTimeoutError: 6,
    ExportError: 7,
    TooFewPiecesError: 9,
    PinFailsError: 10,
    ClusterError: 11,
    QuestionError: 16,
    OddEntryError: 16,
    PlannerError: 1,
}


def exit_code_of(error: PlannerError) -> int:
    """Exit code of an error, by the nearest class in the table.

    Example:
        >>> exit_code_of(PlanTimeoutError(20))
        6
    """
    return next(EXIT_CODES[kind] for kind in type(error).__mro__ if kind in EXIT_CODES)


def exit_code_of_slug(slug: str) -> int:
    """Exit code of an error that was stored by its slug; 1 for one that has none of its own.

    Example:
        >>> exit_code_of_slug("cluster")
        11
    """
    return next((code for kind, code in EXIT_CODES.items() if kind.slug == slug), 1)


@dataclass
class Session:
    """One run of the program.

    Attributes:
        build: Wires a toolbox to settings; called at most once.
        serve: Serves the pages of a toolbox until stopped, and gives the lines that say where they are.
        default_home: Home folder when none is given.
        home: Home folder given on the command line.
        debug: Show where an error arose.
        given: Settings given on the command line, by name.
    """

    build: Callable[[Settings], Toolbox]
    serve: Callable[[Toolbox, Callable[[str], None]], None]
    default_home: Path
    home: Path | None = None
    debug: bool = False
    given: dict[str, Any] = field(default_factory=dict)
    _tools: Toolbox | None = None

    @property
    def tools(self) -> Toolbox:
        """The toolbox, wired at first use."""
        if self._tools is None:
            self._tools = self.build(load_settings(self.home or self.default_home, **self.given))
        return self._tools

    def author(self) -> Author:
        """Who runs this command, and when."""
        return Author(Door.COMMAND, self.tools.now())


Command = TypeVar("Command", bound=Callable[..., Any])

out = Console(highlight=False, soft_wrap=True, markup=False, emoji=False)
notes = Console(stderr=True, highlight=False, soft_wrap=True, markup=False, emoji=False)


class _Typed(click.ParamType):  # type: ignore[type-arg]
    """A value of the command line that is read as pages read theirs."""

    def __init__(self, name: str, read: Callable[[str], float | None]) -> None:
        self.name, self._read = name, read

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number that was typed."""
        if not isinstance(value, str):
            return value
        number = self._read(value)
        if number is None:
            self.fail(f"“{short(value)}” is not a {self.name}.", param, ctx)
        return number


NUMBER, WHOLE = _Typed("number", number_in), _Typed("whole number", whole_in)
"""Kinds of values: any number, and a whole one."""


def progress_bar() -> Progress:
    """A bar on the error stream, so that piped output stays clean."""
    return Progress(
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=24),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TextColumn("{task.fields[what]}", markup=False),
        console=notes,
        transient=False,
    )


def _take_home(context: click.Context, _option: click.Parameter, value: Path | None) -> None:
    if value is not None:
        context.obj.home = value


home_option = click.option(
    "--home", type=click.Path(file_okay=False, path_type=Path), expose_value=False, callback=_take_home,
    help="Folder of the library (default: your system's place for application data).",
)  # fmt: skip
format_option = click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    help="For people, or for programs.",
)
ensemble_option = click.option(
    "--ensemble", "ensemble_name", help="Name of the ensemble (default: the only one)."
)
_term_option = click.option(
    "--term", "term_name", help="Name of the term (default: the one that holds today)."
)


def term_options(command: Command) -> Command:
    """``--ensemble`` and ``--term``: which term a command is about."""
    return ensemble_option(_term_option(command))


sure_option = click.option(
    "--sure", is_flag=True, help="Say yes to what would be asked: an odd date or number is right."
)


def answers_of(sure: bool) -> Answers:
    """What was answered with ``--sure``: everything, or nothing yet."""
    return YES_TO_ALL if sure else NONE_YET


def new_table(headings: Iterable[str], *, title: str = "") -> Table:
    """An empty table for people."""
    table = Table(title=title or None, title_justify="left", box=None, pad_edge=False)
    for heading in headings:
        table.add_column(heading)
    return table


def print_json(value: Any) -> None:
    """Print one JSON document to the output stream, exactly, without wrapping."""
    click.echo(json.dumps(value, ensure_ascii=not has_every_letter(sys.stdout), indent=2, default=str))


def print_filed(made: Sequence[Filed]) -> None:
    """Say which files were written, and which stay because somebody changed them."""
    for each in made:
        out.print(f"Wrote {each.path}", markup=False)
    for note in kept_notes(made):
        notes.print(note, markup=False)


def print_paths(paths: Sequence[Path]) -> None:
    """Give written files to programs."""
    print_json({"format": "files", "version": 1, "files": [str(path) for path in paths]})


def print_made(made: Sequence[Filed], form: str) -> None:
    """Give the files that were written, to people or to programs."""
    if form == "json":
        print_paths([each.path for each in made])
    else:
        print_filed(made)


def pick_ensemble(work: UnitOfWork, name: str | None) -> Ensemble:
    """The ensemble of that name, or the only one.

    Raises:
        NotFoundError: If there is none, or none of that name.
        InputError: If there are several and none is named.
    """
    found = list(work.ensembles.list_ensembles())
    if name is not None:
        for ensemble in found:
            if ensemble.name.casefold() == name.casefold():
                return ensemble
        raise NotFoundError("ensemble", f"“{name}”")
    if not found:
        raise NotFoundError("ensemble", "at all", hint="Make one: planner sections --help.")
    if len(found) > 1:
        names = ", ".join(f"“{e.name}”" for e in found)
        raise InputError(f"There are several ensembles ({names}); say which with --ensemble.")
    return found[0]


def pick_section(ensemble: Ensemble, name: str) -> int:
    """The section of that name, whatever the case and the accents.

    Raises:
        NotFoundError: If there is none.
    """
    for section in ensemble.sections:
        if folded(section.name) == folded(name):
            return section.id
    raise NotFoundError("section", f"“{name}” in {ensemble.name}")


def pick_term(work: UnitOfWork, ensemble: Ensemble, name: str | None, today: date) -> Term:
    """The ensemble's term of that name, or the one that holds today, else the next, else the last.

    Raises:
        NotFoundError: If there is none, or none of that name.
    """
    terms = sorted(work.terms.list_terms(ensemble.id), key=lambda term: term.first)
    if name is not None:
        terms = [term for term in terms if term.name.casefold() == name.casefold()]
    if not terms:
        hint = "Set one: planner plan --first DATE --last DATE --weekday tue."
        raise NotFoundError("term", f"“{name}”" if name else f"of {ensemble.name}", hint=hint)
    return next((term for term in terms if term.last >= today), terms[-1])


def pick_ensemble_and_term(
    work: UnitOfWork, ensemble_name: str | None, term_name: str | None, today: date
) -> tuple[Ensemble, Term]:
    """The ensemble and its term, as ``pick_ensemble`` and ``pick_term`` choose them, with their errors."""
    ensemble = pick_ensemble(work, ensemble_name)
    return ensemble, pick_term(work, ensemble, term_name, today)


def pick_piece(work: UnitOfWork, name: str) -> Piece:
    """A piece by its number or its title.

    Raises:
        NotFoundError: If there is none.
        InputError: If several have that title.
    """
    number = number_of_thing(name)
    if number is not None:
        return work.pieces.get(number)
    pieces, _ = work.pieces.list_pieces(PieceQuery(text=name, limit=0))
    exact = [piece for piece in pieces if piece.title.casefold() == name.casefold()]
    found = exact or list(pieces)
    if not found:
        raise NotFoundError("piece", f"“{name}”")
    if len(found) > 1:
        listed = "; ".join(f"{piece.id} {piece.title}" for piece in found[:5])
        raise InputError(f"Several pieces answer to “{name}” ({listed}); give the number.")
    return found[0]
