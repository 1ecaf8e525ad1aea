"""Pages of a term: its dates, its calendar, planning, pins and bans, downloads."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    changing,
    date_argument,
    ensemble_in_view,
    needed_number,
    number_argument,
    reading,
    terms_in_view,
    tools,
)
from planner.adapters.web.download import as_download
from planner.core.term import Plan, Term, Wish
from planner.errors import InputError, NotFoundError
from planner.services.day.read_day import calendar
from planner.services.ports import PlanWriter, UnitOfWork
from planner.services.term.plan_term import ban, pin, plan_term, withdraw_wish
from planner.services.term.publish_plan import publish_plan
from planner.services.term.terms import at_time, keep_term, parse_date, parse_days_off, spell_days_off
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
    """The term as a calendar, week by week."""
    term, plan, wishes = _read(term_id)
    today = tools().today()
    ahead = sorted({slot.on for slot in plan.slots if slot.on >= today}) if plan else []
    ensemble = ensemble_in_view()
    return render_template(
        "term/show.html",
        ensemble=ensemble,
        term=term,
        terms=terms_in_view(),
        plan=plan,
        weeks=calendar(reading(), term),
        dates=term.reading_dates(),
        today=today,
        next_on=ahead[0] if ahead else None,
        titles=reading().pieces.titles(),
        wishes=wishes,
        plan_limit=tools().settings.plan_limit_s,
    )


def _read(term_id: int) -> tuple[Term, Plan | None, Sequence[Wish]]:
    terms = reading().terms
    return terms.get(term_id), terms.plan(term_id), terms.wishes(term_id)


@pages.post("/<int:term_id>/plan")
def plan(term_id: int) -> BaseResponse:
    """Plan what is still to come."""
    view = plan_term(
        tools().work,
        term_id,
        tools().today(),
        limit_s=tools().settings.plan_limit_s,
        leave_open=not request.form.get("every_day"),
    )
    flash(f"{len(view.slots)} readings are planned.")
    for note in view.notes:
        flash(note, "warning")
    return redirect(url_for("term.show", term_id=term_id))


@pages.post("/<int:term_id>/wish")
def wish(term_id: int) -> BaseResponse:
    """Pin or ban a piece, or take that back."""
    piece_id, on, today = int(needed_number("piece")), date_argument("on"), tools().today()
    asked = request.form.get("do", "")
    with changing() as work:
        if asked == "pin":
            pin(work, term_id, piece_id, on, today)
        elif asked in ("ban", "ban-term"):
            ban(work, term_id, piece_id, on if asked == "ban" else None, today)
        elif asked in ("unpin", "unban"):
            withdraw_wish(work, term_id, piece_id, on)
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
            kept = keep_term(work, _from_form(empty))
        return redirect(url_for("term.show", term_id=kept.id))
    return _form_page(TermForm(), None)


@pages.route("/<int:term_id>/edit", methods=["GET", "POST"])
def edit(term_id: int) -> str | BaseResponse:
    """Change a term's dates and aims."""
    term, _, _ = _read(term_id)
    if request.method == "POST":
        with changing() as work:
            keep_term(work, _from_form(term))
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
    if not writers[0].updates_copies:
        return _published(reading(), writers, term_id)
    with changing() as work:
        return _published(work, writers, term_id)


def _published(work: UnitOfWork, writers: Sequence[PlanWriter], term_id: int) -> Response:
    return as_download(
        lambda folder: publish_plan(
            work, writers, term_id=term_id, out_dir=folder, today=tools().today(), now=tools().now()
        )[0]
    )
