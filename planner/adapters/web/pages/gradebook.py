"""The gradebook: marks by day with what made them, how they are worked out, and its workbook."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    ensemble_in_view,
    own_sections,
    reading,
    term_in_view,
    tools,
)
from planner.adapters.web.download import as_download
from planner.adapters.web.errors import status_of
from planner.adapters.web.shown import MARK, Form, come_back, first_shown, meet
from planner.core.mark_scheme import CHOICES, CREDITS, DAY_WEIGHTS, READING_WEIGHTS
from planner.core.term import Attendance, Term
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.day.gradebook import publish_gradebook
from planner.services.day.marks import MarkRow, read_term_marks
from planner.services.day.read_day import read_record
from planner.services.day.scheme import MOST_STEPS, scale_text, scheme_from_text, scheme_text, set_scheme
from planner.wording.director.marks import (
    ATTENDANCE_WORDS,
    LETTERS,
    SCALE_WORDS,
    SCHEME_FIELDS,
    mark_text,
    part_text,
    shown_mark,
)
from planner.wording.director.results import FELL_APART_NOTE, record_text

pages = Blueprint("gradebook", __name__, url_prefix="/gradebook")

_SPARE_STEPS = 3
"""Empty rows beneath a scale (house choice)."""


@pages.get("/")
def show() -> str:
    """Marks of sections and players by day, and each section's first readings."""
    term = term_in_view()
    record = read_record(reading(), term, own_sections()) if term else None
    marks = read_term_marks(reading(), term.id, today=tools().today(), only=own_sections()) if term else None
    return render_template(
        "gradebook/show.html",
        ensemble=ensemble_in_view(),
        term=term,
        record=record,
        marks=marks,
        letters=LETTERS,
        record_text=record_text,
        fell_apart_note=FELL_APART_NOTE,
        shown_mark=shown_mark,
        states=ATTENDANCE_WORDS,
    )


@pages.get("/<int:term_id>/section/<int:section_id>")
def section(term_id: int, section_id: int) -> str:
    """What made a section's marks."""
    marks = read_term_marks(reading(), term_id, today=tools().today(), only=own_sections())
    return _made(term_id, next((row for row in marks.sections if row.id == section_id), None), section_id)


@pages.get("/<int:term_id>/player/<int:seat_id>")
def player(term_id: int, seat_id: int) -> str:
    """What made a player's marks."""
    marks = read_term_marks(reading(), term_id, today=tools().today(), only=own_sections())
    return _made(term_id, next((row for row in marks.players if row.id == seat_id), None), seat_id)


def _made(term_id: int, row: MarkRow | None, wanted: int) -> str:
    if row is None:
        raise NotFoundError("row of the gradebook", wanted, hint="Look at the gradebook.")
    return render_template(
        "gradebook/made.html",
        ensemble=ensemble_in_view(),
        term=reading().terms.get(term_id),
        row=row,
        counts=[(words, row.count(state)) for state, words in ATTENDANCE_WORDS.items()],
        is_player=bool(row.section),
        states=ATTENDANCE_WORDS,
        part_text=part_text,
        mark_text=mark_text,
        shown_mark=shown_mark,
        missed=(Attendance.ABSENT, Attendance.EXCUSED),
    )


@pages.get("/<int:term_id>/scheme")
def scheme(term_id: int) -> str:
    """How the marks of a term are worked out."""
    term = reading().terms.get(term_id)
    return _scheme_page(term, first_shown(scheme_text(term)))


@pages.post("/<int:term_id>/scheme")
def save_scheme(term_id: int) -> BaseResponse | tuple[str, int]:
    """Choose how the marks of a term are worked out."""
    try:
        with changing() as work:
            stored = scheme_text(work.terms.get(term_id))
            meeting = meet(stored, _typed(stored), request.form.get(MARK, ""))
            meeting.refuse_overtaken()
            set_scheme(work, term_id, scheme_from_text(meeting.values), by=author())
    except (InputError, ConflictError) as error:
        term = reading().terms.get(term_id)
        stored = scheme_text(term)
        form = come_back(error, stored, _typed(stored), request.form.get(MARK, ""), {})
        return _scheme_page(term, form), status_of(error)
    flash("Saved. Every mark follows." if meeting.changed else "Nothing was changed.")
    return redirect(url_for("gradebook.scheme", term_id=term_id))


def _typed(stored: dict[str, str]) -> dict[str, str]:
    """What stands in the form, with the scale that a button puts in; a box not checked is not sent."""
    sent = {name: request.form[name].strip() for name in stored if name in request.form}
    chosen = {name: "1" if name in request.form else "" for name in CHOICES}
    scale = scale_text(request.form["use"]) if "use" in request.form else {}
    return {**sent, **chosen, **scale}


def _scheme_page(term: Term, form: Form) -> str:
    filled = [at for at in range(MOST_STEPS) if form.values[f"share-{at}"] or form.values[f"mark-{at}"]]
    return render_template(
        "gradebook/scheme.html",
        ensemble=ensemble_in_view(),
        term=term,
        form=form,
        steps=range(min(MOST_STEPS, max(filled, default=-1) + 1 + _SPARE_STEPS)),
        readings=READING_WEIGHTS,
        parts=DAY_WEIGHTS,
        credits=CREDITS,
        words=SCHEME_FIELDS,
        scales=SCALE_WORDS,
        days=[name.removeprefix("day-") for name in form.values if name.startswith("day-")],
    )


@pages.get("/<int:term_id>.xlsx")
def download(term_id: int) -> Response:
    """The gradebook of a term as a workbook."""
    return as_download(
        lambda shelf: publish_gradebook(
            reading(),
            tools().gradebook_writer,
            term_id=term_id,
            exports=shelf,
            today=tools().today(),
            only=own_sections(),
        )
    )
