"""What leaves the screen and comes back: the worksheet and the tally sheet of a day, and files read in."""

from collections.abc import Mapping, Sequence

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import answers, author, changing, own_sections, reading, sees, tools
from planner.adapters.web.download import as_download
from planner.adapters.web.errors import status_of
from planner.core.question import Question
from planner.errors import ConflictError, InputError, OddEntryError, PlannerError
from planner.services.day.read_day import find_day
from planner.services.day.tally import publish_tally
from planner.services.ports.work import UnitOfWork
from planner.services.read_in.compare import FROM_FILE, FROM_LIBRARY, Comparison, check_term, compare
from planner.services.read_in.day_file import publish_day_file
from planner.services.read_in.take import take_in
from planner.services.term.terms import parse_date
from planner.wording.director.read_in import (
    FIELD_WORDS,
    outcome_sentence,
    place_text,
    taken_sentence,
    value_shown,
)

pages = Blueprint("read_in", __name__, url_prefix="/term/<int:term_id>")

MOST_SHOWN = 200
"""Cells of each kind that a page shows; more are counted (house choice)."""


@pages.get("/<on>/worksheet")
def day(term_id: int, on: str) -> str:
    """The worksheet and the tally sheet of a day, and where a filled-in worksheet is read in."""
    term, ensemble = find_day(reading(), term_id, parse_date(on))
    return render_template("read_in/day.html", ensemble=ensemble, term=term, on=parse_date(on))


@pages.get("/<on>/worksheet.xlsx")
def worksheet(term_id: int, on: str) -> Response:
    """The worksheet of a day."""
    return as_download(
        lambda shelf: publish_day_file(
            reading(), tools().day_file_writer, term_id=term_id, on=parse_date(on), exports=shelf,
            only=own_sections(),
        )
    )  # fmt: skip


@pages.get("/<on>/tally.pdf")
def tally(term_id: int, on: str) -> Response:
    """The tally sheet of a day."""
    return as_download(
        lambda shelf: publish_tally(
            reading(), tools().tally_writer, term_id=term_id, on=parse_date(on), exports=shelf,
            today=tools().today(), only=own_sections(),
        )
    )  # fmt: skip


@pages.post("/read-in")
def hand_in(term_id: int) -> BaseResponse:
    """Keep a filled-in file for a while, and show what reading it in would do."""
    upload = request.files.get("file")
    if upload is None or not upload.filename:
        raise InputError("No file was chosen.", hint="Choose the file that you filled in.")
    arrival = tools().inbox.open()
    name = upload.filename.replace("\\", "/").rpartition("/")[2]
    tools().inbox.put(arrival, name, upload.stream)
    try:
        _compared(reading(), term_id, arrival)
    except PlannerError:
        tools().inbox.remove(arrival)
        raise
    return redirect(url_for("read_in.look", term_id=term_id, token=arrival))


@pages.get("/read-in/<token>")
def look(term_id: int, token: str) -> str:
    """What a file would change, cell by cell; nothing is stored."""
    return _page(token, _compared(reading(), term_id, token))


@pages.post("/read-in/<token>")
def take(term_id: int, token: str) -> BaseResponse | tuple[str, int]:
    """Store what was looked at."""
    chosen = _chosen(request.form)
    name = tools().inbox.paths(token)[0].name
    try:
        with changing() as work:
            found = _compared(work, term_id, token, chosen)
            if found.fingerprint != request.form.get("fingerprint", ""):
                raise ConflictError(
                    "The library has changed since you looked at this file.",
                    hint="Look at it once more, then take it.",
                )
            taken = take_in(work, found, name, by=author(), today=tools().today(), answers=answers())
    except OddEntryError as error:
        found = _compared(reading(), term_id, token)
        return _page(token, found, chosen, asked=error.questions), status_of(error)
    except (InputError, ConflictError) as error:
        found = _compared(reading(), term_id, token)
        return _page(token, found, chosen, refusal=error), status_of(error)
    tools().inbox.remove(token)
    levels = [(n, each.before, each.after) for n, each in taken.levels.items() if sees(each.section.id)]
    flash(taken_sentence(taken.cells, len(found.refused), levels))
    days = {cell.about.on for cell in found.changes}
    if len(days) == 1:
        return redirect(url_for("results.show", term_id=term_id, on=days.pop().isoformat()))
    return redirect(url_for("gradebook.show"))


def _compared(
    work: UnitOfWork, term_id: int, token: str, chosen: Mapping[str, str] | None = None
) -> Comparison:
    path = tools().inbox.paths(token)[0]
    filled = tools().filled_in.read(path)
    check_term(work, filled, term_id, path.name)
    term = work.terms.get(term_id)
    return compare(work, filled, term, by=author(), today=tools().today(), only=own_sections(), chosen=chosen)


def _chosen(form: Mapping[str, str]) -> dict[str, str]:
    return {
        name.removeprefix("stands-").replace("_", " "): value
        for name, value in form.items()
        if name.startswith("stands-") and value in (FROM_FILE, FROM_LIBRARY)
    }


def _page(
    token: str, found: Comparison, chosen: Mapping[str, str] | None = None,
    *, asked: Sequence[Question] = (), refusal: PlannerError | None = None,
) -> str:  # fmt: skip
    days = sorted({cell.about.on for cell in (*found.changes, *found.conflicts)})
    return render_template(
        "read_in/look.html",
        ensemble=found.ensemble,
        term=found.term,
        token=token,
        name=tools().inbox.paths(token)[0].name,
        found=found,
        outcome=outcome_sentence(len(found.changes), len(found.conflicts), len(found.refused)),
        chosen=chosen or {},
        asked=asked,
        refusal=refusal,
        place_text=place_text,
        fields=FIELD_WORDS,
        shown=value_shown,
        several_days=len(days) > 1,
        on=days[0] if len(days) == 1 else None,
        most=MOST_SHOWN,
    )
