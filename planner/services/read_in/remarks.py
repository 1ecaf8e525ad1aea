"""What a gradebook says beyond its keys: rows that lost theirs, and rows added for new remarks."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.core.ensemble import Ensemble
from planner.core.filled_in import (
    NAME,
    NEW,
    NEW_DAY,
    NEW_PIECE,
    NEW_WHO,
    Field,
    FilledCell,
    FilledIn,
    PlayerAt,
    ReadingAt,
    cell_key,
    place_of,
)
from planner.core.text import folded
from planner.errors import InputError
from planner.services.day.gradebook import who_labels
from planner.services.entered.words import short
from planner.services.term.terms import parse_date
from planner.wording.director.read_in import NEW_REFUSALS, REFUSALS, NewRefusal, Refusal

_GUARDS = frozenset({NAME, NEW_DAY, NEW_WHO, NEW_PIECE})


@dataclass(frozen=True, slots=True)
class Placed:
    """The cells of a file by what they are about, and those that cannot be, each with the reason."""

    cells: Sequence[FilledCell]
    refused: Sequence[tuple[FilledCell, str]]


def by_place(
    filled: FilledIn, ensemble: Ensemble, titles: Mapping[int, str], read: Iterable[ReadingAt]
) -> Placed:
    """The cells of a file, each by the key of what it is about.

    Args:
        filled: The file.
        ensemble: Whose it is.
        titles: Of the pieces that the file or the library speaks of, by id.
        read: What was read, as the library has it.
    """
    written = filled.written or {}
    moved = {
        (each.sheet, _row(each.address))
        for each in filled.cells
        if _is_guard(each.key) and each.key in written and each.text.strip() != written[each.key].strip()
    }
    cells: list[FilledCell] = []
    refused: list[tuple[FilledCell, str]] = []
    new: dict[tuple[str, str], dict[str, FilledCell]] = {}
    for each in filled.cells:
        words = each.key.split()
        if len(words) == 3 and words[0] == NEW:
            new.setdefault((each.sheet, words[1]), {})[words[2]] = each
        elif (each.sheet, _row(each.address)) in moved:
            if not _is_guard(each.key) and each.text.strip() != written.get(each.key, ""):
                refused.append((each, REFUSALS[Refusal.MOVED]))
        elif len(words) > 1 and words[0] == "reading" and words[-1] == Field.REMARK:
            cells.append(replace(each, key=" ".join([*words[:-1], Field.NOTE])))
        elif not _is_guard(each.key):
            cells.append(each)
    added, wrong = _added(new.values(), ensemble, titles, [*read, *_read_in(cells)])
    taken = {each.key for each in added}
    kept = [each for each in cells if each.key not in taken or each.text.strip() != written.get(each.key, "")]
    return Placed((*kept, *added), (*refused, *wrong))


def _is_guard(key: str) -> bool:
    words = key.split()
    if NAME in words[1:]:
        return True
    return len(words) > 1 and words[0] in ("reading", "player") and words[-1] in _GUARDS


def _read_in(cells: Iterable[FilledCell]) -> Iterator[ReadingAt]:
    """Readings for which something stands in the file."""
    for each in cells:
        place = place_of(each.key)
        if place is not None and isinstance(place[0], ReadingAt) and each.text.strip():
            yield place[0]


def _added(
    rows: Iterable[Mapping[str, FilledCell]], ensemble: Ensemble, titles: Mapping[int, str],
    read: Sequence[ReadingAt],
) -> tuple[list[FilledCell], list[tuple[FilledCell, str]]]:  # fmt: skip
    labels = who_labels(
        [(section.id, section.name) for section in ensemble.sections],
        [(p.id, p.name, s.name) for s in ensemble.sections for p in s.players],
    )
    known = {folded(label): key for key, label in labels.items()}
    cells, refused = [], []
    for row in rows:
        own = {name: cell for name, cell in row.items() if cell.text.strip() or cell.fault}
        if not {Field.MADE_UP, Field.REMARK} & own.keys():
            continue
        try:
            cells += _cells_of(own, known, titles, read)
        except _WrongError as error:
            refused.append((error.cell, error.sentence))
    return cells, refused


class _WrongError(Exception):
    def __init__(self, cell: FilledCell, sentence: str) -> None:
        super().__init__(sentence)
        self.cell, self.sentence = cell, sentence


def _cells_of(
    own: Mapping[str, FilledCell], known: Mapping[str, str], titles: Mapping[int, str],
    read: Sequence[ReadingAt],
) -> list[FilledCell]:  # fmt: skip
    """The cells of a row that was added, by the keys of what they are about.

    Raises:
        _WrongError: If it is not clear what it is about.
    """
    on, who = _day(own), own.get(NEW_WHO)
    if who is None:
        raise _WrongError(_first(own), NEW_REFUSALS[NewRefusal.NO_WHO])
    key = known.get(folded(" ".join(who.text.split())))
    if key is None:
        raise _WrongError(who, NEW_REFUSALS[NewRefusal.UNKNOWN].format(short(who.text.strip())))
    kind, number = key.split()
    if kind == "player":
        at = PlayerAt(int(number), on)
        fields = (Field.MADE_UP, Field.REMARK)
        return [replace(own[field], key=cell_key(at, field)) for field in fields if field in own]
    if Field.MADE_UP in own:
        raise _WrongError(own[Field.MADE_UP], NEW_REFUSALS[NewRefusal.SECTION_MADE_UP])
    there = {at for at in read if at.section_id == int(number) and at.on == on}
    piece = own.get(NEW_PIECE)
    if piece is not None:
        wanted = folded(piece.text.strip())
        there = {at for at in there if folded(titles.get(at.piece_id, "")) == wanted}
    if len(there) != 1:
        why = NewRefusal.WHICH_PIECE if there else NewRefusal.NOT_READ
        raise _WrongError(piece or own[Field.REMARK], NEW_REFUSALS[why])
    return [replace(own[Field.REMARK], key=cell_key(there.pop(), Field.NOTE))]


def _day(own: Mapping[str, FilledCell]) -> date:
    cell = own.get(NEW_DAY)
    if cell is None:
        raise _WrongError(_first(own), NEW_REFUSALS[NewRefusal.NO_DAY])
    try:
        return parse_date(cell.text.strip())
    except InputError as error:
        raise _WrongError(cell, error.message) from error


def _first(own: Mapping[str, FilledCell]) -> FilledCell:
    return own.get(Field.REMARK) or own[Field.MADE_UP]


def _row(address: str) -> str:
    return address.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
