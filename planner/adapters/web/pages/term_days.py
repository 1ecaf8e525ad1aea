"""Pages that change one day of a term: its shape, its pieces, whether it is read at all."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    ensembles,
    number_argument,
    reading,
    tools,
)
from planner.core.ensemble import Ensemble, Section
from planner.core.piece import PieceQuery
from planner.core.term import DayShape, Slot, Station, Term
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.ports import UnitOfWork
from planner.services.term.days import (
    DayChanged,
    Instead,
    Place,
    cancel_day,
    day_mark,
    move_slot,
    set_day,
    swap_slots,
)
from planner.services.term.stations import propose_stations
from planner.services.term.terms import parse_date
from planner.services.term.wishes import ban, pin, read_again
from planner.wording.director.term_days import (
    fallen_sentence,
    moved_sentence,
    shape_text,
    waiting_sentence,
)
from planner.wording.words import listed, short_day

pages = Blueprint("term_days", __name__, url_prefix="/term/<int:term_id>/<on>")


@dataclass(frozen=True, slots=True)
class SlotChoice:
    """A planned piece as a form names it; ``value`` says where it stands and which it is."""

    slot: Slot
    title: str
    room: str = ""

    @property
    def value(self) -> str:
        """Such as ``2026-09-08/0//17``: day, position, station, piece."""
        slot = self.slot
        station = "" if slot.station is None else slot.station
        return f"{slot.on}/{slot.position}/{station}/{slot.piece_id}"


@dataclass(frozen=True, slots=True)
class DayForm:
    """What the forms of one day are filled with.

    Attributes:
        term, on, shape: The day as it is.
        mark: What the forms were made from.
        sections: Of the ensemble.
        slots: What stands there.
        others: Pieces of other days to come.
        roomy: Other days to come with a place left.
        earlier: Pieces planned or read before that day, id and title.
        stations: The day's stations, a line each.
        proposed: Those proposed by families.
        text: How the day differs, in words.
    """

    term: Term
    on: date
    shape: DayShape
    mark: str
    sections: Sequence[Section]
    slots: tuple[SlotChoice, ...]
    others: tuple[SlotChoice, ...]
    roomy: tuple[date, ...]
    earlier: tuple[tuple[int, str], ...]
    stations: str
    proposed: str
    text: str

    @property
    def is_shaped(self) -> bool:
        """Whether the day differs from the others."""
        return self.shape != DayShape(self.on)

    @property
    def proposed_names(self) -> str:
        """Names of the proposed stations."""
        return listed([line.partition(":")[0] for line in self.proposed.splitlines()])


@pages.get("/change")
def change(term_id: int, on: str) -> str:
    """Everything that can be changed of a day; with ``part`` for the inside of another page."""
    form = _day_form(term_id, parse_date(on))
    shown = "term/day_change_part.html" if request.args.get("part") else "term/day_change.html"
    return render_template(shown, form=form, term=form.term, ensemble=_ensemble_of(form.term))


@pages.post("/set")
def set_one(term_id: int, on: str) -> BaseResponse:
    """Give the day its own minutes, pieces, stations and absent sections, or none of its own."""
    day = parse_date(on)
    with changing() as work:
        _refuse_overtaken(work, term_id, day)
        ensemble = work.ensembles.get(work.terms.get(term_id).ensemble_id)
        is_plain = request.form.get("do") == "like-others"
        shape = DayShape(day) if is_plain else _shape_from_form(day, ensemble)
        changed = set_day(work, term_id, shape, tools().today(), by=author())
        _say(work, changed)
    return _back(term_id, day)


@pages.post("/cancel")
def cancel(term_id: int, on: str) -> BaseResponse:
    """Make the day a day off; its pieces go where the form says."""
    asked, day = request.form.get("instead", ""), parse_date(on)
    if asked not in set(Instead):
        raise InputError("Say what becomes of the pieces of the day.")
    with changing() as work:
        _refuse_overtaken(work, term_id, day)
        _say(work, cancel_day(work, term_id, day, Instead(asked), tools().today(), by=author()))
    flash(f"{short_day(day)} is a day off now. The list of changes takes it back.")
    return _back(term_id, day)


@pages.post("/move")
def move(term_id: int, on: str) -> BaseResponse:
    """Move a piece of the day to another day with a place left."""
    day = parse_date(on)
    with changing() as work:
        _refuse_overtaken(work, term_id, day)
        to = parse_date(request.form.get("to", ""))
        _say(work, move_slot(work, term_id, _place(day), to, tools().today(), by=author()))
    return _back(term_id, day)


@pages.post("/swap")
def swap(term_id: int, on: str) -> BaseResponse:
    """Let a piece of the day change places with one of another day."""
    day = parse_date(on)
    with changing() as work:
        _refuse_overtaken(work, term_id, day)
        other = _other_place(work, term_id, request.form.get("with", ""))
        _say(work, swap_slots(work, term_id, _place(day), other, tools().today(), by=author()))
    return _back(term_id, day)


@pages.post("/put")
def put(term_id: int, on: str) -> BaseResponse:
    """Pin a piece to the day, keep it off, or read it again on it."""
    day, today, asked = parse_date(on), tools().today(), request.form.get("do", "")
    is_insisted = bool(request.form.get("anyway"))
    with changing() as work:
        piece_id = _piece_named(work, request.form.get("piece", ""))
        if asked == "pin":
            pin(work, term_id, piece_id, day, today, by=author(), anyway=is_insisted)
        elif asked == "ban":
            ban(work, term_id, piece_id, day, today, by=author())
        elif asked == "again":
            read_again(work, term_id, piece_id, day, today, by=author(), anyway=is_insisted)
        else:
            raise InputError("That wish is not one the planner knows.", hint="Pin a piece or keep it off.")
    flash("Noted. It takes effect when you plan again.")
    return _back(term_id, day)


def _back(term_id: int, on: date) -> BaseResponse:
    return redirect(f"{url_for('term.show', term_id=term_id)}#day-{on.isoformat()}")


def _say(work: UnitOfWork, changed: DayChanged) -> None:
    """What came of a change, on the page that follows."""
    pieces = {*(piece for piece, _ in changed.moved), *changed.fallen, *changed.waiting}
    titles = work.pieces.titles(pieces)
    lines = (
        moved_sentence(changed.moved, titles),
        fallen_sentence(changed.fallen, titles),
        waiting_sentence(changed.waiting, titles),
    )
    for line in lines if any(lines) else ("Saved.",):
        if line:
            flash(line)


def _refuse_overtaken(work: UnitOfWork, term_id: int, on: date) -> None:
    """Store nothing from a form of a day that was changed since it was shown.

    Raises:
        ConflictError: If it was.
    """
    plan = work.terms.plan(term_id)
    now = day_mark(work.terms.get(term_id), plan.slots if plan else (), on)
    if request.form.get("shown") != now:
        raise ConflictError(
            f"{short_day(on)} was changed since you opened this page. Nothing was overwritten.",
            hint="Look at the day again.",
        )


def _place(on: date) -> Place:
    station = number_argument("station")
    return Place(on, int(number_argument("position") or 0), None if station is None else int(station))


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
        raise InputError("Choose a piece to swap with.")
    raise ConflictError("The other day was changed since you opened this page.", hint="Look at it again.")


def _piece_named(work: UnitOfWork, text: str) -> int:
    """A piece by its number or its title.

    Raises:
        NotFoundError: If there is none.
        InputError: If several answer to it.
    """
    name = text.strip()
    if name.isdigit():
        return work.pieces.get(int(name)).id
    pieces, _ = work.pieces.list_pieces(PieceQuery(text=name, limit=0)) if name else ((), 0)
    found = [piece for piece in pieces if piece.title.casefold() == name.casefold()] or list(pieces)
    if not found:
        raise NotFoundError("piece", f"“{name}”", hint="Look for it in the library.")
    if len(found) > 1:
        some = "; ".join(f"{piece.id} {piece.title}" for piece in found[:5])
        raise InputError(f"Several pieces answer to “{name}” ({some}).", hint="Give the number.")
    return found[0].id


def _shape_from_form(on: date, ensemble: Ensemble) -> DayShape:
    slots = number_argument("slots")
    stations = _read_stations(ensemble, request.form.get("stations", ""))
    if request.form.get("by_family") and not stations:
        stations = propose_stations(ensemble)
    return DayShape(
        on,
        minutes=number_argument("minutes"),
        slots=None if slots is None else int(slots),
        stations=stations,
        absent=tuple(int(section) for section in request.form.getlist("absent") if section.isdigit()),
    )


def _read_stations(ensemble: Ensemble, text: str) -> tuple[Station, ...]:
    """Stations as people write them, a room a line: ``Brass: Trumpet, Horn``.

    Raises:
        InputError: If a line has no sections, or names one that the ensemble does not have.
    """
    by_name = {section.name.casefold(): section.id for section in ensemble.sections}
    found = []
    for line in text.splitlines():
        name, colon, sections = line.partition(":")
        if not line.strip():
            continue
        if not colon:
            raise InputError(f"“{line.strip()}” is not a station.", hint="Write it as Brass: Trumpet, Horn.")
        names = [each.strip() for each in sections.split(",") if each.strip()]
        strangers = [each for each in names if each.casefold() not in by_name]
        if strangers:
            raise InputError(f"{ensemble.name} has no section {strangers[0]}.")
        found.append(Station(name, tuple(by_name[each.casefold()] for each in names)))
    return tuple(found)


def _spell_stations(stations: Sequence[Station], names: dict[int, str]) -> str:
    return "\n".join(
        f"{one.name}: {', '.join(names[i] for i in one.section_ids if i in names)}" for one in stations
    )


def _ensemble_of(term: Term) -> Ensemble:
    return next(each for each in ensembles() if each.id == term.ensemble_id)


def _day_form(term_id: int, on: date) -> DayForm:
    """The forms of a reading day to come.

    Raises:
        NotFoundError: If there is no such term or reading day.
    """
    work, today = reading(), tools().today()
    term = work.terms.get(term_id)
    if on not in term.reading_dates():
        raise NotFoundError("reading day", f"{on} in {term.name}", hint="Look at the term for its days.")
    ensemble, plan = _ensemble_of(term), work.terms.plan(term_id)
    slots = plan.slots if plan else ()
    results = work.results.list_results(ensemble.id)
    over = {result.on for result in results}
    titles = work.pieces.titles({*(s.piece_id for s in slots), *(r.piece_id for r in results)})
    names = {section.id: section.name for section in ensemble.sections}
    shape = term.shape_on(on)
    ahead = [day for day in term.reading_dates() if day >= today and day not in over and day != on]
    before = {s.piece_id for s in slots if s.on < on} | {r.piece_id for r in results if r.on < on}
    before -= {s.piece_id for s in slots if s.on >= on}
    return DayForm(
        term=term,
        on=on,
        shape=shape,
        mark=day_mark(term, slots, on),
        sections=ensemble.sections,
        slots=tuple(SlotChoice(s, titles[s.piece_id], _room(shape, s)) for s in slots if s.on == on),
        others=tuple(SlotChoice(s, titles[s.piece_id]) for s in slots if s.on in ahead),
        roomy=tuple(day for day in ahead if _has_room(term, day, slots)),
        earlier=tuple((piece, titles[piece]) for piece in titles if piece in before),
        stations=_spell_stations(shape.stations, names),
        proposed=_spell_stations(propose_stations(ensemble), names),
        text=shape_text(shape, names),
    )


def _room(shape: DayShape, slot: Slot) -> str:
    return shape.stations[slot.station].name if slot.station is not None else ""


def _has_room(term: Term, on: date, slots: Sequence[Slot]) -> bool:
    places = term.slots_on(on) * max(1, len(term.shape_on(on).stations))
    return sum(slot.on == on for slot in slots) < places
