"""Pages of a term: its dates, its calendar, planning, pins and bans, downloads."""

from collections.abc import Sequence
from functools import partial

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    answers,
    author,
    changing,
    date_argument,
    ensemble_in_view,
    needed_whole,
    reading,
    sees_all,
    term_shown,
    terms_in_view,
    tools,
)
from planner.adapters.web.download import as_download
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.term import changed_by_form, first_form, form_again, stored_wishes, wish_mark
from planner.adapters.web.pages.jobs import words as job_words
from planner.adapters.web.shown import MARK, Form, come_back, meet
from planner.adapters.web.term_chart import draw_term
from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.errors import ConflictError, InputError, NotFoundError, OddEntryError, PlannerError
from planner.services.day.read_day import calendar
from planner.services.plan.plan_job import start_planning
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import PlanWriter
from planner.services.term.publish_plan import publish_plan
from planner.services.term.terms import keep_term, lost_slots, remove_term
from planner.services.term.wish_notes import wish_note
from planner.services.term.wishes import ban, move_wish, pin, withdraw_wish
from planner.services.term_page.show_term import last_planning, show_term
from planner.wording.director.term_days import fallen_sentence, listed_wishes
from planner.wording.words import WEEKDAYS

pages = Blueprint("term", __name__, url_prefix="/term")


@pages.get("/<int:term_id>")
def show(term_id: int) -> str:
    """The term at a glance, and day by day what is planned, why, and what each section should get right."""
    (term, ensemble), today = term_shown(term_id), tools().today()
    if not sees_all():
        return _plan_to_look_at(term, ensemble)
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
        wish_mark=partial(wish_mark, view.wishes),
        days_ahead=[day.on for day in view.picture.days if not (day.is_past or day.has_results)],
        job=last_planning(reading(), tools().locks, term_id),
        has_proposal=reading().terms.proposal(term_id) is not None,
        **job_words(),
    )


def _plan_to_look_at(term: Term, ensemble: Ensemble) -> str:
    """The plan without what rests on anybody's results."""
    return render_template(
        "term/look.html",
        ensemble=ensemble,
        term=term,
        terms=terms_in_view(),
        weeks=calendar(reading(), term),
        today=tools().today(),
    )


@pages.post("/<int:term_id>/plan")
def plan(term_id: int) -> BaseResponse:
    """Have what is still to come planned, in the background."""
    with changing() as work:
        start_planning(work, term_id, author(), leave_open=not request.form.get("every_day"))
    return redirect(url_for("term.show", term_id=term_id))


@pages.post("/<int:term_id>/wish")
def wish(term_id: int) -> BaseResponse | tuple[str, int]:
    """Pin or ban a piece, give such a wish another day, or take it back."""
    piece_id = needed_whole("piece")
    try:
        with changing() as work:
            note = _wished(work, term_id, piece_id)
    except (ConflictError, InputError, NotFoundError) as error:
        return _wish_again(error, term_id, piece_id), status_of(error)
    on = request.form.get("to") or request.form.get("on") or ""
    flash(note or "Nothing was changed.", f"day-{on}" if on else "message")
    return redirect(url_for("term.show", term_id=term_id) + (f"#day-{on}" if on else ""))


def _wished(work: UnitOfWork, term_id: int, piece_id: int) -> str:
    """Do what the form asks for; the sentence that says what came of it.

    Raises:
        OvertakenError: If the wishes for the piece were changed since the form was shown.
    """
    asked, on, today = request.form.get("do", ""), date_argument("on"), tools().today()
    before, is_insisted = tuple(work.terms.wishes(term_id)), bool(request.form.get("anyway"))
    if MARK in request.form:
        meet(stored_wishes(before, piece_id), {}, request.form[MARK]).refuse_moved()
    if asked == "pin":
        after = pin(work, term_id, piece_id, on, today, by=author(), anyway=is_insisted)
    elif asked in ("ban", "ban-term"):
        after = ban(work, term_id, piece_id, on if asked == "ban" else None, today, by=author())
    elif asked in ("unpin", "unban"):
        after = withdraw_wish(work, term_id, piece_id, on, by=author())
    elif asked == "move":
        old = next((w for w in before if (w.kind, w.piece_id, w.on) == (_kind(), piece_id, on)), None)
        if old is None:
            raise NotFoundError("wish", "like that", hint="It may have been taken back already.")
        to = date_argument("to")
        after = move_wish(work, term_id, old, to, today, by=author(), anyway=is_insisted)
    else:
        raise InputError("That wish is not one the planner knows.", hint="Pin a piece or ban it.")
    return wish_note(work, term_id, before, after, today)


def _kind() -> str:
    return request.form.get("kind", "")


def _wish_again(error: PlannerError, term_id: int, piece_id: int) -> str:
    """A wish that was not taken, as it was asked for, with the reason."""
    term, ensemble = term_shown(term_id)
    wishes = reading().terms.wishes(term_id)
    stored = stored_wishes(wishes, piece_id)
    title = reading().pieces.get(piece_id).title
    return render_template(
        "term/wish.html",
        term=term,
        ensemble=ensemble,
        title=title,
        piece_id=piece_id,
        asked=request.form.get("do", ""),
        kind=_kind(),
        days=[on for on in term.reading_dates() if on >= tools().today()],
        form=come_back(
            error,
            stored,
            {**dict.fromkeys(("on", "to", "anyway"), ""), **dict(request.form.items())},
            request.form.get(MARK, wish_mark(wishes, piece_id)),
            {"wishes": lambda _: listed_wishes([w for w in wishes if w.piece_id == piece_id], title)},
        ),
    )


@pages.route("/new", methods=["GET", "POST"])
def new() -> str | BaseResponse | tuple[str, int]:
    """Begin a term."""
    ensemble = ensemble_in_view()
    if ensemble is None:
        flash("Name your ensemble first, and the sections in it; then set its term.")
        return redirect(url_for("sections.listing"))
    if request.method == "POST":
        today = tools().today()
        empty = Term(0, ensemble.id, "", today, today, ())
        try:
            with changing() as work:
                changed = changed_by_form(empty, request.form, tools().machine_zone())
                kept = keep_term(work, changed, by=author(), today=today, answers=answers())
                if request.form.get("then") == "plan":
                    start_planning(work, kept.id, author())
        except (InputError, ConflictError, OddEntryError) as error:
            return _form_again(error, None)
        return redirect(url_for("term.show", term_id=kept.id))
    return _form_page(first_form(None), None)


@pages.route("/<int:term_id>/edit", methods=["GET", "POST"])
def edit(term_id: int) -> str | BaseResponse | tuple[str, int]:
    """Change a term's dates and aims; what was changed elsewhere meanwhile stays, or is told."""
    if request.method == "GET":
        term = reading().terms.get(term_id)
        return _form_page(first_form(term), term)
    try:
        with changing() as work:
            changed = changed_by_form(work.terms.get(term_id), request.form, tools().machine_zone())
            lost = [slot.piece_id for slot in lost_slots(work, changed)]
            keep_term(work, changed, by=author(), today=tools().today(), answers=answers())
            fallen = fallen_sentence(lost, work.pieces.titles(lost))
    except (InputError, ConflictError, OddEntryError) as error:
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


def _form_again(error: PlannerError, term: Term | None) -> tuple[str, int]:
    """The form as it was filled in, with why it was not taken; nothing is stored."""
    return _form_page(form_again(error, term, request.form), term), status_of(error)


def _form_page(form: Form, term: Term | None) -> str:
    return render_template(
        "term/edit.html",
        ensemble=ensemble_in_view(),
        term=term,
        form=form,
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
