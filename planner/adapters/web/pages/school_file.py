"""The file of marks for a school's own system: chosen, looked at, downloaded."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import author, changing, reading, term_shown, tools
from planner.adapters.web.download import as_download
from planner.adapters.web.errors import status_of
from planner.adapters.web.shown import MARK, Form, come_back, first_shown, meet
from planner.core.school_file import OF_DAYS, OF_PLAYERS, SchoolColumn
from planner.errors import ConflictError, InputError
from planner.services.school_file.choose import (
    choose_school_file,
    school_file,
    school_file_from_text,
    school_file_text,
)
from planner.services.school_file.write import publish_school_file, school_rows
from planner.wording.director.school_file import CHOICE_WORDS, COLUMN_WORDS, FIELD_LABELS
from planner.wording.words import capital

pages = Blueprint("school_file", __name__, url_prefix="/gradebook/<int:term_id>")

SAMPLES = 4
"""Rows of the file that the page shows (house choice)."""


@pages.get("/school-file")
def show(term_id: int) -> str:
    """How the file is written, and its first rows."""
    term, _ = term_shown(term_id)
    return _page(term_id, first_shown(school_file_text(school_file(reading(), term.ensemble_id))))


@pages.post("/school-file")
def save(term_id: int) -> BaseResponse | tuple[str, int]:
    """Choose how the file is written."""
    term, ensemble = term_shown(term_id)
    try:
        with changing() as work:
            stored = school_file_text(school_file(work, term.ensemble_id))
            meeting = meet(stored, _typed(stored), request.form.get(MARK, ""))
            meeting.refuse_overtaken()
            choice = school_file_from_text(meeting.values)
            choose_school_file(work, ensemble, choice, by=author())
    except (InputError, ConflictError) as error:
        stored = school_file_text(school_file(reading(), term.ensemble_id))
        form = come_back(error, stored, _typed(stored), request.form.get(MARK, ""), {})
        return _page(term_id, form), status_of(error)
    flash("Saved." if meeting.changed else "Nothing was changed.")
    return redirect(url_for("school_file.show", term_id=term_id))


@pages.get("/school-file.csv")
def download(term_id: int) -> Response:
    """The file of a term."""
    return as_download(
        lambda shelf: publish_school_file(
            reading(), tools().file_writer, term_id=term_id, exports=shelf, today=tools().today()
        )
    )


def _typed(stored: dict[str, str]) -> dict[str, str]:
    """What stands in the form; a box that is not checked is not sent."""
    sent = {name: request.form[name].strip() for name in stored if name in request.form}
    boxes = {name: "1" if name in request.form else "" for name in ("has_headings", "is_guarded")}
    return {**sent, **boxes}


def _page(term_id: int, form: Form) -> str:
    term, ensemble = term_shown(term_id)
    choice = school_file(reading(), term.ensemble_id)
    rows = school_rows(reading(), term, choice, today=tools().today())
    return render_template(
        "school_file/show.html",
        ensemble=ensemble,
        term=term,
        form=form,
        columns=[(each.value, capital(COLUMN_WORDS[each]), _rows_of(each)) for each in SchoolColumn],
        choices=CHOICE_WORDS,
        labels=FIELD_LABELS,
        rows=rows[: SAMPLES + choice.has_headings],
        count=len(rows) - choice.has_headings,
        has_headings=choice.has_headings,
    )


def _rows_of(column: SchoolColumn) -> str:
    """Which rows a column goes with, where it does not go with both."""
    return "each player" if column in OF_PLAYERS else "each day" if column in OF_DAYS else ""
