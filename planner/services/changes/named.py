"""Names of players put into an entry of the journal when it is shown: it is stored without them."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from planner.core.change import Change
from planner.services.changes.marks_record import KIND as SECTION_DAY
from planner.services.changes.read_in_record import KIND as FILLED_IN
from planner.services.ports.work import UnitOfWork

NOBODY_NOW = "a player"
"""What somebody is called whose name is not known any more."""


def with_names(work: UnitOfWork, change: Change) -> Change:
    """A change as it is shown: what speaks of a person by identity has the name they have now."""
    if change.subject.kind not in ("person", "ensemble", SECTION_DAY, FILLED_IN):
        return change
    people = work.ensembles.people()
    sections = {
        section.id: section.name
        for ensemble in work.ensembles.list_ensembles()
        for section in ensemble.sections
    }
    subject = change.subject
    if subject.kind == "person":
        subject = replace(subject, name=people.get(subject.id, NOBODY_NOW))
    before, after = (
        {n: _named(v, people, sections) for n, v in side.items()} for side in (change.before, change.after)
    )
    return replace(change, subject=subject, before=before, after=after)


def _named(value: Any, people: Mapping[int, str], sections: Mapping[int, str]) -> Any:
    """A value with the names of the person and the section that it speaks of by identity."""
    if not isinstance(value, dict) or "person" not in value:
        return value
    who = people.get(value["person"], NOBODY_NOW) if value["person"] else ""
    return {**value, "who": who, "section_name": sections.get(value["section"] or 0, "")}
