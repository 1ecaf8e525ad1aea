"""The first page: the next reading day, and what is still to do."""

from dataclasses import dataclass
from datetime import date

from flask import Blueprint, render_template, url_for

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
from planner.core.term import Plan, Term
from planner.services.day.read_day import DayView, read_day
from planner.services.ports import UnitOfWork

pages = Blueprint("today", __name__)


@dataclass(frozen=True, slots=True)
class Step:
    """Something still to do before the term can run."""

    label: str
    href: str
    why: str


@pages.get("/")
def show() -> str:
    """The next reading day; before there is one, the steps that lead to it."""
    term, today = term_in_view(), tools().today()
    work = reading()
    steps = _steps(work, term) if sees_all() else []
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
        steps=steps,
        waiting=[on for on in planned if on < today and on not in read_on] if may("day.results") else [],
        choices=[] if sees_all() else ensembles(),
    )


def _titles(work: UnitOfWork, plan: Plan, days: list[date]) -> list[tuple[date, list[str]]]:
    """Days with the titles planned for them."""
    titles = work.pieces.titles({slot.piece_id for on in days for slot in plan.on(on)})
    pieces = {on: dict.fromkeys(slot.piece_id for slot in plan.on(on)) for on in days}
    return [(on, [titles[piece] for piece in pieces[on] if piece in titles]) for on in days]


def _steps(work: UnitOfWork, term: Term | None) -> list[Step]:
    ensemble = ensemble_in_view()
    steps = []
    if not work.pieces.count():
        steps.append(Step("Add scores", url_for("library.pieces") + "#add", "MusicXML files of your library"))
    if ensemble is None or not ensemble.sections:
        steps.append(
            Step("Name your sections", url_for("sections.listing"), "who reads which part, and how well")
        )
    if ensemble is not None and term is None:
        steps.append(Step("Set the term", url_for("term.new"), "its dates and its reading days"))
    if term is not None and work.terms.plan(term.id) is None:
        steps.append(
            Step("Plan the term", url_for("term.show", term_id=term.id), "the solver proposes, you decide")
        )
    return steps
