"""The music of a piece: bars of it as a picture, and its score or one part page by page."""

from flask import Blueprint, abort, jsonify, render_template, request
from flask.wrappers import Response

from planner.adapters.web.context import ensemble_in_view, reading, term_in_view, tools
from planner.adapters.web.music import music, music_busy, music_in_words, page_picture
from planner.core.fact import Place
from planner.errors import DrawingBusyError, InputError, NotFoundError, ScoreReadError
from planner.services.entered.numbers import number_of_thing
from planner.services.library.catalogue import get_piece
from planner.services.piece_page.score_pages import (
    NARROW_MM,
    ROOM_MM,
    WIDTH_MM,
    measure_named,
    score_page,
    staff_mm,
)

pages = Blueprint("score", __name__, url_prefix="/library")

MOST_BARS = 400
"""Most bars of one picture: more than any page has. House choice, against addresses typed by hand."""
BUSY = "Too much else is being drawn just now. Reload this page in a moment."
NO_SCORE = "The score cannot be drawn: its file is missing or cannot be read."
_WIDTHS = {"wide": WIDTH_MM, "narrow": NARROW_MM, "room": ROOM_MM}


@pages.get("/<int:piece_id>/bars/<int:first>-<int:last>.svg")
def drawn(piece_id: int, first: int, last: int) -> Response:
    """Some bars of some parts, engraved; one sentence when they cannot be, nothing when too much is drawn.

    Measures and parts are counted by their place, from 0. A browser that gets nothing asks again.
    """
    piece = reading().pieces.get(piece_id)
    parts = _parts_asked()
    try:
        if last - first >= MOST_BARS:
            raise ScoreReadError(piece.title, "so many bars are no page")
        svg, _last = tools().engraver.engrave(
            tools().files.clean_path_of(piece.source),
            part=parts,
            measure=first,
            end_measure=last,
            width_mm=_WIDTHS.get(request.args.get("width", "wide"), WIDTH_MM),
            staff_mm=staff_mm(len(parts) if parts is not None else piece.part_count),
            tinted=_span(request.args.get("tinted", "")),
        )
    except DrawingBusyError:
        return music_busy()
    except (ScoreReadError, NotFoundError):
        return music_in_words()
    return music(svg)


def _parts_asked() -> tuple[int, ...] | None:
    """The parts asked for, by their place in the score; None for the full score."""
    places = [number_of_thing(text) for text in request.args.getlist("part")]
    known = tuple(place for place in places if place is not None)
    if len(known) < len(places):
        abort(404)
    return known or None


def _span(text: str) -> Place | None:
    """Two places with a hyphen between them; None where there is nothing of the kind."""
    first, _, last = text.partition("-")
    ends = number_of_thing(first), number_of_thing(last)
    return None if ends[0] is None or ends[1] is None else (ends[0], ends[1])


@pages.get("/<int:piece_id>/score.json")
def page(piece_id: int) -> Response | tuple[Response, int]:
    """Where a page of the full score is drawn, for a page that shows one on demand.

    Its 503 says that too much is drawn just now, its 404 that the score cannot be drawn.
    """
    piece, profile = get_piece(reading(), piece_id)
    if piece.is_on_paper:
        raise NotFoundError("score of", f"“{piece.title}”", hint="It is only on paper.")
    try:
        shown = score_page(
            tools().engraver, tools().files.clean_path_of(piece.source), profile, part=None,
            number=number_of_thing(request.args.get("page", "")) or 1, measure=None,
        )  # fmt: skip
    except DrawingBusyError:
        return jsonify(words=BUSY), 503
    except (ScoreReadError, NotFoundError):
        return jsonify(words=NO_SCORE), 404
    picture = page_picture(piece, profile, None, shown, None)
    return jsonify(page=shown.number, count=shown.count, title=picture.words, src=picture.wide)


@pages.get("/<int:piece_id>/score")
def show(piece_id: int) -> str:
    """The score, or one part as its player sees it, a page at a time."""
    piece, profile = get_piece(reading(), piece_id)
    if piece.is_on_paper:
        raise NotFoundError("score of", f"“{piece.title}”", hint="It is only on paper.")
    number = number_of_thing(request.args.get("part", "")) or 0
    part = number - 1 if 0 < number <= len(profile.parts) else None
    tinted, fault = _span(request.args.get("at", "")), None
    if request.args.get("bar", "").strip():
        try:
            measure = measure_named(profile, request.args["bar"])
            tinted = (measure, measure)
        except InputError as error:
            fault = error
    shown, trouble = None, ""
    try:
        shown = score_page(
            tools().engraver, tools().files.clean_path_of(piece.source), profile, part=part,
            number=number_of_thing(request.args.get("page", "")) or 1, measure=tinted[0] if tinted else None,
        )  # fmt: skip
    except DrawingBusyError:
        trouble = BUSY
    except (ScoreReadError, NotFoundError):
        trouble = NO_SCORE
    return render_template(
        "library/score.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        piece=piece,
        profile=profile,
        part=part,
        shown=shown,
        trouble=trouble,
        fault=fault,
        picture=page_picture(piece, profile, part, shown, tinted) if shown else None,
    )
