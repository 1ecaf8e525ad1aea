"""The page of who was there on a reading day."""

from collections.abc import Mapping, Sequence
from datetime import date

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from planner.adapters.web.context import answers, author, changing, reading, sees, term_shown, tools
from planner.adapters.web.errors import status_of
from planner.adapters.web.shown import MARK, Form, Meeting, Spell, come_back, first_shown, meet
from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.errors import ConflictError, InputError, NotFoundError, OddEntryError
from planner.services.day.attendance import AttendanceEntry, Attendee, attendees, take_attendance
from planner.services.ports import UnitOfWork
from planner.services.term.terms import parse_date
from planner.wording.director.attendance import attendance_text, presence_word

pages = Blueprint("attendance", __name__, url_prefix="/term/<int:term_id>/<on>/attendance")

SEAT, AWAY, THERE, OWN = "seat", "away", "there", "mark"
"""Fields of the form: the players it shows; of each, by the number of the seat, whether they were away, the
same as a value that can be held against what is stored, and their own mark."""


@pages.get("/")
def show(term_id: int, on: str) -> str:
    """Who was there on a day, and who was away."""
    term, ensemble = term_shown(term_id)
    day = parse_date(on)
    rows = _own(reading(), ensemble, day)
    return _page(term, ensemble, day, rows, first_shown(_values(rows)))


@pages.post("/")
def take(term_id: int, on: str) -> Response | tuple[str, int]:
    """Store who was there: everyone shown who is not ticked as away."""
    term, ensemble = term_shown(term_id)
    day = parse_date(on)
    sent = {int(seat) for seat in request.form.getlist(SEAT) if seat.isascii() and seat.isdigit()}
    if any(not sees(s.id) and sent & {p.id for p in s.players} for s in ensemble.sections):
        abort(403)
    try:
        with changing() as work:
            stored = _values(_own(work, ensemble, day))
            meeting = meet(stored, _typed(sent, request.form), request.form.get(MARK, ""))
            meeting.refuse_overtaken()
            after = take_attendance(
                work, ensemble.id, day, _entries(sent, meeting), by=author(), today=tools().today(),
                answers=answers(),
            )  # fmt: skip
    except (InputError, ConflictError, OddEntryError) as error:
        if day > tools().today():
            raise
        rows = _own(reading(), ensemble, day)
        typed = _typed(sent, request.form)
        form = come_back(error, _values(rows), typed, request.form.get(MARK, ""), _spell(typed))
        return _page(term, ensemble, day, rows, form), status_of(error)
    flash(f"Saved. {_summary([each for each in after if sees(each.section.id)])}")
    return redirect(url_for("attendance.show", term_id=term_id, on=on))


def _page(term: Term, ensemble: Ensemble, on: date, rows: Sequence[Attendee], form: Form) -> str:
    return render_template(
        "day/attendance.html",
        ensemble=ensemble,
        term=term,
        on=on,
        rows=rows,
        form=form,
        summary=_summary(rows),
        is_to_come=on > tools().today(),
    )


def _own(work: UnitOfWork, ensemble: Ensemble, on: date) -> list[Attendee]:
    """The players of that day who are open to whoever asks."""
    return [each for each in attendees(work, ensemble, on) if sees(each.section.id)]


def _summary(rows: Sequence[Attendee]) -> str:
    known = [each.mark.is_present for each in rows if each.mark]
    return attendance_text(sum(known), len(known) - sum(known), len(rows) - len(known))


def _values(rows: Sequence[Attendee]) -> dict[str, str]:
    """What is stored, as the form shows it."""
    values: dict[str, str] = {}
    for each in rows:
        seat, mark = each.player.id, each.mark
        values[f"{THERE}-{seat}"] = "" if mark is None else presence_word(mark.is_present)
        values[f"{OWN}-{seat}"] = "" if mark is None or mark.mark is None else f"{mark.mark:g}"
    return values


def _typed(sent: set[int], form: MultiDict[str, str]) -> dict[str, str]:
    typed: dict[str, str] = {}
    for seat in sorted(sent):
        typed[f"{THERE}-{seat}"] = presence_word(f"{AWAY}-{seat}" not in form)
        typed[f"{OWN}-{seat}"] = form.get(f"{OWN}-{seat}", "").strip()
    return typed


def _entries(sent: set[int], meeting: Meeting) -> list[AttendanceEntry]:
    """The players of whom something was changed in the form.

    Raises:
        InputError: If a mark is no number; it names the field.
        NotFoundError: If a player is not there that day.
    """
    found = []
    for seat in sorted(sent):
        there, own = f"{THERE}-{seat}", f"{OWN}-{seat}"
        if there not in meeting.stored:
            raise NotFoundError("player", seat, hint="They may have been taken out meanwhile.")
        if there in meeting.changed or own in meeting.changed:
            is_there = meeting.values[there] != presence_word(is_present=False)
            found.append(AttendanceEntry(seat, is_there, _mark(own, meeting.values[own])))
    return found


def _mark(field: str, text: str) -> float | None:
    if not text:
        return None
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise InputError(f"A mark must be a number, not “{text}”.", field=field) from None


def _spell(typed: Mapping[str, str]) -> Spell:
    return {name: (lambda text: text or presence_word(None)) for name in typed if name.startswith(THERE)}
