"""Pages that change one day of a term: its shape, its pieces, whether it is read at all."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import wraps

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    reading,
    term_shown,
    tools,
    whole_argument,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.day import SlotChoice, asked_by, day_again, day_form, meet_day, shape_of
from planner.core.piece import PieceQuery
from planner.core.term import DayShape
from planner.errors import ConflictError, InputError, NotFoundError, PlannerError
from planner.services.entered.numbers import number_of_thing
from planner.services.ports.work import UnitOfWork
from planner.services.term.days import (
    DayChanged,
    Instead,
    Place,
    cancel_day,
    move_slot,
    read_after_all,
    set_day,
    swap_slots,
)
from planner.services.term.terms import parse_date
from planner.services.term.wish_notes import wish_note
from planner.services.term.wishes import ban, pin, read_again
from planner.wording.director.term_days import fallen_sentence, moved_sentence, waiting_sentence
from planner.wording.words import short_day

pages = Blueprint("term_days", __name__, url_prefix="/term/<int:term_id>/<on>")

Answer = BaseResponse | tuple[str, int]


@pages.get("/change")
def change(term_id: int, on: str) -> str:
    """Everything that can be changed of a day; with ``part`` for the inside of another page."""
    return _day_page(term_id, parse_date(on))


def _day_page(term_id: int, on: date, error: PlannerError | None = None, action: str = "") -> str:
    """The page of a day's forms; after an error with the form that was sent as it was filled in.

    Raises:
        NotFoundError: If there is no such term, or the day is neither a reading day nor a day off of it.
    """
    term, ensemble = term_shown(term_id)
    if on not in term.reading_dates():
        if not term.is_day_off(on):
            raise NotFoundError("reading day", f"{on} in {term.name}", hint="Look at the term for its days.")
        return render_template("term/day_off.html", term=term, ensemble=ensemble, on=on, refused=error)
    form = day_form(reading(), ensemble, term, on, tools().today())
    if error is not None:
        asked = asked_by(action, request.form)
        form = replace(form, asked=asked, back=day_again(form, error, asked, request.form, reading()))
    shown = "term/day_change_part.html" if request.args.get("part") else "term/day_change.html"
    return render_template(shown, form=form, term=term, ensemble=ensemble)


def _comes_back(action: str) -> Callable[[Callable[[int, date], BaseResponse]], Callable[[int, str], Answer]]:
    """A form of the day: one that is not taken comes back as it was filled in, with the reason."""

    def wrapped(take: Callable[[int, date], BaseResponse]) -> Callable[[int, str], Answer]:
        @wraps(take)
        def answer(term_id: int, on: str) -> Answer:
            day = parse_date(on)
            try:
                return take(term_id, day)
            except (InputError, ConflictError, NotFoundError) as error:
                return _day_page(term_id, day, error, action), status_of(error)

        return answer

    return wrapped


@pages.post("/set")
@_comes_back("set")
def set_one(term_id: int, on: date) -> BaseResponse:
    """Give the day its own minutes, pieces, stations and absent sections, or none of its own."""
    with changing() as work:
        term = work.terms.get(term_id)
        meeting, shape = meet_day(work, term, on, request.form), DayShape(on)
        if request.form.get("do") == "like-others":
            meeting.refuse_moved()
        else:
            meeting.refuse_overtaken()
            shape = shape_of(on, meeting.values, work.ensembles.get(term.ensemble_id))
        _note(work, on, set_day(work, term_id, shape, tools().today(), by=author()))
    return _back(term_id, on)


@pages.post("/cancel")
@_comes_back("cancel")
def cancel(term_id: int, on: date) -> BaseResponse:
    """Make the day a day off; its pieces go where the form says."""
    asked = request.form.get("instead", "")
    if asked not in set(Instead):
        raise InputError("Say what becomes of the pieces of the day.")
    with changing() as work:
        meet_day(work, work.terms.get(term_id), on, request.form).refuse_moved()
        changed = cancel_day(work, term_id, on, Instead(asked), tools().today(), by=author())
        flash(f"{short_day(on)} is a day off now. The list of changes takes it back.", _kind(on))
        _note(work, on, changed, plain="")
    return _back(term_id, on)


@pages.post("/reopen")
@_comes_back("reopen")
def reopen(term_id: int, on: date) -> BaseResponse:
    """Make a day off a reading day again."""
    with changing() as work:
        read_after_all(work, term_id, on, tools().today(), by=author())
    flash(f"{short_day(on)} is a reading day again: plan again to fill it.", _kind(on))
    return _back(term_id, on)


@pages.post("/move")
@_comes_back("move")
def move(term_id: int, on: date) -> BaseResponse:
    """Move a piece of the day to another day with a place left."""
    with changing() as work:
        meet_day(work, work.terms.get(term_id), on, request.form).refuse_moved()
        to = parse_date(request.form.get("to", ""))
        _note(work, on, move_slot(work, term_id, _place(on), to, tools().today(), by=author()))
    return _back(term_id, on)


@pages.post("/swap")
@_comes_back("swap")
def swap(term_id: int, on: date) -> BaseResponse:
    """Let a piece of the day change places with one of another day."""
    with changing() as work:
        meet_day(work, work.terms.get(term_id), on, request.form).refuse_moved()
        other = _other_place(work, term_id, request.form.get("with", ""))
        _note(work, on, swap_slots(work, term_id, _place(on), other, tools().today(), by=author()))
    return _back(term_id, on)


@pages.post("/put")
@_comes_back("put")
def put(term_id: int, on: date) -> BaseResponse:
    """Pin a piece to the day, keep it off, or read it again on it: wishes, which overwrite nothing."""
    today, asked = tools().today(), request.form.get("do", "")
    is_insisted = bool(request.form.get("anyway"))
    with changing() as work:
        piece_id = _piece_named(work, request.form.get("piece", ""))
        before = tuple(work.terms.wishes(term_id))
        if asked == "pin":
            after = pin(work, term_id, piece_id, on, today, by=author(), anyway=is_insisted)
        elif asked == "ban":
            after = ban(work, term_id, piece_id, on, today, by=author())
        elif asked == "again":
            after = read_again(work, term_id, piece_id, on, today, by=author(), anyway=is_insisted)
        else:
            raise InputError("That wish is not one the planner knows.", hint="Pin a piece or keep it off.")
        note = wish_note(work, term_id, before, after, today)
    flash(note or "Nothing was changed.", _kind(on))
    return _back(term_id, on)


def _back(term_id: int, on: date) -> BaseResponse:
    return redirect(f"{url_for('term.show', term_id=term_id)}#day-{on.isoformat()}")


def _kind(on: date) -> str:
    """The kind of a note that stands in the entry of a day, where the browser goes back to."""
    return f"day-{on.isoformat()}"


def _note(work: UnitOfWork, on: date, changed: DayChanged, *, plain: str = "Saved.") -> None:
    """What came of a change, in the entry of the day on the page that follows."""
    pieces = {*(piece for piece, _ in (*changed.moved, *changed.waiting)), *changed.fallen}
    titles = work.pieces.titles(pieces)
    lines = (
        moved_sentence(changed.moved, titles),
        fallen_sentence(changed.fallen, titles),
        waiting_sentence(changed.waiting, titles),
    )
    for line in lines if any(lines) else (plain,):
        if line:
            flash(line, _kind(on))


def _place(on: date) -> Place:
    station = whole_argument("station")
    return Place(on, whole_argument("position") or 0, station)


def _other_place(work: UnitOfWork, term_id: int, value: str) -> Place:
    """The place that a form names, as long as the same piece stands there.

    Raises:
        InputError: If it names none.
        ConflictError: If another piece stands there by now.
    """
    plan = work.terms.plan(term_id)
    for slot in plan.slots if plan else ():
        if SlotChoice(slot, "").value == value:
            return Place(slot.on, slot.position, slot.station)
    if value.count("/") != 3:
        raise InputError("Choose a piece to swap with.", field="with")
    raise ConflictError(
        "The other day was changed since you opened this page: another piece stands there now.",
        hint="Choose again.",
        field="with",
    )


def _piece_named(work: UnitOfWork, text: str) -> int:
    """A piece by its number or its title.

    Raises:
        NotFoundError: If there is none.
        InputError: If several answer to it.
    """
    name = text.strip()
    number = number_of_thing(name)
    if number is not None:
        return work.pieces.get(number).id
    pieces, _ = work.pieces.list_pieces(PieceQuery(text=name, limit=0)) if name else ((), 0)
    found = [piece for piece in pieces if piece.title.casefold() == name.casefold()] or list(pieces)
    if not found:
        raise NotFoundError("piece", f"“{name}”", hint="Look for it in the library.")
    if len(found) > 1:
        some = "; ".join(f"{piece.id} {piece.title}" for piece in found[:5])
        raise InputError(f"Several pieces answer to “{name}” ({some}).", hint="Give the number.")
    return found[0].id
