"""Who was there on a day, in the journal: by seat and person, never by name."""

from datetime import date
from typing import Any

from planner.core.change import Subject, Values
from planner.core.ensemble import Ensemble
from planner.core.term import PlayerMark
from planner.errors import ConflictError
from planner.services.ports import UnitOfWork

SEAT = "seat"
"""First word of the names of values."""


def attendance_subject(ensemble: Ensemble, on: date) -> Subject:
    """An ensemble on a day, as the journal speaks of it."""
    return Subject("ensemble", ensemble.id, ensemble.name, {"on": on.isoformat()})


def read_attendance_values(work: UnitOfWork, subject: Subject) -> Values:
    """What is known of each seat on the day."""
    ensemble = work.ensembles.get(subject.id)
    seats = {p.id: (section.id, p.person) for section in ensemble.sections for p in section.players}
    return {
        f"{SEAT} {mark.player_id}": {
            "section": seats[mark.player_id][0], "person": seats[mark.player_id][1],
            "present": mark.is_present, "mark": mark.mark, "note": mark.note,
        }
        for mark in work.results.marks(subject.id, _day(subject))
    }  # fmt: skip


def write_attendance(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put back what was known of some seats on the day.

    Raises:
        ConflictError: If a player is no longer there.
    """
    on = _day(subject)
    seats = {p.id for section in work.ensembles.get(subject.id).sections for p in section.players}
    for name, value in values.items():
        seat = int(name.split()[1])
        if value is None:
            work.results.remove_mark(seat, on)
        elif seat in seats:
            work.results.put_mark(PlayerMark(seat, on, value["present"], value["mark"], value["note"]))
        else:
            raise ConflictError("A player of that day was taken out since.", hint="Undo that first.")


def is_same_attendance(one: Any, other: Any) -> bool:
    """A seat in another section changes nothing of who was there."""
    return bool(_essence(one) == _essence(other))


def _essence(value: Any) -> Any:
    return value and (value["present"], value["mark"], value["note"])


def _day(subject: Subject) -> date:
    return date.fromisoformat(subject.within["on"])
