"""The page of what an ensemble has met: listed, entered by list, withdrawn."""

from collections.abc import Mapping, Sequence
from typing import cast

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    answers,
    author,
    changing,
    date_argument,
    ensemble_in_view,
    ensembles,
    numbers_sent,
    reading,
    term_in_view,
    tools,
    whole_argument,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.shown import questions_of
from planner.core.ensemble import Ensemble, Exposure, ExposureKind
from planner.core.text import folded
from planner.errors import ConflictError, InputError, NotFoundError, OddEntryError, PlannerError
from planner.services.changes.records import READ_NOTE
from planner.services.entered.numbers import number_of_thing
from planner.services.people.exposures import (
    EXPOSURE_KINDS,
    TitleLine,
    chosen_exposures,
    list_exposures,
    person_named,
    read_titles,
    record_exposures,
    withdraw_exposures,
)
from planner.services.people.players import seats_of
from planner.services.ports.work import UnitOfWork
from planner.wording.director.people import group_name, noted_text, withdrawn_text

pages = Blueprint("met", __name__, url_prefix="/met")

SHOWN = 100
"""Entries shown at once. Source: house choice."""


@pages.get("/")
def listing() -> str:
    """What the ensemble in view has met, the newest first."""
    return _page()


@pages.post("/")
def note() -> Response | tuple[str, int]:
    """Note that a group has met several pieces on one day; asks which piece an unclear title means."""
    lines: Sequence[TitleLine] = ()
    try:
        with changing() as work:
            lines = read_titles(work, request.form.get("titles", ""))
            if not lines:
                raise InputError("There is no title in that list.", hint="Write one title or number a line.")
            exposures = chosen_exposures(lines, pattern_sent(work, _ensemble()), _chosen())
            done = record_exposures(work, exposures, by=author(), today=tools().today(), answers=answers())
    except (InputError, ConflictError, NotFoundError, OddEntryError) as error:
        return _page(lines, error), status_of(error)
    flash(noted_text(len(done.new), len(done.known)))
    return redirect(url_for("met.listing"))


@pages.post("/withdraw")
def withdraw() -> Response | tuple[str, int]:
    """Take back what was entered wrongly."""
    ids = numbers_sent("met")
    try:
        if not ids:
            raise InputError("Nothing was chosen.", hint="Tick what you want to withdraw.")
        with changing() as work:
            gone = withdraw_exposures(work, ids, by=author())
    except (InputError, ConflictError, NotFoundError) as error:
        return _page(error=error), status_of(error)
    flash(withdrawn_text(len(gone)))
    return redirect((request.form.get("back") == "piece" and _piece_page(gone)) or url_for("met.listing"))


def _piece_page(gone: Sequence[Exposure]) -> str:
    return url_for("library.piece", piece_id=gone[0].piece_id)


def pattern_sent(work: UnitOfWork, ensemble: Ensemble) -> Exposure:
    """Who met something, how and when, as a form says it; the piece is put in after.

    Raises:
        InputError: If a value cannot be read.
        NotFoundError: If there is no such player.
    """
    section, player = whole_argument("section"), request.form.get("player", "").strip()
    how = cast(ExposureKind, request.form.get("how", "read"))
    return Exposure(
        ensemble.id,
        0,
        how,
        on=date_argument("on"),
        section_id=section if section and not player else None,
        person=person_named(work, ensemble.id, player) if player else None,
    )


def _chosen() -> Mapping[int, int]:
    """By line, the piece that is meant; 0 leaves the line out."""
    sent = {name.removeprefix("meant-"): value for name, value in request.form.items() if "meant-" in name}
    read = {number_of_thing(line): number_of_thing(piece) for line, piece in sent.items()}
    return {line: piece for line, piece in read.items() if line is not None and piece is not None}


def met_again(piece_id: int, error: PlannerError) -> str:
    """What was to be noted of one piece, on its own page, and was not stored: as it was filled in."""
    return _page(error=error, form={**request.form.to_dict(), "titles": str(piece_id)})


def _page(
    lines: Sequence[TitleLine] = (),
    error: PlannerError | None = None,
    form: Mapping[str, str] | None = None,
) -> str:
    work, ensemble = reading(), ensemble_in_view()
    found = list_exposures(work, ensemble.id) if ensemble else []
    titles = work.pieces.titles()
    asked = folded(request.args.get("title", ""))
    shown = [each for each in reversed(found) if asked in folded(titles.get(each.piece_id, ""))]
    shown.sort(key=lambda each: each.on.isoformat() if each.on else "", reverse=True)
    people = work.ensembles.people()
    chosen = _chosen() if error else {}
    return render_template(
        "sections/met.html",
        ensemble=ensemble,
        term=term_in_view(),
        shown=shown[:SHOWN],
        more=max(0, len(shown) - SHOWN),
        total=len(found),
        titles=titles,
        group_of=lambda each: group_name(each, ensembles(), people),
        read_note=READ_NOTE,
        kinds=EXPOSURE_KINDS,
        players=sorted({seat.player.name for seat in seats_of(work, ensemble.id)}) if ensemble else [],
        unclear=[line for line in lines if len(line.piece_ids) != 1],
        chosen=chosen,
        refused=str(error) if error and not isinstance(error, OddEntryError) else "",
        about=error.field if error else "",
        odd=questions_of(error),
        form=request.form if form is None else form,
        asked=request.args.get("title", ""),
    )


def _ensemble() -> Ensemble:
    ensemble = ensemble_in_view()
    if ensemble is None:
        raise InputError("There is no ensemble yet.", hint="Name your ensemble first.")
    return ensemble
