"""Commands that keep the home safe."""

from pathlib import Path
from typing import BinaryIO

import click
from rich.table import Table

from planner.adapters.cli.context import Session, format_option, home_option, notes, out, print_json
from planner.errors import InputError
from planner.services.backups.keep_backups import (
    check_backup,
    make_backup,
    remove_backup,
    take_in_backup,
)
from planner.services.backups.restore_backup import restore_backup
from planner.services.ports.backups import BackupReport, RestoreReport
from planner.wording.director.backups import (
    REASONS,
    UNREADABLE,
    WARNING,
    backed_up_text,
    checked_text,
    removed_text,
    restored_text,
    size_text,
    taken_in_text,
)


@click.command()
@click.option("--list", "is_list", is_flag=True, help="List the backups that are there, newest first.")
@click.option("--check", "checked", metavar="BACKUP", help="Read a backup to its end and compare every hash.")
@click.option(
    "--take-in", "taken", metavar="FILE", type=click.File("rb"),
    help="Put a backup that lies elsewhere among those of the home, once it is found to be sound.",
)  # fmt: skip
@click.option("--remove", "removed", metavar="BACKUP", help="Delete a backup for good.")
@click.option("--yes", is_flag=True, help="Delete it without asking.")
@format_option
@home_option
@click.pass_obj
def backup(
    session: Session,
    is_list: bool,
    checked: str | None,
    taken: BinaryIO | None,
    removed: str | None,
    yes: bool,
    form: str,
) -> None:
    """Write the whole home to one zip in its backups folder; list, check, take in or delete backups.

    A backup holds the library, the scores, your own limits, the exports, what came over a page and was not
    taken yet, and the certificate of the room. It can be made while pages are served and scores are added.
    `planner restore` goes back to it.
    """
    if is_list:
        _list(session, form)
    elif removed is not None:
        kept = remove_backup(session.tools.backups, removed, is_sure=yes)
        out.print(removed_text(kept.path.name), markup=False)
    elif taken is not None:
        report = take_in_backup(session.tools.backups, taken)
        out.print(taken_in_text(report.path.name, report.pieces), markup=False)
    elif checked is not None:
        report = check_backup(session.tools.backups, _found(session, checked))
        if form == "json":
            print_json({"format": "backup-check", **_as_json(report)})
        else:
            out.print(checked_text(str(report.path), report.files, report.pieces), markup=False)
    else:
        report = make_backup(session.tools.backups, session.tools.now())
        if form == "json":
            print_json({"format": "backup-report", **_as_json(report)})
        else:
            for line in backed_up_text(str(report.path), report.pieces, report.missing):
                out.print(line, markup=False)


@click.command()
@click.argument("backup")
@click.option("--yes", is_flag=True, help="Do not ask first.")
@format_option
@home_option
@click.pass_obj
def restore(session: Session, backup: str, yes: bool, form: str) -> None:
    """Go back to a backup; what is there now is backed up first.

    BACKUP is a name in the list of `planner backup --list`, or the path of a file.
    """
    path = _found(session, backup)
    if not yes and session.tools.backups.has_library():
        notes.print(WARNING, markup=False)
        if not notes.is_terminal:
            raise InputError("Going back to a backup asks first.", hint="Say so with --yes.")
        click.confirm(f"Go back to {path.name}?", abort=True, err=True)
    report = restore_backup(session.tools, path)
    if form == "json":
        print_json(_restored_as_json(path, report))
        return
    lines = restored_text(
        path.name,
        report.pieces,
        str(report.before or ""),
        str(report.set_aside or ""),
        report.missing,
        [str(each) for each in report.kept],
    )
    for line in lines:
        out.print(line, markup=False)


def _found(session: Session, name: str) -> Path:
    """A backup by its path, or by its name in the home."""
    given = Path(name).expanduser()
    return given if given.is_file() else session.tools.backups.find(name)


def _list(session: Session, form: str) -> None:
    found = session.tools.backups.list_backups()
    if form == "json":
        rows = [
            {"file": str(each.path), "made_at": each.made_at, "bytes": each.size_bytes, "why": each.why,
             "pieces": each.pieces}
            for each in found
        ]  # fmt: skip
        print_json({"format": "backups", "version": 1, "backups": rows})
        return
    if not found:
        out.print("There is no backup yet.")
        return
    sheet = Table(box=None)
    sheet.add_column("Backup", min_width=max(len(each.path.name) for each in found))
    for heading in ("Made", "Pieces", "Size", "For"):
        sheet.add_column(heading)
    for each in found:
        made = f"{each.made_at.astimezone():%Y-%m-%d %H:%M}"
        why = REASONS[each.why] if each.why else UNREADABLE
        pieces = "" if each.pieces is None else str(each.pieces)
        sheet.add_row(each.path.name, made, pieces, size_text(each.size_bytes), why)
    out.print(sheet)


def _as_json(report: BackupReport) -> dict[str, object]:
    return {
        "version": 2,
        "file": str(report.path),
        "pieces": report.pieces,
        "files": report.files,
        "missing": list(report.missing),
    }


def _restored_as_json(path: Path, report: RestoreReport) -> dict[str, object]:
    return {
        "format": "restore-report",
        "version": 1,
        "file": str(path),
        "pieces": report.pieces,
        "missing": list(report.missing),
        "before": report.before and str(report.before),
        "set_aside": report.set_aside and str(report.set_aside),
        "kept": [str(each) for each in report.kept],
    }


COMMANDS = (backup, restore)
