"""Who is here on a reading day, and the players' own marks."""

from collections.abc import Sequence
from datetime import date

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import account_name, author, changing, own_sections, reading, sees, tools
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.attendance import (
    ALL,
    FIELDS,
    again,
    mark_values,
    marks_of,
    meet_form,
    state_values,
    states_of,
    typed,
    typed_states,
)
from planner.adapters.web.kept import is_asked_as_you_go, kept, not_kept
from planner.adapters.web.shown import Form, first_shown
from planner.core.ensemble import Ensemble
from planner.core.term import Attendance
from planner.errors import ConflictError, InputError
from planner.services.day.attendance import SectionRoll, enter_marks, read_roll
from planner.services.day.read_day import find_day
from planner.services.ports.work import UnitOfWork
from planner.services.term.terms import parse_date
from planner.wording.director.marks import ATTENDANCE_WORDS, roll_text
from planner.wording.words import count_of

pages = Blueprint("attendance", __name__, url_prefix="/term/<int:term_id>/<on>")


@pages.get("/here")
def show(term_id: int, on: str) -> str:
    """Who is here: a name to tap for each player, section by section."""
    rolls = _rolls(reading(), term_id, parse_date(on))
    return _page("here", term_id, parse_date(on), rolls, first_shown(state_values(rolls)))


@pages.post("/here")
def save(term_id: int, on: str) -> BaseResponse | tuple[Response | str, int]:
    """Store who is here, by exception: in a section that is saved, those not entered are here."""
    day = parse_date(on)
    _refuse_others(find_day(reading(), term_id, day)[1])
    is_ahead = day > tools().today()
    try:
        with changing() as work:
            _, ensemble = find_day(work, term_id, day)
            rolls = _rolls(work, term_id, day)
            values = typed_states(rolls, request.form)
            meeting = meet_form(state_values(rolls), values, request.form)
            meeting.refuse_overtaken()
            marks = states_of(rolls, meeting, request.form.get("taken", ""), is_ahead=is_ahead)
            changed = enter_marks(work, ensemble, day, marks, today=tools().today(), by=author())
            now = _rolls(work, term_id, day)
    except (InputError, ConflictError) as error:
        rolls = _rolls(reading(), term_id, day)
        stored, values = state_values(rolls), typed_states(rolls, request.form)
        form = again(error, rolls, stored, values, request.form)
        if is_asked_as_you_go():
            return not_kept(error, form, stored)
        return _page("here", term_id, day, rolls, form), status_of(error)
    if is_asked_as_you_go():
        counted = {str(roll.section.id): _roll_text(roll) for roll in now}
        return kept(state_values(now), count_of(len(changed), "player"), notes=counted)
    seats = {mark.player_id for mark in changed}
    for roll in now:
        if any(line.player.id in seats for line in roll.lines):
            flash(_roll_text(roll))
    if not seats:
        flash("Nothing was changed.")
    return redirect(url_for("attendance.show", term_id=term_id, on=on))


@pages.get("/marks")
def marks(term_id: int, on: str) -> str:
    """Players' own marks of the day, what was made up, and remarks."""
    rolls = _rolls(reading(), term_id, parse_date(on))
    return _page("marks", term_id, parse_date(on), rolls, first_shown(mark_values(rolls)))


@pages.post("/marks")
def save_marks(term_id: int, on: str) -> BaseResponse | tuple[str, int]:
    """Store own marks, make-ups and remarks; a field that was emptied takes its value back."""
    day = parse_date(on)
    _refuse_others(find_day(reading(), term_id, day)[1])
    try:
        with changing() as work:
            _, ensemble = find_day(work, term_id, day)
            rolls = _rolls(work, term_id, day)
            stored = mark_values(rolls)
            meeting = meet_form(stored, typed(stored, request.form), request.form)
            meeting.refuse_overtaken()
            changed = enter_marks(
                work, ensemble, day, marks_of(rolls, meeting), today=tools().today(), by=author()
            )
    except (InputError, ConflictError) as error:
        rolls = _rolls(reading(), term_id, day)
        stored = mark_values(rolls)
        form = again(error, rolls, stored, typed(stored, request.form), request.form)
        return _page("marks", term_id, day, rolls, form), status_of(error)
    flash(f"Saved for {count_of(len(changed), 'player')}." if changed else "Nothing was changed.")
    return redirect(url_for("attendance.marks", term_id=term_id, on=on))


def _rolls(work: UnitOfWork, term_id: int, on: date) -> tuple[SectionRoll, ...]:
    """The sections that are open to whoever asks, those with players."""
    _, ensemble = find_day(work, term_id, on)
    return tuple(roll for roll in read_roll(work, ensemble, on, own_sections()) if roll.lines)


def _page(name: str, term_id: int, on: date, rolls: Sequence[SectionRoll], form: Form) -> str:
    term, ensemble = find_day(reading(), term_id, on)
    return render_template(
        f"day/{name}.html",
        ensemble=ensemble,
        term=term,
        on=on,
        rolls=rolls,
        form=form,
        states=ATTENDANCE_WORDS,
        counts={roll.section.id: _roll_text(roll) for roll in rolls},
        is_ahead=on > tools().today(),
        everyone=ALL,
        who=account_name(),
    )


def _roll_text(roll: SectionRoll) -> str:
    counts = {state: roll.count(state) for state in Attendance}
    return roll_text(roll.section.name, counts, len(roll.lines) - sum(counts.values()))


def _refuse_others(ensemble: Ensemble) -> None:
    """Store nothing from a form that speaks of a section which is not open to who sends it."""
    sent = {field.rpartition("-")[2] for field in request.form if field.partition("-")[0] in FIELDS}
    buttons = {request.form.get(button) for button in ("taken", "here", "back")}
    for section in ensemble.sections:
        named = {str(player.id) for player in section.players} & sent
        if not sees(section.id) and (named or str(section.id) in buttons):
            abort(403)
