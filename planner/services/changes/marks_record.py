"""Attendance and players' own marks in the journal: what a section's players have on a day.

Each thing entered of each player is a value of its own, so that a mark can be taken back whatever became of
the attendance. Players are named by their seats alone; their names are put in when an entry is shown.
"""

from datetime import date
from decimal import Decimal
from typing import Any

from planner.core.change import Subject, Values
from planner.core.ensemble import Ensemble, Section
from planner.core.term import Attendance, PlayerMark
from planner.errors import ConflictError
from planner.services.people.find import find_section
from planner.services.ports.work import UnitOfWork

KIND = "section on a day"
"""Kind of the thing that such a change is about."""
MARK = "mark"
"""First word of the names of values; after it come the seat and what was entered."""
FIELDS = ("attendance", "mark", "made_up", "note")
"""What can be entered of a player, as the last word of the name of a value."""


def section_day_subject(ensemble: Ensemble, section: Section, on: date) -> Subject:
    """A section on a day, as the journal speaks of it."""
    return Subject(KIND, section.id, section.name, {"ensemble": str(ensemble.id), "on": on.isoformat()})


def mark_values(mark: PlayerMark) -> dict[str, Any]:
    """What was entered of a player on a day as JSON values; decimals are text, so that they stay exact.

    Example:
        >>> mark_values(PlayerMark(1, date(2026, 9, 1), Attendance.LATE, Decimal("87.5")))
        {'attendance': 'late', 'mark': '87.5', 'made_up': None, 'note': ''}
    """
    return {
        "attendance": mark.attendance.value if mark.attendance else None,
        "mark": None if mark.mark is None else f"{mark.mark:f}",
        "made_up": mark.made_up_on.isoformat() if mark.made_up_on else None,
        "note": mark.note,
    }


def mark_of(seat_id: int, on: date, values: Values) -> PlayerMark:
    """What ``mark_values`` wrote; also what was written when there were two states."""
    state, number, made_up = (values.get(name) for name in FIELDS[:3])
    if "present" in values:
        state = Attendance.PRESENT if values["present"] else Attendance.ABSENT
    return PlayerMark(
        seat_id, on, Attendance(state) if state else None,
        None if number is None else Decimal(str(number)),
        date.fromisoformat(made_up) if made_up else None, values.get("note") or "",
    )  # fmt: skip


def put_or_remove(work: UnitOfWork, mark: PlayerMark) -> None:
    """Store what was entered of a player on a day; what says nothing is taken out."""
    if mark.is_blank:
        work.results.remove_mark(mark.player_id, mark.on)
    else:
        work.results.put_mark(mark)


def read_marks(work: UnitOfWork, subject: Subject) -> Values:
    """What was entered of each player of a section on a day, by seat and field; empty values are left out.

    Raises:
        NotFoundError: If the section is gone.
    """
    _, section = find_section(work, subject.id)
    on, people = date.fromisoformat(subject.within["on"]), {p.id: p.person for p in section.players}
    return {
        f"{MARK} {mark.player_id} {name}": {
            "person": people[mark.player_id], "section": section.id, "value": value,
        }
        for mark in work.results.marks(int(subject.within["ensemble"]), on)
        if mark.player_id in people
        for name, value in mark_values(mark).items()
        if value
    }  # fmt: skip


def is_same_mark(one: Any, other: Any) -> bool:
    """Whether a value still says what it said, whoever sits there by now."""
    return bool((one or {}).get("value") == (other or {}).get("value"))


def write_marks(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put values back as they were; what is None was not entered.

    Raises:
        ConflictError: If a player no longer sits in the section.
    """
    _, section = find_section(work, subject.id)
    on, seats = date.fromisoformat(subject.within["on"]), {player.id for player in section.players}
    stored = {mark.player_id: mark for mark in work.results.marks(int(subject.within["ensemble"]), on)}
    changed: dict[int, dict[str, Any]] = {}
    for name, value in values.items():
        _, seat, entered = name.split()
        changed.setdefault(int(seat), {})[entered] = value["value"] if value else None
    if set(changed) - seats:
        raise ConflictError(
            f"A player sits in {section.name} no longer.", hint="Enter the day by hand instead."
        )
    for seat_id, own in changed.items():
        before = mark_values(stored.get(seat_id, PlayerMark(seat_id, on)))
        put_or_remove(work, mark_of(seat_id, on, {**before, **own}))
