"""Copies of the parts of a piece, as the director counts them."""

from collections.abc import Mapping

from planner.core.change import Author, ChangeKind
from planner.errors import InputError, NotFoundError
from planner.services.changes.journal import recorded
from planner.services.changes.records import piece_subject
from planner.services.ports.work import UnitOfWork

MOST_COPIES = 200
"""More is a slip of the keyboard (house choice)."""


def count_copies(
    work: UnitOfWork, piece_id: int, counts: Mapping[str, int | None], *, by: Author
) -> Mapping[str, int]:
    """Store how many copies of some parts there are, None for those not counted, and journal it.

    Returns:
        The counted copies by name of the part, as they are stored now.

    Raises:
        NotFoundError: If the piece, or a part of it, is not there.
        InputError: If a number cannot be.
    """
    piece = work.pieces.get(piece_id)
    parts = {part.name for part in work.pieces.profile(piece_id).parts}
    for part, copies in counts.items():
        if part not in parts:
            raise NotFoundError("part", f"“{part}” in “{piece.title}”", hint="Name it as the piece does.")
        if copies is not None and not 0 <= copies <= MOST_COPIES:
            raise InputError(f"{part}: from 0 to {MOST_COPIES} copies, not {copies}.")
    with recorded(work, ChangeKind.COPIES, piece_subject(piece), by):
        for part, copies in counts.items():
            work.pieces.put_copies(piece_id, part, copies)
    return copies_of(work, piece_id)


def copies_of(work: UnitOfWork, piece_id: int) -> Mapping[str, int]:
    """The counted copies of a piece by name of the part."""
    return work.pieces.copies([piece_id]).get(piece_id, {})
