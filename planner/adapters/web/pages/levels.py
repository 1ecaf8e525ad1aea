"""Pages of a piece's levels: by part and dimension, corrections, checks of its parts, published limits."""

from collections.abc import Iterable
from dataclasses import replace

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    author,
    changing,
    ensemble_in_view,
    needed_number,
    reading,
    term_in_view,
    tools,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.shown import MARK, Form, come_back, mark_of, meet
from planner.core.difficulty import DIMENSIONS, FOCUSES, LevelCorrection
from planner.core.instruments import INSTRUMENTS
from planner.errors import ConflictError, InputError
from planner.services.levels.correct import CorrectionReport, correct_instrument, correct_level
from planner.services.levels.criteria import hold_piece_against, list_criteria
from planner.services.levels.part_checks import check_for_ensemble
from planner.services.levels.view import view_levels
from planner.wording.director.levels import adjustment_lines, correction_lines, correction_text, makes_text
from planner.wording.study.difficulty import LIMIT_NAMES, summary_words

pages = Blueprint("levels", __name__, url_prefix="/library/<int:piece_id>/levels")


@pages.get("")
def show(piece_id: int) -> str:
    """The levels of one piece."""
    return _levels_page(piece_id)


def _levels_page(piece_id: int, back: Form | None = None) -> str:
    """The page of levels; ``back`` is the form of an own level that was not taken."""
    ensemble = ensemble_in_view()
    view = view_levels(reading(), piece_id, ensemble)
    return render_template(
        "levels/show.html",
        ensemble=ensemble,
        term=term_in_view(),
        view=view,
        piece=view.piece,
        dimensions=DIMENSIONS,
        skills=FOCUSES,
        instruments=INSTRUMENTS,
        makes={row.name: makes_text(row) for row in (view.whole, *view.parts)},
        corrections=[(one, correction_text(one)) for one in view.own],
        adjustment=adjustment_lines(view.adjustment),
        form=back or Form({}, mark_of(_own_levels(view.own))),
    )


def _own_levels(corrections: Iterable[LevelCorrection]) -> dict[str, str]:
    """The director's levels of a piece, by part and dimension, as a form of one is made from them."""
    return {f"{one.part}/{one.dimension}": f"{one.level:g}" for one in corrections}


@pages.get("/checks")
def checks(piece_id: int) -> str:
    """Every part held against the section that reads it."""
    ensemble = ensemble_in_view()
    if ensemble is None:
        raise InputError("There is no ensemble to check for.", hint="Name your sections first.")
    found = check_for_ensemble(reading(), tools().files, tools().reader, piece_id, ensemble)
    return render_template(
        "levels/checks.html", ensemble=ensemble, term=term_in_view(), piece=found.piece, found=found
    )


@pages.get("/criteria")
def criteria(piece_id: int) -> str:
    """The piece held against a set of published limits, once one is chosen."""
    home, name = tools().settings.home, request.args.get("set", "")
    report = None
    if name:
        report = hold_piece_against(reading(), tools().files, tools().reader, home, name, piece_id)
    return render_template(
        "levels/criteria.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        piece=reading().pieces.get(piece_id),
        sets=list_criteria(home),
        chosen=name,
        report=report,
        summary=summary_words(report.counts) if report else "",
        names=LIMIT_NAMES,
    )


def _changed(report: CorrectionReport) -> str:
    others = [(moved.piece.title, moved.before, moved.after) for moved in report.others]
    return " ".join(correction_lines(report.piece.title, report.piece.level, report.after, others))


@pages.post("/correct")
def correct(piece_id: int) -> Response | tuple[str, int]:
    """Keep the director's own level, and say what it changed."""
    sent = {name: request.form.get(name, "").strip() for name in ("part", "dimension", "level")}
    key = f"{sent['part']}/{sent['dimension']}"
    try:
        level = needed_number("level")
        with changing() as work:
            stored = {key: "", **_own_levels(work.corrections.levels(piece_id))}
            meet(stored, {key: f"{level:g}"}, request.form.get(MARK, "")).refuse_overtaken()
            report = correct_level(
                work, piece_id, level, by=author(), part=sent["part"], dimension=sent["dimension"]
            )
    except (InputError, ConflictError) as error:
        error.field = error.field or "level"
        stored = {key: "", **_own_levels(reading().corrections.levels(piece_id))}
        back = come_back(error, stored, {}, request.form.get(MARK, ""), {})
        theirs = {"level": back.beside[key]} if key in back.beside else {}
        return _levels_page(piece_id, replace(back, values=sent, beside=theirs, moved={})), status_of(error)
    flash(_changed(report))
    return redirect(url_for("levels.show", piece_id=piece_id))


@pages.post("/remove")
def remove(piece_id: int) -> Response:
    """Take a correction back."""
    part, dimension = request.form.get("part", ""), request.form.get("dimension", "")
    with changing() as work:
        report = correct_level(work, piece_id, None, by=author(), part=part, dimension=dimension)
    flash("Taken back. " + _changed(report))
    return redirect(url_for("levels.show", piece_id=piece_id))


@pages.post("/instrument")
def instrument(piece_id: int) -> Response:
    """Keep which instrument a part is for; the piece is studied again."""
    part = request.form.get("part", "")
    wanted = request.form.get("instrument", "")
    correct_instrument(tools().work, tools().files, tools().studies, piece_id, part, wanted, author())
    flash(f"{part} is studied again.")
    return redirect(url_for("levels.show", piece_id=piece_id))
