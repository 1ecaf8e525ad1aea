"""A term in the journal: its dates and aims, each day that differs, each wish, each planned day.

Each of them is a value of its own, so that a change of one day can be taken back whatever happened to the
others. A term that is not there has no values: making one and taking it out are changes like others.
"""

import hashlib
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime, time
from typing import Any

from planner.core.change import Subject, Values
from planner.core.mark_scheme import scheme_of, scheme_values
from planner.core.profile import from_plain
from planner.core.published import PublishedDay
from planner.core.scoring_form import form_of, form_values
from planner.core.term import DayShape, Plan, Reason, Slot, Station, Term, Wish, reason_values
from planner.errors import ConflictError, NotFoundError
from planner.services.ports.work import UnitOfWork
from planner.wording.words import short_day

SHAPE, WISH, DAY = "shape", "wish", "day"
"""First words of the names of values: a day that differs, a wish, the slots of a day."""
PRINTED, CALENDAR = "printed", "calendar"
"""First words of the names of what went out: the pieces whose guides are printed for a day, and its entry in
calendars. They change outside the journal, and come back with a term that was taken out."""
MARKS = "marks"
"""First word of the names of what is chosen of how marks are worked out."""
PROCEDURE = "procedure"
"""First word of the names of values: by which published procedure music is studied on a day."""
FORM = "form"
"""Name of the value that holds the scoring form."""
PROPOSAL = "proposal"
"""Name of the value that holds what is proposed in place of the plan."""
FIGURES = "figures"
"""Name of the value that holds what the plan costs, with a print of the plan: true of that plan alone."""


def term_subject(term: Term) -> Subject:
    """A term, as the journal speaks of it."""
    return Subject("term", term.id, term.name)


def read_term(work: UnitOfWork, subject: Subject) -> Values:
    """Everything of a term by name; nothing when it is not there."""
    try:
        term = work.terms.get(subject.id)
    except NotFoundError:
        return {}
    wishes, plan = work.terms.wishes(term.id), work.terms.plan(term.id)
    slots = plan.slots if plan else ()
    titles = work.pieces.titles({*(wish.piece_id for wish in wishes), *(slot.piece_id for slot in slots)})
    sections = {section.id: section.name for section in work.ensembles.get(term.ensemble_id).sections}
    return {
        **_fields(term),
        **{f"{SHAPE} {shape.on}": _shape_values(shape, sections) for shape in term.shapes},
        **{_wish_name(wish): _wish_values(wish, titles) for wish in wishes},
        **{
            f"{DAY} {on}": [_slot_values(slot, titles) for slot in slots if slot.on == on]
            for on in sorted({slot.on for slot in slots})
        },
        **({FIGURES: _figures(plan)} if plan else {}),
        **{f"{PRINTED} {on}": {"printed": sorted(ids)} for on, ids in work.terms.printed(term.id).items()},
        **{f"{CALENDAR} {day.on}": _calendar_values(day) for day in work.published.days(term.id)},
        **({PROPOSAL: proposal} if (proposal := work.terms.proposal(term.id)) is not None else {}),
    }


def write_term(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put values of a term back; all of them None takes it out, all of them given brings it back.

    Raises:
        ConflictError: If what came after speaks against it.
    """
    there = {term.id: term for term in work.terms.list_terms()}
    if "name" in values and values["name"] is None:
        _take_out(work, there[subject.id], values)
        return
    if subject.id in there:
        work.terms.update(_with_fields(there[subject.id], values))
    else:
        work.terms.add(_with_fields(_blank(subject.id, values), values))
    _write_wishes(work, subject.id, values)
    _write_days(work, subject.id, values)
    _write_sent(work, subject.id, values)
    if values.get(PROPOSAL) is not None:
        work.terms.save_proposal(subject.id, values[PROPOSAL])
    elif PROPOSAL in values:
        work.terms.remove_proposal(subject.id)


def is_same_value(one: Any, other: Any) -> bool:
    """Whether a value still says what it said.

    New names, minutes and reasons change nothing, nor do proposals and what was printed or sent.
    """
    return bool(_essence(one) == _essence(other))


_BESIDE = frozenset({"changes", "printed", "uid", "made_from"})
"""What a proposal, printed guides, a calendar's entry and the figures of a plan can be told by."""


def _essence(value: Any) -> Any:
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return [(slot["position"], slot["station"], slot["piece"]) for slot in value]
    if isinstance(value, dict) and not _BESIDE.isdisjoint(value):
        return None
    if isinstance(value, dict):
        return {name: each for name, each in value.items() if name not in ("title", "sections")}
    return value


def _take_out(work: UnitOfWork, term: Term, values: Values) -> None:
    now = read_term(work, term_subject(term))
    if any(name not in values and name.split()[0] in (WISH, DAY) for name in now):
        raise ConflictError(
            f"{term.name} has a plan or wishes by now.", hint="Remove the term instead; that can be undone."
        )
    work.terms.remove(term.id)


def _fields(term: Term) -> dict[str, Any]:
    return {
        "name": term.name,
        "ensemble": term.ensemble_id,
        "first": term.first.isoformat(),
        "last": term.last.isoformat(),
        "weekdays": list(term.weekdays),
        "days_off": [on.isoformat() for on in term.days_off],
        "minutes": term.minutes,
        "slots": term.slots,
        "start_level": term.start_level,
        "target_level": term.target_level,
        "aims": [[on.isoformat(), level] for on, level in term.aims],
        "concerts": [on.isoformat() for on in term.concerts],
        "announced_days": term.announced_days,
        "starts_at": term.starts_at.isoformat() if term.starts_at else None,
        "time_zone": term.time_zone,
        FORM: form_values(term.form),
        **{f"{MARKS} {name}": value for name, value in scheme_values(term.marks).items()},
        **{f"{PROCEDURE} {on}": slug for on, slug in term.procedures},
    }


def _blank(term_id: int, values: Values) -> Term:
    first, last = date.fromisoformat(values["first"]), date.fromisoformat(values["last"])
    return Term(term_id, values["ensemble"], values["name"], first, last, ())


def _with_fields(term: Term, values: Values) -> Term:
    """A term with some values as ``_fields`` and ``_shape_values`` wrote them."""
    read: dict[str, Callable[[Any], Any]] = {
        "name": str,
        "first": date.fromisoformat,
        "last": date.fromisoformat,
        "weekdays": tuple,
        "days_off": lambda days: tuple(date.fromisoformat(on) for on in days),
        "minutes": float,
        "slots": int,
        "start_level": lambda level: level,
        "target_level": lambda level: level,
        "aims": lambda aims: tuple((date.fromisoformat(on), level) for on, level in aims),
        "concerts": lambda days: tuple(date.fromisoformat(on) for on in days),
        "announced_days": int,
        "starts_at": lambda text: time.fromisoformat(text) if text else None,
        "time_zone": str,
    }
    changed: dict[str, Any] = {name: make(values[name]) for name, make in read.items() if name in values}
    shapes = {shape.on: shape for shape in term.shapes}
    for on, value in _named(values, SHAPE):
        shapes.pop(date.fromisoformat(on), None)
        if value is not None:
            shapes[date.fromisoformat(on)] = _shape_of(date.fromisoformat(on), value)
    marks = dict(scheme_values(term.marks)) | dict(_named(values, MARKS))
    changed["marks"] = scheme_of(marks)
    procedures = {str(on): slug for on, slug in term.procedures} | dict(_named(values, PROCEDURE))
    changed["procedures"] = tuple(
        (date.fromisoformat(on), slug) for on, slug in sorted(procedures.items()) if slug
    )
    if FORM in values:
        changed["form"] = form_of(values[FORM])
    return replace(term, shapes=tuple(shapes[on] for on in sorted(shapes)), **changed)


def _shape_values(shape: DayShape, sections: Mapping[int, str]) -> dict[str, Any]:
    return {
        "minutes": shape.minutes,
        "slots": shape.slots,
        "stations": [[station.name, list(station.section_ids)] for station in shape.stations],
        "absent": list(shape.absent),
        "sections": {str(i): sections.get(i, "") for i in shape.absent},
    }


def _shape_of(on: date, value: Mapping[str, Any]) -> DayShape:
    stations = tuple(Station(name, tuple(ids)) for name, ids in value["stations"])
    return DayShape(on, value["minutes"], value["slots"], stations, tuple(value["absent"]))


def _wish_name(wish: Wish) -> str:
    return f"{WISH} {wish.kind} {wish.piece_id} {wish.on or 'any'}"


def _wish_values(wish: Wish, titles: Mapping[int, str]) -> dict[str, Any]:
    return {
        "kind": wish.kind,
        "piece": wish.piece_id,
        "title": titles.get(wish.piece_id, ""),
        "on": wish.on.isoformat() if wish.on else None,
    }


def _write_wishes(work: UnitOfWork, term_id: int, values: Values) -> None:
    wishes = {_wish_name(wish): wish for wish in work.terms.wishes(term_id)}
    changed = {name: value for name, value in values.items() if name.split()[0] == WISH}
    for name, value in changed.items():
        wishes.pop(name, None)
        if value is not None:
            on = date.fromisoformat(value["on"]) if value["on"] else None
            wishes[name] = Wish(value["kind"], value["piece"], on)
    if changed:
        _check_pieces(work, {value["piece"]: value["title"] for value in changed.values() if value})
        work.terms.set_wishes(term_id, tuple(wishes.values()))


def _slot_values(slot: Slot, titles: Mapping[int, str]) -> dict[str, Any]:
    return {
        "position": slot.position,
        "station": slot.station,
        "piece": slot.piece_id,
        "title": titles.get(slot.piece_id, ""),
        "focus": slot.focus,
        "featured": slot.featured_section_id,
        "minutes": slot.minutes,
        "pinned": slot.is_pinned,
        "reasons": [reason_values(reason) for reason in slot.reasons],
    }


def _slot_of(on: date, value: Mapping[str, Any]) -> Slot:
    return Slot(
        on=on,
        position=value["position"],
        piece_id=value["piece"],
        focus=value["focus"],
        featured_section_id=value["featured"],
        minutes=value["minutes"],
        is_pinned=value["pinned"],
        reasons=from_plain(tuple[Reason, ...], value["reasons"], is_old=True),
        station=value["station"],
    )


def _write_days(work: UnitOfWork, term_id: int, values: Values) -> None:
    """Planned days as they were; what the plan costs is known again where all of it is as it was."""
    days = {date.fromisoformat(on): value or [] for on, value in _named(values, DAY)}
    figures, plan = values.get(FIGURES), work.terms.plan(term_id)
    if not days:
        if plan is not None and figures is not None:
            work.terms.save_plan(_with_figures(plan, figures))
        return
    plan = plan or Plan(term_id, ())
    kept = [slot for slot in plan.slots if slot.on not in days]
    back = {(on, value["piece"]): value["title"] for on, slots in days.items() for value in slots}
    _check_pieces(work, {piece: title for (_, piece), title in back.items()})
    _check_twice(work, term_id, kept, back)
    present = {section.id for section in _ensemble_sections(work, term_id)}
    put_back = [_present(_slot_of(on, value), present) for on, slots in days.items() for value in slots]
    work.terms.save_plan(_with_figures(Plan(term_id, (*kept, *put_back)), figures))


def _figures(plan: Plan) -> dict[str, Any]:
    return {
        "cost": plan.cost, "bound": plan.bound, "proven": plan.is_proven, "made_from": plan.made_from,
        "of": _print(plan),
    }  # fmt: skip


def _with_figures(plan: Plan, value: Mapping[str, Any] | None) -> Plan:
    if value is None or value["of"] != _print(plan):
        return plan
    return replace(
        plan, cost=value["cost"], bound=value["bound"], is_proven=value["proven"],
        made_from=value["made_from"],
    )  # fmt: skip


def _print(plan: Plan) -> str:
    """A plan in a few letters: another one has others."""
    places = sorted((str(slot.on), str(_slot_values(slot, {}))) for slot in plan.slots)
    return hashlib.sha256(str(places).encode()).hexdigest()[:16]


def _calendar_values(day: PublishedDay) -> dict[str, Any]:
    return {
        "uid": day.uid,
        "sequence": day.sequence,
        "content": day.content,
        "changed_at": day.changed_at.isoformat(),
        "cancelled": day.is_cancelled,
    }


def _write_sent(work: UnitOfWork, term_id: int, values: Values) -> None:
    """What was printed and what calendars have, as it was; pieces that are gone are left out."""
    for on, value in _named(values, PRINTED):
        there = work.pieces.get_all(value["printed"]) if value else {}
        work.terms.note_printed(term_id, date.fromisoformat(on), sorted(there))
    work.published.put(
        term_id,
        [
            PublishedDay(
                date.fromisoformat(on), value["uid"], value["sequence"], value["content"],
                datetime.fromisoformat(value["changed_at"]), value["cancelled"],
            )
            for on, value in _named(values, CALENDAR)
            if value
        ],
    )  # fmt: skip


def _ensemble_sections(work: UnitOfWork, term_id: int) -> Iterator[Any]:
    return iter(work.ensembles.get(work.terms.get(term_id).ensemble_id).sections)


def _present(slot: Slot, sections: Collection[int]) -> Slot:
    """A slot that features nobody who is gone."""
    return slot if slot.featured_section_id in sections else replace(slot, featured_section_id=None)


def _check_pieces(work: UnitOfWork, titles: Mapping[int, str]) -> None:
    gone = [title for piece, title in titles.items() if piece not in work.pieces.get_all([piece])]
    if gone:
        raise ConflictError(f"“{gone[0]}” is no longer in the library.", hint="Plan the term again instead.")


def _check_twice(
    work: UnitOfWork, term_id: int, kept: Collection[Slot], back: Mapping[tuple[date, int], str]
) -> None:
    """A piece that has found another day since does not come back to its old one."""
    again = {wish.piece_id for wish in work.terms.wishes(term_id) if wish.kind == "again"}
    elsewhere = {slot.piece_id: slot.on for slot in kept if slot.piece_id not in again}
    for (on, piece), title in back.items():
        if piece in elsewhere:
            raise ConflictError(
                f"“{title}” stands on {short_day(elsewhere[piece])} by now and cannot come back to "
                f"{short_day(on)}.",
                hint="Move it by hand instead.",
            )


def _named(values: Values, kind: str) -> Iterator[tuple[str, Any]]:
    """Values of a kind, by the rest of their names."""
    for name, value in values.items():
        first, _, rest = name.partition(" ")
        if first == kind:
            yield rest, value
