"""Many pieces changed at once: looked at first, then stored as one change that undo takes back whole."""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from planner.core.catalogue import FIELDS
from planner.core.change import Author, Change, ChangeKind, difference
from planner.core.piece import Piece
from planner.core.text import folded
from planner.errors import ConflictError, InputError
from planner.services.catalogue.shown import copies_text, part_names
from planner.services.changes.catalogue_record import catalogue_subject, read_pieces
from planner.services.entered.numbers import number_of_thing
from planner.services.entered.words import short
from planner.services.levels.section_levels import follow_levels
from planner.services.library.copies import MOST_COPIES
from planner.services.library.on_paper import store_catalogue
from planner.services.library.typed import checked_value, typed_value
from planner.services.ports.work import UnitOfWork
from planner.wording.director.catalogue import value_text
from planner.wording.director.edit_many import NO_PARTS, edit_words

EMPTY = "-"
"""As a value: the field is emptied."""
SETTABLE = ("shelf", "rights", "rights_reason", "remarks")
"""Fields that get one value in all the pieces."""


@dataclass(frozen=True, slots=True)
class ManyEdit:
    """What is to be changed in some pieces, as it was typed; an empty text leaves a field as it is.

    Attributes:
        add_tags, take_tags: Tags put on and taken off, with commas between them.
        set_tags: The tags the pieces have then, in place of theirs; ``EMPTY`` for none.
        values: By name, of ``SETTABLE``; ``EMPTY`` empties the field.
        add_remark: A line put below the remarks that are there.
        copies: How many copies of every part there are; ``EMPTY`` for not counted.
    """

    add_tags: str = ""
    take_tags: str = ""
    set_tags: str = ""
    values: Mapping[str, str] = field(default_factory=dict)
    add_remark: str = ""
    copies: str = ""

    @property
    def typed(self) -> Mapping[str, str]:
        """Everything that was typed, by name."""
        every = {
            "add_tags": self.add_tags, "take_tags": self.take_tags, "set_tags": self.set_tags, **self.values,
            "add_remark": self.add_remark, "copies": self.copies,
        }  # fmt: skip
        return {name: text for name, text in every.items() if text.strip()}


@dataclass(frozen=True, slots=True)
class ValueChange:
    """One value of one piece: its field, or ``copies``, with its text before and after."""

    name: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class PieceChange:
    """What one piece would get: each value that is new, and what is stored for it."""

    piece: Piece
    changes: tuple[ValueChange, ...]
    after: Piece
    copies: Mapping[str, int | None] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PieceRefusal:
    """A piece that would not be changed, and why."""

    piece: Piece
    sentence: str


@dataclass(frozen=True, slots=True)
class EditPreview:
    """What an edit would do.

    Attributes:
        changed: Pieces that would be changed, as they stand in the request.
        unchanged: How many are so already.
        refused: Pieces that cannot be changed so: nothing in them would be.
    """

    changed: tuple[PieceChange, ...]
    unchanged: int
    refused: tuple[PieceRefusal, ...]

    @property
    def fingerprint(self) -> str:
        """A word for all that would be stored: the same request and library give the same."""
        every = [(one.piece.id, one.changes) for one in self.changed]
        return hashlib.sha256(repr(every).encode()).hexdigest()[:32]


def look_at_edit(work: UnitOfWork, piece_ids: Sequence[int], edit: ManyEdit) -> EditPreview:
    """Hold an edit against the library; nothing is stored.

    Raises:
        InputError: If nothing was chosen, nothing is to be changed, or a value cannot be read.
    """
    if not piece_ids:
        raise InputError("No piece is chosen.", hint="Tick some pieces in the library first.")
    if not edit.typed:
        raise InputError("Nothing is to be changed.", hint="Fill in at least one field.")
    if edit.set_tags.strip() and (edit.add_tags.strip() or edit.take_tags.strip()):
        raise InputError(
            "The tags are set anew and changed as well.", hint="Do one of the two.", field="set_tags"
        )
    if edit.add_remark.strip() and edit.values.get("remarks", "").strip():
        raise InputError(
            "The remarks are written anew and added to as well.",
            hint="Do one of the two.",
            field="add_remark",
        )
    reading = _Reading(work, piece_ids, edit)
    pieces = work.pieces.get_all(piece_ids)
    changed, refused, unchanged = [], [], 0
    for piece in (pieces[one] for one in dict.fromkeys(piece_ids) if one in pieces):
        try:
            change = reading.change(piece)
        except InputError as error:
            refused.append(PieceRefusal(piece, str(error)))
            continue
        if change.changes:
            changed.append(change)
        else:
            unchanged += 1
    return EditPreview(tuple(changed), unchanged, tuple(refused))


def edit_many(
    work: UnitOfWork, piece_ids: Sequence[int], edit: ManyEdit, *, by: Author, looked_at: str = ""
) -> tuple[EditPreview, int | None]:
    """Store an edit of many pieces as one change.

    Args:
        work: An open unit of work.
        piece_ids: Which pieces.
        edit: What is changed.
        by: Who changes it.
        looked_at: The fingerprint of the preview somebody looked at; empty where nobody did.

    Returns:
        What was done, and the entry of the journal that takes it back; None when there was nothing to do.

    Raises:
        InputError: As ``look_at_edit``.
        ConflictError: If the library has changed since it was looked at.
    """
    found = look_at_edit(work, piece_ids, edit)
    if looked_at and looked_at != found.fingerprint:
        raise ConflictError(
            "Some of these pieces were changed since you looked.", hint="Look once more, then store it."
        )
    if not found.changed:
        return found, None
    ids = [one.piece.id for one in found.changed]
    subject = catalogue_subject(edit_words(edit.typed), ids)
    before = read_pieces(work, subject)
    store_catalogue(work, [one.after for one in found.changed if one.after != one.piece])
    work.pieces.store_copies({one.piece.id: one.copies for one in found.changed if one.copies})
    follow_levels(work, ids)
    values = difference(before, read_pieces(work, subject))
    return found, work.changes.add(Change(0, ChangeKind.CATALOGUE, subject, *values, by))


class _Reading:
    """What was typed, read once for all pieces."""

    def __init__(self, work: UnitOfWork, piece_ids: Collection[int], edit: ManyEdit) -> None:
        self._add, self._take = _tags(edit.add_tags), {folded(tag) for tag in _tags(edit.take_tags)}
        self._set = None if not edit.set_tags.strip() else _tags(_or_empty(edit.set_tags))
        self._values: dict[str, Any] = {
            name: typed_value(FIELDS[name], _or_empty(text))
            for name, text in edit.values.items()
            if name in SETTABLE and text.strip()
        }
        self._remark = str(typed_value(FIELDS["remarks"], edit.add_remark))
        self._copies = _copies(edit.copies)
        self._is_counted = bool(edit.copies.strip())
        self._parts = part_names(work, piece_ids) if self._is_counted else {}
        self._stored = work.pieces.copies(piece_ids) if self._is_counted else {}

    def change(self, piece: Piece) -> PieceChange:
        """What one piece would get.

        Raises:
            InputError: If a value cannot hold in it.
        """
        values: dict[str, Any] = dict(self._values)
        if self._set is not None or self._add or self._take:
            values["tags"] = checked_value(FIELDS["tags"], self._tags_of(piece))
        if self._remark:
            lines = "\n".join(filter(None, (piece.remarks, self._remark)))
            values["remarks"] = checked_value(FIELDS["remarks"], lines)
        after = replace(piece, **values)
        changes = [
            ValueChange(name, value_text(name, getattr(piece, name)), value_text(name, value))
            for name, value in values.items()
            if value != getattr(piece, name)
        ]
        copies: dict[str, int | None] = {}
        if self._is_counted:
            parts, stored = self._parts[piece.id], self._stored.get(piece.id, {})
            if not parts:
                raise InputError(NO_PARTS)
            copies = {part: self._copies for part in parts if stored.get(part) != self._copies}
            if copies:
                then = {} if self._copies is None else dict.fromkeys(parts, self._copies)
                changes.append(ValueChange("copies", copies_text(parts, stored), copies_text(parts, then)))
        return PieceChange(piece, tuple(changes), after, copies)

    def _tags_of(self, piece: Piece) -> tuple[str, ...]:
        if self._set is not None:
            return self._set
        stay = [tag for tag in piece.tags if folded(tag) not in self._take]
        there = {folded(tag) for tag in stay}
        return (*stay, *(tag for tag in self._add if folded(tag) not in there))


def _or_empty(text: str) -> str:
    return "" if text.strip() == EMPTY else text


def _tags(text: str) -> tuple[str, ...]:
    found = typed_value(FIELDS["tags"], text)
    return found if isinstance(found, tuple) else ()


def _copies(text: str) -> int | None:
    plain = text.strip()
    if plain in ("", EMPTY):
        return None
    number = number_of_thing(plain)
    if number is None or number > MOST_COPIES:
        raise InputError(
            f"Copies of each part: a whole number from 0 to {MOST_COPIES}, not “{short(plain)}”.",
            field="copies",
        )
    return number
