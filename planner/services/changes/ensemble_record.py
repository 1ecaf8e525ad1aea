"""Ensembles in the journal: name and kind, each section, each seat; people's names; what a group has met.

A seat is journaled by the identity of the person, never by the name: the journal holds a player's name only
where it was changed. An ensemble that is not there has no values: making one is a change like others.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from planner.core.change import Subject, Values
from planner.core.ensemble import Ensemble, Exposure, Section, basis_of, basis_values
from planner.errors import ConflictError, NotFoundError
from planner.services.changes.seat_record import put_seat, seat_values
from planner.services.levels.index import has_other_seats, index_ensemble
from planner.services.levels.section_levels import refresh_levels, section_evidence
from planner.services.people.find import find_section
from planner.services.ports.work import UnitOfWork

SECTION, SEAT, MET = "section", "seat", "met"
"""First words of the names of values."""


def ensemble_subject(ensemble: Ensemble) -> Subject:
    """An ensemble, as the journal speaks of it."""
    return Subject("ensemble", ensemble.id, ensemble.name)


def person_subject(person: int) -> Subject:
    """A player, as the journal speaks of them: by identity, without the name."""
    return Subject("person", person, "")


def find_ensemble(work: UnitOfWork, ensemble_id: int) -> Ensemble | None:
    """The ensemble; None when it is not there."""
    return next((each for each in work.ensembles.list_ensembles() if each.id == ensemble_id), None)


def read_ensemble(work: UnitOfWork, subject: Subject) -> Values:
    """Name, kind, sections and seats by name; nothing when it is not there."""
    ensemble = find_ensemble(work, subject.id)
    if ensemble is None:
        return {}
    seats = ((section, player) for section in ensemble.sections for player in section.players)
    return {
        "name": ensemble.name,
        "kind": ensemble.kind,
        **{f"{SECTION} {section.id}": section_values(section) for section in ensemble.sections},
        **{f"{SEAT} {player.id}": seat_values(section, player) for section, player in seats},
    }


def write_ensemble(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put values of an ensemble back; a name of None takes it out, all of them given bring it back.

    Raises:
        ConflictError: If what came after speaks against it.
    """
    before = find_ensemble(work, subject.id)
    if "name" in values and values["name"] is None:
        _take_out(work, subject, values)
        return
    if before is None:
        if values.get("name") is None:
            raise NotFoundError("ensemble", f"“{subject.name}”")
        work.ensembles.add(Ensemble(0, values["name"], values["kind"]), as_id=subject.id)
        before = work.ensembles.get(subject.id)
    elif "name" in values or "kind" in values:
        work.ensembles.rename(
            subject.id, values.get("name", before.name), values.get("kind", before.kind)
        )  # fmt: skip
    _write_sections_and_seats(work, before, values)
    after = work.ensembles.get(subject.id)
    if has_other_sections(before, after):
        index_ensemble(work, after.id)
    refresh_levels(work, section_evidence(work, work.ensembles.get(after.id)))


def has_other_sections(before: Ensemble, after: Ensemble) -> bool:
    """Whether an ensemble's sections may read other parts than before."""
    if len(before.sections) != len(after.sections):
        return True
    return any(
        one.id != other.id or has_other_seats(one, other)
        for one, other in zip(before.sections, after.sections, strict=True)
    )


def section_values(section: Section) -> dict[str, Any]:
    """Everything of a section but its players and the level that results have brought it to."""
    is_started = section.start_level is not None
    start = {
        "level": section.start_level if is_started else section.level,
        "error": section.start_error if is_started else section.level_error,
        "on": section.start_on.isoformat() if section.start_on else None,
        "basis": basis_values(section.start_basis),
    }
    return {
        "name": section.name, "instrument": section.instrument, "chair": section.chair,
        "players": section.size, "start": start, "begun": is_started,
    }  # fmt: skip


def with_section_values(section: Section, values: Values) -> Section:
    """A section with some of the values that ``section_values`` wrote."""
    fields = {"name": "name", "instrument": "instrument", "chair": "chair", "players": "size"}
    section = replace(section, **{fields[name]: value for name, value in values.items() if name in fields})
    start = values.get("start")
    is_begun = values.get("begun", section.start_level is not None)
    if start is None:
        return section if is_begun else replace(section, start_level=None, start_error=None)
    if not is_begun:
        return replace(
            section, level=start["level"], level_error=start["error"], start_level=None, start_error=None,
            start_on=None, start_basis=basis_of(start["basis"]),
        )  # fmt: skip
    return replace(
        section, level=start["level"], level_error=start["error"], start_level=start["level"],
        start_error=start["error"], start_on=date.fromisoformat(start["on"]) if start["on"] else None,
        start_basis=basis_of(start["basis"]),
    )  # fmt: skip


def with_free_names(changed: Sequence[Section], there: Mapping[int, Section]) -> Sequence[Section]:
    """Changed sections to be stored one by one, each under a free name: two that swap go by a third."""
    taken = {section.name for section in there.values()}
    swapped = [each for each in changed if each.name in taken and each.name != there[each.id].name]
    by_way = [replace(there[each.id], name=f"\N{NO-BREAK SPACE}{each.id}") for each in swapped]
    return [*by_way, *changed]


def read_section(work: UnitOfWork, subject: Subject) -> Values:
    """The values of one section."""
    return section_values(find_section(work, subject.id)[1])


def write_section(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put values of one section back."""
    ensemble, before = find_section(work, subject.id)
    section = with_section_values(before, values)
    work.ensembles.update_section(section)
    if has_other_seats(before, section):
        index_ensemble(work, ensemble.id)
    refresh_levels(work, section_evidence(work, work.ensembles.get(ensemble.id)))


def read_person(work: UnitOfWork, subject: Subject) -> Values:
    """The name of a person; nothing when they are not known any more."""
    names = work.ensembles.people()
    if subject.id not in names:
        raise NotFoundError("player", "of that change")
    return {"name": names[subject.id]}


def write_person(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put the name of a person back."""
    work.ensembles.rename_person(subject.id, values["name"])


def read_met(work: UnitOfWork, subject: Subject) -> Values:
    """What an ensemble and its sections have met, each by what it says."""
    ensemble = find_ensemble(work, subject.id)
    if ensemble is None:
        return {}
    met = work.ensembles.exposures(subject.id)
    sections = {section.id: section.name for section in ensemble.sections}
    titles = work.pieces.titles({exposure.piece_id for exposure in met})
    return {
        _met_name(exposure): {
            "piece": exposure.piece_id, "title": titles.get(exposure.piece_id, ""), "how": exposure.how,
            "on": exposure.on.isoformat() if exposure.on else None, "section": exposure.section_id,
            "section_name": sections.get(exposure.section_id or 0, ""), "person": exposure.person,
            "note": exposure.note,
        }
        for exposure in met
    }  # fmt: skip


def write_met(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put what was met back, or take it out again."""
    now = {_met_name(exposure): exposure for exposure in work.ensembles.exposures(subject.id)}
    for name, value in values.items():
        if value is None and name in now:
            work.ensembles.remove_exposure(now[name])
        elif value is not None:
            work.ensembles.add_exposure(exposure_of(subject.id, value))


def exposure_of(ensemble_id: int, value: Mapping[str, Any]) -> Exposure:
    """What was met, as ``read_met`` wrote it."""
    on = date.fromisoformat(value["on"]) if value["on"] else None
    return Exposure(
        ensemble_id, value["piece"], value["how"], on, value["section"], value["note"], value["person"]
    )


def is_same_in_ensemble(one: Any, other: Any) -> bool:
    """Whether a value still says what it said: new titles, names and first results change nothing."""
    return bool(_essence(one) == _essence(other))


def _essence(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: each for name, each in value.items() if name not in ("title", "section_name", "begun")}
    return value


def _met_name(exposure: Exposure) -> str:
    return (
        f"{MET} {exposure.piece_id} {exposure.how} {exposure.on or 'any'} {exposure.section_id or 'all'} "
        f"{exposure.person or 'all'} {exposure.note}"
    ).strip()


def _take_out(work: UnitOfWork, subject: Subject, values: Values) -> None:
    more = [name for name in read_ensemble(work, subject) if name not in values]
    spoken = work.results.list_results(subject.id) or work.ensembles.exposures(subject.id)
    if more or spoken or work.terms.list_terms(subject.id):
        raise ConflictError(
            f"{subject.name} has more by now than when it was made.",
            hint="Remove the ensemble instead; that can be undone.",
        )
    work.ensembles.remove(subject.id)


def _write_sections_and_seats(work: UnitOfWork, ensemble: Ensemble, values: Values) -> None:
    sections = {section.id: section for section in ensemble.sections}
    seats = {p.id: (section, p) for section in ensemble.sections for p in section.players}
    changed_sections, changed_seats = _numbered(values, SECTION), _numbered(values, SEAT)
    for seat_id, value in changed_seats.items():
        if value is None and seat_id in seats:
            work.ensembles.remove_player(seat_id)
    back = [
        with_section_values(sections[section_id], value)
        for section_id, value in changed_sections.items()
        if value is not None and section_id in sections
    ]
    for section_id, value in changed_sections.items():
        if value is None:
            work.ensembles.remove_section(section_id)
    for section in with_free_names(back, sections):
        work.ensembles.update_section(section)
    for section_id, value in changed_sections.items():
        if value is not None and section_id not in sections:
            made = with_section_values(Section(0, value["name"], value["instrument"]), value)
            work.ensembles.add_section(ensemble.id, made, as_id=section_id)
    known = work.ensembles.people()
    for seat_id, value in changed_seats.items():
        if value is not None:
            put_seat(work, seat_id, value, seats, known)


def _numbered(values: Values, what: str) -> dict[int, Any]:
    return {
        int(name.split()[1]): value for name, value in values.items() if name.split(maxsplit=1)[0] == what
    }
