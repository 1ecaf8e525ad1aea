"""How the file for a school's system is written: as text for a form or a command, stored, journaled."""

import re
from collections.abc import Mapping, Sequence

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Ensemble
from planner.core.school_file import (
    DATE_FORMS,
    DECIMAL_MARKS,
    ENCODINGS,
    OF_DAYS,
    OF_PLAYERS,
    SEPARATORS,
    SchoolColumn,
    SchoolFile,
    SchoolRows,
    school_file_of,
    school_file_values,
)
from planner.errors import InputError
from planner.services.changes.journal import recorded
from planner.services.changes.school_file_record import school_file_name, school_file_subject
from planner.services.entered.numbers import whole_in
from planner.services.entered.words import entered_line, short
from planner.services.ports.work import UnitOfWork
from planner.wording.director.school_file import COLUMN_WORDS, HEADINGS

LONGEST_HEADING = 120
"""Letters of a heading (house choice)."""
_CHOICES: Mapping[str, Sequence[str]] = {
    "rows": tuple(SchoolRows),
    "separator": tuple(SEPARATORS),
    "encoding": tuple(ENCODINGS),
    "decimal_mark": tuple(DECIMAL_MARKS),
    "date_form": tuple(DATE_FORMS),
}
_SWITCHES = ("has_headings", "is_guarded")
USUAL = SchoolFile(
    tuple((column, HEADINGS[column]) for column in (
        SchoolColumn.PLAYER, SchoolColumn.SECTION, SchoolColumn.MARK, SchoolColumn.WORD,
    ))
)  # fmt: skip
"""The file as long as nobody has chosen another (house choice)."""


def school_file(work: UnitOfWork, ensemble_id: int) -> SchoolFile:
    """How the file of an ensemble is written."""
    values = work.settings.get(school_file_name(ensemble_id))
    return USUAL if values is None else school_file_of(values)


def school_file_text(choice: SchoolFile) -> dict[str, str]:
    """A choice as text by field: the place of each column by ``place-``, its heading by ``heading-``.

    A column that is left out has no place, and its usual heading.
    """
    places = {column: (at, heading) for at, (column, heading) in enumerate(choice.columns, start=1)}
    values: dict[str, str] = {}
    for column in SchoolColumn:
        at, heading = places.get(column, (0, HEADINGS[column]))
        values |= {f"place-{column}": str(at or ""), f"heading-{column}": heading}
    values |= {name: str(getattr(choice, name)) for name in _CHOICES}
    return values | {name: "1" if getattr(choice, name) else "" for name in _SWITCHES}


def school_file_from_text(values: Mapping[str, str]) -> SchoolFile:
    """What ``school_file_text`` wrote, as somebody changed it; columns with the same place keep their order.

    Raises:
        InputError: If something cannot be; it names the field.
    """
    chosen = []
    for column in SchoolColumn:
        typed = values.get(f"place-{column}", "").strip()
        if not typed:
            continue
        place = whole_in(typed)
        if place is None or not 1 <= place <= 99:
            raise InputError(
                f"“{short(typed)}” is no place for {COLUMN_WORDS[column]}.",
                hint="Enter 1 for the first column, 2 for the second, or nothing to leave it out.",
                field=f"place-{column}",
            )
        chosen.append((place, column, values.get(f"heading-{column}", "")))
    columns = [(column, heading) for _, column, heading in sorted(chosen, key=lambda each: each[0])]
    for name, allowed in _CHOICES.items():
        if values.get(name) not in allowed:
            raise InputError(f"“{short(values.get(name, ''))}” is none of {', '.join(allowed)}.", field=name)
    return SchoolFile(
        tuple(columns), SchoolRows(values["rows"]), bool(values.get("has_headings")), values["separator"],
        values["encoding"], values["decimal_mark"], values["date_form"], bool(values.get("is_guarded")),
    )  # fmt: skip


def columns_from_words(text: str) -> tuple[tuple[SchoolColumn, str], ...]:
    """Columns as a command names them: ``player,mark=Grade``.

    Raises:
        InputError: If one is none.

    Example:
        >>> columns_from_words("player, mark=Grade") == (
        ...     (SchoolColumn.PLAYER, "Player"), (SchoolColumn.MARK, "Grade"))
        True
    """
    found = []
    for each in filter(None, (part.strip() for part in re.split("[,;]", text))):
        name, equals, heading = each.partition("=")
        if name.strip() not in list(SchoolColumn):
            raise InputError(f"“{short(name)}” is no column.", hint=f"Columns: {', '.join(SchoolColumn)}.")
        column = SchoolColumn(name.strip())
        found.append((column, heading.strip() if equals else HEADINGS[column]))
    return tuple(found)


def choose_school_file(work: UnitOfWork, ensemble: Ensemble, choice: SchoolFile, *, by: Author) -> SchoolFile:
    """Choose how the file of an ensemble is written, and journal it; the choice as it is stored.

    Raises:
        InputError: If something cannot be; it names the field.
    """
    clean = _checked(choice)
    if clean == school_file(work, ensemble.id):
        return clean
    with recorded(work, ChangeKind.SCHOOL_FILE, school_file_subject(ensemble), by):
        work.settings.put(school_file_name(ensemble.id), school_file_values(clean))
    return clean


def _checked(choice: SchoolFile) -> SchoolFile:
    if not choice.columns:
        raise InputError("The file needs a column.", field=f"place-{SchoolColumn.PLAYER}")
    other, rows = (OF_DAYS, "player") if choice.rows is SchoolRows.PLAYERS else (OF_PLAYERS, "player and day")
    columns, seen = [], set()
    for column, heading in choice.columns:
        if column in seen:
            raise InputError(f"{COLUMN_WORDS[column]} stands there twice.", field=f"place-{column}")
        if column in other:
            raise InputError(
                f"A file with a row for each {rows} has no column for {COLUMN_WORDS[column]}.",
                hint="Leave it out, or choose the other rows.", field=f"place-{column}",
            )  # fmt: skip
        seen.add(column)
        line = entered_line(heading, "A heading", most=LONGEST_HEADING, field=f"heading-{column}")
        columns.append((column, line))
    return SchoolFile(
        tuple(columns), choice.rows, choice.has_headings, choice.separator, choice.encoding,
        choice.decimal_mark, choice.date_form, choice.is_guarded,
    )  # fmt: skip
