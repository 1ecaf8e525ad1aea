"""Pages about the plan of a term: what is proposed, what must be asked, what else could stand on a day."""

from datetime import date, timedelta
from functools import partial

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    ensembles,
    reading,
    term_shown,
    tools,
    whole_argument,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.day import SlotChoice, stored_day
from planner.adapters.web.forms.term import wish_mark
from planner.adapters.web.shown import MARK, come_back, first_shown, meet
from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.errors import ConflictError, InputError, PlannerError
from planner.services.plan.proposals import Proposal, drop_proposal, proposal_view, take_proposal
from planner.services.plan.term_facts import bare_plan
from planner.services.ports.work import UnitOfWork
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
    return render_template(
        shown,
        term=term,
        ensemble=ensemble,
        ensembles=ensembles(),
        known=found,
        has_proposal=reading().terms.proposal(term_id) is not None,
    )


@pages.get("/<on>/choices")
def choices(term_id: int, on: str) -> str:
    """What else could stand in one place of a day; with ``part`` for the inside of another page."""
    term, ensemble = term_shown(term_id)
    position, station = whole_argument("position") or 0, whole_argument("station")
    day = parse_date(on)
    view = show_choices(reading(), term_id, day, position, station, tools().today())
    shown = "term/choices_list.html" if request.args.get("part") else "term/choices.html"
    return render_template(
        shown,
        term=term,
        ensemble=ensemble,
        on=day,
        view=view,
        wish_mark=partial(wish_mark, reading().terms.wishes(term_id)),
        mark=_mark_of_day(term, ensemble, day),
        places=[SlotChoice(each.there, "").value for each in view.swaps],
        is_announced=day < tools().today() + timedelta(days=term.announced_days),
    )


def _mark_of_day(term: Term, ensemble: Ensemble, on: date) -> str:
    """The mark of a form that changes a day as it is now."""
    plan = bare_plan(reading(), term.id)
    return first_shown(stored_day(term, plan.slots if plan else (), on, ensemble)).mark


@pages.get("/proposal")
def proposal(term_id: int) -> str | BaseResponse:
    """What a new plan would change, day by day."""
    return _proposal_page(term_id) or _none_proposed(term_id)


def _proposal_page(term_id: int, error: PlannerError | None = None) -> str | None:
    """The page of a proposal; after an error as it was sent. None when nothing is proposed any more."""
    term, ensemble = term_shown(term_id)
    view = show_proposal(reading(), term, ensemble, tools().today())
    if view is None:
        return None
    stored, ticked = _stored_proposal(view.proposal), request.form.getlist("day")
    form = come_back(error, stored, {}, request.form.get(MARK, ""), _SPELL) if error else first_shown(stored)
    return render_template(
        "term/proposal.html", term=term, ensemble=ensemble, view=view, form=form, ticked=ticked
    )


def _none_proposed(term_id: int) -> BaseResponse:
    flash("Nothing is proposed; the plan stands.")
    return redirect(url_for("term.show", term_id=term_id))


def _stored_proposal(proposal: Proposal) -> dict[str, str]:
    """A proposal as the form that decides on it is made from: what would change, and what stands there."""
    return {
        "plan": " ".join(
            f"{change.on}:{','.join(str(s.piece_id) for s in change.before)}"
            f">{','.join(str(s.piece_id) for s in change.after)}"
            for change in proposal.changes
        )
    }


_SPELL = {"plan": lambda _: "not the one you looked at: it is shown below"}


@pages.post("/proposal")
def decide(term_id: int) -> BaseResponse | tuple[str, int]:
    """Take the proposal, or some of its days, or keep the plan in force."""
    try:
        with changing() as work:
            done = _decided(work, term_id)
    except (ConflictError, InputError) as error:
        page = _proposal_page(term_id, error)
        return (page, status_of(error)) if page else _none_proposed(term_id)
    flash(done)
    return redirect(url_for("term.show", term_id=term_id))


def _decided(work: UnitOfWork, term_id: int) -> str:
    """Do with the proposal what the form asks for; the sentence that says it.

    Raises:
        ConflictError: If it is no longer the one that was looked at, or a day of it cannot be taken.
        InputError: If no day is ticked, or nothing is asked for.
    """
    asked = request.form.get("do", "")
    found = proposal_view(work, term_id)
    if found is None:
        raise ConflictError("Nothing is proposed any more; the plan stands.")
    meet(_stored_proposal(found), {}, request.form.get(MARK, "")).refuse_moved()
    if asked == "keep":
        drop_proposal(work, term_id, by=author())
        return "The plan stays as it was announced."
    if asked == "all":
        take_proposal(work, term_id, None, tools().today(), by=author())
        return "The new plan is in force."
    if asked != "some":
        raise InputError("Say whether to keep the plan or to take the new one.")
    days = [parse_date(each) for each in request.form.getlist("day")]
    if not days:
        raise InputError("No day is ticked.", hint="Tick the days to take, or take the whole plan.")
    take_proposal(work, term_id, days, tools().today(), by=author())
    return f"{count_of(len(days), 'day')} taken from the new plan."
