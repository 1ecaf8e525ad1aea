"""Pages of the players: one table edited in place, one more player, a roster pasted or imported."""

import json
import tempfile
from collections.abc import Mapping
from pathlib import Path

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.utils import secure_filename
from werkzeug.wrappers import Response

from planner.adapters.web.context import (
    answers,
    author,
    changing,
    date_argument,
    ensemble_in_view,
    ensembles,
    needed_whole,
    reading,
    term_in_view,
    tools,
    whole_argument,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.table import sent_rows
from planner.adapters.web.shown import questions_of
from planner.core.ensemble import Ensemble
from planner.errors import (
    ConflictError,
    EntriesError,
    InputError,
    NotFoundError,
    OddEntryError,
    PlannerError,
    QuestionError,
)
from planner.services.entered.numbers import number_of_thing
from planner.services.people.lists.players_table import (
    FIELDS,
    SeatEntry,
    day_after,
    save_players,
    seat_texts,
)
from planner.services.people.lists.roster_import import (
    Answer,
    RosterPreview,
    preview_roster,
    take_roster,
)
from planner.services.people.lists.rows import Rows, split_rows
from planner.services.people.players import SOMEONE_ELSE, add_player, alike, come_back, seats_of
from planner.services.ports.work import UnitOfWork
from planner.services.privacy.who import people_without_seat
from planner.wording.director.people import (
    answer_words,
    roster_counts_text,
    roster_taken_text,
    saved_players_text,
)

pages = Blueprint("players", __name__, url_prefix="/players")

LONGEST_LIST = 200_000
"""Letters of a pasted roster. Source: house choice."""


@pages.get("/")
def listing() -> str:
    """Every player of the ensemble in view, in one table that is edited in place."""
    return _page()


@pages.post("/")
def table() -> Response | tuple[str, int]:
    """Store what was edited in the table of players."""
    out, others = set(request.form.getlist("out")), set(request.form.getlist("other"))
    rows = [
        SeatEntry(seat, typed, shown, str(seat) in out, str(seat) in others)
        for seat, typed, shown in sent_rows(request.form, FIELDS)
        if seat
    ]
    try:
        moves_on = None if request.form.get("always") else date_argument("moves_on") or tools().today()
        with changing() as work:
            saved = save_players(
                work, _ensemble().id, rows, by=author(), today=tools().today(), moves_on=moves_on,
                answers=answers(),
            )  # fmt: skip
    except (InputError, ConflictError, OddEntryError) as error:
        return _page(sent={row.seat: row for row in rows}, error=error), status_of(error)
    flash(saved_players_text(saved.renamed, saved.moved, saved.days, saved.out))
    return redirect(url_for("players.listing"))


@pages.post("/add")
def add() -> Response | tuple[str, int]:
    """Seat one more player; asks when there is one of that name."""
    who = request.form.get("who", "")
    try:
        last_day = date_argument("last_day")
        with changing() as work:
            add_player(
                work,
                needed_whole("section"),
                request.form.get("name", ""),
                today=tools().today(),
                by=author(),
                joined=date_argument("joined"),
                left=day_after(last_day) if last_day else None,
                person=SOMEONE_ELSE if who == "else" else number_of_thing(who),
                answers=answers(),
            )
    except (InputError, ConflictError, OddEntryError) as error:
        return _page(adding=request.form, error=error), status_of(error)
    flash(f"{request.form['name'].strip()} is in.")
    return redirect(url_for("players.listing"))


@pages.post("/<int:seat_id>/back")
def back(seat_id: int) -> Response | tuple[str, int]:
    """Seat a player who had left once more, from today or another day on."""
    try:
        on = date_argument("on") or tools().today()
        with changing() as work:
            come_back(work, seat_id, on, by=author(), today=tools().today(), answers=answers())
    except (InputError, ConflictError, OddEntryError) as error:
        return _page(back=seat_id, error=error), status_of(error)
    flash("Welcome back: they have a seat again.")
    return redirect(url_for("players.listing"))


@pages.post("/preview")
def preview() -> str | tuple[str, int]:
    """Show what would become of a pasted or imported roster; nothing is stored."""
    try:
        rows, is_sheet = _sent_roster()
        return _preview_page(reading(), rows, is_sheet=is_sheet)
    except InputError as error:
        return _page(pasted=request.form, error=error), status_of(error)


@pages.post("/take")
def take() -> Response | tuple[str, int]:
    """Store a roster as it was previewed."""
    rows = _kept_rows(request.form.get("rows", ""))
    is_sheet = bool(request.form.get("is_sheet"))
    try:
        with changing() as work:
            ensemble = work.ensembles.get(_ensemble().id)
            seen = _preview(work, ensemble, rows)
            done = take_roster(work, ensemble, seen, by=author(), today=tools().today(), answers=answers())
    except (InputError, ConflictError, OddEntryError) as error:
        return _preview_page(reading(), rows, is_sheet=is_sheet, error=error), status_of(error)
    flash(roster_taken_text(done.new, done.changed, done.moved, done.sections, done.refused))
    return redirect(url_for("sections.listing" if done.sections else "players.listing"))


def _page(
    sent: Mapping[int, SeatEntry] | None = None,
    adding: Mapping[str, str] | None = None,
    pasted: Mapping[str, str] | None = None,
    back: int = 0,
    error: PlannerError | None = None,
) -> str:
    ensemble = ensemble_in_view()
    seats = seats_of(reading(), ensemble.id) if ensemble else ()
    entries = sent or {}
    rows = []
    for seat in seats:
        texts = seat_texts(seat.section, seat.player)
        rows.append((seat, entries.get(seat.player.id) or SeatEntry(seat.player.id, texts, texts)))
    asked = alike(seats_of(reading()), adding.get("name", "")) if adding is not None else {}
    return render_template(
        "sections/players.html",
        ensemble=ensemble,
        ensembles=ensembles(),
        term=term_in_view(),
        rows=rows,
        unseated=people_without_seat(reading()),
        today=tools().today(),
        faults=error.faults if isinstance(error, EntriesError) else {},
        error=None if isinstance(error, OddEntryError) else error,
        refused=str(error) if error and not isinstance(error, EntriesError | OddEntryError) else "",
        about=error.field if error else "",
        odd=questions_of(error),
        back=back,
        back_on=request.form.get("on", "") if back else "",
        adding=adding or {},
        is_asked=isinstance(error, QuestionError),
        asked=asked if isinstance(error, QuestionError) else {},
        pasted=pasted or {},
        sent_form=request.form if sent is not None else {},
    )


def _sent_roster() -> tuple[Rows, bool]:
    """The roster that was sent: as a file, or pasted; and whether its places are cells.

    Raises:
        InputError: If there is none, or it cannot be read.
    """
    upload = request.files.get("file")
    if upload is not None and upload.filename:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / (secure_filename(upload.filename) or "roster")
            upload.save(path)
            return tools().rosters.read(path), path.suffix.lower() == ".xlsx"
    text = request.form.get("text", "")
    if not text.strip():
        raise InputError("There is nothing to read.", hint="Paste your roster, or choose a file.")
    if len(text) > LONGEST_LIST:
        raise InputError("That list is far longer than a roster.", hint="Paste fewer lines.")
    return split_rows(text), False


def _kept_rows(text: str) -> Rows:
    """The rows that the preview carried along.

    Raises:
        InputError: If they are not as the preview wrote them.
    """
    try:
        rows = json.loads(text)
    except ValueError as error:
        raise InputError("That list was damaged on the way.", hint="Paste it once more.") from error
    is_table = isinstance(rows, list) and all(
        isinstance(row, list) and all(isinstance(cell, str) for cell in row) for row in rows
    )
    if not is_table:
        raise InputError("That list was damaged on the way.", hint="Paste it once more.")
    return [list(row) for row in rows]


def _preview(work: UnitOfWork, ensemble: Ensemble, rows: Rows) -> RosterPreview:
    section = whole_argument("section")
    sent = {number_of_thing(name.removeprefix("answer-")): value for name, value in request.form.items()}
    answers = {row: value for row, value in sent.items() if row is not None}
    return preview_roster(
        work, ensemble, rows, today=tools().today(), section_id=section or None,
        answers=answers,
    )  # fmt: skip


def _preview_page(work: UnitOfWork, rows: Rows, *, is_sheet: bool, error: PlannerError | None = None) -> str:
    ensemble = _ensemble()
    seen = _preview(work, ensemble, rows)
    return render_template(
        "sections/roster_preview.html",
        ensemble=ensemble,
        term=term_in_view(),
        preview=seen,
        counts=_counts(seen),
        answer_text=_answer_text,
        is_sheet=is_sheet,
        rows_text=json.dumps([list(row) for row in rows], ensure_ascii=False),
        section=request.form.get("section", ""),
        refused=str(error) if error and not isinstance(error, OddEntryError) else "",
        odd=questions_of(error),
    )


def _counts(seen: RosterPreview) -> str:
    return roster_counts_text(seen.counts, seen.missing)


def _answer_text(answer: Answer) -> str:
    places = [f"{seat.section.name} of {seat.ensemble.name}" for seat in answer.seats]
    return answer_words(places, moves=answer.moves)


def _ensemble() -> Ensemble:
    ensemble = ensemble_in_view()
    if ensemble is None:
        raise NotFoundError("ensemble", "yet", hint="Name your ensemble first.")
    return ensemble
