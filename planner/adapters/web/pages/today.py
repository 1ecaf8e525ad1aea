"""The first page, the director's desk: the next day, the week, whom to watch, what waits."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from flask import Blueprint, current_app, render_template, url_for

from planner.adapters.web.access import may
from planner.adapters.web.context import (
    ensemble_in_view,
    ensembles,
    own_sections,
    reading,
    sees_all,
    term_in_view,
    tools,
)
from planner.adapters.web.first_steps import first_steps
from planner.adapters.web.own_guides import own_guides
from planner.services.day.read_day import DayView
from planner.services.desk.notes import WaitNote, wait_notes, watch_notes
from planner.services.desk.read_desk import Desk, read_desk

pages = Blueprint("today", __name__)


@dataclass(frozen=True, slots=True)
class WaitLink:
    """A line about what waits, with the page on which it is done."""

    text: str
    href: str


@pages.get("/")
def show() -> str:
    """The desk; before there is a plan, the steps that lead to one."""
    ensemble, term, only = ensemble_in_view(), term_in_view(), own_sections()
    desk = read_desk(reading(), tools().locks, ensemble, term, tools().today(), only=only)
    sections = [s for s in ensemble.sections if only is None or s.id in only] if ensemble else []
    return render_template(
        "today/home.html",
        ensemble=ensemble,
        term=term,
        desk=desk,
        today=desk.today,
        next_day=desk.next_day,
        packets=_packets(desk.next_day),
        room=_of_day("room.show", desk.next_day.term.id, desk.next_day.on) if desk.next_day else "",
        results_of=_results_of,
        steps=first_steps(),
        waits=[WaitLink(note.text, _place_of(desk, note)) for note in wait_notes(desk)],
        watch=watch_notes(desk.watch, len(sections)),
        choices=[] if sees_all() else ensembles(),
        sees_all=sees_all(),
    )


def _packets(day: DayView | None) -> Sequence[Path]:
    """The printed guides that are one click away: a director's packets, a section leader's own sheets."""
    found = own_guides(day) if day is not None else []
    return [path for path in found if path.stem == "packet"] if sees_all() else found


def _of_day(endpoint: str, term_id: int, on: date) -> str:
    """The address of a page of a day; empty where there is none, or it is closed to whoever asks."""
    if endpoint not in current_app.view_functions or not may(endpoint):
        return ""
    return url_for(endpoint, term_id=term_id, on=on.isoformat())


def _results_of(term_id: int, on: date) -> str:
    """Where the results of a day are entered."""
    own_page = _of_day("results.show", term_id, on)
    return own_page or url_for("day.show", term_id=term_id, on=on.isoformat()) + "#results"


def _place_of(desk: Desk, note: WaitNote) -> str:
    """Where what waits is done."""
    if note.leads_to == "import":
        return url_for("imports.show", job_id=note.job)
    if note.leads_to == "job" or desk.term is None:
        return url_for("jobs.listing")
    if note.leads_to == "proposal":
        return url_for("plan.proposal", term_id=desk.term.id)
    if note.on is not None:
        return _results_of(desk.term.id, note.on)
    return url_for("term.show", term_id=desk.term.id)
