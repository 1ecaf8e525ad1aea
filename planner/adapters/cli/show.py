"""Commands that show the program at work: the pages, and the demo."""

import shutil
from functools import partial
from pathlib import Path

import click

from planner.adapters.cli.context import WHOLE, Session, home_option, out, progress_bar
from planner.config import checkout_exports, packaged
from planner.errors import ExportError
from planner.services.demo import run_demo


@click.command()
@click.option(
    "--host",
    help="Address to serve on, such as 192.168.1.5, or 0.0.0.0 for all (default: this machine alone).",
)
@click.option("--port", type=WHOLE, help="Port to serve on (default 8765).")
@home_option
@click.pass_obj
def serve(session: Session, host: str | None, port: int | None) -> None:
    """Serve the pages until stopped with Ctrl-C: to this machine, or the room.

    With --host the room is served, over TLS and to people with accounts: see planner access --help.
    """
    session.given.update(host=host, port=port)
    session.serve(session.tools, partial(out.print, markup=False))


@click.command()
@home_option
@click.pass_obj
def demo(session: Session) -> None:
    """Do the whole job once with an invented band and the sample library.

    Leaves the plan, the calendar, the guides and the gradebook in exports/, and a home folder that
    `planner serve --home` opens.
    """
    exports = checkout_exports()
    if session.home is None:
        session.home = _fresh_demo_home(exports / "demo-home" if exports else Path.cwd() / "planner-demo")
        if exports is not None:
            session.given["exports"] = str(exports)
    tools = session.tools
    with progress_bar() as bar:
        tasks: dict[str, object] = {}

        def progress(step: str, done: int, total: int, what: str) -> None:
            if step not in tasks:
                tasks[step] = bar.add_task(step, total=total, what=what)
            bar.update(tasks[step], completed=done, total=total, what=what)  # type: ignore[arg-type]

        report = run_demo(tools, packaged("sample_library"), progress)
    for line in report.lines:
        out.print(line, markup=False)
    out.print(f"\nOpen the pages:  planner serve --home {session.home}", markup=False)


def _fresh_demo_home(home: Path) -> Path:
    """The demo's own home, empty: what an earlier demo left there is cleared, nothing else ever is."""
    mark = home / "made-by-the-demo"
    try:
        if mark.is_file():
            shutil.rmtree(home)
        home.mkdir(parents=True, exist_ok=True)
        if not any(home.iterdir()):
            mark.touch()
    except OSError as error:
        raise ExportError(home, (error.strerror or "no access").lower()) from error
    return home


COMMANDS = (serve, demo)
