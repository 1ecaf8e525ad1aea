"""Ensembles and their sections: made, changed, taken out, each through the journal."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL, Ensemble, Section
from planner.core.instruments import INSTRUMENTS
from planner.core.text import folded
from planner.errors import ConflictError, EntriesError, InputError
from planner.services.changes.ensemble_record import ensemble_subject, with_free_names
from planner.services.changes.journal import record_new, recorded
from planner.services.changes.records import section_subject
from planner.services.entered.words import entered_line
from planner.services.levels.index import has_other_seats, index_ensemble
from planner.services.levels.section_levels import refresh_levels, section_evidence, take_word
from planner.services.people.find import find_section
from planner.services.people.roster_change import roster_changed
from planner.services.ports.work import UnitOfWork
from planner.wording.words import capital

MOST_CHAIRS, MOST_PLAYERS = 9, 99
"""Chairs of one instrument, and players of one section. Source: house choice."""
_INSTRUMENTS = frozenset(instrument.id for instrument in INSTRUMENTS)


@dataclass(frozen=True, slots=True)
class Belongings:
    """What belongs to an ensemble or a section, and would be lost with it.

    Attributes:
        sections, players, terms, results, days, exposures, marks: How many of each; ``days`` are those
            with results.
    """

    sections: int = 0
    players: int = 0
    terms: int = 0
    results: int = 0
    days: int = 0
    exposures: int = 0
    marks: int = 0


def add_ensemble(work: UnitOfWork, name: str, kind: str = "band", *, by: Author) -> Ensemble:
    """A new ensemble without sections, journaled.

    Raises:
        InputError: If the name is empty.
        ConflictError: If the name is taken.
    """
    new = Ensemble(0, _name(name, "An ensemble"), _name(kind, "The kind of an ensemble"))
    _check_free(work, new)
    stored = work.ensembles.get(work.ensembles.add(new))
    record_new(work, ChangeKind.ENSEMBLE, ensemble_subject(stored), by)
    return stored


def rename_ensemble(work: UnitOfWork, ensemble_id: int, name: str, kind: str, *, by: Author) -> Ensemble:
    """Give an ensemble another name and kind, and journal it; as it is stored.

    Raises:
        NotFoundError: If it is not there.
        InputError: If the name is empty.
        ConflictError: If the name is taken.
    """
    before = work.ensembles.get(ensemble_id)
    wanted = replace(before, name=_name(name, "An ensemble"), kind=_name(kind, "The kind of an ensemble"))
    _check_free(work, wanted)
    with roster_changed(work, ensemble_id, by):
        work.ensembles.rename(ensemble_id, wanted.name, wanted.kind)
    return work.ensembles.get(ensemble_id)


def remove_ensemble(work: UnitOfWork, ensemble_id: int, *, by: Author) -> Ensemble:
    """Take an ensemble out with all that belongs to it, and journal it whole; the ensemble as it was.

    Raises:
        NotFoundError: If it is not there.
    """
    before = work.ensembles.get(ensemble_id)
    with recorded(work, ChangeKind.WHOLE_ENSEMBLE, ensemble_subject(before), by):
        work.ensembles.remove(ensemble_id)
    return before


def belongings_of(work: UnitOfWork, ensemble: Ensemble) -> Belongings:
    """What would be lost with an ensemble."""
    results = work.results.list_results(ensemble.id)
    return Belongings(
        sections=len(ensemble.sections),
        players=len({p.person for section in ensemble.sections for p in section.players}),
        terms=len(work.terms.list_terms(ensemble.id)),
        results=len(results),
        days=len({result.on for result in results}),
        exposures=len(work.ensembles.exposures(ensemble.id)),
        marks=len(work.results.marks(ensemble.id)),
    )


def list_ensembles(work: UnitOfWork) -> Sequence[Ensemble]:
    """All ensembles with their sections and players, by name."""
    return work.ensembles.list_ensembles()


def get_ensemble(work: UnitOfWork, ensemble_id: int) -> Ensemble:
    """An ensemble with its sections and players.

    Raises:
        NotFoundError: If it is not there.
    """
    return work.ensembles.get(ensemble_id)


def add_section(work: UnitOfWork, ensemble_id: int, section: Section, *, by: Author) -> Section:
    """A new section, with its players if it names some, journaled; as it is stored.

    Raises:
        InputError: If a value cannot hold.
        ConflictError: If the ensemble has a section of that name.
    """
    return add_sections(work, ensemble_id, [section], by=by)[0]


def add_sections(
    work: UnitOfWork, ensemble_id: int, sections: Sequence[Section], *, by: Author
) -> tuple[Section, ...]:
    """New sections, journaled; as they are stored.

    Raises:
        InputError: If a value cannot hold.
        ConflictError: If the ensemble has a section of one of the names.
    """
    with roster_changed(work, ensemble_id, by):
        ids = [put_new_section(work, ensemble_id, section) for section in sections]
    ensemble = work.ensembles.get(ensemble_id)
    return tuple(_section_in(ensemble, section_id) for section_id in ids)


def put_new_section(work: UnitOfWork, ensemble_id: int, section: Section) -> int:
    """Store a new section within a change that is journaled by the caller; its id."""
    checked = checked_section(section)
    check_section_name(work.ensembles.get(ensemble_id), checked)
    return work.ensembles.add_section(ensemble_id, checked)


def change_section(work: UnitOfWork, section: Section, *, by: Author) -> None:
    """Store everything of a section but its players, and journal it.

    A new level is the director's word from now on.

    Raises:
        InputError: If a value cannot hold.
        ConflictError: If another section of the ensemble has that name.
        NotFoundError: If it is not there.
    """
    ensemble, before = find_section(work, section.id)
    checked = checked_section(section)
    check_section_name(ensemble, checked)
    with recorded(work, ChangeKind.SECTION, section_subject(before), by):
        work.ensembles.update_section(take_word(work, ensemble, before, checked))
        if has_other_seats(before, checked):
            index_ensemble(work, ensemble.id)
            refresh_levels(work, section_evidence(work, work.ensembles.get(ensemble.id)))


def save_sections(
    work: UnitOfWork, ensemble_id: int, sections: Sequence[Section], *, by: Author
) -> tuple[int, int]:
    """Take a whole table of sections, changed ones by their ids and new ones with id 0, as one change.

    Args:
        work: An open unit of work.
        ensemble_id: Whose sections.
        sections: As they are to be; those that are not named stay as they are.
        by: Who enters them.

    Returns:
        How many were changed, and how many are new.

    Raises:
        EntriesError: If some values cannot hold, by row (``"0 level"``); nothing is stored then.
        NotFoundError: If a section is not there.
    """
    ensemble = work.ensembles.get(ensemble_id)
    there = {section.id: section for section in ensemble.sections}
    checked = _checked_table(ensemble, sections)
    new = [section for section in checked if not section.id]
    words = [take_word(work, ensemble, there[each.id], each) for each in checked if each.id]
    changed = [each for each in words if each != there[each.id]]
    if len(changed) == 1 and not new:
        change_section(work, next(each for each in checked if each.id == changed[0].id), by=by)
        return 1, 0
    with roster_changed(work, ensemble_id, by):
        for section in with_free_names(changed, there):
            work.ensembles.update_section(section)
        for section in new:
            work.ensembles.add_section(ensemble_id, section)
    return len(changed), len(new)


def remove_section(work: UnitOfWork, section_id: int, *, by: Author) -> Section:
    """Take out a section nobody has results or exposures of, and journal it; the section as it was.

    Raises:
        NotFoundError: If it is not there.
        ConflictError: If there are some, or marks of its players.
    """
    ensemble, section = find_section(work, section_id)
    with roster_changed(work, ensemble.id, by):
        work.ensembles.remove_section(section_id)
    return section


def checked_section(section: Section) -> Section:
    """A section as it is stored.

    Raises:
        InputError: If a value cannot hold.
    """
    faults = section_faults(section)
    if faults:
        raise InputError(next(iter(faults.values())))
    return replace(section, name=_name(section.name, "A section"))


def section_faults(section: Section) -> Mapping[str, str]:
    """What of a section cannot hold: a sentence by field."""
    faults: dict[str, str] = {}
    try:
        name = _name(section.name, "A section")
    except InputError as error:
        name, faults["name"] = "this section", str(error)
    if not section.instrument:
        faults["instrument"] = f"Say which instrument {name} plays."
    elif section.instrument not in _INSTRUMENTS:
        faults["instrument"] = f"The planner knows no instrument “{section.instrument}”."
    if not LOWEST_LEVEL <= section.level <= HIGHEST_LEVEL:
        faults["level"] = (
            f"The level of {name} must be from {LOWEST_LEVEL:g} to {HIGHEST_LEVEL:g}, not {section.level:g}."
        )
    if not 1 <= section.size <= MOST_PLAYERS:
        faults["size"] = (
            f"{capital(name)} needs at least one player, and {MOST_PLAYERS} at most, not {section.size}."
        )
    if not 1 <= section.chair <= MOST_CHAIRS:
        faults["chair"] = f"{capital(name)}: chairs count from 1 to {MOST_CHAIRS}, not {section.chair}."
    return faults


def check_section_name(ensemble: Ensemble, section: Section) -> None:
    """A section's name must be free, whatever the case and the accents.

    Raises:
        ConflictError: If another section of the ensemble is called so.
    """
    for other in ensemble.sections:
        if other.id != section.id and folded(other.name) == folded(section.name):
            raise ConflictError(f"There is a section {other.name} already.", hint="Choose another name.")


def _checked_table(ensemble: Ensemble, sections: Sequence[Section]) -> list[Section]:
    """The rows as they are stored.

    Raises:
        EntriesError: If one cannot hold, or two have one name.
    """
    faults = {
        f"{row} {field}": sentence
        for row, section in enumerate(sections)
        for field, sentence in section_faults(section).items()
    }
    rows = {section.id: section for section in sections if section.id}
    names = {
        folded(section.name): section.name
        for section in ensemble.sections
        if section.id not in rows or rows[section.id].name == section.name
    }
    stored = {section.id: section.name for section in ensemble.sections}
    for row, section in enumerate(sections):
        name = folded(section.name)
        if not name or stored.get(section.id) == section.name:
            continue
        if name in names:
            faults[f"{row} name"] = f"There is a section {names[name]} already. Choose another name."
        names[name] = section.name
    if faults:
        raise EntriesError(faults)
    return [replace(section, name=_name(section.name, "A section")) for section in sections]


def _check_free(work: UnitOfWork, ensemble: Ensemble) -> None:
    for other in work.ensembles.list_ensembles():
        if other.id != ensemble.id and folded(other.name) == folded(ensemble.name):
            raise ConflictError(f"There is an ensemble {other.name} already.", hint="Choose another name.")


def _name(text: str, what: str) -> str:
    name = entered_line(text, f"The name of {what[0].lower()}{what[1:]}")
    if not name:
        raise InputError(f"{what} needs a name.", field="name")
    return name


def _section_in(ensemble: Ensemble, section_id: int) -> Section:
    return next(section for section in ensemble.sections if section.id == section_id)
