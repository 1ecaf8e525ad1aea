"""The forms of one day of a term: what fills them, what was typed in them, and how they come back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from werkzeug.datastructures import MultiDict

from planner.adapters.web.shown import MARK, Form, Meeting, Spell, come_back, first_shown, meet
from planner.core.ensemble import Ensemble, Section
from planner.core.term import DayShape, Slot, Station, Term
from planner.errors import InputError, PlannerError
from planner.services.entered.numbers import entered_number, entered_whole, number_of_thing
from planner.services.entered.words import short
from planner.services.plan.term_facts import bare_plan
from planner.services.ports.work import UnitOfWork
from planner.services.term.stations import propose_stations
from planner.wording.director.term_days import shape_text
from planner.wording.words import listed

SETTINGS = ("minutes", "slots", "absent", "stations")
"""Fields of the form that gives a day its own settings."""

DAY_FIELDS = {
    "minutes": "minutes",
    "slots": "pieces",
    "absent": "sections away",
    "stations": "stations",
    "plan": "planned",
}
"""What the values of a day are called, in the order of its page."""

_ABOUT = {"swap": "with", "move": "to", "pin": "piece", "again": "piece"}
"""The field that a refusal speaks of where it names none, by what was asked."""


@dataclass(frozen=True, slots=True)
class SlotChoice:
    """A planned piece as a form names it; ``value`` says where it stands and which it is."""

    slot: Slot
    title: str
    room: str = ""

    @property
    def place(self) -> str:
        """Position and station, such as ``0/`` or ``1/2``."""
        return f"{self.slot.position}/{'' if self.slot.station is None else self.slot.station}"

    @property
    def value(self) -> str:
        """Such as ``2026-09-08/0//17``: day, position, station, piece."""
        return f"{self.slot.on}/{self.place}/{self.slot.piece_id}"


@dataclass(frozen=True, slots=True)
class DayForm:
    """What the forms of one day are filled with.

    Attributes:
        term, on, shape: The day as it is.
        stored: Its values as text, by field: what each form was made from.
        sections: Of the ensemble.
        slots: What stands there.
        others: Pieces of other days to come.
        roomy: Other days to come with a place left.
        earlier: Pieces planned or read before that day, id and title.
        proposed: Stations proposed by families, a line each.
        text: How the day differs, in words.
        is_over: It is past, or results are logged for it: it stays as it was.
        asked: Which of its forms came back, such as ``set`` or ``swap 0/``; empty where none did.
        back: The form that came back.
    """

    term: Term
    on: date
    shape: DayShape
    stored: Mapping[str, str]
    sections: Sequence[Section]
    slots: tuple[SlotChoice, ...]
    others: tuple[SlotChoice, ...]
    roomy: tuple[date, ...]
    earlier: tuple[tuple[int, str], ...]
    proposed: str
    text: str
    is_over: bool
    asked: str = ""
    back: Form | None = None

    @property
    def is_shaped(self) -> bool:
        """Whether the day differs from the others."""
        return self.shape != DayShape(self.on)

    @property
    def proposed_names(self) -> str:
        """Names of the proposed stations."""
        return listed([line.partition(":")[0] for line in self.proposed.splitlines()])

    @property
    def names(self) -> Mapping[str, str]:
        """What its values are called."""
        return DAY_FIELDS

    def form_of(self, asked: str) -> Form:
        """One of its forms: the one that came back as it was sent, another as it is first shown."""
        if self.back is not None and asked == self.asked:
            return self.back
        return first_shown(self.stored)


def day_form(work: UnitOfWork, ensemble: Ensemble, term: Term, on: date, today: date) -> DayForm:
    """The forms of a reading day of a term, before anybody typed in them."""
    plan = bare_plan(work, term.id)
    slots = plan.slots if plan else ()
    results = work.results.list_results(ensemble.id)
    over = {result.on for result in results}
    titles = work.pieces.titles({*(s.piece_id for s in slots), *(r.piece_id for r in results)})
    shape = term.shape_on(on)
    again = {(w.piece_id, w.on) for w in work.terms.wishes(term.id) if w.kind == "again"}
    ahead = [day for day in term.reading_dates() if day >= today and day not in over and day != on]
    before = {s.piece_id for s in slots if s.on < on} | {r.piece_id for r in results if r.on < on}
    before -= {s.piece_id for s in slots if s.on >= on}
    return DayForm(
        term=term,
        on=on,
        shape=shape,
        stored=stored_day(term, slots, on, ensemble),
        sections=ensemble.sections,
        slots=tuple(SlotChoice(s, titles[s.piece_id], _room(shape, s)) for s in slots if s.on == on),
        others=tuple(
            SlotChoice(s, titles[s.piece_id])
            for s in slots
            if s.on in ahead and (s.piece_id, s.on) not in again
        ),
        roomy=tuple(day for day in ahead if _has_room(term, day, slots)),
        earlier=tuple((piece, titles[piece]) for piece in titles if piece in before),
        proposed=_spell_stations(propose_stations(ensemble), ensemble),
        text=shape_text(shape, {section.id: section.name for section in ensemble.sections}),
        is_over=on < today or on in over,
    )


def stored_day(term: Term, slots: Sequence[Slot], on: date, ensemble: Ensemble) -> dict[str, str]:
    """The values of a day as its forms show them, by field; with ``plan``, what stands there."""
    shape = term.shape_on(on)
    here = sorted((s.position, s.station or 0, s.piece_id) for s in slots if s.on == on)
    return {
        "minutes": "" if shape.minutes is None else f"{shape.minutes:g}",
        "slots": "" if shape.slots is None else str(shape.slots),
        "absent": ",".join(str(section) for section in sorted(shape.absent)),
        "stations": _spell_stations(shape.stations, ensemble),
        "plan": " ".join(f"{position}/{station}/{piece}" for position, station, piece in here),
    }


def meet_day(work: UnitOfWork, term: Term, on: date, sent: MultiDict[str, str]) -> Meeting:
    """A form of a day that was sent, held against the day as it is now."""
    plan = work.terms.plan(term.id)
    ensemble = work.ensembles.get(term.ensemble_id)
    stored = stored_day(term, plan.slots if plan else (), on, ensemble)
    return meet(stored, _typed_settings(sent, ensemble), sent.get(MARK, ""))


def shape_of(on: date, values: Mapping[str, str], ensemble: Ensemble) -> DayShape:
    """How a day differs, from the texts of its form.

    Raises:
        InputError: If one cannot be read; it names the field.
    """
    return DayShape(
        on,
        minutes=entered_number(values["minutes"], f"The {DAY_FIELDS['minutes']}", field="minutes"),
        slots=entered_whole(values["slots"], f"The {DAY_FIELDS['slots']}", field="slots"),
        stations=_read_stations(ensemble, values["stations"]),
        absent=tuple(int(section) for section in values["absent"].split(",") if section),
    )


def asked_by(action: str, sent: MultiDict[str, str]) -> str:
    """Which form of a day was sent."""
    if action in ("swap", "move"):
        return f"{action} {sent.get('position', '0')}/{sent.get('station', '')}"
    if action == "put":
        return "again" if sent.get("do") == "again" else "pin"
    return action


def day_again(
    form: DayForm, error: PlannerError, asked: str, sent: MultiDict[str, str], work: UnitOfWork
) -> Form:
    """The form of a day that was not taken, as it was sent."""
    ensemble = work.ensembles.get(form.term.ensemble_id)
    if not error.field:
        error.field = _ABOUT.get(asked.partition(" ")[0], "")
    typed = _typed_settings(sent, ensemble) if asked == "set" else dict(sent.items())
    return come_back(error, form.stored, typed, sent.get(MARK, ""), _spell(form))


def _spell(form: DayForm) -> Spell:
    names = {str(section.id): section.name for section in form.sections}
    return {
        "minutes": lambda text: text or f"{form.term.minutes:g}, as on other days",
        "slots": lambda text: text or f"{form.term.slots}, as on other days",
        "absent": lambda text: listed([names.get(i, "") for i in text.split(",") if i]) or "nobody",
        "stations": lambda text: text.replace("\n", "; ") or "none: everyone reads together",
        "plan": lambda _: listed([f"“{one.title}”" for one in form.slots]) or "nothing",
    }


def _typed_settings(sent: MultiDict[str, str], ensemble: Ensemble) -> dict[str, str]:
    """What stands in the form of a day's settings."""
    stations = "\n".join(line.strip() for line in sent.get("stations", "").splitlines() if line.strip())
    if sent.get("by_family") and not stations:
        stations = _spell_stations(propose_stations(ensemble), ensemble)
    away = sorted(
        {number for each in sent.getlist("absent") if (number := number_of_thing(each)) is not None}
    )
    return {
        "minutes": sent.get("minutes", "").strip(),
        "slots": sent.get("slots", "").strip(),
        "absent": ",".join(map(str, away)),
        "stations": stations,
    }


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
            raise InputError(
                f"“{short(line)}” is not a station.",
                hint="Write it as Brass: Trumpet, Horn.",
                field="stations",
            )
        names = [each.strip() for each in sections.split(",") if each.strip()]
        strangers = [each for each in names if each.casefold() not in by_name]
        if strangers:
            raise InputError(f"{ensemble.name} has no section {short(strangers[0])}.", field="stations")
        found.append(Station(name, tuple(by_name[each.casefold()] for each in names)))
    return tuple(found)


def _spell_stations(stations: Sequence[Station], ensemble: Ensemble) -> str:
    names = {section.id: section.name for section in ensemble.sections}
    return "\n".join(
        f"{one.name}: {', '.join(names[i] for i in one.section_ids if i in names)}" for one in stations
    )


def _room(shape: DayShape, slot: Slot) -> str:
    is_there = slot.station is not None and slot.station < len(shape.stations)
    return shape.stations[slot.station or 0].name if is_there else ""


def _has_room(term: Term, on: date, slots: Sequence[Slot]) -> bool:
    places = term.slots_on(on) * max(1, len(term.shape_on(on).stations))
    return sum(slot.on == on for slot in slots) < places
