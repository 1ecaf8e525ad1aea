"""The library as the director keeps it: lists, one piece with its study, corrections, removal."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from planner.core.catalogue import FIELDS, Value
from planner.core.change import Author, ChangeKind
from planner.core.piece import Piece, PieceChoices
from planner.core.profile import PieceProfile
from planner.errors import InputError
from planner.services.changes.journal import recorded
from planner.services.changes.records import piece_subject
from planner.services.levels.in_force import profile_in_force
from planner.services.levels.section_levels import follow_levels
from planner.services.library.on_paper import store_catalogue
from planner.services.library.typed import checked_value
from planner.services.ports.work import UnitOfWork
from planner.wording.director.catalogue import label_in_sentence


def list_choices(work: UnitOfWork) -> PieceChoices:
    """Every home key, meter and tag to narrow a list by."""
    return work.pieces.choices()


def get_piece(work: UnitOfWork, piece_id: int) -> tuple[Piece, PieceProfile]:
    """A piece and its study, with the levels in force.

    Raises:
        NotFoundError: If it is not in the library.
    """
    piece = work.pieces.get(piece_id)
    return piece, profile_in_force(work, piece)


def own_level(work: UnitOfWork, piece_id: int) -> float | None:
    """The level the director set for a piece as a whole; None where they set none."""
    own = work.corrections.levels(piece_id)
    return next((one.level for one in own if not one.part and not one.dimension), None)


def correct_piece(work: UnitOfWork, piece_id: int, values: Mapping[str, Value], by: Author) -> Piece:
    """Store the director's word on fields of the catalogue, by name, and journal it; the piece as it is then.

    A field that is not named stays as it is.

    Raises:
        NotFoundError: If the piece is not in the library.
        InputError: If a value cannot hold.
    """
    piece = work.pieces.get(piece_id)
    check_fields(piece, values)
    changes: Mapping[str, Any] = {name: checked_value(FIELDS[name], value) for name, value in values.items()}
    with recorded(work, ChangeKind.DETAILS, piece_subject(piece), by):
        store_catalogue(work, [replace(piece, **changes)])
    follow_levels(work, [piece_id])
    return work.pieces.get(piece_id)


def remove_piece(work: UnitOfWork, piece_id: int) -> Piece:
    """Take a piece out of the library; the piece as it was.

    Its score file can be removed once that is committed.

    Raises:
        NotFoundError: If it is not there.
        ConflictError: If a plan, a result or an exposure speaks of it.
    """
    piece = work.pieces.get(piece_id)
    was_taught_by = bool(work.corrections.levels(piece_id))
    work.pieces.remove(piece_id)
    if was_taught_by:
        follow_levels(work)
    return piece


def check_fields(piece: Piece, names: Collection[str]) -> None:
    """That a piece has those fields.

    Raises:
        InputError: If one of them is of paper and the piece has a score, which says it itself.
    """
    for name in names:
        if FIELDS[name].is_of_paper and not piece.is_on_paper:
            raise InputError(
                f"“{piece.title}” has a score, which says its {label_in_sentence(name)} itself.",
                hint="Enter that only of pieces on paper.",
            )
