"""The command that studies a score and stores nothing.

It loads neither the study nor the library: the study runs in a child process.
"""

from collections.abc import Sequence
from itertools import chain
from pathlib import Path
from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    exit_code_of,
    format_option,
    home_option,
    notes,
    out,
    print_json,
)
from planner.core.profile import PieceProfile
from planner.core.text import shown
from planner.errors import PlannerError
from planner.wording.study_json import studies_to_dict
from planner.wording.study_text import study_to_text


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--part", help="Only this part, by its name as printed.")
@format_option
@home_option
@click.pass_obj
def inspect(session: Session, files: tuple[Path, ...], part: str | None, form: str) -> int:
    """Study score files and print what a good reader would find, without storing anything.

    Every movement or tune of a file is studied by itself. A file that cannot be read is named with the
    reason, and the others are still studied.
    """
    outcomes = [
        outcome for _, outcome in sorted(session.tools.studies.profiles_of(files), key=lambda pair: pair[0])
    ]
    refused = [outcome for outcome in outcomes if isinstance(outcome, PlannerError)]
    if form == "json":
        found = [_as_json(path, outcome) for path, outcome in zip(files, outcomes, strict=True)]
        if len(files) > 1:
            print_json([{"file": shown(str(path)), **each} for path, each in zip(files, found, strict=True)])
        else:
            print_json(found[0])
    else:
        studied = (outcome for outcome in outcomes if not isinstance(outcome, PlannerError))
        for profile in chain.from_iterable(studied):
            out.print(study_to_text(profile, part), markup=False, soft_wrap=True)
    for error in refused:
        notes.print(shown(str(error)), markup=False, soft_wrap=True)
    return exit_code_of(refused[0]) if refused else 0


def _as_json(path: Path, outcome: Sequence[PieceProfile] | PlannerError) -> dict[str, Any]:
    """What came of a file: its study, or its name and why it was refused."""
    if isinstance(outcome, PlannerError):
        refused = {"kind": outcome.slug, "sentence": shown(str(outcome))}
        return {"file": shown(str(path)), "refused": refused}
    return studies_to_dict(outcome)


COMMANDS = (inspect,)
