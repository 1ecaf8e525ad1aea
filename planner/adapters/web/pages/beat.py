"""The metronome of a piece: its page, and what the script on it needs of the piece."""

from dataclasses import asdict, dataclass

from flask import Blueprint, jsonify, render_template
from flask.wrappers import Response

from planner.adapters.web.context import ensemble_in_view, reading, term_in_view, tools
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.errors import DrawingBusyError, NotFoundError, ScoreReadError
from planner.services.beat.beat_sheet import BeatSheet, beat_sheet
from planner.services.library.catalogue import get_piece
from planner.wording.director.beat import beat_remarks
from planner.wording.words import key

pages = Blueprint("beat", __name__, url_prefix="/library")

UNREADABLE = "The score cannot be read: its file is missing or damaged, so there is no beat to give."


@dataclass(frozen=True, slots=True)
class Entry:
    """A piece with its study, as the templates of the reading day want it."""

    piece: Piece
    profile: PieceProfile


@pages.get("/<int:piece_id>/beat")
def show(piece_id: int) -> str:
    """The metronome of a piece, by itself."""
    return render_template(
        "library/beat.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        entry=Entry(*get_piece(reading(), piece_id)),
    )


@pages.get("/<int:piece_id>/beat.json")
def sheet(piece_id: int) -> tuple[Response, int] | Response:
    """The bars of a piece as a metronome counts them; 503 while too much else is being read."""
    piece, profile = get_piece(reading(), piece_id)
    if piece.is_on_paper:
        raise NotFoundError("score of", f"“{piece.title}”", hint="It is only on paper.")
    try:
        lengths = tools().engraver.bar_lengths(tools().files.clean_path_of(piece.source))
    except DrawingBusyError:
        return jsonify(), 503
    except (ScoreReadError, NotFoundError):
        return jsonify(sections=[], remarks=[UNREADABLE])
    found = beat_sheet(profile, lengths)
    return jsonify(_as_json(found) | {"remarks": _remarks(found, profile)})


def _as_json(found: BeatSheet) -> dict[str, object]:
    keys = [{"key": key(each.key), "tonic": each.tonic} for each in found.keys]
    return asdict(found) | {"keys": keys}


def _remarks(found: BeatSheet, profile: PieceProfile) -> tuple[str, ...]:
    assumed = {
        (section.time, section.grouping): None
        for section in found.sections
        if section.grouping_source == "custom"
    }
    return beat_remarks(list(assumed), profile.tempo_bpm.source, found.stops_before)
