"""Pages of a term: its dates, its calendar, planning, pins and bans, downloads."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    date_argument,
    ensemble_in_view,
    needed_number,
    number_argument,
    reading,
    term_shown,
    terms_in_view,
    tools,
)
from planner.adapters.web.download import as_download
from planner.adapters.web.pages.jobs import words as job_words
from planner.adapters.web.term_chart import draw_term
from planner.core.term import Plan, Term, Wish
from planner.errors import InputError, NotFoundError
from planner.services.term.plan_job import start_planning
from planner.services.term.publish_plan import publish_plan
from planner.services.term.show_term import last_planning, show_term
from planner.services.term.terms import at_time, keep_term, parse_date, parse_days_off, spell_days_off
from planner.services.term.wishes import ban, pin, withdraw_wish
from planner.wording.words import WEEKDAYS

pages = Blueprint("term", __name__, url_prefix="/term")


@dataclass(frozen=True, slots=True)
class TermForm:
    """The values the form is filled with."""

    name: str = ""
    first: str = ""
    last: str = ""
    weekdays: tuple[int, ...] = ()
    days_off: str = ""
    minutes: str = "10"
    slots: int = 1
    target_level: str = ""
    starts_at: str = ""
    time_zone: str = ""


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


def _read(term_id: int) -> tuple[Term, Plan | None, Sequence[Wish]]:
    terms = reading().terms
    return terms.get(term_id), terms.plan(term_id), terms.wishes(term_id)


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
            pin(work, term_id, piece_id, on, today, by=author())
        elif asked in ("ban", "ban-term"):
            ban(work, term_id, piece_id, on if asked == "ban" else None, today, by=author())
        elif asked in ("unpin", "unban"):
            withdraw_wish(work, term_id, piece_id, on, by=author())
        else:
            raise InputError("That wish is not one the planner knows.", hint="Pin a piece or ban it.")
    flash("Noted. Plan again for it to take effect.")
    return redirect(url_for("term.show", term_id=term_id))


@pages.route("/new", methods=["GET", "POST"])
def new() -> str | BaseResponse:
    """Begin a term."""
    ensemble = ensemble_in_view()
    if ensemble is None:
        raise NotFoundError("ensemble", "yet", hint="Name your ensemble first; the term is its own.")
    if request.method == "POST":
        today = tools().today()
        empty = Term(0, ensemble.id, "", today, today, ())
        with changing() as work:
            kept = keep_term(work, _from_form(empty), by=author())
        return redirect(url_for("term.show", term_id=kept.id))
    return _form_page(TermForm(), None)


@pages.route("/<int:term_id>/edit", methods=["GET", "POST"])
def edit(term_id: int) -> str | BaseResponse:
    """Change a term's dates and aims."""
    term, _, _ = _read(term_id)
    if request.method == "POST":
        with changing() as work:
            keep_term(work, _from_form(term), by=author())
        flash("Saved. Plan again for it to take effect.")
        return redirect(url_for("term.show", term_id=term_id))
    return _form_page(_to_form(term), term)


def _form_page(form: TermForm, term: Term | None) -> str:
    return render_template(
        "term/edit.html",
        ensemble=ensemble_in_view(),
        term=term,
        form=form,
        weekdays=WEEKDAYS,
        machine_zone=tools().machine_zone(),
    )


def _from_form(term: Term) -> Term:
    first, last = (parse_date(request.form.get(name, "")) for name in ("first", "last"))
    starts_at, time_zone = (request.form.get(name, "") for name in ("starts_at", "time_zone"))
    return replace(
        at_time(term, starts_at, time_zone, tools().machine_zone()),
        name=request.form.get("name", ""),
        first=first,
        last=last,
        weekdays=tuple(int(day) for day in request.form.getlist("weekdays") if day.isdigit()),
        days_off=parse_days_off(request.form.get("days_off", "")),
        minutes=needed_number("minutes"),
        slots=int(needed_number("slots")),
        target_level=number_argument("target_level"),
    )


def _to_form(term: Term) -> TermForm:
    return TermForm(
        name=term.name,
        first=term.first.isoformat(),
        last=term.last.isoformat(),
        weekdays=term.weekdays,
        days_off=spell_days_off(term.days_off),
        minutes=f"{term.minutes:g}",
        slots=term.slots,
        target_level="" if term.target_level is None else f"{term.target_level:g}",
        starts_at=f"{term.starts_at:%H:%M}" if term.starts_at else "",
        time_zone=term.time_zone,
    )


@pages.get("/<int:term_id>/plan.<kind>")
def download(term_id: int, kind: str) -> Response:
    """The plan as a printed sheet, a workbook or a calendar file."""
    writers = [writer for writer in tools().plan_writers if writer.suffix == f".{kind}"]
    if not writers:
        raise NotFoundError("form of the plan", kind, hint="There are pdf, xlsx and ics.")
    with changing() as work:
        return as_download(
            lambda folder: publish_plan(
                work, writers, term_id=term_id, out_dir=folder, today=tools().today(), now=tools().now()
            )[0]
        )
