"""Commands about what to read: match the library, plan a term, log results."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import click
from rich.table import Table

from planner.adapters.cli.context import (
    NUMBER,
    Session,
    answers_of,
    ensemble_option,
    format_option,
    home_option,
    notes,
    out,
    pick_ensemble,
    pick_piece,
    pick_term,
    print_filed,
    print_json,
    sure_option,
    term_option,
)
from planner.adapters.cli.term.values import changed_term, is_changed, new_term, value_options
from planner.core.ensemble import Ensemble, Section
from planner.core.term import Term
from planner.errors import InputError, NotFoundError
from planner.services.day.log_results import log_results, stored_entries
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import Answers
from planner.services.entered.shares import read_bars
from planner.services.match.match_pieces import MatchView, match
from planner.services.plan.plan_term import PlanView, plan_term
from planner.services.ports import Filed, UnitOfWork
from planner.services.term.publish_plan import publish_plan
from planner.services.term.terms import keep_term, parse_date
from planner.services.term.wishes import ban, pin, withdraw_wish
from planner.services.toolbox import changing
from planner.wording.director.levels import section_moved
from planner.wording.director.matching import comfort_notes, ranking_reasons, uncovered_notes, verdict_summary
from planner.wording.director.on_paper import unentered_note
from planner.wording.director.plan import slot_reasons
from planner.wording.director.sections import misfit_notes
from planner.wording.words import WEEKDAYS


@click.command(name="match")
@ensemble_option
@click.option("--on", help="Day whose players count (default: today).")
@click.option("--most", default=20, show_default=True, help="Candidates to show.")
@format_option
@home_option
@click.pass_obj
def match_command(session: Session, ensemble_name: str | None, on: str | None, most: int, form: str) -> None:
    """Show what each section can just read, and the best fresh candidates."""
    day = parse_date(on) if on else session.tools.today()
    with session.tools.work() as work:
        view = match(work, pick_ensemble(work, ensemble_name).id, day, most=most)
    if form == "json":
        print_json(_match_as_json(view))
        return
    _print_match(view)


def _match_as_json(view: MatchView) -> dict[str, object]:
    return {
        "format": "match",
        "version": 1,
        "ensemble": view.ensemble.name,
        "on": view.on.isoformat(),
        "met": view.met,
        "uncastable": view.uncastable,
        "unentered": view.unentered,
        "candidates": [
            {"id": c.piece.id, "title": c.piece.title, "level": c.outlook.level,
             "minutes": round(c.minutes, 1),
             "hardest": c.outlook.hardest.section.name if c.outlook.hardest else None,
             "reasons": ranking_reasons(c.outlook), "uncovered": uncovered_notes(c.outlook),
             "out_of_range": comfort_notes(c.outlook)}
            for c in view.candidates
        ],
        "sections": [
            {"name": s.section.name, "level": round(s.section.level, 2),
             "just_readable": [p.title for p in s.just_readable],
             "too_easy": s.too_easy, "too_hard": s.too_hard, "without_part": s.without_part}
            for s in view.sections
        ],
    }  # fmt: skip


def _print_match(view: MatchView) -> None:
    sheet = Table(title=f"Fresh candidates for {view.ensemble.name}", title_justify="left", box=None)
    for heading in ("Level", "Min.", "Piece", "Why"):
        sheet.add_column(heading)
    for one in view.candidates:
        level = "" if one.outlook.level is None else f"{one.outlook.level:.1f}"
        why = verdict_summary(one.outlook.fits)
        sheet.add_row(level, f"{one.minutes:.0f}", one.piece.title, why)
    out.print(sheet)
    if view.met:
        out.print(f"{view.met} left out because someone in the room can know them.")
    if view.uncastable:
        out.print(f"{view.uncastable} left out because they are written for other forces.")
    if view.unentered:
        out.print(unentered_note(view.unentered), markup=False)
    sheet = Table(title="Section by section", title_justify="left", box=None)
    for heading in ("Section", "Level", "Can just read", "Too easy", "Too hard", "No part"):
        sheet.add_column(heading)
    for section in view.sections:
        counts = (len(section.just_readable), section.too_easy, section.too_hard, section.without_part)
        sheet.add_row(section.section.name, f"{section.section.level:.1f}", *map(str, counts))
    out.print(sheet)


@click.command()
@ensemble_option
@term_option
@value_options
@sure_option
@click.option("--pin", "pins", multiple=True, help="PIECE@DATE: put this piece on this day.")
@click.option(
    "--ban", "bans", multiple=True, help="PIECE or PIECE@DATE: not in the term, or not on that day."
)
@click.option("--free", "freed", multiple=True, help="PIECE or PIECE@DATE: take back a pin or ban.")
@click.option("--every-day", is_flag=True, help="Insist on a piece for every day; else days may stay open.")
@click.option("--limit-s", type=NUMBER, help="Seconds the search may take.")
@format_option
@home_option
@click.pass_obj
def plan(
    session: Session,
    /,
    sure: bool,
    ensemble_name: str | None,
    term_name: str | None,
    pins: Sequence[str],
    bans: Sequence[str],
    freed: Sequence[str],
    every_day: bool,
    limit_s: float | None,
    form: str,
    **asked: Any,
) -> None:
    """Fill a term with reading days, or fill it again.

    With --first, --last and --weekday a new term is set first, unless --term names one that is there: that
    is changed, as by ‘planner terms set’. Past days and pinned pieces stay.
    """
    tools, today, by = session.tools, session.tools.today(), session.author()
    with changing(tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        term = _term_asked(work, ensemble, term_name, asked, session, answers_of(sure))
        for action, wishes in ((pin, pins), (ban, bans)):
            for wish in wishes:
                piece_id, on = _wish(work, wish)
                action(work, term.id, piece_id, on, today, by=by)
        for wish in freed:
            withdraw_wish(work, term.id, *_wish(work, wish), by=by)
    with notes.status("Searching for the best plan …"):
        limit_s = limit_s or tools.settings.plan_limit_s
        view = plan_term(
            tools.work, term.id, today, by=session.author(), limit_s=limit_s, leave_open=not every_day
        )
    with changing(tools.work) as work:
        files = publish_plan(
            work, tools.plan_writers, term_id=term.id, exports=tools.exports, today=today,
            now=tools.now(),
        )  # fmt: skip
    if form == "json":
        print_json(_plan_as_json(view, files))
    else:
        _print_plan(view, files)


def _term_asked(
    work: UnitOfWork,
    ensemble: Ensemble,
    name: str | None,
    asked: Mapping[str, Any],
    session: Session,
    answers: Answers,
) -> Term:
    """The term to plan: a new one, or one that is there with what was asked changed in it."""
    today, zone = session.tools.today(), session.tools.machine_zone()
    is_whole = bool(asked["first"] and asked["last"])
    wanted = (name or (f"Term from {parse_date(asked['first'])}" if is_whole else "")).casefold()
    there = [term for term in work.terms.list_terms(ensemble.id) if term.name.casefold() == wanted]
    if is_whole and not there:
        new = new_term(ensemble.id, name, asked, zone)
        return keep_term(work, new, by=session.author(), today=today, answers=answers)
    term = there[0] if there else pick_term(work, ensemble, name, today)
    if is_changed(asked):
        changed = changed_term(term, asked, zone)
        term = keep_term(work, changed, by=session.author(), today=today, answers=answers)
    return term


def _wish(work: UnitOfWork, text: str) -> tuple[int, date | None]:
    name, at, day = text.rpartition("@")
    if not at:
        name, day = text, ""
    return pick_piece(work, name).id, parse_date(day) if day else None


def _plan_as_json(view: PlanView, files: Sequence[Filed]) -> dict[str, object]:
    return {
        "format": "term-plan",
        "version": 1,
        "term": view.term.name,
        "cost": view.plan.cost,
        "bound": view.plan.bound,
        "proven": view.plan.is_proven,
        "slots": [
            {"on": s.slot.on.isoformat(), "position": s.slot.position, "piece": s.piece.title,
             "piece_id": s.piece.id, "level": s.level, "focus": s.slot.focus, "featured": s.featured,
             "minutes": s.slot.minutes, "pinned": s.slot.is_pinned, "past": s.is_past,
             "reasons": slot_reasons(s.slot, view.ensemble.sections)}
            for s in view.slots
        ],
        "open": [day.isoformat() for day in view.open_dates],
        "notes": view.notes,
        "files": [str(each.path) for each in files],
    }  # fmt: skip


def _print_plan(view: PlanView, files: Sequence[Filed]) -> None:
    sheet = Table(title=view.term.name, title_justify="left", box=None)
    for heading in ("Day", "Level", "Piece", "Focus", "Leading"):
        sheet.add_column(heading)
    for one in view.slots:
        level = "" if one.level is None else f"{one.level:.1f}"
        mark = " (pinned)" if one.slot.is_pinned else ""
        day = f"{WEEKDAYS[one.slot.on.weekday()][:3]} {one.slot.on}"
        sheet.add_row(day, level, one.piece.title + mark, one.slot.focus, one.featured)
    out.print(sheet)
    for note in view.notes:
        notes.print(note, markup=False)
    print_filed(files)


@click.command()
@click.option("--on", required=True, help="The reading day, as 2026-09-01.")
@click.option("--piece", help="Title or number (default: what was planned for the day).")
@click.argument("readings", nargs=-1)
@click.option(
    "--file", "table", type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="CSV with the columns section, first, second, problems (bars right of 100), counts (yes or no).",
)  # fmt: skip
@click.option(
    "--does-not-count", "set_aside", multiple=True,
    help="A section whose result moves no level, or ‘all’: a fire drill, half the section away.",
)  # fmt: skip
@click.option("--counts", "back", multiple=True, help="A section whose result counts again, or ‘all’.")
@sure_option
@ensemble_option
@term_option
@format_option
@home_option
@click.pass_obj
def results(
    session: Session,
    on: str,
    piece: str | None,
    readings: Sequence[str],
    table: Path | None,
    set_aside: Sequence[str],
    back: Sequence[str],
    sure: bool,
    ensemble_name: str | None,
    term_name: str | None,
    form: str,
) -> None:
    """Log how sections read: READINGS such as "Flute=85" or "Clarinet 2=60,80" (bars right of 100).

    "Flute=" takes the result back.
    """
    tools, day = session.tools, parse_date(on)
    with changing(tools.work) as work:
        ensemble = pick_ensemble(work, ensemble_name)
        if piece is not None:
            piece_id = pick_piece(work, piece).id
        else:
            term = pick_term(work, ensemble, term_name, day)
            planned = work.terms.plan(term.id)
            slots = planned.on(day) if planned else ()
            if len(slots) != 1:
                raise InputError(f"{len(slots)} pieces are planned for {on}; say which with --piece.")
            piece_id = slots[0].piece_id
        rows = _table_rows(table) if table else [_reading(text) for text in readings]
        entries = {entry.section_id: entry for entry in (_entry(ensemble, piece_id, row) for row in rows)}
        stored = stored_entries(work, ensemble.id, day, piece_id)
        entries = _marked(ensemble, entries, stored, set_aside, counts=False)
        entries = _marked(ensemble, entries, stored, back, counts=True)
        if not entries:
            raise InputError("Give at least one reading, such as “Flute=85”, or a table with --file.")
        logged = log_results(
            work, ensemble.id, day, list(entries.values()), by=session.author(),
            today=tools.today(), answers=answers_of(sure),
        )  # fmt: skip
    if form == "json":
        print_json({
            "format": "logged-day", "version": 1, "on": on,
            "levels": [{"section": c.section.name, "before": round(c.before, 2), "after": round(c.after, 2)}
                       for c in logged.changes],
            "unexpected": [{"section": name, "kind": m.kind, "since": m.since, "until": m.until,
                            "days": m.days} for name, m in logged.misfits.items()],
        })  # fmt: skip
        return
    for change in logged.changes:
        out.print(section_moved(change.section.name, change.before, change.after, change.error), markup=False)
    if not logged.changes:
        out.print("Saved. No level moves.")
    for note in misfit_notes(logged.misfits, len({result.section_id for result in logged.results})):
        out.print(note, markup=False)


Row = tuple[str, str, str, str, str]


def _marked(
    ensemble: Ensemble,
    entries: Mapping[int, ResultEntry],
    stored: Mapping[int, ResultEntry],
    names: Sequence[str],
    *,
    counts: bool,
) -> dict[int, ResultEntry]:
    """The entries with some sections' results counting or not, those entered before among them."""
    known, marked = {**stored, **entries}, dict(entries)
    for name in names:
        ids = list(known) if name.strip().casefold() == "all" else [_section_named(ensemble, name).id]
        for section_id in ids:
            if section_id not in known:
                raise NotFoundError("result", f"of {name.strip()} on that day", hint="Enter it first.")
            marked[section_id] = replace(known[section_id], counts=counts)
    return marked


def _reading(text: str) -> Row:
    name, equals, shares = text.rpartition("=")
    if not equals:
        raise InputError(f"“{text}” is not a reading; write it as “Flute=85” or “Flute=85,95”.")
    first, _, second = shares.partition(",")
    return name.strip(), first, second, "", ""


def _table_rows(path: Path) -> list[Row]:
    try:
        rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path.name} cannot be read as a table: {error}.") from error
    if rows and not {"section", "first"} <= set(rows[0]):
        raise InputError(f"{path.name} needs the columns section and first.")
    return [
        (
            row["section"],
            row["first"],
            row.get("second") or "",
            row.get("problems") or "",
            row.get("counts") or "",
        )
        for row in rows
        if (row["first"] or "").strip() or (row.get("second") or "").strip()
    ]


def _entry(ensemble: Ensemble, piece_id: int, row: Row) -> ResultEntry:
    name, first, second, problems, counts = row
    section = _section_named(ensemble, name)
    share, again = read_bars(name, first), read_bars(name, second)
    words = tuple(word for word in problems.replace(",", " ").split() if word)
    return ResultEntry(section.id, piece_id, share, again, problems=words, counts=_yes_or_no(name, counts))


def _section_named(ensemble: Ensemble, name: str) -> Section:
    section = next((s for s in ensemble.sections if s.name.casefold() == name.strip().casefold()), None)
    if section is None:
        raise NotFoundError("section", f"“{name}” in {ensemble.name}")
    return section


def _yes_or_no(section: str, text: str) -> bool | None:
    """Whether a result counts; None where the table does not say."""
    known = {"": None, "yes": True, "no": False}
    word = text.strip().casefold()
    if word not in known:
        raise InputError(f"{section}: under “counts” write yes or no, not “{text.strip()}”.")
    return known[word]


COMMANDS = (match_command, plan, results)
