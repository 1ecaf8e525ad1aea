"""A file that was read in, in the journal: all results and all that was entered of players that it changed.

Each result and each thing entered of a player is a value of its own. Players are named by their seats alone.
"""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from planner.core.change import Subject, Values
from planner.core.ensemble import Ensemble
from planner.core.term import PlayerMark
from planner.errors import ConflictError
from planner.services.changes.marks_record import (
    MARK,
    is_same_mark,
    mark_of,
    mark_values,
    put_or_remove,
)
from planner.services.changes.results_record import is_same_result
from planner.services.ports.work import UnitOfWork
from planner.services.read_once import read_once

KIND = "filled-in file"
"""Kind of the thing that such a change is about."""
RESULT = "result"
"""First word of the names of results; after it come day, piece and section."""

ReadResults = Callable[[UnitOfWork, int, int, date], Values]
"""The results of a piece on a day of an ensemble, by section: the ensemble comes first, then the piece."""
WriteResults = Callable[[UnitOfWork, int, int, date, Values], None]


def read_in_subject(ensemble: Ensemble, name: str, first: date, last: date) -> Subject:
    """A file with entries of some days, as the journal speaks of it.

    Example:
        >>> day = date(2026, 9, 1)
        >>> read_in_subject(Ensemble(2, "Band", "band"), "day.xlsx", day, day).within
        {'first': '2026-09-01', 'last': '2026-09-01'}
    """
    return Subject(KIND, ensemble.id, name, {"first": first.isoformat(), "last": last.isoformat()})


def read_filled(work: UnitOfWork, subject: Subject, read_results: ReadResults) -> Values:
    """Every result, and what was entered of each player, on the days of a file."""
    first, last = (date.fromisoformat(subject.within[name]) for name in ("first", "last"))
    once = read_once(work)
    readings = {
        (r.on, r.piece_id): None for r in once.results.list_results(subject.id) if first <= r.on <= last
    }
    found: dict[str, Any] = {}
    for on, piece_id in readings:
        for section, value in read_results(once, subject.id, piece_id, on).items():
            found[f"{RESULT} {on} {piece_id} {section}"] = value
    seats = {p.id: (p.person, s.id) for s in work.ensembles.get(subject.id).sections for p in s.players}
    for mark in work.results.marks(subject.id):
        if first <= mark.on <= last and mark.player_id in seats:
            person, section_id = seats[mark.player_id]
            for name, value in mark_values(mark).items():
                if value:
                    key = f"{MARK} {mark.player_id} {name} {mark.on}"
                    found[key] = {"person": person, "section": section_id, "value": value}
    return found


def write_filled(work: UnitOfWork, subject: Subject, values: Values, write_results: WriteResults) -> None:
    """Put results and what was entered of players back as they were; what is None was not entered.

    Raises:
        ConflictError: If a player no longer sits in the ensemble.
    """
    results: dict[tuple[date, int], dict[str, Any]] = {}
    marks: dict[tuple[int, date], dict[str, Any]] = {}
    for name, value in values.items():
        words = name.split()
        if words[0] == RESULT:
            results.setdefault((date.fromisoformat(words[1]), int(words[2])), {})[words[3]] = value
        else:
            at = int(words[1]), date.fromisoformat(words[3])
            marks.setdefault(at, {})[words[2]] = value["value"] if value else None
    _write_marks(work, subject, marks)
    for (on, piece_id), own in results.items():
        write_results(work, subject.id, piece_id, on, own)


def _write_marks(
    work: UnitOfWork, subject: Subject, marks: Mapping[tuple[int, date], Mapping[str, Any]]
) -> None:
    ensemble = work.ensembles.get(subject.id)
    seats = {player.id for section in ensemble.sections for player in section.players}
    if {seat for seat, _ in marks} - seats:
        raise ConflictError(
            f"A player sits in {ensemble.name} no longer.", hint="Enter the days by hand instead."
        )
    stored = {(mark.player_id, mark.on): mark for mark in work.results.marks(ensemble.id)}
    for (seat, on), own in marks.items():
        before = mark_values(stored.get((seat, on), PlayerMark(seat, on)))
        put_or_remove(work, mark_of(seat, on, {**before, **own}))


def is_same_filled(one: Any, other: Any) -> bool:
    """Whether a value still says what it said."""
    if "value" in (one or other or {}):
        return is_same_mark(one, other)
    return is_same_result(one, other)
