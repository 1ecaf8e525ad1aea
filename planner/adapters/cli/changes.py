"""Commands about the journal: what was changed, and taking it back."""

import click

from planner.adapters.cli.context import WHOLE, Session, format_option, home_option, out, print_json
from planner.adapters.cli.jobs import do_in_foreground, print_outcome
from planner.services.changes.journal import LISTED, list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.imports.undo_import import import_of_change, start_undo_import
from planner.services.toolbox import changing
from planner.wording.director.changes import change_sentence, moment, who


@click.group(invoke_without_command=True)
@click.option(
    "--limit", type=click.IntRange(1, 2**31 - 1), default=LISTED, help="How many to list.", show_default=True
)
@format_option
@home_option
@click.pass_context
def changes(context: click.Context, limit: int, form: str) -> None:
    """List what was changed in the library, newest first, or undo a change."""
    if context.invoked_subcommand is not None:
        return
    with context.obj.tools.work() as work:
        page = list_journal(work, limit)
    if form == "json":
        print_json({
            "format": "changes",
            "version": 1,
            "changes": [
                {"id": each.change.id, "kind": each.change.kind, "at": each.change.by.at.isoformat(),
                 "door": each.change.by.door, "account": each.change.by.account,
                 "subject": {"kind": each.change.subject.kind, "id": each.change.subject.id,
                             "name": each.change.subject.name, "within": dict(each.change.subject.within)},
                 "before": dict(each.change.before), "after": dict(each.change.after),
                 "undoes": each.change.undoes, "undone_by": each.change.undone_by,
                 "count": each.count.total if each.count else 1}
                for each in page.entries
            ],
        })  # fmt: skip
        return
    if not page.entries:
        out.print("Nothing has been changed yet.")
    for entry in page.entries:
        change = entry.change
        back = f" Undoes change {change.undoes}." if change.undoes and not entry.is_import else ""
        gone = f" Undone by change {change.undone_by}." if change.undone_by and not entry.is_import else ""
        out.print(
            f"{change.id}  {moment(change.by.at)}, {who(change.by)}: "
            f"{change_sentence(change, entry.count)}{back}{gone}",
            markup=False,
        )  # fmt: skip


@changes.command()
@click.argument("change_id", metavar="NUMBER", type=WHOLE)
@home_option
@click.pass_obj
def undo(session: Session, change_id: int) -> int:
    """Put back exactly what was before a change. An undo is a change too, and can be undone.

    An import is taken back as a whole, whichever of its changes is named: pieces that were planned, read, met
    or worked on since stay and are named.
    """
    tools = session.tools
    with changing(tools.work) as work:
        import_id = import_of_change(work, change_id)
        job = start_undo_import(work, tools.locks, import_id, session.author()) if import_id else None
    if job is not None:
        return print_outcome(do_in_foreground(session, job))
    with changing(tools.work) as work:
        change = undo_change(work, change_id, session.author(), Means(tools.files, tools.studies))
    out.print(f"Undone. {change_sentence(change)}", markup=False)
    return 0


COMMANDS = (changes,)
