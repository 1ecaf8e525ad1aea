"""Pages of a term: its dates, its calendar, planning, pins and bans, downloads."""

from collections.abc import Mapping, Sequence

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    date_argument,
    ensemble_in_view,
    needed_number,
    reading,
    term_shown,
    terms_in_view,
    tools,
)
from planner.adapters.web.download import as_download
from planner.adapters.web.errors import status_of
from planner.adapters.web.pages.jobs import words as job_words
from planner.adapters.web.term_chart import draw_term
from planner.adapters.web.term_form import NEW_TERM, changed_by_form, form_as_sent, form_values
from planner.core.term import Term
from planner.errors import InputError, NotFoundError
from planner.services.plan.plan_job import start_planning
from planner.services.ports import PlanWriter, UnitOfWork
from planner.services.term.publish_plan import publish_plan
from planner.services.term.terms import keep_term, lost_slots, remove_term
from planner.services.term.wishes import ban, pin, withdraw_wish
from planner.services.term_page.show_term import last_planning, show_term
from planner.wording.director.conflict import error_words
from planner.wording.director.term_days import fallen_sentence
from planner.wording.words import WEEKDAYS

pages = Blueprint("term", __name__, url_prefix="/term")


@pages.get("/<int:term_id>")
def show(term_id: int) -> str:
    """The term at a glance, and day by day what is planned, why, and what each section should get right."""
    (term, ensemble), today = term_shown(term_id), tools().today()
    view = show_term(reading(), term, ensemble, today)
    ahead = [day.on for day in view.picture.days if day.slots and day.on >= today]
    return render_template(
        "term/show.html",
        ensemble=ensemble,
        term=term,
        terms=terms_in_view(),
        picture=view.picture,
        plan=view.plan,
        unlogged=view.unlogged,
        broken=view.broken,
        drawing=draw_term(view.picture) if view.plan and view.picture.days else None,
        today=today,
        next_on=min(ahead, default=None),
        titles=view.titles,
        wishes=view.wishes,
        job=last_planning(reading(), tools().locks, term_id),
        has_proposal=reading().terms.proposal(term_id) is not None,
        **job_words(),
    )


@pages.post("/<int:term_id>/plan")
def plan(term_id: int) -> BaseResponse:
    """Have what is still to come planned, in the background."""
    with changing() as work:
        start_planning(work, term_id, author(), leave_open=not request.form.get("every_day"))
    return redirect(url_for("term.show", term_id=term_id))


@pages.post("/<int:term_id>/wish")
def wish(term_id: int) -> BaseResponse:
    """Pin or ban a piece, or take that back."""
    piece_id, on, today = int(needed_number("piece")), date_argument("on"), tools().today()
    asked = request.form.get("do", "")
    with changing() as work:
        if asked == "pin":
            pin(work, term_id, piece_id, on, today, by=author(), anyway=bool(request.form.get("anyway")))
        elif asked in ("ban", "ban-term"):
            ban(work, term_id, piece_id, on if asked == "ban" else None, today, by=author())
        elif asked in ("unpin", "unban"):
            withdraw_wish(work, term_id, piece_id, on, by=author())
        else:
            raise InputError("That wish is not one the planner knows.", hint="Pin a piece or ban it.")
    flash("Noted. It takes effect when you plan again.")
    return redirect(url_for("term.show", term_id=term_id))


@pages.route("/new", methods=["GET", "POST"])
def new() -> str | BaseResponse | tuple[str, int]:
    """Begin a term."""
    ensemble = ensemble_in_view()
    if ensemble is None:
        raise NotFoundError("ensemble", "yet", hint="Name your ensemble first; the term is its own.")
    if request.method == "POST":
        today = tools().today()
        empty = Term(0, ensemble.id, "", today, today, ())
        try:
            with changing() as work:
                changed = changed_by_form(empty, request.form, tools().machine_zone())
                kept = keep_term(work, changed, by=author())
        except InputError as error:
            return _form_again(error, None)
        return redirect(url_for("term.show", term_id=kept.id))
    return _form_page(NEW_TERM, None)


@pages.route("/<int:term_id>/edit", methods=["GET", "POST"])
def edit(term_id: int) -> str | BaseResponse | tuple[str, int]:
    """Change a term's dates and aims; what was changed elsewhere meanwhile stays, or is told."""
    if request.method == "GET":
        term = reading().terms.get(term_id)
        return _form_page(form_values(term), term)
    try:
        with changing() as work:
            changed = changed_by_form(work.terms.get(term_id), request.form, tools().machine_zone())
            lost = [slot.piece_id for slot in lost_slots(work, changed)]
            keep_term(work, changed, by=author())
            fallen = fallen_sentence(lost, work.pieces.titles(lost))
    except InputError as error:
        return _form_again(error, reading().terms.get(term_id))
    flash("Saved. It takes effect when you plan again.")
    if fallen:
        flash(fallen)
    return redirect(url_for("term.show", term_id=term_id))


@pages.post("/<int:term_id>/remove")
def remove(term_id: int) -> BaseResponse:
    """Take a term out; the list of changes brings it back."""
    with changing() as work:
        gone = remove_term(work, term_id, by=author())
    flash(f"{gone.name} is gone. Undo it here to have it back.")
    return redirect(url_for("changes.listing"))


def _form_again(error: InputError, term: Term | None) -> tuple[str, int]:
    """The form as it was filled in, with what cannot be used; nothing is stored."""
    return _form_page(form_as_sent(request.form), term, error), status_of(error)


def _form_page(form: Mapping[str, str], term: Term | None, refused: InputError | None = None) -> str:
    return render_template(
        "term/edit.html",
        ensemble=ensemble_in_view(),
        term=term,
        form=form,
        refused=error_words(refused) if refused else None,
        weekdays=WEEKDAYS,
        machine_zone=tools().machine_zone(),
    )


@pages.get("/<int:term_id>/plan.<kind>")
def download(term_id: int, kind: str) -> Response:
    """The plan as a printed sheet, a workbook or a calendar file."""
    writers = [writer for writer in tools().plan_writers if writer.suffix == f".{kind}"]
    if not writers:
        raise NotFoundError("form of the plan", kind, hint="There are pdf, xlsx and ics.")
    if not writers[0].updates_copies:
        return _published(reading(), writers, term_id)
    with changing() as work:
        return _published(work, writers, term_id)


def _published(work: UnitOfWork, writers: Sequence[PlanWriter], term_id: int) -> Response:
    return as_download(
        lambda shelf: publish_plan(
            work, writers, term_id=term_id, exports=shelf, today=tools().today(), now=tools().now()
        )[0]
    )
