"""Pages of the people: ensembles, their sections and players."""

from dataclasses import replace
from operator import attrgetter

from flask import Blueprint, flash, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    changing,
    date_argument,
    ensemble_in_view,
    needed_number,
    reading,
    term_in_view,
)
from planner.core.ensemble import Ensemble, Section
from planner.core.instruments import INSTRUMENTS
from planner.errors import NotFoundError
from planner.levels.curve import TARGET_SHARE
from planner.services.people.roster import (
    add_ensemble,
    add_player,
    add_section,
    change_section,
    list_ensembles,
    remove_section,
)
from planner.services.people.sections_from_score import add_sections_from_piece

pages = Blueprint("sections", __name__, url_prefix="/sections")

_BY_NAME = sorted(INSTRUMENTS, key=attrgetter("name"))


@pages.get("/")
def listing() -> str:
    """Every section of the ensemble in view."""
    return render_template(
        "sections/list.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        ensembles=list_ensembles(reading()),
        instruments=_BY_NAME,
        titles=reading().pieces.titles(),
        target_percent=round(100 * TARGET_SHARE),
    )


@pages.post("/ensembles")
def create() -> Response:
    """Begin an ensemble and bring it into view."""
    with changing() as work:
        ensemble = add_ensemble(work, request.form.get("name", ""), request.form.get("kind", "band"))
    session["ensemble"] = ensemble.id
    return redirect(url_for("sections.listing"))


@pages.post("/ensembles/choose")
def choose() -> Response:
    """Bring another ensemble into view."""
    session["ensemble"] = int(needed_number("ensemble"))
    return redirect(url_for("sections.listing"))


@pages.post("/")
def add() -> Response:
    """Add a section."""
    with changing() as work:
        section = add_section(work, _ensemble().id, _section_from_form(Section(0, "", "")))
    flash(f"{section.name} is in.")
    return redirect(url_for("sections.listing"))


@pages.post("/from-piece")
def from_piece() -> Response:
    """Add a section for each part of a piece."""
    piece_id, level = int(needed_number("piece")), needed_number("level")
    with changing() as work:
        add_sections_from_piece(work, _ensemble().id, piece_id, level=level)
    return redirect(url_for("sections.listing"))


@pages.route("/<int:section_id>", methods=["GET", "POST"])
def edit(section_id: int) -> str | Response:
    """One section: change it, and its players."""
    section = _find(section_id)
    if request.method == "POST":
        with changing() as work:
            change_section(work, _section_from_form(section))
        flash("Saved.")
        return redirect(url_for("sections.listing"))
    return render_template(
        "sections/edit.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        section=section,
        instruments=_BY_NAME,
    )


@pages.post("/<int:section_id>/remove")
def remove(section_id: int) -> Response:
    """Take a section out."""
    section = _find(section_id)
    with changing() as work:
        remove_section(work, section_id)
    flash(f"{section.name} is gone.")
    return redirect(url_for("sections.listing"))


@pages.post("/<int:section_id>/players")
def new_player(section_id: int) -> Response:
    """Add a player."""
    joined = date_argument("joined")
    with changing() as work:
        add_player(work, _find(section_id).id, request.form.get("name", ""), joined=joined)
    return redirect(url_for("sections.edit", section_id=section_id))


def _ensemble() -> Ensemble:
    ensemble = ensemble_in_view()
    if ensemble is None:
        raise NotFoundError("ensemble", "yet", hint="Name your ensemble first.")
    return ensemble


def _find(section_id: int) -> Section:
    for section in _ensemble().sections:
        if section.id == section_id:
            return section
    raise NotFoundError("section", section_id)


def _section_from_form(section: Section) -> Section:
    level = needed_number("level")
    unchanged = section.id and round(section.level, 1) == level
    return replace(
        section,
        name=request.form.get("name", ""),
        instrument=request.form.get("instrument", ""),
        chair=int(needed_number("chair")),
        size=int(needed_number("size")),
        level=section.level if unchanged else level,
        level_error=section.level_error if unchanged else None,
    )
