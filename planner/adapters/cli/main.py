"""The command ``planner``: its table of commands, its errors, its exit codes."""

from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from pathlib import Path

import click
from platformdirs import user_data_path

from planner import __version__
from planner.adapters.cli.context import Session, exit_code_of, home_option, notes
from planner.adapters.cli.terminal import speak_plainly
from planner.config import Settings
from planner.core.text import cut_short, shown
from planner.errors import ExportError, OddEntryError, PlannerError
from planner.services.toolbox import Toolbox

COMMANDS: Mapping[str, tuple[str, str]] = {
    "access": ("access", "List who may open the pages, or add, change and remove people."),
    "add": ("library.pieces", "Read and study score files, folders and zips of them into the library."),
    "attendance": (
        "attendance",
        'Say who was there on a reading day: STATES such as "Ida Holm=absent"; or show it.',
    ),
    "backup": (
        "backup",
        "Write the whole home to one zip in its backups folder; list, check, take in or delete backups.",
    ),
    "changes": ("changes", "List what was changed in the library, newest first, or undo a change."),
    "catalog": (
        "library.catalogue",
        "Take your own list of pieces in, give the library out as one, enter a piece that is only on paper.",
    ),
    "collect": (
        "read_in",
        "Take in what was typed into FILE, a worksheet or a gradebook that this program wrote.",
    ),
    "copies": (
        "library.copies",
        'Say how many copies of each part of PIECE there are: COUNTS such as "Flute 1=4"; or show them.',
    ),
    "correct": (
        "library.pieces",
        "Correct what the catalog says of a piece: its title, its composer, its tags and so on.",
    ),
    "day": (
        "term.day",
        "Show a reading day: what is read, who is away, the results so far, the printed guides.",
    ),
    "demo": ("show", "Do the whole job once with an invented band and the sample library."),
    "ensembles": ("people.ensembles", "List the ensembles, begin one, rename one, or take one out."),
    "find": (
        "library.finding",
        "List the pieces of the library, or find some: WORDS in title, composer, tag or shelf place.",
    ),
    "form": (
        "scoring_form",
        "Choose the scoring form of a term and shape it, or show it.",
    ),
    "gradebook": (
        "sheets",
        "Write the gradebook of a term as a workbook that can be filled in, or take one in.",
    ),
    "gradefile": (
        "gradefile",
        "Write the marks of a term as a .csv file for the school's own system; what is chosen is kept.",
    ),
    "guides": (
        "sheets",
        "Print the pre-read guides of a reading day: one PDF a part, and a packet for each piece.",
    ),
    "inspect": (
        "inspect",
        "Study score files and print what a good reader would find, without storing anything.",
    ),
    "jobs": ("jobs", "List long work, stop it, or go on with it."),
    "levels": (
        "levels",
        "Difficulty levels: see them by part and dimension, correct them, hold a score against limits.",
    ),
    "lists": (
        "library.finding",
        "List the lists of pieces that are kept; keep one, rename it, put pieces on it, take it out.",
    ),
    "marks": (
        "attendance",
        'Give players marks of their own for a day: MARKS such as "Ida Holm=87.5"; or show them.',
    ),
    "match": ("term.plan", "Show what each section can just read, and the best fresh candidates."),
    "met": (
        "people.met",
        "Note that a group or a player has met PIECES (titles or numbers), withdraw that, or list it all.",
    ),
    "plan": ("term.plan", "Fill a term with reading days, or fill it again."),
    "players": (
        "people.players",
        "List the players; add, rename, move or remove one; take in a roster; show or delete all records.",
    ),
    "questions": (
        "library.questions",
        "Print questions for the room about a PIECE, with their answers: for everyone, then part by part.",
    ),
    "points": (
        "scoring_form",
        'Fill in the scoring form of a day: POINTS such as "Tone=26"; or show it.',
    ),
    "proposal": ("term.proposal", "Show what planning again would change, take it, or drop it."),
    "remove": (
        "library.piece",
        "Take a PIECE out of the library; one that stands in a plan, has results or was met is kept.",
    ),
    "report": (
        "reports",
        "Write a report of a term as a PDF: of a section, of a player, or for the head of the school.",
    ),
    "restudy": ("jobs", "Study every piece again whose study an older version of the program made."),
    "restore": ("backup", "Go back to a backup; what is there now is backed up first."),
    "results": (
        "term.results",
        'Log how sections read: READINGS such as "Flute=85" or "Clarinet 2=60,80" (bars right of 100).',
    ),
    "same": (
        "library.same",
        "Say that PIECE and OTHER are files of the same piece, or show what may be the same music.",
    ),
    "scheme": ("scheme", "Choose how the marks of a term are worked out, or show it."),
    "sections": ("people.sections", "Show an ensemble's sections, or set them up."),
    "show": (
        "library.piece",
        "Show a PIECE of the library: its catalog, its level, who has met it, its copies, its study.",
    ),
    "tally": (
        "read_in",
        "Print the tally sheet of a reading day: boxes to tick while the ensemble reads.",
    ),
    "worksheet": (
        "read_in",
        "Write the worksheet of a reading day: a workbook to fill in without network.",
    ),
    "terms": (
        "term.terms",
        "List an ensemble's terms, or change one of them.",
    ),
    "today": (
        "term.today",
        "Show what is on the desk: the next reading day, the week, sections to watch, what waits.",
    ),
    "serve": (
        "show",
        "Serve the pages until stopped with Ctrl-C: to this machine, or the room.",
    ),
}
"""Name of each command: the module below this room that holds it, and its line in the list of commands.

A command's module, with the services behind it, is loaded when the command is called: ``--help`` is quick.
"""


class CommandTable(click.Group):
    """A group whose commands are loaded when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Names in the order of the alphabet."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """The command of that name; None when there is none."""
        return load_command(cmd_name) if cmd_name in COMMANDS else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, from the table alone."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][1]) for name in self.list_commands(ctx)])


def load_command(name: str) -> click.Command:
    """A command of the table, its module loaded."""
    module = import_module(f"planner.adapters.cli.{COMMANDS[name][0]}")
    commands: tuple[click.Command, ...] = module.COMMANDS
    return next(command for command in commands if command.name == name)


@click.group(
    cls=CommandTable, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(__version__, prog_name="planner")
@home_option
@click.option("--debug", is_flag=True, help="On an error, show where in the program it arose.")
@click.pass_obj
def planner(session: Session, debug: bool) -> None:
    """Plan an ensemble's weekly sight-reading from its own scores."""
    session.debug = debug


def main(
    argv: Sequence[str],
    *,
    build: Callable[[Settings], Toolbox],
    serve: Callable[[Toolbox, Callable[[str], None]], None],
    default_home: Path | None = None,
) -> int:
    """Run one command and return its exit code.

    0 is success; 2 bad input, 3 not found, 4 conflict, 5 impossible plan, 6 out of time,
    7 could not write, 9 too few pieces for a plan, 10 a pin that cannot hold, 11 a cluster that cannot be
    used, 12 a damaged library, 13 one of another program, 14 one of a newer version, 15 a backup that cannot
    be used, 16 a question that has to be answered first, 1 any other failure.
    """
    speak_plainly()
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
    except OSError as error:
        if error.filename is None:
            raise
        if session.debug:
            notes.print_exception()
        notes.print(
            f"{shown(cut_short(str(error.filename), 200))}: {(error.strerror or 'no access').lower()}."
        )
        return exit_code_of(ExportError("", ""))
    except PlannerError as error:
        if session.debug:
            notes.print_exception()
        from planner.wording.director.conflict import error_words  # only a command that fails needs it

        message, hint = error_words(error)
        notes.print(message, markup=False)
        if hint:
            notes.print(hint, markup=False)
        if isinstance(error, OddEntryError):
            notes.print("If it is, give the command again with --sure.", markup=False)
        return exit_code_of(error)
