"""The command ``planner``: its groups, its errors, its exit codes."""

from collections.abc import Callable, Sequence
from pathlib import Path

import click
from platformdirs import user_data_path

from planner import __version__
from planner.adapters.cli import backup, levels, library, people, sheets, show, term
from planner.adapters.cli.context import Session, exit_code_of, notes
from planner.config import Settings
from planner.errors import PlannerError
from planner.services.toolbox import Toolbox


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="planner")
@click.option("--debug", is_flag=True, help="On an error, show where in the program it arose.")
@click.pass_obj
def planner(session: Session, debug: bool) -> None:
    """Plan an ensemble's weekly sight-reading from its own scores."""
    session.debug = debug


for command in (
    *library.COMMANDS,
    *people.COMMANDS,
    *term.COMMANDS,
    *sheets.COMMANDS,
    *show.COMMANDS,
    *backup.COMMANDS,
    *levels.COMMANDS,
):
    planner.add_command(command)


def main(
    argv: Sequence[str],
    *,
    build: Callable[[Settings], Toolbox],
    serve: Callable[[Toolbox], None],
    default_home: Path | None = None,
) -> int:
    """Run one command and return its exit code.

    0 is success; 2 bad input, 3 not found, 4 conflict, 5 impossible plan, 6 out of time,
    7 could not write, 1 any other failure.
    """
    session = Session(build, serve, default_home or user_data_path("sight-reading-planner"))
    try:
        code = planner.main(list(argv), prog_name="planner", obj=session, standalone_mode=False)
        return code if isinstance(code, int) else 0
    except click.ClickException as error:
        error.show()
        return 2
    except (click.Abort, KeyboardInterrupt):
        notes.print("Stopped. What was finished is kept.")
        return 130
    except PlannerError as error:
        if session.debug:
            notes.print_exception()
        notes.print(error.message, markup=False)
        if error.hint:
            notes.print(error.hint, markup=False)
        return exit_code_of(error)
