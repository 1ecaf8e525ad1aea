"""Points of a scoring form in the journal: what each section, or the whole ensemble, was given on a day.

The points of each caption are a value of their own, so that one can be taken back whatever became of the
others.
"""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from planner.core.change import Subject, Values
from planner.core.scoring_form import FilledForm, points_of, points_values
from planner.core.term import Term
from planner.errors import ConflictError
from planner.services.ports.work import UnitOfWork

KIND = "scoring form"
"""Kind of the thing that such a change is about: the forms of a piece on a day."""
WHOLE = 0
"""In the names of values, the number that stands for the whole ensemble."""


def form_subject(piece_id: int, title: str, term: Term, on: date) -> Subject:
    """The scoring forms of a piece on a day, as the journal speaks of them."""
    within = {"ensemble": str(term.ensemble_id), "term": str(term.id), "on": on.isoformat()}
    return Subject(KIND, piece_id, title, within)


def put_or_remove_points(work: UnitOfWork, filled: FilledForm) -> None:
    """Store points; a form without any is taken out."""
    if filled.points:
        work.results.put_points(filled)
    else:
        work.results.remove_points(filled.ensemble_id, filled.piece_id, filled.on, filled.section_id)


def read_points(work: UnitOfWork, subject: Subject) -> Values:
    """Points by section and line, with what both are called.

    Raises:
        NotFoundError: If the piece is gone.
    """
    work.pieces.get(subject.id)
    ensemble_id, on = _day(subject)
    sections = {each.id: each.name for each in work.ensembles.get(ensemble_id).sections}
    terms = {term.id: term for term in work.terms.list_terms(ensemble_id)}
    term = terms.get(int(subject.within["term"]))
    lines = {each.number: each.name for each in (term.form.lines if term and term.form else ())}
    return {
        f"{filled.section_id or WHOLE} {number}": {
            "section": sections.get(filled.section_id or WHOLE, ""),
            "line": lines.get(int(number), ""),
            "value": value,
        }
        for filled in work.results.points(ensemble_id, on)
        if filled.piece_id == subject.id
        for number, value in points_values(filled.points).items()
    }


def is_same_points(one: Any, other: Any) -> bool:
    """Whether points are what they were; a caption's new name changes nothing of them."""
    return bool((one or {}).get("value") == (other or {}).get("value"))


def write_points(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put points back as they were; what is None was not filled in.

    Raises:
        ConflictError: If a section is gone.
    """
    ensemble_id, on = _day(subject)
    there = {each.id for each in work.ensembles.get(ensemble_id).sections} | {WHOLE}
    stored = {
        each.section_id or WHOLE: dict(each.points)
        for each in work.results.points(ensemble_id, on)
        if each.piece_id == subject.id
    }
    changed: dict[int, dict[int, Decimal]] = {}
    for name, value in values.items():
        section, number = map(int, name.split())
        if section not in there:
            raise ConflictError("The section is no longer there.", hint="Fill the form in by hand instead.")
        points = changed.setdefault(section, dict(stored.get(section, {})))
        points.pop(number, None)
        if value is not None:
            points[number] = Decimal(value["value"])
    for section, points in changed.items():
        put_or_remove_points(work, FilledForm(ensemble_id, subject.id, on, section or None, points))


def filled_values(filled: FilledForm) -> dict[str, Any]:
    """A filled form as JSON values, for the journal of a whole ensemble."""
    return {
        "section": filled.section_id, "piece": filled.piece_id, "on": filled.on.isoformat(),
        "points": points_values(filled.points),
    }  # fmt: skip


def filled_of(ensemble_id: int, values: Mapping[str, Any]) -> FilledForm:
    """What ``filled_values`` wrote."""
    on, points = date.fromisoformat(values["on"]), points_of(values["points"])
    return FilledForm(ensemble_id, values["piece"], on, values["section"], points)


def _day(subject: Subject) -> tuple[int, date]:
    return int(subject.within["ensemble"]), date.fromisoformat(subject.within["on"])
