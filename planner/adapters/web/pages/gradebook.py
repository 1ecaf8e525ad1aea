"""The gradebook page and its workbook."""

from flask import Blueprint, render_template
from flask.wrappers import Response

from planner.adapters.web.context import ensemble_in_view, own_sections, reading, term_in_view, tools
from planner.adapters.web.download import as_download
from planner.services.day.gradebook import publish_gradebook
from planner.services.day.read_day import read_record

pages = Blueprint("gradebook", __name__, url_prefix="/gradebook")


@pages.get("/")
def show() -> str:
    """Each section's first readings, day by day."""
    term = term_in_view()
    record = read_record(reading(), term, own_sections()) if term else None
    return render_template("gradebook/show.html", ensemble=ensemble_in_view(), term=term, record=record)


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
