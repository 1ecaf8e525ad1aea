"""The command about a proposed plan: see it, take it, take single days, or keep the plan in force."""

from collections.abc import Mapping, Sequence
from datetime import date

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    new_table,
    out,
    pick_ensemble_and_term,
    print_json,
    term_options,
)
from planner.core.term import Slot
from planner.errors import InputError
from planner.services.plan.proposals import DayChange, Proposal, drop_proposal, proposal_view, take_proposal
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.proposal import change_why


@click.command()
@click.option("--take", is_flag=True, help="Put it in place of the plan in force.")
@click.option("--on", "days", multiple=True, help="With --take: only this day; give it once for each.")
@click.option("--drop", is_flag=True, help="Keep the plan in force.")
@term_options
@format_option
@home_option
@click.pass_obj
def proposal(
    session: Session,
    take: bool,
    days: Sequence[str],
    drop: bool,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> None:
    """Show what planning again would change, take it, or drop it.

    Nothing changes until you take it; ‘planner changes undo’ takes it back.
    """
    if take and drop:
        raise InputError("A proposal is taken or dropped, not both.")
    if days and not take:
        raise InputError("Single days are taken: say --take with --on.")
    tools, today, by = session.tools, session.tools.today(), session.author()
    with changing(tools.work) as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, today)
        if take:
            take_proposal(work, term.id, [parse_date(on) for on in days] or None, today, by=by)
        if drop:
            drop_proposal(work, term.id, by=by)
        found = proposal_view(work, term.id)
        changes = found.changes if found else ()
        titles = work.pieces.titles({s.piece_id for c in changes for s in (*c.before, *c.after)})
    if form == "json":
        print_json(_as_json(found, titles))
        return
    if take or drop:
        out.print("The plan is changed." if take else "The plan stays as it is.")
    _print(found, titles)


def _as_json(found: Proposal | None, titles: Mapping[int, str]) -> dict[str, object]:
    changes = found.changes if found else ()
    return {
        "format": "plan-proposal",
        "version": 1,
        "made_on": found.made_on.isoformat() if found else None,
        "gain": found.gain if found else None,
        "days": [
            {"on": change.on.isoformat(), "before": _titles(change.before, titles),
             "after": _titles(change.after, titles), "why": _why(change, titles),
             "saves": change.saved.total if change.saved else None,
             "together": [on.isoformat() for on in change.together]}
            for change in changes
        ],
    }  # fmt: skip


def _print(found: Proposal | None, titles: Mapping[int, str]) -> None:
    if found is None:
        out.print("Nothing is proposed.")
        return
    sheet = new_table(("Day", "Now", "Proposed", "Why"), title="Proposed changes")
    for change in found.changes:
        now, then = (", ".join(_titles(each, titles)) or "open" for each in (change.before, change.after))
        sheet.add_row(_day(change.on), now, then, _why(change, titles))
    out.print(sheet)
    out.print("Take it with --take, single days with --take --on DATE, or keep the plan with --drop.")


def _day(on: date) -> str:
    return f"{on:%a} {on}"


def _titles(slots: Sequence[Slot], titles: Mapping[int, str]) -> list[str]:
    return [titles.get(slot.piece_id, "") for slot in slots]


def _why(change: DayChange, titles: Mapping[int, str]) -> str:
    title = titles.get(change.piece_id or 0, "")
    return change_why(change.why, change.rule, title, change.together, is_same=change.keeps_pieces)


COMMANDS = (proposal,)
