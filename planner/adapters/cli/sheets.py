"""Commands that print: guides of a reading day, the gradebook."""

import click
from rich.table import Table

from planner.adapters.cli.context import (
    Session,
    ensemble_option,
    format_option,
    home_option,
    notes,
    out,
    pick_ensemble,
    pick_term,
    print_filed,
    print_json,
    progress_bar,
    term_option,
)
from planner.core.term import Term
from planner.services.day.gradebook import publish_gradebook
from planner.services.day.read_day import Record, next_reading_day, read_record
from planner.services.sheets.make_guides import make_guides, note_guides, without_guides
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.on_paper import no_guide_note
from planner.wording.words import short_day


@click.command()
@click.option("--on", help="The reading day, as 2026-09-01 (default: the next one).")
@ensemble_option
@term_option
@format_option
@home_option
@click.pass_obj
def guides(
    session: Session, on: str | None, ensemble_name: str | None, term_name: str | None, form: str
) -> None:
    """Print the pre-read guides of a reading day: one PDF a part, and a packet for each piece."""
    tools = session.tools
    with tools.work() as work, progress_bar() as bar:
        term = pick_term(work, pick_ensemble(work, ensemble_name), term_name, tools.today())
        day = parse_date(on) if on else next_reading_day(work, term, tools.today())
        task = bar.add_task("Printing guides", total=None, what="")
        made = make_guides(
            work,
            tools.files,
            tools.engraver,
            tools.guide_writer,
            term_id=term.id,
            on=day,
            exports=tools.exports,
            today=tools.today(),
            paper=tools.settings.paper,
            progress=lambda done, total, what: bar.update(task, completed=done, total=total, what=what),
        )
    with changing(tools.work) as work:
        note_guides(work, term.id, day)
        missing = no_guide_note(without_guides(work, term.id, day))
    if form == "json":
        print_json({"format": "files", "version": 1, "files": [str(each.path) for each in made]})
    else:
        print_filed(made)
    if missing:
        notes.print(missing, markup=False)


@click.command()
@click.option("--show", "is_shown", is_flag=True, help="Show the first readings day by day; write nothing.")
@ensemble_option
@term_option
@format_option
@home_option
@click.pass_obj
def gradebook(
    session: Session, is_shown: bool, ensemble_name: str | None, term_name: str | None, form: str
) -> None:
    """Write the gradebook of a term as a workbook: a sheet for each reading day, and a summary."""
    tools = session.tools
    with tools.work() as work:
        term = pick_term(work, pick_ensemble(work, ensemble_name), term_name, tools.today())
        if is_shown:
            _show_record(term, read_record(work, term), form)
            return
        made = publish_gradebook(
            work,
            tools.gradebook_writer,
            term_id=term.id,
            exports=tools.exports,
            today=tools.today(),
        )
    if form == "json":
        print_json({"format": "files", "version": 1, "files": [str(made.path)]})
    else:
        print_filed([made])


def _show_record(term: Term, record: Record, form: str) -> None:
    """The first readings of a term, a row a section and a column a day."""
    if form == "json":
        rows = [{"section": row.name, "shares": row.shares, "average": row.average} for row in record.rows]
        print_json({
            "format": "gradebook", "version": 1, "term": term.name, "days": record.days, "sections": rows,
        })  # fmt: skip
        return
    sheet = Table(title=f"Bars right of 100, {term.name}", title_justify="left", box=None, pad_edge=False)
    for heading in ("Section", *(short_day(on) for on in record.days), "Average"):
        sheet.add_column(heading)
    for row in record.rows:
        shares = (*row.shares, row.average)
        sheet.add_row(row.name, *("" if share is None else f"{round(100 * share)}" for share in shares))
    out.print(sheet)


COMMANDS = (guides, gradebook)
