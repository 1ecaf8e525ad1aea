"""The page of recent changes, each with a button that takes it back."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    author,
    changing,
    ensemble_in_view,
    reading,
    term_in_view,
    tools,
    whole_argument,
)
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.imports.undo_import import import_of_change
from planner.wording.director.changes import change_sentence, moment, who

pages = Blueprint("changes", __name__, url_prefix="/changes")


@pages.get("/")
def listing() -> str:
    """What was changed, newest first."""
    before = whole_argument("before")
    page = list_journal(reading(), before=before)
    return render_template(
        "changes/list.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        page=page,
        is_first=not request.args,
        sentence=change_sentence,
        moment=moment,
        who=who,
    )


@pages.post("/<int:change_id>/undo")
def undo(change_id: int) -> Response:
    """Put back what was before a change."""
    box = tools()
    import_id = import_of_change(reading(), change_id)
    if import_id is not None:
        return redirect(url_for("imports.look", job_id=import_id))
    with changing() as work:
        change = undo_change(work, change_id, author(), Means(box.files, box.studies))
    flash(f"Undone. {change_sentence(change)}")
    return redirect(url_for("changes.listing"))
