"""Pages of the library: the list, one piece with its study, adding and correcting."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TypeGuard

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.access import may
from planner.adapters.web.context import (
    answers,
    author,
    changing,
    ensemble_in_view,
    ensembles,
    number_argument,
    reading,
    term_in_view,
    tools,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.filters import known_note
from planner.adapters.web.forms.find import (
    PAGE_SIZE,
    asked_for,
    chips,
    earlier_and_later,
    headings,
    page_of,
    query_of,
)
from planner.adapters.web.forms.piece import (
    LEVEL,
    PieceForms,
    copies_back,
    details_back,
    meet_copies,
    meet_details,
    piece_forms,
)
from planner.adapters.web.music import music, music_busy, music_in_words, shown_topics
from planner.adapters.web.pages.imports import are_few, import_now, receive, suffixes
from planner.adapters.web.pages.jobs import words
from planner.adapters.web.pages.people.met import met_again, pattern_sent
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble, Exposure
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PieceProfile
from planner.core.text import folded
from planner.errors import (
    ConflictError,
    DrawingBusyError,
    InputError,
    NotFoundError,
    OddEntryError,
    ScoreReadError,
)
from planner.matching.outlook import outlook_of
from planner.services.changes.records import READ_NOTE
from planner.services.entered.numbers import number_of_thing
from planner.services.entered.words import short
from planner.services.finding.find import find_pieces
from planner.services.imports.import_job import start_import
from planner.services.jobs.manage import list_jobs
from planner.services.levels.correct import correct_level
from planner.services.library.catalogue import (
    correct_piece,
    get_piece,
    list_choices,
    own_level,
    remove_piece,
)
from planner.services.library.copies import copies_of, count_copies
from planner.services.library.likenesses import alike, count_open_pairs
from planner.services.library.links import link_pieces, same_pieces, unlink_piece
from planner.services.library.restudy import study_standing
from planner.services.library.typed import read_values
from planner.services.people.exposures import list_exposures, record_exposures
from planner.services.piece_page.statements import state_study
from planner.services.plan.freshness import Knowing, standing_of
from planner.study.version import STUDY_VERSION
from planner.wording.director.catalogue import catalogue_lines
from planner.wording.director.finding import COPIES, NEAR_NOTE, ORDERS, STANDINGS, nothing_found_words
from planner.wording.director.jobs import standing_sentence
from planner.wording.director.people import (
    fresh_again_sentence,
    group_name,
    known_sentence,
    there_words,
)
from planner.wording.issues import issue_sentence
from planner.wording.study.difficulty import measured_words
from planner.wording.study.spots import spot_words
from planner.wording.words import bar_names

pages = Blueprint("library", __name__, url_prefix="/library")

_OPENING_WIDTH_MM = 240.0
_OPENING_BARS = 16


@pages.get("/")
def pieces() -> str:
    """The list, searched, narrowed and sorted by the address."""
    given = asked_for()
    query = query_of(given)
    lists = reading().lists.list_saved()
    found = find_pieces(reading(), page_of(query), tools().today())
    filters = chips(given, found, lists, ensembles())
    previous, following = earlier_and_later(given, found)
    return render_template(
        "library/list.html",
        alike_count=0 if filters else count_open_pairs(reading()),
        for_whom=next((one for one in ensembles() if one.id == query.level_for), None),
        groups=[ensemble for ensemble in ensembles() if ensemble.sections],
        jobs=list_jobs(reading(), tools().locks, only_open=True) if may("jobs.state") and not filters else (),
        **words(),
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        found=found,
        query=found.query,
        given=given,
        chips=filters,
        nothing=nothing_found_words([chip.words for chip in filters], helps=bool(found.without)),
        headings=headings(given, query, is_near=found.is_near),
        orders=ORDERS,
        copies=COPIES,
        standings=STANDINGS,
        focuses=FOCUSES,
        near_note=NEAR_NOTE,
        lists=lists,
        choices=list_choices(reading()),
        suffixes=suffixes(),
        previous=previous,
        following=following,
    )


@pages.get("/<int:piece_id>")
def piece(piece_id: int, forms: PieceForms | None = None) -> str:
    """One piece: its opening, its study as a whole or for one part, corrections; on paper, what is known.

    ``forms`` are given where one of them was not taken and comes back.
    """
    alike_pieces = alike(reading(), piece_id)
    found, profile = get_piece(reading(), piece_id)
    if found.is_on_paper:
        return _on_paper(found, profile, forms or piece_forms(reading(), piece_id))
    names = [part.name for part in profile.parts]
    chosen = request.args.get("part", "")
    chosen = chosen if chosen in names else ""
    ensemble = ensemble_in_view()
    part = profile.part(chosen) if chosen else None
    own = own_level(reading(), piece_id)
    stated = state_study(profile, chosen)
    return render_template(
        "library/piece.html",
        ensemble=ensemble,
        term=term_in_view(),
        piece=found,
        forms=forms or piece_forms(reading(), piece_id),
        catalogue=catalogue_lines(found),
        profile=profile,
        chosen=chosen,
        chosen_number=names.index(chosen) + 1 if chosen else None,
        on_sheet=shown_topics(stated.on_sheet, found, profile, chosen),
        beside=shown_topics(stated.beside, found, profile, chosen),
        issues=[issue_sentence(each, bar_names(profile)) for each in profile.issues],
        hardest=_hardest_places(profile),
        contributions=[(each, measured_words(each.evidence)) for each in (part or profile).contributions],
        old_study=_old_study(piece_id) if profile.study_version < STUDY_VERSION else "",
        **_standing(ensemble, piece_id),
        own_level=own,
        copies=copies_of(reading(), piece_id),
        same=same_pieces(reading(), piece_id),
        alike_pieces=alike_pieces,
        outlook=outlook_of(found, profile, ensemble, own_level=own) if _has_sections(ensemble) else None,
    )


def _on_paper(found: Piece, profile: PieceProfile, forms: PieceForms) -> str:
    """A piece without a score: what was entered, who would read what, and what nobody knows."""
    ensemble, own = ensemble_in_view(), own_level(reading(), found.id)
    scores, _ = reading().pieces.list_pieces(PieceQuery(text=found.title, limit=PAGE_SIZE))
    return render_template(
        "library/paper.html",
        ensemble=ensemble,
        term=term_in_view(),
        piece=found,
        forms=forms,
        profile=profile,
        catalogue=catalogue_lines(found),
        **_standing(ensemble, found.id),
        own_level=own,
        copies=copies_of(reading(), found.id),
        same=same_pieces(reading(), found.id),
        scores=[each for each in scores if not each.is_on_paper],
        unknown_parts=tuple(part.name for part in profile.parts if not part.instrument),
        outlook=outlook_of(found, profile, ensemble, own_level=own) if _has_sections(ensemble) else None,
    )


def _has_sections(ensemble: Ensemble | None) -> TypeGuard[Ensemble]:
    return ensemble is not None and bool(ensemble.sections)


def _old_study(piece_id: int) -> str:
    """A sentence when the study is of an older version; empty when it is up to date."""
    standing = study_standing(reading(), piece_id)
    return standing_sentence(standing.kept) if standing.is_old else ""


def _standing(ensemble: Ensemble | None, piece_id: int) -> dict[str, object]:
    """Why the piece is not fresh, when it will be, and what was noted of it."""
    if ensemble is None:
        return {"known": [], "again": "", "noted": []}
    work, today = reading(), tools().today()
    standing = standing_of(work, ensemble, piece_id, term=term_in_view(), today=today)
    known = [
        known_sentence(
            known_note(each, ensembles()), None if each.how is Knowing.PLANNED else there_words(present)
        )
        for each, present in zip(standing.known, standing.present, strict=True)
    ]
    last_days = sum(p.left is not None for section in ensemble.sections for p in section.players)
    noted = list_exposures(work, ensemble.id, piece_id=piece_id)
    return {
        "known": list(dict.fromkeys(known)),
        "again": fresh_again_sentence(standing.fresh_from, standing.unnamed, last_days) if known else "",
        "noted": [
            (each, group_name(each, ensembles(), _people_of(noted)), each.note == READ_NOTE) for each in noted
        ],
    }


def _people_of(noted: Sequence[Exposure]) -> Mapping[int, str]:
    """Names of the players of whom something is noted; the library is asked for those who sit nowhere now."""
    names = {
        player.person: player.name
        for ensemble in ensembles()
        for section in ensemble.sections
        for player in section.players
    }
    is_known = all(each.person is None or each.person in names for each in noted)
    return names if is_known else reading().ensembles.people()


def _hardest_places(profile: PieceProfile) -> dict[str, str]:
    """By part, its hardest place in words; empty for a part without one."""
    numbers = bar_names(profile)
    return {part.name: spot_words(part.spots[0], numbers) if part.spots else "" for part in profile.parts}


@pages.get("/<int:piece_id>/opening.svg")
def opening(piece_id: int) -> Response:
    """The first bars, in score or of one part, engraved; a sentence when they cannot be drawn."""
    found, profile = get_piece(reading(), piece_id)
    names = [part.name for part in profile.parts]
    chosen = request.args.get("part", "")
    part = names.index(chosen) if chosen in names else None
    try:
        svg, _last = tools().engraver.engrave(
            tools().files.clean_path_of(found.source),
            part=part,
            measure=0,
            end_measure=min(profile.measures, _OPENING_BARS) - 1,
            lines=1 if part is None else 2,
            width_mm=_OPENING_WIDTH_MM,
        )
    except DrawingBusyError:
        return music_busy()
    except (ScoreReadError, NotFoundError):
        return music_in_words()
    return music(svg)


@pages.post("/add")
def add() -> BaseResponse:
    """Read and study uploaded files; each refused one is named with the reason."""
    uploads = [upload for upload in request.files.getlist("scores") if upload.filename]
    if not uploads:
        raise InputError("No file was chosen.", hint="Choose one or more score files, or a folder of them.")
    arrival = receive(uploads)
    with changing() as work:
        job = start_import(work, tools().inbox.paths(arrival), author(), arrival=arrival)
    if are_few(uploads):
        return import_now(job)
    return redirect(url_for("imports.show", job_id=job.id))


@pages.post("/<int:piece_id>/correct")
def correct(piece_id: int) -> BaseResponse | tuple[str, int]:
    """Save what the director changed in the form; what was changed elsewhere meanwhile stays.

    Where both changed the same, the form comes back with both values.
    """
    try:
        with changing() as work:
            meeting = meet_details(work, piece_id)
            meeting.refuse_overtaken()
            changed = meeting.changed
            level, values = number_argument(LEVEL), read_values(changed)
            correct_piece(work, piece_id, values, author())
            if LEVEL in changed and level != own_level(work, piece_id):
                correct_level(work, piece_id, level, by=author())
    except (InputError, ConflictError) as error:
        return piece(piece_id, details_back(reading(), piece_id, error)), status_of(error)
    flash("Saved.")
    return redirect(url_for("library.piece", piece_id=piece_id))


@pages.post("/<int:piece_id>/copies")
def copies(piece_id: int) -> BaseResponse | tuple[str, int]:
    """Store how many copies of the parts there are; what was counted elsewhere meanwhile stays.

    Where both counted the same part, the form comes back with both numbers.
    """
    try:
        with changing() as work:
            meeting = meet_copies(work, piece_id)
            meeting.refuse_overtaken()
            counts = {part: _copies(part, text) for part, text in meeting.changed.items()}
            count_copies(work, piece_id, counts, by=author())
    except (InputError, ConflictError) as error:
        return piece(piece_id, copies_back(reading(), piece_id, error)), status_of(error)
    flash("Saved.")
    return redirect(url_for("library.piece", piece_id=piece_id))


def _copies(part: str, text: str) -> int | None:
    if not text:
        return None
    number = number_of_thing(text)
    if number is None:
        raise InputError(f"{short(part)}: “{short(text)}” is not a number of copies.", field=part)
    return number


@pages.post("/<int:piece_id>/same")
def same(piece_id: int) -> BaseResponse:
    """Say that another piece of the library, named by its title or number, is a file of the same piece."""
    name = request.form.get("other", "").strip()
    with changing() as work:
        link_pieces(work, piece_id, piece_named(work.pieces.titles(), name, piece_id), by=author())
    flash("Saved: whoever has met one of them has met both.")
    return redirect(url_for("library.piece", piece_id=piece_id))


@pages.post("/<int:piece_id>/apart")
def apart(piece_id: int) -> BaseResponse:
    """Take the piece apart from its other files."""
    with changing() as work:
        unlink_piece(work, piece_id, by=author())
    flash("Saved: this file stands alone again.")
    return redirect(url_for("library.piece", piece_id=piece_id))


def piece_named(titles: Mapping[int, str], name: str, piece_id: int) -> int:
    """The piece with that number, or the only other one with that title."""
    found = [one for one, title in titles.items() if one != piece_id and folded(title) == folded(name)]
    if len(found) == 1:
        return found[0]
    number = number_of_thing(name)
    if number is not None and number in titles:
        return number
    if found:
        numbers = ", ".join(str(one) for one in found)
        raise InputError(
            f"Several other pieces are called “{name}”.", hint=f"Name one by its number: {numbers}."
        )
    raise InputError(
        f"No other piece is called “{name}”.", hint="Copy its title from the library, or type its number."
    )


@pages.post("/<int:piece_id>/met")
def met(piece_id: int) -> BaseResponse | tuple[str, int]:
    """Record that a group has met the piece."""
    ensemble = ensemble_in_view()
    if ensemble is None:
        raise InputError("There is no ensemble yet.", hint="Name your ensemble first.")
    try:
        with changing() as work:
            exposure = replace(pattern_sent(work, ensemble), piece_id=piece_id)
            noted = record_exposures(work, [exposure], by=author(), today=tools().today(), answers=answers())
    except (InputError, NotFoundError, OddEntryError) as error:
        return met_again(piece_id, error), status_of(error)
    flash("Noted: it is no longer fresh for them." if noted.new else "That was noted already.")
    return redirect(url_for("library.piece", piece_id=piece_id))


@pages.post("/<int:piece_id>/remove")
def remove(piece_id: int) -> BaseResponse:
    """Take the piece out of the library."""
    with changing() as work:
        gone = remove_piece(work, piece_id)
    if not gone.is_on_paper:
        tools().files.remove(gone.source)
    flash(f"“{gone.title}” is no longer in the library.")
    return redirect(url_for("library.pieces"))
