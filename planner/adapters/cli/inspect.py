"""The command that studies a score and stores nothing.

It loads neither the study nor the library: the study runs in a child process.
"""

from collections.abc import Sequence
from itertools import chain
from pathlib import Path

import click

from planner.adapters.cli.context import Session, exit_code_of, format_option, notes, out, print_json
from planner.core.profile import PieceProfile
from planner.errors import PlannerError
from planner.wording.study_json import studies_to_dict
from planner.wording.study_text import study_to_text


@click.command()
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(exists=True, dir_okay=False, path_type=Path)
)
@click.option("--part", help="Only this part, by its name as printed.")
@format_option
@click.pass_obj
def inspect(session: Session, files: tuple[Path, ...], part: str | None, form: str) -> int:
    """Study score files and print what a good reader would find, without storing anything.

    Every movement or tune of a file is studied by itself.
    """
    studied: list[Sequence[PieceProfile]] = []
    refused: list[PlannerError] = []
    outcomes = sorted(session.tools.studies.profiles_of(files), key=lambda pair: pair[0])
    for _place, outcome in outcomes:
        if isinstance(outcome, PlannerError):
            refused.append(outcome)
        else:
            studied.append(outcome)
    if form == "json":
        if len(files) == 1 and studied:
            print_json(studies_to_dict(studied[0]))
        elif len(files) > 1:
            print_json([studies_to_dict(profiles) for profiles in studied])
    else:
        for profile in chain.from_iterable(studied):
            out.print(study_to_text(profile, part), markup=False, soft_wrap=True)
    for error in refused:
        notes.print(str(error), markup=False, soft_wrap=True)
    return exit_code_of(refused[0]) if refused else 0


COMMANDS = (inspect,)
