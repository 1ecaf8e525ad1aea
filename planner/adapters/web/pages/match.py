"""The page that says what the ensemble can read: candidates, and each section's view."""

from flask import Blueprint, render_template

from planner.adapters.web.context import ensemble_in_view, reading, term_in_view, tools
from planner.services.term.match_pieces import match

pages = Blueprint("match", __name__, url_prefix="/match")

_MOST = 60


@pages.get("/")
def show() -> str:
    """Fresh pieces ranked for the ensemble in view, and what each section can just read."""
    ensemble = ensemble_in_view()
    view = None
    if ensemble and ensemble.sections:
        view = match(reading(), ensemble.id, tools().today(), most=_MOST)
    return render_template("match/show.html", ensemble=ensemble, term=term_in_view(), view=view)
