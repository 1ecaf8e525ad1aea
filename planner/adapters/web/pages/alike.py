"""Pieces that may be the same music in two files: joined or kept apart."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from planner.adapters.web.context import author, changing, ensemble_in_view, reading, term_in_view
from planner.services.library.likenesses import keep_apart, open_pairs
from planner.services.library.links import link_pieces

pages = Blueprint("alike", __name__, url_prefix="/library/alike")


@pages.get("/")
def listing() -> str:
    """Every pair about which nobody has decided, the nearest first."""
    return render_template(
        "library/alike.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        pairs=open_pairs(reading()),
    )


@pages.post("/<int:piece_id>/<int:other_id>/join")
def join(piece_id: int, other_id: int) -> Response:
    """Say that two pieces are files of one piece."""
    with changing() as work:
        link_pieces(work, piece_id, other_id, by=author())
    flash("Saved: whoever has met one of them has met both.")
    return _back(piece_id)


@pages.post("/<int:piece_id>/<int:other_id>/keep-apart")
def separate(piece_id: int, other_id: int) -> Response:
    """Say that two pieces are different pieces."""
    with changing() as work:
        keep_apart(work, piece_id, other_id, by=author())
    flash("Saved: they stay two pieces.")
    return _back(piece_id)


@pages.post("/<int:piece_id>/<int:other_id>/ask-again")
def ask_again(piece_id: int, other_id: int) -> Response:
    """Take back that two pieces are different pieces."""
    with changing() as work:
        keep_apart(work, piece_id, other_id, by=author(), is_apart=False)
    flash("Saved: nothing is decided about the two.")
    return _back(piece_id)


def _back(piece_id: int) -> Response:
    if request.form.get("from") == "piece":
        return redirect(url_for("library.piece", piece_id=piece_id))
    return redirect(url_for("alike.listing"))
