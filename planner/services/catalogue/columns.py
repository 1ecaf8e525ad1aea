"""Which column of a file holds what: guessed from its headings, said by the director."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.core.catalogue import CATALOGUE
from planner.core.table import Row, Table, column_letters
from planner.core.text import folded
from planner.errors import InputError
from planner.wording.director.catalogue import WORDS
from planner.wording.director.catalogue_file import COPIES_LABEL, NUMBER_LABEL

NUMBER, COPIES = "number", "copies"
"""What a column may hold beside the fields of the catalogue: the number of the piece in this library, and how
many copies there are of each part."""

TARGETS: tuple[str, ...] = (*(field.name for field in CATALOGUE), COPIES, NUMBER)
"""What a column may hold, in the order of choices."""

LABELS: Mapping[str, str] = {
    **{name: words.label for name, words in WORDS.items()},
    COPIES: COPIES_LABEL,
    NUMBER: NUMBER_LABEL,
}

_HEADINGS: Mapping[str, str] = {
    "title": "title|piece|song|work|selection|title of piece|piece title|name|name of piece|composition",
    "composer": "composer|composed by|composers|by|author|written by|music by",
    "arranger": "arranger|arranged by|arr|arr.|arrangers|transcriber|transcribed by|composer/arranger 2",
    "rights": "rights|copyright|license|licence|rights holder",
    "rights_reason": "rights reason|why we may play it|permission|acquired|source of rights",
    "published_grade": "published grade|grade|grade level|publisher's grade|difficulty|gr|gr.|level",
    "shelf": (
        "shelf|shelf number|shelf no|shelf no.|shelf place|location|file|file number|file no|file no.|folder|"
        "drawer|box|cabinet|library number|library no|library no.|catalog number|catalogue number|"
        "lib. no.|lib no|catalog no|catalog no.|call number|no|no.|#|number"
    ),
    "tags": "tags|tag|category|categories|keywords|style|genre|type",
    "remarks": "remarks|remark|notes|note|comments|comment|memo",
    "keys": "keys|key|key signature|key signatures|concert key",
    "time_signatures": "meters|meter|time signature|time signatures|time|metre",
    "tempo": "tempo|bpm|beats a minute|metronome|beats per minute",
    "minutes": "minutes|duration|length|time (min)|min|min.|playing time|duration (min)|timing",
    "parts": "parts|instrumentation|instruments|scoring|part list|list of parts",
    COPIES: "copies|copies a part|copies of each part|copies per part|number of copies|qty|quantity",
}
"""How the headings of directors' own lists are worded, without accents and capitals (from memory)."""

_KNOWN: Mapping[str, str] = {
    **{heading: target for target, headings in _HEADINGS.items() for heading in headings.split("|")},
    **{folded(label): target for target, label in LABELS.items()},
}

LOOKED_AT = 10
"""Rows among which the headings are looked for (house choice)."""


@dataclass(frozen=True, slots=True)
class Columns:
    """Which column holds what.

    Attributes:
        heading_row: Row of the headings as spreadsheets number it; 0 when there is none.
        targets: For each column, from the first on, what it holds; empty: it is left out.
    """

    heading_row: int
    targets: tuple[str, ...]

    @property
    def places(self) -> Mapping[str, int]:
        """Column of each target that one holds."""
        return {target: at for at, target in enumerate(self.targets) if target}


def guess_columns(table: Table, heading_row: int | None = None) -> Columns:
    """Which column holds what, by the headings; a heading that says nothing leaves its column out.

    Args:
        table: As it was read.
        heading_row: Row of the headings, 0 for none; None finds it.
    """
    if heading_row is None:
        rows = [row for row in table.rows if row.number <= LOOKED_AT]
        best = max(rows, key=lambda row: len(set(_targets(row)) - {""}), default=None)
        heading_row = best.number if best and any(_targets(best)) else 0
    found = next((row for row in table.rows if row.number == heading_row), None)
    targets = _targets(found) if found else ()
    return Columns(heading_row, (*targets, *[""] * (table.width - len(targets))))


def _targets(row: Row) -> tuple[str, ...]:
    """What each heading of a row names; of several that name the same the plainest, else the first."""
    named = [_KNOWN.get(folded(cell.text).rstrip(":").strip(), "") for cell in row.cells]
    plain = [folded(cell.text) for cell in row.cells]
    chosen: list[str] = []
    for at, target in enumerate(named):
        rivals = [other for other, each in enumerate(named) if target and each == target]
        exact = [other for other in rivals if plain[other] == folded(LABELS[target])]
        chosen.append(target if rivals and at == (exact or rivals)[0] else "")
    return tuple(chosen)


def with_columns(columns: Columns, wanted: Mapping[str, str]) -> Columns:
    """The columns as the director says: by target a column's letters, or nothing to leave it out.

    Raises:
        InputError: If there is no such target or column, or two targets claim one column.
    """
    targets = list(columns.targets)
    letters = {column_letters(at): at for at in range(len(targets))}
    for target, column in wanted.items():
        if target not in TARGETS:
            raise InputError(f"“{target}” is no field.", hint=f"Fields: {', '.join(TARGETS)}.")
        if column and column.strip().upper() not in letters:
            raise InputError(
                f"The file has no column {column}.",
                hint=f"Its columns: A to {max(letters, key=letters.__getitem__, default='A')}.",
            )
        targets = ["" if each == target else each for each in targets]
    claimed: dict[int, str] = {}
    for target, column in wanted.items():
        if column:
            at = letters[column.strip().upper()]
            if at in claimed:
                raise InputError(
                    f"Column {column} cannot hold both {LABELS[claimed[at]]} and {LABELS[target]}."
                )
            claimed[at] = targets[at] = target
    return Columns(columns.heading_row, tuple(targets))


def checked_targets(heading_row: int, targets: Sequence[str]) -> Columns:
    """The columns as a page sends them.

    Raises:
        InputError: If two columns hold the same, or one holds nothing that is known.
    """
    for target in {each for each in targets if each}:
        if target not in TARGETS:
            raise InputError(f"“{target}” is no field.")
        if list(targets).count(target) > 1:
            raise InputError(f"Two columns are to hold {LABELS[target]}.", hint="Leave one of them out.")
    return Columns(heading_row, tuple(targets))
