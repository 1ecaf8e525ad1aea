"""Commands that keep the home safe."""

import click

from planner.adapters.cli.context import Session, format_option, home_option, notes, out, print_json


@click.command()
@format_option
@home_option
@click.pass_obj
def backup(session: Session, form: str) -> int:
    """Write the whole home, library and scores, to one zip in its backups folder.

    It can be done while pages are served. To go back to it, unpack the zip into an empty
    folder and name that folder with --home.
    """
    report = session.tools.backups.back_up(session.tools.today())
    if form == "json":
        print_json(
            {
                "format": "backup-report",
                "version": 1,
                "file": str(report.path),
                "pieces": report.pieces,
                "missing": list(report.missing),
            }
        )
        return 0
    for name in report.missing:
        notes.print(f"The score file of {name} is not in the home; add it again.", markup=False)
    out.print(f"{report.pieces} pieces are in {report.path}.", markup=False)
    return 0


COMMANDS = (backup,)
