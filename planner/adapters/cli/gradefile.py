"""The command for the file of marks that a school's own system takes."""

from dataclasses import replace
from typing import Any

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    out,
    pick_ensemble,
    pick_term,
    print_json,
    print_made,
    term_options,
)
from planner.core.school_file import (
    DATE_FORMS,
    DECIMAL_MARKS,
    ENCODINGS,
    SEPARATORS,
    SchoolRows,
    school_file_values,
)
from planner.services.school_file.choose import choose_school_file, columns_from_words, school_file
from planner.services.school_file.write import publish_school_file
from planner.services.toolbox import changing
from planner.wording.director.school_file import CHOICE_WORDS, COLUMN_WORDS, FIELD_LABELS


@click.command()
@click.option("--columns", help='Columns in order, such as "last-name,first-name,mark=Grade".')
@click.option("--rows", type=click.Choice(list(SchoolRows)), help="A row for each player, or for each day.")
@click.option(
    "--headings/--no-headings", "has_headings", default=None, help="Whether a row names the columns."
)
@click.option("--separator", type=click.Choice(list(SEPARATORS)), help="What stands between cells.")
@click.option("--encoding", type=click.Choice(list(ENCODINGS)), help="How letters are written.")
@click.option("--decimal-mark", type=click.Choice(list(DECIMAL_MARKS)), help="Within marks.")
@click.option("--date-form", type=click.Choice(list(DATE_FORMS)), help="How dates are written.")
@click.option(
    "--guard/--no-guard", "is_guarded", default=None,
    help="Whether text like a formula gets an apostrophe before it.",
)  # fmt: skip
@click.option("--show", is_flag=True, help="Show how the file is written; write nothing.")
@term_options
@format_option
@home_option
@click.pass_obj
def gradefile(
    session: Session, /, columns: str | None, show: bool, ensemble_name: str | None, term_name: str | None,
    form: str, **given: Any,
) -> None:  # fmt: skip
    """Write the marks of a term as a .csv file for the school's own system; what is chosen is kept."""
    tools = session.tools
    chosen = {name: value for name, value in given.items() if value is not None}
    if columns is not None:
        chosen["columns"] = columns_from_words(columns)
    if "rows" in chosen:
        chosen["rows"] = SchoolRows(chosen["rows"])
    with changing(tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        if chosen:
            choice = replace(school_file(work, ensemble.id), **chosen)
            choose_school_file(work, ensemble, choice, by=session.author())
        if show:
            _show(school_file_values(school_file(work, ensemble.id)), form)
            return
        term = pick_term(work, ensemble, term_name, tools.today())
        made = publish_school_file(
            work, tools.file_writer, term_id=term.id, exports=tools.exports, today=tools.today()
        )
    print_made([made], form)


def _show(values: dict[str, Any], form: str) -> None:
    if form == "json":
        print_json({"format": "school-file", "version": 1, **values})
        return
    for column, heading in values["columns"]:
        out.print(f"{column}: {COLUMN_WORDS[column]}, headed “{heading}”", markup=False)
    for name, label in FIELD_LABELS.items():
        out.print(f"{label}: {CHOICE_WORDS[name][values[name]]}", markup=False)
    out.print(f"Headings: {'yes' if values['has_headings'] else 'no'}")
    out.print(f"Apostrophe before formulas: {'yes' if values['is_guarded'] else 'no'}")


COMMANDS = (gradefile,)
