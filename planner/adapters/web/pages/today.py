"""The first page: the next reading day, and what is still to do."""

from datetime import date

from flask import Blueprint, render_template

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
from planner.core.term import Plan
from planner.services.day.read_day import DayView, read_day
from planner.services.ports import UnitOfWork

pages = Blueprint("today", __name__)


@pages.get("/")
def show() -> str:
    """The next reading day; before there is one, the steps that lead to it."""
    term, today = term_in_view(), tools().today()
    work = reading()
    plan = work.terms.plan(term.id) if term else None
    reading_dates = set(term.reading_dates()) if term else set()
    planned = sorted({slot.on for slot in plan.slots} & reading_dates) if plan else []
    results, own = work.results.list_results(term.ensemble_id) if term else (), own_sections()
    read_on = {result.on for result in results if not own or result.section_id in own}
    ahead = [on for on in planned if on >= today and on not in read_on]
    next_day: DayView | None = read_day(work, term.id, ahead[0]) if term and ahead else None
    return render_template(
        "today/home.html",
        ensemble=ensemble_in_view(),
        term=term,
        today=today,
        next_day=next_day,
        after_next=_titles(work, plan, ahead[1:4]) if plan else [],
        steps=first_steps(),
        waiting=[on for on in planned if on < today and on not in read_on] if may("results.save") else [],
        choices=[] if sees_all() else ensembles(),
    )


def _titles(work: UnitOfWork, plan: Plan, days: list[date]) -> list[tuple[date, list[str]]]:
    """Days with the titles planned for them."""
    titles = work.pieces.titles({slot.piece_id for on in days for slot in plan.on(on)})
    pieces = {on: dict.fromkeys(slot.piece_id for slot in plan.on(on)) for on in days}
    return [(on, [titles[piece] for piece in pieces[on] if piece in titles]) for on in days]
