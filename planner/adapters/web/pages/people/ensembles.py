"""The page of ensembles: begin one, rename it, look at another, take one out."""

from flask import Blueprint, flash, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    author,
    changing,
    ensemble_in_view,
    ensembles,
    reading,
    term_in_view,
)
from planner.adapters.web.errors import status_of
from planner.errors import ConflictError, InputError, PlannerError
from planner.services.people.roster import (
    belongings_of,
    remove_ensemble,
    rename_ensemble,
)
from planner.wording.director.people import lost_text

pages = Blueprint("ensembles", __name__, url_prefix="/ensembles")

KINDS = ("band", "orchestra", "choir")


@pages.get("/")
def listing() -> str:
    """Every ensemble, with what belongs to it."""
    return ensembles_page()


@pages.post("/<int:ensemble_id>")
def rename(ensemble_id: int) -> Response | tuple[str, int]:
    """Give an ensemble another name and kind."""
    form = request.form
    try:
        with changing() as work:
            renamed = rename_ensemble(
                work, ensemble_id, form.get("name", ""), form.get("kind", ""), by=author()
            )
    except (InputError, ConflictError) as error:
        return ensembles_page(ensemble_id, error), status_of(error)
    flash(f"Saved: {renamed.name}.")
    return redirect(url_for("ensembles.listing"))


@pages.post("/<int:ensemble_id>/remove")
def remove(ensemble_id: int) -> Response:
    """Take an ensemble out with all of it; the list of changes brings it back."""
    with changing() as work:
        gone = remove_ensemble(work, ensemble_id, by=author())
    session.pop("ensemble", None)
    flash(f"{gone.name} is gone, with all of it. Undo it here to have it back.")
    return redirect(url_for("changes.listing"))


def ensembles_page(refused_id: int = 0, error: PlannerError | None = None) -> str:
    """The page, also where one ensemble, or a new one (0), could not be stored as it was sent."""
    work = reading()
    lost = {}
    for each in ensembles():
        own = belongings_of(work, each)
        lost[each.id] = lost_text(
            sections=own.sections, players=own.players, terms=own.terms, results=own.results,
            days=own.days, exposures=own.exposures, marks=own.marks,
        )  # fmt: skip
    return render_template(
        "sections/ensembles.html",
        ensemble=ensemble_in_view(),
        ensembles=ensembles(),
        term=term_in_view(),
        lost=lost,
        kinds=KINDS,
        refused_id=refused_id,
        refused=error,
        form=request.form,
    )
