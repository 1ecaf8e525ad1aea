"""What a file would do to the catalogue: new, changed and refused rows, before anything is stored."""

import hashlib
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from planner.core.catalogue import CATALOGUE, FIELDS, Value
from planner.core.listed import joined, parted
from planner.core.piece import Piece, PieceQuery
from planner.core.table import Row, Table, address
from planner.core.text import folded
from planner.errors import InputError
from planner.services.catalogue.columns import COPIES, NUMBER, Columns
from planner.services.catalogue.shown import copies_text, part_names, shown_text
from planner.services.entered.numbers import number_in
from planner.services.library.copies import MOST_COPIES
from planner.services.library.typed import typed_value
from planner.services.ports.work import UnitOfWork
from planner.wording.director.catalogue import WORDS, value_text
from planner.wording.director.catalogue_file import FAULTS


@dataclass(frozen=True, slots=True)
class CellChange:
    """One value that a row brings.

    Attributes:
        address: Of its cell.
        name: Field of the catalogue, or ``copies``.
        before, after: As text.
    """

    address: str
    name: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class RowChange:
    """What one row would bring.

    Attributes:
        row: Its number.
        piece_id: The piece it changes; 0 for a new one.
        title: Of the piece, as it is then.
        cells: Each value that is new.
        values: Fields by name, as they are stored.
        copies: By part, how many copies; None: not counted any more. Empty when nothing changes.
    """

    row: int
    piece_id: int
    title: str
    cells: tuple[CellChange, ...]
    values: Mapping[str, Value]
    copies: Mapping[str, int | None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CellRefusal:
    """A cell that cannot be taken, with its row; or, in ``Preview.left_out``, that alone."""

    address: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Preview:
    """What a file would do.

    Attributes:
        new, changed: Rows that would be stored.
        unchanged: How many rows say what the library says.
        refused: One entry a row that would not be stored: its first bad cell.
        left_out: Cells that a score answers itself, in rows that would be stored otherwise.
    """

    new: tuple[RowChange, ...]
    changed: tuple[RowChange, ...]
    unchanged: int
    refused: tuple[CellRefusal, ...]
    left_out: tuple[CellRefusal, ...] = ()

    @property
    def fingerprint(self) -> str:
        """A word for all that would be stored: the same file and library give the same."""
        return hashlib.sha256(repr((self.new, self.changed)).encode()).hexdigest()[:32]


class _BadCellError(Exception):
    """A cell that cannot be taken."""

    def __init__(self, at: str, sentence: str) -> None:
        super().__init__(sentence)
        self.at, self.sentence = at, sentence


def preview(work: UnitOfWork, table: Table, columns: Columns, *, empties_too: bool = False) -> Preview:
    """Hold a file against the library; nothing is stored.

    A row is about the piece whose number it gives, else about the one with its title, composer and arranger;
    where there is none it brings a new piece, on paper. A row with a cell that cannot be taken is refused as
    a whole.

    Args:
        work: An open unit of work; it is only read.
        table: The file.
        columns: Which column holds what.
        empties_too: An empty cell empties its field; else it leaves the field as it is.

    Raises:
        InputError: If neither a title nor a number is in any column.
    """
    if not {"title", NUMBER} & set(columns.places):
        raise InputError("No column holds the title.", hint="Say which one does.")
    reading = _Reading(work, columns, empties_too=empties_too)
    for row in table.rows:
        if row.number > columns.heading_row:
            reading.take(row)
    return reading.preview()


class _Reading:
    """A file on its way through the library."""

    def __init__(self, work: UnitOfWork, columns: Columns, *, empties_too: bool) -> None:
        pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
        self._places, self._empties_too = columns.places, empties_too
        self._pieces = {piece.id: piece for piece in pieces}
        self._by_title: dict[str, list[Piece]] = defaultdict(list)
        for piece in pieces:
            self._by_title[folded(piece.title)].append(piece)
        self._parts = part_names(work, self._pieces)
        self._copies = work.pieces.copies() if COPIES in self._places else {}
        self._seen: dict[object, int] = {}
        self._new: list[RowChange] = []
        self._changed: list[RowChange] = []
        self._unchanged = 0
        self._refused: list[CellRefusal] = []
        self._left_out: list[CellRefusal] = []

    def preview(self) -> Preview:
        return Preview(
            tuple(self._new), tuple(self._changed), self._unchanged, tuple(self._refused),
            tuple(self._left_out),
        )  # fmt: skip

    def take(self, row: Row) -> None:
        """Hold one row against the library."""
        if all(row.cell(at).is_blank for at in self._places.values()):
            if any(not cell.is_blank for cell in row.cells) and "title" in self._places:
                at = address(self._places["title"], row.number)
                self._refused.append(CellRefusal(at, "a piece needs a title."))
            return
        try:
            texts = dict(self._texts(row))
            piece = self._piece_of(row, texts)
            change, left_out = self._change(row, piece, texts)
        except _BadCellError as bad:
            self._refused.append(CellRefusal(bad.at, bad.sentence))
            return
        self._left_out += left_out
        if piece is None:
            self._new.append(change)
        elif change.cells:
            self._changed.append(change)
        else:
            self._unchanged += 1

    def _texts(self, row: Row) -> Iterator[tuple[str, str]]:
        """By target, what stands in its cell."""
        for target, at in self._places.items():
            cell = row.cell(at)
            if cell.fault is not None:
                raise _BadCellError(address(at, row.number), f"{FAULTS[cell.fault]}.")
            yield target, cell.text

    def _at(self, row: Row, target: str) -> str:
        """Address of the cell of a target, or of the row's first cell that is read."""
        return address(self._places.get(target, min(self._places.values())), row.number)

    def _piece_of(self, row: Row, texts: Mapping[str, str]) -> Piece | None:
        """The piece that a row is about; None for a new one."""
        piece = self._numbered(row, texts) or self._titled(row, texts)
        key: object = (
            piece.id
            if piece
            else tuple(folded(texts.get(name, "")) for name in ("title", "composer", "arranger"))
        )
        if key in self._seen:
            raise _BadCellError(self._at(row, "title"), f"the same piece as in row {self._seen[key]}.")
        self._seen[key] = row.number
        return piece

    def _numbered(self, row: Row, texts: Mapping[str, str]) -> Piece | None:
        text = texts.get(NUMBER, "").strip()
        if not text:
            return None
        number = number_in(text)
        if number is None or number != int(number) or number < 1:
            raise _BadCellError(self._at(row, NUMBER), "the number of a piece is a whole number.")
        piece = self._pieces.get(int(number))
        title, composer = texts.get("title", "").strip(), texts.get("composer", "").strip()
        if piece is None:
            if not title:
                raise _BadCellError(self._at(row, NUMBER), f"there is no piece {int(number)} here.")
            return None
        is_same = not title or folded(title) == folded(piece.title)
        if not is_same and not (composer and folded(composer) == folded(piece.composer)):
            raise _BadCellError(
                self._at(row, NUMBER),
                f"piece {piece.id} here is “{piece.title}”. Empty the number if this is another piece; "
                "if it has a new title, change that on its page.",
            )
        return piece

    def _titled(self, row: Row, texts: Mapping[str, str]) -> Piece | None:
        title = texts.get("title", "")
        if not title.strip():
            raise _BadCellError(self._at(row, "title"), "a piece needs a title.")
        found = self._by_title.get(folded(title), [])
        exact = [piece for piece in found if _agrees(piece, texts, is_exact=True)]
        alike = exact or [piece for piece in found if _agrees(piece, texts, is_exact=False)]
        if len(alike) > 1:
            numbers = ", ".join(str(piece.id) for piece in alike)
            raise _BadCellError(
                self._at(row, "title"),
                f"several pieces here are called so ({numbers}). Add a column with the number of the one.",
            )
        return alike[0] if alike else None

    def _change(
        self, row: Row, piece: Piece | None, texts: Mapping[str, str]
    ) -> tuple[RowChange, list[CellRefusal]]:
        values: dict[str, Value] = {}
        cells: list[CellChange] = []
        left_out: list[CellRefusal] = []
        parts = self._parts[piece.id] if piece else ()
        for each in CATALOGUE:
            text = texts.get(each.name)
            before = shown_text(piece, each.name, parts) if piece else ""
            is_left = text is None or text == before or (not text.strip() and not self._empties_too)
            if is_left or text is None:
                continue
            at = self._at(row, each.name)
            if each.is_of_paper and piece is not None and not piece.is_on_paper:
                if text.strip():
                    what = WORDS[each.name].label.lower()
                    left_out.append(CellRefusal(at, f"“{piece.title}” has a score, which says its {what}."))
                continue
            value = _value(each.name, text, at)
            if piece is None or value != getattr(piece, each.name):
                values[each.name] = value
                cells.append(CellChange(at, each.name, before, text.strip()))
        copies = self._copies_of(row, piece, texts, values, parts, cells)
        title = values.get("title") or (piece.title if piece else "")
        change = RowChange(row.number, piece.id if piece else 0, str(title), tuple(cells), values, copies)
        return change, left_out

    def _copies_of(
        self,
        row: Row,
        piece: Piece | None,
        texts: Mapping[str, str],
        values: dict[str, Value],
        parts: Sequence[str],
        cells: list[CellChange],
    ) -> Mapping[str, int | None]:
        """The copies that a row counts anew; a piece on paper without a list of parts has those it names."""
        text, at = texts.get(COPIES, ""), self._at(row, COPIES)
        stored = self._copies.get(piece.id, {}) if piece else {}
        now = {name: stored[name] for name in parts if name in stored}
        before = copies_text(parts, now)
        if text == before or (not text.strip() and not self._empties_too):
            return {}
        counted = _read_copies(text, at)
        if "parts" in values:
            listed = values["parts"]
            parts = listed if isinstance(listed, tuple) else ()
        elif not parts and (piece is None or piece.is_on_paper) and counted:
            listed = _value("parts", joined(list(counted)), at)
            parts = listed if isinstance(listed, tuple) else ()
            values["parts"] = parts
            cells.append(CellChange(at, "parts", "", value_text("parts", parts)))
        by_name = {folded(name): name for name in parts}
        for name in counted:
            if folded(name) not in by_name:
                raise _BadCellError(at, f"there is no part “{name}”.")
        known = {by_name[folded(name)]: copies for name, copies in counted.items()}
        moved: dict[str, int | None] = {
            name: known.get(name) for name in {**now, **known} if known.get(name) != now.get(name)
        }
        if moved:
            cells.append(CellChange(at, COPIES, before, copies_text(parts, known)))
        return moved


def _agrees(piece: Piece, texts: Mapping[str, str], *, is_exact: bool) -> bool:
    for name in ("composer", "arranger"):
        if name not in texts:
            continue
        there, given = folded(getattr(piece, name)), folded(texts[name])
        if there != given and (is_exact or (there and given)):
            return False
    return True


def _value(name: str, text: str, at: str) -> Value:
    try:
        return typed_value(FIELDS[name], text)
    except InputError as error:
        raise _BadCellError(at, f"{error.message} {error.hint}".strip()) from error


def _read_copies(text: str, at: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for each in parted(text):
        name, equals, number = each.rpartition("=")
        count = number_in(number) if equals else None
        name = " ".join(name.split())
        if not name or count is None or count != int(count):
            raise _BadCellError(at, f"“{each[:60]}” is no number of copies; write “Flute 1=4; Flute 2=3”.")
        if not 0 <= count <= MOST_COPIES:
            raise _BadCellError(at, f"{name}: from 0 to {MOST_COPIES} copies, not {count:g}.")
        if folded(name) in map(folded, found):
            raise _BadCellError(at, f"the copies of “{name}” stand there twice.")
        found[name] = int(count)
    return found
