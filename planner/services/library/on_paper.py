"""Pieces that exist on paper alone: stored with what follows from what was entered of them."""

import secrets
from collections.abc import Sequence
from datetime import date

from planner.core.catalogue import OF_PAPER
from planner.core.piece import ON_PAPER, Piece, SourceFile
from planner.services.ports.work import UnitOfWork
from planner.study.on_paper import profile_on_paper


def blank_on_paper(added_on: date, piece_id: int = 0) -> Piece:
    """A piece on paper of which nothing is known yet."""
    source = SourceFile(f"{ON_PAPER}{secrets.token_hex(16)}", "", 0, "")
    return Piece(piece_id, "", "", "", "", None, None, None, "", (), 0, 0.0, source, added_on)


def add_on_paper(work: UnitOfWork, pieces: Sequence[Piece]) -> tuple[int, ...]:
    """Store pieces on paper with what follows from their fields; their ids, in order.

    Levels are not worked out: call ``follow_levels`` in the same transaction.
    """
    return work.pieces.add_on_paper([(piece, profile_on_paper(piece)) for piece in pieces])


def store_catalogue(work: UnitOfWork, pieces: Sequence[Piece]) -> None:
    """Store the catalogue of pieces; of those on paper anew what follows from it, where that is another.

    Levels are not worked out: call ``follow_levels`` in the same transaction.
    """
    before = work.pieces.get_all([piece.id for piece in pieces])
    for piece in pieces:
        work.pieces.update(piece)
        if piece.is_on_paper and _asks(piece) != _asks(before[piece.id]):
            instruments = work.corrections.instruments(piece.id)
            work.pieces.replace_profile(piece.id, profile_on_paper(piece, instruments))


def _asks(piece: Piece) -> tuple[object, ...]:
    """The fields that the profile of a piece on paper is made of."""
    return (piece.title, piece.composer, piece.arranger, *(getattr(piece, name) for name in OF_PAPER))
