"""Commands that write the reports of a term as printed sheets, or show them."""

from collections.abc import Callable, Iterator
from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_ensemble_and_term,
    pick_section,
    print_json,
    print_made,
    term_options,
)
from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.core.text import folded
from planner.errors import InputError, NotFoundError
from planner.services.entered.numbers import number_of_thing
from planner.services.ports.work import UnitOfWork
from planner.services.reports.player_report import player_report
from planner.services.reports.publish import publish_report
from planner.services.reports.section_report import section_report
from planner.services.reports.term_report import term_report
from planner.services.reports.views import ReportView

show_option = click.option("--show", "is_shown", is_flag=True, help="Show it; write nothing.")


@click.group()
@home_option
def report() -> None:
    """Write a report of a term as a PDF: of a section, of a player, or for the head of the school."""


@report.command()
@click.argument("name")
@show_option
@term_options
@format_option
@home_option
@click.pass_obj
def section(
    session: Session,
    name: str,
    is_shown: bool,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> None:
    """Report on the term of the section NAME: its level, first and second readings, skills."""

    def view_of(work: UnitOfWork, ensemble: Ensemble, term: Term) -> ReportView:
        return section_report(work, term.id, pick_section(ensemble, name), session.tools.today())

    _give(session, view_of, ensemble_name, term_name, form, is_shown=is_shown)


@report.command()
@click.argument("name")
@show_option
@term_options
@format_option
@home_option
@click.pass_obj
def player(
    session: Session,
    name: str,
    is_shown: bool,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> None:
    """Report on the term of the player NAME: attendance, marks and what made them; a number does as well.

    The name of the file holds that number alone. It goes when the records of the player are deleted.
    """

    def view_of(work: UnitOfWork, ensemble: Ensemble, term: Term) -> ReportView:
        return player_report(work, term.id, pick_seat(ensemble, name), session.tools.today())

    _give(session, view_of, ensemble_name, term_name, form, is_shown=is_shown)


@report.command("term")
@show_option
@term_options
@format_option
@home_option
@click.pass_obj
def whole_term(
    session: Session, is_shown: bool, ensemble_name: str | None, term_name: str | None, form: str
) -> None:
    """Report on a term for the head of the school: what was read, attendance, levels; no player's name."""

    def view_of(work: UnitOfWork, _ensemble: Ensemble, term: Term) -> ReportView:
        return term_report(work, term.id, session.tools.today())

    _give(session, view_of, ensemble_name, term_name, form, is_shown=is_shown)


def _give(
    session: Session,
    view_of: Callable[[UnitOfWork, Ensemble, Term], ReportView],
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
    *,
    is_shown: bool,
) -> None:
    """Write the report of a term as a printed sheet, or only show it."""
    tools = session.tools
    with tools.work() as work:
        ensemble, term = pick_ensemble_and_term(work, ensemble_name, term_name, tools.today())
        view = view_of(work, ensemble, term)
        if not is_shown:
            made = publish_report(work, tools.report_writer, view, term_id=term.id, exports=tools.exports)
    if is_shown:
        _show(view, form)
    else:
        print_made([made], form)


def pick_seat(ensemble: Ensemble, name: str) -> int:
    """The seat of the player of that name, whatever the case and the accents, or the seat of that number.

    Raises:
        NotFoundError: If there is none.
        InputError: If there are several.
    """
    seats = [(section, player) for section in ensemble.sections for player in section.players]
    found = [(section, player) for section, player in seats if folded(player.name) == folded(name)]
    number = number_of_thing(name)
    if not found and number is not None:
        found = [(section, player) for section, player in seats if player.id == number]
    if not found:
        raise NotFoundError("player", f"“{name.strip()}” in {ensemble.name}", hint="Look at the roster.")
    if len(found) > 1:
        places = "; ".join(f"{player.id} ({section.name})" for section, player in found)
        raise InputError(f"{name.strip()} sits in several places.", hint=f"Give the number: {places}.")
    return found[0][1].id


def _show(view: ReportView, form: str) -> None:
    if form == "json":
        print_json(_as_json(view))
        return
    for line in [f"{view.title}: {view.about}", *view.lead, *_part_lines(view)]:
        out.print(line, markup=False)


def _part_lines(view: ReportView) -> Iterator[str]:
    for part in view.parts:
        yield f"\n{part.heading}"
        yield from (f"  {sentence}" for sentence in part.sentences)
        if part.table is not None and part.table.rows:
            yield f"  {' | '.join(column.head for column in part.table.columns)}"
            yield from (f"  {' | '.join(row)}" for row in part.table.rows)


def _as_json(view: ReportView) -> dict[str, Any]:
    return {
        "format": "report", "version": 1, "title": view.title, "about": view.about, "lead": list(view.lead),
        "parts": [
            {
                "heading": part.heading, "sentences": list(part.sentences),
                "columns": [column.head for column in part.table.columns] if part.table else [],
                "rows": [list(row) for row in part.table.rows] if part.table else [],
            }
            for part in view.parts
        ],
    }  # fmt: skip


COMMANDS = (report,)
