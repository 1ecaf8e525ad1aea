"""The page for the room: a reading day for a projector and for the stand, with its clock."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from http import HTTPStatus

from flask import Blueprint, flash, jsonify, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import author, changing, reading, tools
from planner.adapters.web.errors import status_of
from planner.adapters.web.music import Picture, part_bars
from planner.adapters.web.shown import MARK, Form, come_back, first_shown, meet
from planner.core.day_clock import DayClock, Press, Standing, Step, where_it_stands
from planner.core.procedures import PROCEDURES, Body
from planner.core.term import Term
from planner.errors import ConflictError, InputError
from planner.services.day.read_day import read_day
from planner.services.day_page.clock import StepMovedError, press_clock
from planner.services.day_page.procedure import set_procedure
from planner.services.day_page.room_day import RoomDay, room_day
from planner.services.day_page.room_piece import RoomPiece, StartingNote, read_starting_notes
from planner.services.day_page.steps import day_steps
from planner.services.entered.words import short
from planner.services.term.terms import parse_date
from planner.wording.director.procedures import AS_PLANNED, allowances, event_name, procedure_name
from planner.wording.director.room import (
    AWAY,
    MOVED_ON,
    NOT_BEGUN,
    OVER,
    STEP_NAMES,
    STEP_SENTENCES,
    clock_time,
    left_words,
    spare_words,
)

pages = Blueprint("room", __name__, url_prefix="/term/<int:term_id>/<on>/room")

_FIELD = "procedure"
_BAR_BESIDE = 1
"""Bars drawn on each side of a hard place. House choice."""
_MOST_BARS = 4
"""Bars of a hard place that are drawn: more would be too small for the room. House choice."""


@dataclass(frozen=True, slots=True)
class ShownPiece:
    """A piece with what is drawn of it: its hard bars, and the notes its singers begin with."""

    room: RoomPiece
    hard: tuple[Picture, ...]
    starting: tuple[StartingNote, ...]


@pages.get("/")
def show(term_id: int, on: str) -> str:
    """The page for the room of one day."""
    return _page(term_id, on)


def _page(term_id: int, on: str, back: Form | None = None) -> str:
    """The page; ``back`` is the form of its procedure when that was not taken."""
    view = read_day(reading(), term_id, parse_date(on))
    room = room_day(view, request.args.get("station", ""))
    clock, now = reading().clocks.find(term_id, view.on), tools().now()
    standing = where_it_stands(clock, room.steps, now)
    return render_template(
        "day/room.html",
        room=room,
        view=view,
        term=view.term,
        ensemble=view.ensemble,
        on=view.on,
        turns=[[_shown(piece) for piece in turn.pieces] for turn in room.turns],
        shown_turn=_turn_of(standing, room),
        steps=[_step_values(step, room) for step in room.steps],
        state=_state(clock, now),
        standing=standing,
        script={
            "words": {"not_begun": NOT_BEGUN, "over": OVER, "away": AWAY, "moved": MOVED_ON},
            "warnings": {str(seconds): left_words(seconds) for seconds in room.warnings_s},
        },
        spare=spare_words(room.day.spare_s, view.term.minutes_on(view.on)),
        names=STEP_NAMES,
        clock_time=clock_time,
        form=back or first_shown(_stored(view.term, on)),
        groups=[(body, [p for p in PROCEDURES if p.body is body]) for body in Body],
        event_name=event_name,
        rules=allowances(room.procedure) if room.procedure else (),
        chosen=procedure_name(room.procedure.slug) if room.procedure else AS_PLANNED,
    )


@pages.get("/state.json")
def state(term_id: int, on: str) -> Response:
    """Where the clock stood when somebody last pressed, and what time it is here."""
    return jsonify(_state(reading().clocks.find(term_id, parse_date(on)), tools().now()))


@pages.post("/press")
def press(term_id: int, on: str) -> BaseResponse | tuple[Response, int]:
    """Do to the clock what somebody pressed, if it still stands at the step that they saw."""
    pressed, about = _press_sent(request.form.get("press", "")), request.form.get("step", "")
    now, moved = tools().now(), False
    with changing() as work:
        view = read_day(work, term_id, parse_date(on))
        try:
            press_clock(work, term_id, view.on, day_steps(view).steps, pressed, about=about, now=now)
        except StepMovedError:
            moved = True
        clock = work.clocks.find(term_id, view.on)
    if request.headers.get("Accept", "").startswith("application/json"):
        return jsonify(_state(clock, now)), HTTPStatus.CONFLICT if moved else HTTPStatus.OK
    if moved:
        flash(MOVED_ON, "warning")
    return redirect(url_for("room.show", term_id=term_id, on=on, station=request.args.get("station")))


def _press_sent(text: str) -> Press:
    try:
        return Press(text)
    except ValueError:
        raise InputError(
            f"“{short(text)}” is nothing that the clock can do.", hint="Use its buttons.", field="press"
        ) from None


@pages.post("/procedure")
def choose(term_id: int, on: str) -> BaseResponse | tuple[str, int]:
    """Choose by which procedure the music of the day is studied."""
    typed, mark = {_FIELD: request.form.get(_FIELD, "")}, request.form.get(MARK, "")
    day = parse_date(on)
    try:
        with changing() as work:
            stored = _stored(work.terms.get(term_id), on)
            meeting = meet(stored, typed, mark)
            meeting.refuse_overtaken()
            set_procedure(work, term_id, day, meeting.values[_FIELD], by=author())
    except ConflictError as error:
        now = _stored(reading().terms.get(term_id), on)
        form = come_back(error, now, typed, mark, {_FIELD: procedure_name})
        return _page(term_id, on, form), status_of(error)
    return redirect(url_for("room.show", term_id=term_id, on=on))


def _stored(term: Term, on: str) -> dict[str, str]:
    return {_FIELD: dict(term.procedures).get(parse_date(on), "")}


def _turn_of(standing: Standing, room: RoomDay) -> int:
    """Which turn is in sight: of the step at which the day stands, before it the first, after it the last."""
    if not room.steps:
        return 0
    return room.steps[min(max(standing.place, 0), len(room.steps) - 1)].turn


def _step_values(step: Step, room: RoomDay) -> Mapping[str, object]:
    """A step as the script of the page takes it."""
    cautions = [one.cautions[step.kind] for one in room.turns[step.turn].pieces if step.kind in one.cautions]
    return {
        "key": step.key, "turn": step.turn, "kind": step.kind, "seconds": step.seconds,
        "begins_itself": step.begins_itself, "name": STEP_NAMES[step.kind],
        "sentence": STEP_SENTENCES[step.kind], "caution": cautions[0] if cautions else "",
    }  # fmt: skip


def _state(clock: DayClock | None, now: datetime) -> Mapping[str, object]:
    """A clock as the script of the page takes it; times are milliseconds since 1970."""
    found = {"now": _ms(now), "step": "", "left": 0.0, "at": _ms(now), "running": False, "extended": 0,
             "presses": 0}  # fmt: skip
    if clock is None:
        return found
    return {
        **found, "step": clock.step, "left": clock.left_s, "at": _ms(clock.at), "running": clock.is_running,
        "extended": clock.extended_s, "presses": clock.presses,
    }  # fmt: skip


def _ms(at: datetime) -> int:
    return round(1000 * at.timestamp())


def _shown(piece: RoomPiece) -> ShownPiece:
    entry = piece.turn_piece.entry
    return ShownPiece(piece, tuple(_hard(piece)), read_starting_notes(tools().engraver, tools().files, piece)
                      if not entry.piece.is_on_paper else ())  # fmt: skip


def _hard(piece: RoomPiece) -> list[Picture]:
    """The hard places of the featured part with a bar on each side, so far as they are read."""
    entry, found = piece.turn_piece.entry, []
    names = [part.name for part in entry.profile.parts]
    for first, last in piece.hard_places:
        start, end = max(piece.scope.first, first - _BAR_BESIDE), min(piece.scope.last, last + _BAR_BESIDE)
        drawn, part = (start, min(end, start + _MOST_BARS - 1)), names.index(piece.scope.lead)
        found.append(part_bars(entry.piece, entry.profile, part, drawn, (first, last)))
    return found
