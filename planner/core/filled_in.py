"""A file that was written to be filled in, as it comes back: whose it is, each cell by what it is about."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from planner.core.table import CellFault

_MARK = re.compile(r"planner (\d{1,4}) ([a-z]{1,20}) ([0-9a-z]{1,40}) (\d{1,9}) (\d{1,9})")
FORM_VERSION = 1
"""Counted up when keys come to mean something else; files of a later one are refused."""
EACH = "*"
"""In the key of a row, the place of the column's key where that does not come last."""
NAME = "name"
"""Key of a column that says whose row it is, and that nobody fills in."""
NEW, NEW_DAY, NEW_WHO, NEW_PIECE = "new", "day", "who", "piece"
"""First word of the keys of empty rows for more remarks, and of the columns that say what one is about."""
NO_KEY = "-"
"""Where the key of a row would stand, in a row that holds nothing to be filled in."""


@dataclass(frozen=True, slots=True)
class FileIdentity:
    """What a file was written from, as it carries it.

    Attributes:
        kind: ``day`` or ``gradebook``.
        library: What the library is known by.
        ensemble_id, term_id: Whose.
        version: Of the form.
    """

    kind: str
    library: str
    ensemble_id: int
    term_id: int
    version: int = FORM_VERSION

    def mark(self) -> str:
        """The identity in the cell where the keys of rows and of columns cross.

        Example:
            >>> FileIdentity("day", "ab12", 3, 7).mark()
            'planner 1 day ab12 3 7'
        """
        return f"planner {self.version} {self.kind} {self.library} {self.ensemble_id} {self.term_id}"


def identity_in(text: str) -> FileIdentity | None:
    """The identity that a cell holds, if it is one.

    Example:
        >>> identity_in("planner 1 day ab12 3 7") == FileIdentity("day", "ab12", 3, 7), identity_in("day")
        (True, None)
    """
    found = _MARK.fullmatch(text.strip())
    if found is None:
        return None
    version, kind, library, ensemble, term = found.groups()
    return FileIdentity(kind, library, int(ensemble), int(term), int(version))


class Field(StrEnum):
    """What can be filled in: of a section's reading of a piece, and of a player's day."""

    FIRST = "first"
    SECOND = "second"
    TEMPO = "tempo"
    PROBLEMS = "problems"
    NOTE = "note"
    COUNTS = "counts"
    ATTENDANCE = "attendance"
    MARK = "mark"
    MADE_UP = "made_up"
    REMARK = "remark"


@dataclass(frozen=True, slots=True, order=True)
class ReadingAt:
    """A section's reading of a piece on a day."""

    section_id: int
    piece_id: int
    on: date

    @property
    def key(self) -> str:
        """The key of its row.

        Example:
            >>> ReadingAt(3, 12, date(2026, 9, 1)).key
            'reading 3 12 2026-09-01'
        """
        return f"reading {self.section_id} {self.piece_id} {self.on.isoformat()}"


@dataclass(frozen=True, slots=True, order=True)
class PlayerAt:
    """A player's seat on a day."""

    seat_id: int
    on: date

    @property
    def key(self) -> str:
        """The key of its row.

        Example:
            >>> PlayerAt(17, date(2026, 9, 1)).key
            'player 17 2026-09-01'
        """
        return f"player {self.seat_id} {self.on.isoformat()}"


About = ReadingAt | PlayerAt

OF_READING = (Field.FIRST, Field.SECOND, Field.TEMPO, Field.PROBLEMS, Field.NOTE, Field.COUNTS)
OF_PLAYER = (Field.ATTENDANCE, Field.MARK, Field.MADE_UP, Field.REMARK)


def cell_key(about: About, field: Field) -> str:
    """The key of a cell: that of its row, and what stands in it."""
    return f"{about.key} {field}"


def place_of(key: str) -> tuple[About, Field] | None:
    """What a cell is about, by its key; None for a key that is none.

    Example:
        >>> place_of("player 17 2026-09-01 mark")
        (PlayerAt(seat_id=17, on=datetime.date(2026, 9, 1)), <Field.MARK: 'mark'>)
        >>> place_of("player 17 2026-02-30 mark"), place_of("player 17 2026-09-01 first")
        (None, None)
    """
    words = key.split()
    if len(words) == 5 and words[0] == "reading" and words[4] in OF_READING:
        section, piece, on = _number(words[1]), _number(words[2]), _day(words[3])
        if section is not None and piece is not None and on is not None:
            return ReadingAt(section, piece, on), Field(words[4])
    if len(words) == 4 and words[0] == "player" and words[3] in OF_PLAYER:
        seat, on = _number(words[1]), _day(words[2])
        if seat is not None and on is not None:
            return PlayerAt(seat, on), Field(words[3])
    return None


def _number(text: str) -> int | None:
    return int(text) if re.fullmatch(r"[0-9]{1,9}", text) else None


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text) else None
    except ValueError:
        return None


@dataclass(frozen=True, slots=True)
class FilledCell:
    """One cell that can be filled in.

    Attributes:
        sheet: Name of its sheet; empty in a file that has none.
        address: Such as ``C7``.
        key: What it is about; empty for a cell that is in nobody's row.
        text: What stands in it, as people would type it: a date as 2026-09-01, a share as 85%.
        fault: Why it cannot be taken as it stands.
    """

    sheet: str
    address: str
    key: str
    text: str = ""
    fault: CellFault | None = None


@dataclass(frozen=True, slots=True)
class FilledIn:
    """A file as it came back.

    Attributes:
        identity: What it was written from.
        written: By key what stood in its cells when it was written, blank ones left out; None where the file
            no longer says.
        cells: Every cell that can be filled in, blank ones too.
    """

    identity: FileIdentity
    written: Mapping[str, str] | None
    cells: Sequence[FilledCell]
