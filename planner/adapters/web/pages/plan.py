"""Pages about the plan of a term: what is proposed, what must be asked, what else could stand on a day."""

from datetime import date, timedelta
from functools import partial

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    ensembles,
    number_argument,
    reading,
    term_shown,
    tools,
)
from planner.adapters.web.term_form import wish_mark
from planner.errors import InputError
from planner.services.plan.proposals import drop_proposal, take_proposal
from planner.services.term.terms import parse_date
from planner.services.term_page.show_breaches import known_slots
from planner.services.term_page.show_choices import show_choices
from planner.services.term_page.show_proposal import show_proposal
from planner.wording.words import count_of

pages = Blueprint("plan", __name__, url_prefix="/term/<int:term_id>")


@pages.get("/known")
def known(term_id: int) -> str:
    """Planned pieces that somebody in the room knows by now; with ``part`` for the inside of another page."""
    term, ensemble = term_shown(term_id)
    found = known_slots(reading(), term, ensemble, tools().today())
    shown = "term/known_list.html" if request.args.get("part") else "term/known.html"
    return render_template(shown, term=term, ensemble=ensemble, ensembles=ensembles(), known=found)


@pages.get("/<on>/choices")
def choices(term_id: int, on: str) -> str:
    """What else could stand in one place of a day; with ``part`` for the inside of another page."""
    term, ensemble = term_shown(term_id)
    position, station = int(number_argument("position") or 0), number_argument("station")
    day = parse_date(on)
    view = show_choices(
        reading(), term_id, day, position, None if station is None else int(station), tools().today()
    )
    shown = "term/choices_list.html" if request.args.get("part") else "term/choices.html"
    return render_template(
        shown,
        term=term,
        ensemble=ensemble,
        on=day,
        view=view,
        wish_mark=partial(wish_mark, reading().terms.wishes(term_id)),
        is_announced=day < tools().today() + timedelta(days=term.announced_days),
    )


@pages.get("/proposal")
def proposal(term_id: int) -> str | BaseResponse:
    """What a new plan would change, day by day."""
    term, ensemble = term_shown(term_id)
    view = show_proposal(reading(), term, ensemble, tools().today())
    if view is None:
        flash("Nothing is proposed; the plan stands.")
        return redirect(url_for("term.show", term_id=term_id))
    return render_template("term/proposal.html", term=term, ensemble=ensemble, view=view)


@pages.post("/proposal")
def decide(term_id: int) -> BaseResponse:
    """Take the proposal, or some of its days, or keep the plan in force."""
    asked = request.form.get("do", "")
    days = [parse_date(each) for each in request.form.getlist("day")]
    if asked == "keep":
        with changing() as work:
            drop_proposal(work, term_id, by=author())
        flash("The plan stays as it was announced.")
    elif asked in ("all", "some"):
        _take(term_id, None if asked == "all" else days)
    else:
        raise InputError("Say whether to keep the plan or to take the new one.")
    return redirect(url_for("term.show", term_id=term_id))


def _take(term_id: int, days: list[date] | None) -> None:
    if days is not None and not days:
        raise InputError("No day is ticked.", hint="Tick the days to take, or take the whole plan.")
    with changing() as work:
        take_proposal(work, term_id, days, tools().today(), by=author())
    flash(
        "The new plan is in force."
        if days is None
        else f"{count_of(len(days), 'day')} taken from the new plan."
    )
