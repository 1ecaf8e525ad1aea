"""Pages of the library: the list, one piece with its study, adding and correcting."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TypeGuard
from urllib.parse import urlencode

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
from planner.adapters.web.pages.imports import are_few, import_now, receive, suffixes
from planner.adapters.web.pages.jobs import words
from planner.adapters.web.pages.people.met import met_again, pattern_sent
from planner.core.ensemble import Ensemble, Exposure
from planner.core.fact import Topic
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PieceProfile
from planner.core.text import folded
from planner.errors import ConflictError, InputError, NotFoundError, OddEntryError, ScoreReadError
from planner.matching.outlook import outlook_of
from planner.services.changes.records import READ_NOTE
from planner.services.imports.import_job import start_import
from planner.services.jobs.manage import list_jobs
from planner.services.levels.correct import correct_level
from planner.services.library.catalogue import (
    correct_piece,
    get_piece,
    list_choices,
    list_pieces,
    own_level,
    remove_piece,
)
from planner.services.library.copies import copies_of, count_copies
from planner.services.library.likenesses import alike, count_open_pairs
from planner.services.library.links import link_pieces, same_pieces, unlink_piece
from planner.services.library.restudy import study_standing
from planner.services.library.typed import read_values
from planner.services.people.exposures import list_exposures, record_exposures
from planner.services.plan.freshness import Knowing, standing_of
from planner.study.version import STUDY_VERSION
from planner.wording.director.catalogue import catalogue_lines
from planner.wording.director.jobs import standing_sentence
from planner.wording.director.people import (
    fresh_again_sentence,
    group_name,
    known_sentence,
    there_words,
)
from planner.wording.issues import issue_sentence
from planner.wording.study.difficulty import measured_words
from planner.wording.study.sentences import sentences_of
from planner.wording.study.spots import spot_words
from planner.wording.words import bar_names

pages = Blueprint("library", __name__, url_prefix="/library")

PAGE_SIZE = 50
_OPENING_WIDTH_MM = 240.0
_OPENING_BARS = 16
_NOT_DRAWN = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="640" height="40" viewBox="0 0 640 40"><text x="2" y="26" '
    'font-family="sans-serif" font-size="16">These bars could not be drawn.</text></svg>'
)
"""Shown in place of a drawing: it is asked for as a picture, so the sentence is one too."""


@pages.get("/")
def pieces() -> str:
    """The list, searched and narrowed by the address."""
    for_whom = _for_whom()
    query = _query(for_whom)
    page = list_pieces(reading(), query)
    return render_template(
        "library/list.html",
        alike_count=count_open_pairs(reading()),
        for_whom=for_whom,
        choices_for_whom=[ensemble for ensemble in ensembles() if ensemble.sections],
        jobs=list_jobs(reading(), tools().locks, only_open=True) if may("jobs.state") else (),
        **words(),
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        page=page,
        query=query,
        choices=list_choices(reading()),
        suffixes=suffixes(),
        filtered=bool(request.args),
        previous=_page_address(query.offset - PAGE_SIZE) if query.offset else None,
        following=_page_address(query.offset + PAGE_SIZE) if page.last < page.total else None,
    )


def _for_whom() -> Ensemble | None:
    """Whose levels are shown: the ensemble asked for, else the one in view; None for the full score."""
    able = {str(ensemble.id): ensemble for ensemble in ensembles() if ensemble.sections}
    in_view = ensemble_in_view()
    return able.get(request.args.get("for", str(in_view.id) if in_view else ""))


def _query(for_whom: Ensemble | None) -> PieceQuery:
    ensemble = for_whom or ensemble_in_view()
    return PieceQuery(
        text=request.args.get("text", "").strip(),
        level_from=number_argument("from"),
        level_to=number_argument("to"),
        key=request.args.get("key", ""),
        meter=request.args.get("meter", ""),
        tag=request.args.get("tag", ""),
        fresh_for=ensemble.id if ensemble and request.args.get("fresh") else None,
        fresh_on=tools().today(),
        order=request.args.get("order", "title"),
        offset=int(number_argument("offset") or 0),
        limit=PAGE_SIZE,
        level_for=for_whom.id if for_whom else None,
    )


def _page_address(offset: int) -> str:
    arguments = {**request.args.to_dict(), "offset": str(max(0, offset))}
    return url_for("library.pieces") + "?" + urlencode(arguments)


@pages.get("/<int:piece_id>")
def piece(piece_id: int) -> str:
    """One piece: its opening, its study as a whole or for one part, corrections; on paper, what is known."""
    alike_pieces = alike(reading(), piece_id)
    found, profile = get_piece(reading(), piece_id)
    if found.is_on_paper:
        return _on_paper(found, profile)
    names = [part.name for part in profile.parts]
    chosen = request.args.get("part", "")
    chosen = chosen if chosen in names else ""
    ensemble = ensemble_in_view()
    part = profile.part(chosen) if chosen else None
    own = own_level(reading(), piece_id)
    return render_template(
        "library/piece.html",
        ensemble=ensemble,
        term=term_in_view(),
        piece=found,
        catalogue=catalogue_lines(found),
        profile=profile,
        chosen=chosen,
        topics=_by_topic(profile, chosen),
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


def _on_paper(found: Piece, profile: PieceProfile) -> str:
    """A piece without a score: what was entered, who would read what, and what nobody knows."""
    ensemble, own = ensemble_in_view(), own_level(reading(), found.id)
    scores = list_pieces(reading(), PieceQuery(text=found.title, limit=PAGE_SIZE)).pieces
    return render_template(
        "library/paper.html",
        ensemble=ensemble,
        term=term_in_view(),
        piece=found,
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


def _by_topic(profile: PieceProfile, part: str) -> list[tuple[str, tuple[str, ...]]]:
    """Headings with the sentences true of a part (or of everyone), in the order of the study."""
    facts = profile.facts_for("", part)
    by_topic = {
        topic: sentences_of((fact for fact in facts if fact.topic is topic), profile) for topic in Topic
    }
    return [(topic.capitalize(), sentences) for topic, sentences in by_topic.items() if sentences]


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
    except (ScoreReadError, NotFoundError):
        return Response(_NOT_DRAWN, mimetype="image/svg+xml", headers={"Cache-Control": "no-store"})
    return Response(svg, mimetype="image/svg+xml", headers={"Cache-Control": "private, max-age=86400"})


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
def correct(piece_id: int) -> BaseResponse:
    """Save what the director changed in the form; what was changed elsewhere meanwhile stays.

    The form sends each field as it was shown beside what stands in it now.
    """
    form = request.form
    changed = {name: text for name, text in form.items() if text != form.get(f"shown-{name}")}
    level, values = number_argument("level"), read_values(changed)
    with changing() as work:
        correct_piece(work, piece_id, values, author())
        if "level" in changed and level != own_level(work, piece_id):
            correct_level(work, piece_id, level, by=author())
    flash("Saved.")
    return redirect(url_for("library.piece", piece_id=piece_id))


@pages.post("/<int:piece_id>/copies")
def copies(piece_id: int) -> BaseResponse:
    """Store how many copies of the parts there are; what was counted elsewhere meanwhile stays, or is told.

    The form sends each number as it was shown beside what stands in it now.
    """
    parts = request.form.getlist("part")
    typed, shown = (dict(zip(parts, request.form.getlist(name), strict=False)) for name in ("count", "shown"))
    changed = {part: text.strip() for part, text in typed.items() if text.strip() != shown.get(part, "")}
    with changing() as work:
        now = copies_of(work, piece_id)
        for part, text in changed.items():
            if str(now.get(part, "")) not in (shown[part], text):
                raise ConflictError(
                    f"The copies of {part} were counted anew meanwhile: now {now.get(part)}.",
                    hint="Open the page again and look.",
                )
        count_copies(
            work, piece_id, {part: _copies(part, text) for part, text in changed.items()}, by=author()
        )
    flash("Saved.")
    return redirect(url_for("library.piece", piece_id=piece_id))


def _copies(part: str, text: str) -> int | None:
    if not text:
        return None
    if not text.isascii() or not text.isdigit():
        raise InputError(f"{part}: “{text}” is not a number of copies.")
    return int(text)


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
    if name.isascii() and name.isdigit() and int(name) in titles:
        return int(name)
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
