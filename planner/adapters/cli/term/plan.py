"""Commands about what to read: match the library, plan a term."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import click

from planner.adapters.cli.context import (
    NUMBER,
    Session,
    answers_of,
    ensemble_option,
    format_option,
    home_option,
    new_table,
    notes,
    out,
    pick_ensemble,
    pick_piece,
    pick_term,
    print_filed,
    print_json,
    sure_option,
    term_options,
)
from planner.adapters.cli.term.values import changed_term, is_changed, new_term, value_options
from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.services.entered.answers import Answers
from planner.services.match.match_pieces import MatchView, match
from planner.services.plan.plan_term import PlanView, plan_term
from planner.services.ports.files import Filed
from planner.services.ports.work import UnitOfWork
from planner.services.term.publish_plan import publish_plan
from planner.services.term.terms import keep_term, parse_date
from planner.services.term.wishes import ban, pin, withdraw_wish
from planner.services.toolbox import changing
from planner.wording.director.matching import comfort_notes, ranking_reasons, uncovered_notes, verdict_summary
from planner.wording.director.on_paper import unentered_note
from planner.wording.director.plan import slot_reasons
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
    sheet = new_table(("Level", "Min.", "Piece", "Why"), title=f"Fresh candidates for {view.ensemble.name}")
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
    sheet = new_table(
        ("Section", "Level", "Can just read", "Too easy", "Too hard", "No part"), title="Section by section"
    )
    for section in view.sections:
        counts = (len(section.just_readable), section.too_easy, section.too_hard, section.without_part)
        sheet.add_row(section.section.name, f"{section.section.level:.1f}", *map(str, counts))
    out.print(sheet)


@click.command()
@term_options
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
    sheet = new_table(("Day", "Level", "Piece", "Focus", "Leading"), title=view.term.name)
    for one in view.slots:
        level = "" if one.level is None else f"{one.level:.1f}"
        mark = " (pinned)" if one.slot.is_pinned else ""
        day = f"{WEEKDAYS[one.slot.on.weekday()][:3]} {one.slot.on}"
        sheet.add_row(day, level, one.piece.title + mark, one.slot.focus, one.featured)
    out.print(sheet)
    for note in view.notes:
        notes.print(note, markup=False)
    print_filed(files)


COMMANDS = (match_command, plan)
