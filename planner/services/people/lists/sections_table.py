"""The table of sections as somebody typed it: each cell read, or told what is wrong with it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.change import Author
from planner.core.ensemble import Ensemble, Section
from planner.core.instruments import get_instrument, ids_named, read_name
from planner.errors import ConflictError, EntriesError, InputError, NotFoundError
from planner.services.entered.numbers import number_in, whole_in
from planner.services.entered.words import one_line, short
from planner.services.people.roster import save_sections, section_faults
from planner.services.ports.work import UnitOfWork

FIELDS = ("name", "instrument", "chair", "size", "level")
_MEANT = {"chair": "chair", "size": "number of players", "level": "level"}


@dataclass(frozen=True, slots=True)
class SectionEntry:
    """One row as typed.

    Attributes:
        id: Of the section; 0 for a new one.
        typed: By field, what stands in the cell; a field that is missing stays as it is.
        shown: By field, what the cell was filled with when the table was opened; empty when not known.
    """

    id: int
    typed: Mapping[str, str]
    shown: Mapping[str, str]

    @property
    def is_blank(self) -> bool:
        """Whether it is a row for a new section that nobody filled."""
        return not self.id and not any(value.strip() for value in self.typed.values())


def section_texts(section: Section) -> dict[str, str]:
    """The cells of a section's row.

    Example:
        >>> section_texts(Section(1, "Clarinet 2", "clarinet-bflat", 2, 4, 2.25))["instrument"]
        'B♭ Clarinet'
    """
    return {
        "name": section.name,
        "instrument": get_instrument(section.instrument).name,
        "chair": str(section.chair),
        "size": str(section.size),
        "level": f"{section.level:.1f}",
    }


def take_table(
    work: UnitOfWork, ensemble_id: int, entries: Sequence[SectionEntry], *, by: Author
) -> tuple[int, int]:
    """Store what was changed in a table of sections, as one change; how many changed, and how many are new.

    Raises:
        EntriesError: If cells cannot be used, by row and field (``"0 level"``); nothing is stored.
        ConflictError: If a cell was changed by somebody else meanwhile.
        NotFoundError: If a section is not there.
    """
    ensemble = work.ensembles.get(ensemble_id)
    faults: dict[str, str] = {}
    sections: list[Section] = []
    rows: list[int] = []
    for row, entry in enumerate(entries):
        if entry.is_blank:
            continue
        section, wrong = _read(ensemble, entry)
        faults |= {
            f"{row} {field}": sentence for field, sentence in (dict(section_faults(section)) | wrong).items()
        }
        sections.append(section)
        rows.append(row)
    if faults:
        raise EntriesError(faults)
    try:
        return save_sections(work, ensemble_id, sections, by=by)
    except EntriesError as error:
        named = {
            f"{rows[int(key.split()[0])]} {key.split()[1]}": sentence
            for key, sentence in error.faults.items()
        }
        raise EntriesError(named) from error


def instrument_meant(text: str, section_name: str) -> str:
    """The id of the instrument that is meant: by what was typed, or else by the name of the section.

    Raises:
        InputError: If it is none, or may be several.
    """
    asked = text.strip() or section_name.strip()
    meant = ids_named(asked) if asked else ()
    if len(meant) == 1:
        return meant[0]
    if meant:
        names = " or ".join(f"“{get_instrument(each).name}”" for each in meant)
        raise InputError(f"“{asked}” can be several instruments. Say {names}.")
    if text.strip():
        raise InputError(f"The planner knows no instrument “{asked}”.")
    raise InputError(f"Say which instrument {section_name.strip() or 'it'} plays.")


def _read(ensemble: Ensemble, entry: SectionEntry) -> tuple[Section, dict[str, str]]:
    """A section as typed, and by field what cannot be read."""
    there = next((section for section in ensemble.sections if section.id == entry.id), None)
    if entry.id and there is None:
        raise NotFoundError("section", entry.id, hint="It may have been removed meanwhile.")
    stored = section_texts(there) if there else {}
    changed = {
        field: one_line(text)
        for field, text in entry.typed.items()
        if not there or text.strip() != entry.shown.get(field, stored[field])
    }
    for field, text in changed.items():
        if there and field in entry.shown and stored[field] not in (entry.shown[field], text):
            raise ConflictError(
                f"The {_MEANT.get(field, field)} of {there.name} was changed meanwhile: now {stored[field]}.",
                hint="Look at it, then save again.",
            )
    section = there or Section(0, "", "")
    faults: dict[str, str] = {}
    if "name" in changed:
        section = replace(section, name=changed["name"])
    if "instrument" in changed or not there:
        try:
            meant = instrument_meant(changed.get("instrument", ""), section.name)
            section = replace(section, instrument=meant)
        except InputError as error:
            faults["instrument"] = str(error)
    chairs = read_name(section.name).chairs
    usual = {"chair": str(chairs[0] if chairs else 1), "size": "1", "level": ""}
    numbers = {
        field: changed.get(field) or usual[field] for field in usual if field in changed or not there
    }  # fmt: skip
    for field, text in numbers.items():
        try:
            number = _number(text, field, section.name)
        except InputError as error:
            faults[field] = str(error)
            continue
        if field == "level":
            section = replace(section, level=number, level_error=None)
        elif field == "size":
            section = replace(section, size=int(number))
        else:
            section = replace(section, chair=int(number))
    return section, faults


def _number(text: str, field: str, name: str) -> float:
    """A number as typed: whole but for levels.

    Raises:
        InputError: If it is none.
    """
    if not text:
        raise InputError(f"The {_MEANT[field]} of {name} is missing.")
    number = number_in(text) if field == "level" else whole_in(text)
    if number is not None:
        return number
    kind = "a number" if field == "level" else "a whole number"
    raise InputError(f"The {_MEANT[field]} of {short(name)} must be {kind}, not “{short(text)}”.")
