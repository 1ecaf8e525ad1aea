"""Commands about ensembles: listed, begun, renamed, taken out."""

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_ensemble,
    print_json,
)
from planner.core.ensemble import Ensemble
from planner.errors import QuestionError
from planner.services.people.roster import add_ensemble, belongings_of, remove_ensemble, rename_ensemble
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import changing
from planner.wording.director.people import lost_text


@click.group(invoke_without_command=True)
@format_option
@home_option
@click.pass_context
def ensembles(context: click.Context, form: str) -> None:
    """List the ensembles, begin one, rename one, or take one out."""
    if context.invoked_subcommand is not None:
        return
    with context.obj.tools.work() as work:
        found = [(each, _belongings(work, each)) for each in work.ensembles.list_ensembles()]
    if form == "json":
        rows = [
            {"id": each.id, "name": each.name, "kind": each.kind, "sections": len(each.sections)}
            for each, _ in found
        ]
        print_json({"format": "ensembles", "version": 1, "ensembles": rows})
        return
    for each, text in found:
        out.print(f"{each.name} ({each.kind}): {text or 'nothing belongs to it yet'}.", markup=False)
    if not found:
        out.print("Begin one: planner ensembles begin NAME.")


@ensembles.command()
@click.argument("name")
@click.option("--kind", default="band", show_default=True, help="Such as band, orchestra or choir.")
@home_option
@click.pass_obj
def begin(session: Session, name: str, kind: str) -> None:
    """Begin an ensemble called NAME."""
    with changing(session.tools.work) as work:
        new = add_ensemble(work, name, kind, by=session.author())
    out.print(f"{new.name} is there. Its sections: planner sections --help.", markup=False)


@ensembles.command()
@click.argument("name")
@click.argument("new_name")
@click.option("--kind", help="Another kind.")
@home_option
@click.pass_obj
def rename(session: Session, name: str, new_name: str, kind: str | None) -> None:
    """Call the ensemble NAME NEW_NAME from now on."""
    with changing(session.tools.work) as work:
        found = pick_ensemble(work, name)
        renamed = rename_ensemble(work, found.id, new_name, kind or found.kind, by=session.author())
    out.print(f"{found.name} is called {renamed.name} now.", markup=False)


@ensembles.command()
@click.argument("name")
@click.option("--yes", is_flag=True, help="Take it out with all that belongs to it.")
@home_option
@click.pass_obj
def remove(session: Session, name: str, yes: bool) -> None:
    """Take the ensemble NAME out with all that belongs to it; that can be undone."""
    with changing(session.tools.work) as work:
        found = pick_ensemble(work, name)
        lost = _belongings(work, found)
        if lost and not yes:
            raise QuestionError(
                f"This would take out {lost}. Do you want that?", hint="Say so with --yes; it can be undone."
            )
        remove_ensemble(work, found.id, by=session.author())
    out.print(f"{found.name} is gone. Have it back: planner changes undo NUMBER.", markup=False)


def _belongings(work: UnitOfWork, ensemble: Ensemble) -> str:
    own = belongings_of(work, ensemble)
    return lost_text(
        sections=own.sections, players=own.players, terms=own.terms, results=own.results, days=own.days,
        exposures=own.exposures, marks=own.marks,
    )  # fmt: skip


COMMANDS = (ensembles,)
