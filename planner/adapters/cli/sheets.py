"""Commands that print: guides of a reading day, the gradebook."""

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path

import click

from planner.adapters.cli.context import (
    Session,
    format_option,
    home_option,
    new_table,
    notes,
    out,
    pick_ensemble_and_term,
    print_filed,
    print_json,
    print_made,
    print_paths,
    sure_option,
    term_options,
)
from planner.adapters.cli.jobs import do_in_foreground, exit_code_of_job, print_outcome
from planner.adapters.cli.read_in import look_option, read_in_file, stands_option
from planner.core.job import JobState
from planner.core.term import Term
from planner.errors import InputError, NotFoundError
from planner.marks.term_marks import TermDay
from planner.services.day.gradebook import publish_gradebook
from planner.services.day.marks import MarkRow, TermMarks, read_term_marks
from planner.services.day.read_day import Record, next_reading_day, read_record
from planner.services.jobs.kinds import KINDS
from planner.services.ports.files import Filed
from planner.services.sheets.files import find_guides
from planner.services.sheets.guides_job import GUIDES, guides_job, start_guides
from planner.services.sheets.views import SheetKind
from planner.services.term.terms import parse_date
from planner.services.toolbox import Toolbox, changing
from planner.wording.director.marks import mark_text, part_text, shown_mark
from planner.wording.director.on_paper import no_guide_note
from planner.wording.director.results import record_text
from planner.wording.words import short_day


@click.command()
@click.option("--on", help="The reading day, as 2026-09-01 (default: the next one).")
@click.option("--blanks", is_flag=True, help="Sheets to fill in from the part; the answers are behind each.")
@click.option("--large-print", is_flag=True, help="Sheets in 18 point with larger music, on up to two pages.")
@term_options
@format_option
@home_option
@click.pass_obj
def guides(
    session: Session,
    on: str | None,
    blanks: bool,
    large_print: bool,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> int:
    """Print the pre-read guides of a reading day: one PDF a part, and a packet for each piece.

    The director's sheet of each piece is made with them. With --blanks or --large-print the sheets are of
    that kind, and stand beside those that are there. Ctrl-C stops cleanly; what is printed by then stays.
    """
    if blanks and large_print:
        raise InputError("Choose --blanks or --large-print, not both.", hint="Run the command once for each.")
    kind = SheetKind.BLANKS if blanks else SheetKind.LARGE_PRINT if large_print else SheetKind.PLAIN
    tools = session.tools
    with changing(tools.work) as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, tools.today())
        day = parse_date(on) if on else next_reading_day(work, term, tools.today())
        job = start_guides(work, term.id, day, kind, session.author())
    made: list[Filed] = []
    job = do_in_foreground(session, job, {**KINDS, GUIDES: partial(guides_job, report=made.extend)})
    if job.state is not JobState.DONE:
        return print_outcome(job)
    if form == "json":
        print_paths(_paths(tools, made, term, day))
    elif not made:
        return print_outcome(job)
    else:
        print_filed(made)
    missing = no_guide_note(tuple(job.result["on_paper"]))
    if missing:
        notes.print(missing, markup=False)
    return exit_code_of_job(job)


def _paths(tools: Toolbox, made: Sequence[Filed], term: Term, on: date) -> list[Path]:
    """The files that were made; where another window made them, those of the day."""
    if made:
        return [each.path for each in made]
    with tools.work() as work:
        return find_guides(tools.exports, work, term, on)


@click.command()
@click.option(
    "--show", "is_shown", is_flag=True, help="Show first readings and marks day by day; write nothing."
)
@click.option("--of", "of_whom", help="Show what made the marks of a section or player; write nothing.")
@click.option(
    "--read-in",
    "file",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="Take in what was typed into FILE, a gradebook that this program wrote.",
)
@look_option
@stands_option
@sure_option
@term_options
@format_option
@home_option
@click.pass_obj
def gradebook(
    session: Session,
    is_shown: bool,
    of_whom: str | None,
    file: Path | None,
    look: bool,
    stands: str | None,
    sure: bool,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> int:
    """Write the gradebook of a term as a workbook that can be filled in, or take one in.

    What is taken in with --read-in is looked at first with --look. The exit code is 2 when a cell was refused
    (the others are taken), and 4 when a cell was changed in the library too and --stands is not given.
    """
    if file is not None:
        return read_in_file(session, file, look=look, stands=stands or "", sure=sure, form=form)
    tools = session.tools
    with tools.work() as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, tools.today())
        if is_shown or of_whom:
            marks = read_term_marks(work, term.id, today=tools.today())
        if of_whom:
            _show_makings(term, _rows_named(marks, of_whom), form)
            return 0
        if is_shown:
            _show_record(term, read_record(work, term), marks, form)
            return 0
        made = publish_gradebook(
            work,
            tools.gradebook_writer,
            term_id=term.id,
            exports=tools.exports,
            today=tools.today(),
        )
    print_made([made], form)
    return 0


def _rows_named(marks: TermMarks, name: str) -> list[MarkRow]:
    """The sections and players of that name.

    Raises:
        NotFoundError: If there is none.
    """
    wanted = name.strip().casefold()
    found = [row for row in (*marks.sections, *marks.players) if row.name.casefold() == wanted]
    if not found:
        raise NotFoundError("section or player", name, hint="See the gradebook: planner gradebook --show")
    return found


def _show_makings(term: Term, rows: Sequence[MarkRow], form: str) -> None:
    """What made the marks of sections or players, day by day."""
    if form == "json":
        found = [
            {**_plain_row(row), "makings": [_plain_making(day) for day in row.term.days]} for row in rows
        ]
        print_json({"format": "mark-makings", "version": 1, "term": term.name, "rows": found})
        return
    for row in rows:
        named = f"{row.name}, {row.section}" if row.section else row.name
        mark = f"{shown_mark(row.term.mark)} {row.term.word}".strip() or "no mark"
        out.print(f"{named}: {mark}", markup=False)
        for each in row.term.days:
            weight = "left out" if not each.counts else f"weight {mark_text(each.weight)}"
            out.print(
                f"  {short_day(each.day.on)}: {shown_mark(each.day.mark) or 'none'}, {weight}", markup=False
            )
            for part in each.day.parts:
                out.print(f"    {part_text(part)}", markup=False)


def _plain_row(row: MarkRow) -> dict[str, object]:
    mark = row.term.mark
    return {
        "name": row.name, "section": row.section or None, "mark": shown_mark(mark) or None,
        "exact": None if mark is None else str(mark), "word": row.term.word,
        "days": {
            each.day.on.isoformat(): {
                "mark": shown_mark(each.day.mark) or None, "counts": each.counts,
                "attendance": row.entered[each.day.on].attendance if each.day.on in row.entered else None,
            }
            for each in row.term.days
        },
    }  # fmt: skip


def _plain_making(each: TermDay) -> dict[str, object]:
    return {
        "on": each.day.on, "mark": shown_mark(each.day.mark) or None, "weight": mark_text(each.weight),
        "dropped": each.is_dropped,
        "parts": [
            {"source": part.source, "mark": shown_mark(part.mark), "weight": mark_text(part.weight),
             "left_out": part.left_out, "piece": part.name, "fell_apart": part.fell_apart,
             "shares": [{"kind": each.kind, "share": str(each.share), "weight": mark_text(each.weight)}
                        for each in part.shares]}
            for part in each.day.parts
        ],
    }  # fmt: skip


def _print_marks(term: Term, marks: TermMarks) -> None:
    sheet = new_table(("Name", "Term", *(short_day(on) for on in marks.days)), title=f"Marks, {term.name}")
    for row in (*marks.sections, *marks.players):
        by_day = {each.day.on: each.day.mark for each in row.term.days}
        days = (shown_mark(by_day.get(on)) for on in marks.days)
        sheet.add_row(row.name, shown_mark(row.term.mark), *days)
    out.print(sheet)


def _show_record(term: Term, record: Record, marks: TermMarks, form: str) -> None:
    """The first readings and the marks of a term, a row a section or player and a column a day."""
    if form == "json":
        rows = [
            {"section": row.name, "shares": row.shares, "apart": row.apart, "average": row.average}
            for row in record.rows
        ]
        print_json({
            "format": "gradebook", "version": 1, "term": term.name, "days": record.days, "sections": rows,
            "marks": [_plain_row(row) for row in (*marks.sections, *marks.players)],
        })  # fmt: skip
        return
    sheet = new_table(
        ("Section", *(short_day(on) for on in record.days), "Average"),
        title=f"Bars right of 100, {term.name}",
    )
    for row in record.rows:
        shares = zip((*row.shares, row.average), (*row.apart, False), strict=True)
        sheet.add_row(row.name, *(record_text(share, fell_apart=apart) for share, apart in shares))
    out.print(sheet)
    _print_marks(term, marks)


COMMANDS = (guides, gradebook)
