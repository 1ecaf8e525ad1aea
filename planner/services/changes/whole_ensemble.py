"""An ensemble with all that belongs to it in the journal, so that taking it out can be undone."""

from datetime import date
from typing import Any

from planner.core.change import Subject, Values
from planner.errors import ConflictError
from planner.services.changes.ensemble_record import (
    MET,
    find_ensemble,
    is_same_in_ensemble,
    read_ensemble,
    read_met,
    write_ensemble,
    write_met,
)
from planner.services.changes.marks_record import mark_of, mark_values
from planner.services.changes.points_record import filled_of, filled_values
from planner.services.changes.results_record import is_same_result, result_of, result_values
from planner.services.changes.term_record import is_same_value, read_term, term_subject, write_term
from planner.services.levels.section_levels import refresh_levels, section_evidence
from planner.services.ports.work import UnitOfWork

TERM, RESULT, MARK, POINTS = "term", "result", "mark", "points"
"""First words of the names of values."""


def read_whole(work: UnitOfWork, subject: Subject) -> Values:
    """Everything of an ensemble by name; nothing when it is not there."""
    if find_ensemble(work, subject.id) is None:
        return {}
    return {
        **read_ensemble(work, subject),
        **read_met(work, subject),
        **{
            f"{TERM} {term.id}": dict(read_term(work, term_subject(term)))
            for term in work.terms.list_terms(subject.id)
        },
        **{
            f"{RESULT} {r.section_id} {r.piece_id} {r.on}": {
                "section": r.section_id, "piece": r.piece_id, "on": r.on.isoformat(),
                **result_values(r),
            }
            for r in work.results.list_results(subject.id)
        },
        **{
            f"{MARK} {mark.player_id} {mark.on}": {
                "seat": mark.player_id, "on": mark.on.isoformat(), **mark_values(mark),
            }
            for mark in work.results.marks(subject.id)
        },
        **{
            f"{POINTS} {each.section_id or 0} {each.piece_id} {each.on}": filled_values(each)
            for each in work.results.points(subject.id)
        },
    }  # fmt: skip


def is_same_in_whole(one: Any, other: Any) -> bool:
    """Whether a value still says what it said: of a term each of its values by itself."""
    if isinstance(one, dict) and isinstance(other, dict) and {"first", "tempo"} <= one.keys() & other.keys():
        return is_same_result(one, other)
    if isinstance(one, dict) and isinstance(other, dict) and {"weekdays"} <= one.keys() & other.keys():
        return all(is_same_value(one.get(name), other.get(name)) for name in {*one, *other})
    return is_same_in_ensemble(one, other)


def write_whole(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Take an ensemble out with all of it, or bring it back with all of it.

    Raises:
        ConflictError: If a piece that it read or planned is no longer in the library.
    """
    if values.get("name") is None:
        work.ensembles.remove(subject.id)
        return
    by_kind: dict[str, dict[str, Any]] = {kind: {} for kind in (MET, TERM, RESULT, MARK, POINTS)}
    own: dict[str, Any] = {}
    for name, value in values.items():
        by_kind.get(name.split(maxsplit=1)[0], own)[name] = value
    read = (value for kind in (MET, RESULT, POINTS) for value in by_kind[kind].values())
    _check_pieces(work, {value["piece"] for value in read})
    write_ensemble(work, subject, own, None)
    write_met(work, subject, by_kind[MET], None)
    for name, value in by_kind[TERM].items():
        write_term(work, Subject("term", int(name.split()[1]), value["name"]), value, None)
    for value in by_kind[RESULT].values():
        on = date.fromisoformat(value["on"])
        work.results.put(result_of(subject.id, value["section"], value["piece"], on, value))
    for value in by_kind[MARK].values():
        work.results.put_mark(mark_of(value["seat"], date.fromisoformat(value["on"]), value))
    for value in by_kind[POINTS].values():
        work.results.put_points(filled_of(subject.id, value))
    refresh_levels(work, section_evidence(work, work.ensembles.get(subject.id)))


def _check_pieces(work: UnitOfWork, wanted: set[int]) -> None:
    gone = wanted - set(work.pieces.titles(wanted))
    if gone:
        raise ConflictError("A piece that this ensemble has read or met is no longer in the library.")
