"""Storing what a file, or a form, brings: all of it in one transaction, under one entry of the journal."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from planner.core.catalogue import FIELDS, Value
from planner.core.change import Author, Change, ChangeKind, difference
from planner.core.piece import Piece
from planner.errors import ConflictError, InputError
from planner.services.catalogue.preview import Preview
from planner.services.changes.catalogue_record import catalogue_subject, read_pieces
from planner.services.levels.section_levels import follow_levels
from planner.services.library.on_paper import add_on_paper, blank_on_paper, store_catalogue
from planner.services.library.typed import checked_value
from planner.services.ports.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class Stored:
    """What was stored.

    Attributes:
        new, changed: Numbers of the pieces, in order of the file.
        change_id: The entry of the journal that takes all of it back; None when there was nothing.
    """

    new: tuple[int, ...]
    changed: tuple[int, ...]
    change_id: int | None


def store_rows(work: UnitOfWork, looked_at: Preview, name: str, by: Author, today: date) -> Stored:
    """Store all rows of a preview that are not refused.

    Args:
        work: An open unit of work, the one the preview was made in.
        looked_at: What the file would do.
        name: Of the file, as the journal calls it.
        by: Who stores it.
        today: Under which new pieces are entered.
    """
    if not looked_at.new and not looked_at.changed:
        return Stored((), (), None)
    changed = tuple(row.piece_id for row in looked_at.changed)
    before = read_pieces(work, catalogue_subject(name, changed))
    pieces = work.pieces.get_all(changed)
    store_catalogue(work, [_with(pieces[row.piece_id], row.values) for row in looked_at.changed])
    new = add_on_paper(work, [_with(blank_on_paper(today), row.values) for row in looked_at.new])
    rows = zip((*changed, *new), (*looked_at.changed, *looked_at.new), strict=True)
    work.pieces.store_copies({piece_id: row.copies for piece_id, row in rows if row.copies})
    follow_levels(work, [*changed, *new])
    subject = catalogue_subject(name, [*changed, *new])
    values = difference(before, read_pieces(work, subject))
    change_id = work.changes.add(Change(0, ChangeKind.CATALOGUE, subject, *values, by))
    return Stored(new, changed, change_id)


def check_looked_at(now: Preview, fingerprint: str) -> None:
    """That what is stored is what somebody looked at.

    Raises:
        ConflictError: If the library has changed since.
    """
    if now.fingerprint != fingerprint:
        raise ConflictError(
            "The library has changed since you looked at this file.",
            hint="Look at it once more, then store it.",
        )


def enter_piece(work: UnitOfWork, values: Mapping[str, Value], by: Author, today: date) -> Piece:
    """Enter one piece that exists on paper alone, and journal it; the piece as it is stored.

    Raises:
        InputError: If a value cannot hold, or the title is missing.
    """
    if not values.get("title"):
        raise InputError("A piece needs a title.", field="title")
    checked: dict[str, Any] = {name: checked_value(FIELDS[name], value) for name, value in values.items()}
    (piece_id,) = add_on_paper(work, [replace(blank_on_paper(today), **checked)])
    follow_levels(work, [piece_id])
    piece = work.pieces.get(piece_id)
    subject = catalogue_subject(piece.title, [piece_id])
    brought = difference({}, read_pieces(work, subject))
    work.changes.add(Change(0, ChangeKind.CATALOGUE, subject, *brought, by))
    return piece


def _with(piece: Piece, values: Mapping[str, Value]) -> Piece:
    fields: Mapping[str, Any] = values
    return replace(piece, **fields)
