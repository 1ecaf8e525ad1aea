"""The same music in two files: found by its turns, joined or kept apart by the director."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.core.change import Author, ChangeKind
from planner.core.fingerprint import Kin, Likeness, fingerprint_of
from planner.core.piece import Piece
from planner.errors import ConflictError, InputError
from planner.services.changes.journal import recorded
from planner.services.changes.records import apart_subject
from planner.services.plan.freshness import linked_pieces
from planner.services.ports.work import UnitOfWork
from planner.study.form.kinship import find_likenesses


@dataclass(frozen=True, slots=True)
class AlikePair:
    """Two pieces whose music is alike.

    Attributes:
        piece, other: The two; for the page of one piece, that piece first.
        likeness: What they share.
        is_joined: The director says that they are files of one piece.
    """

    piece: Piece
    other: Piece
    likeness: Likeness
    is_joined: bool = False

    @property
    def is_apart(self) -> bool:
        """Whether the director keeps them apart."""
        return self.likeness.is_apart

    @property
    def is_open(self) -> bool:
        """Whether they hold the same music and nobody has decided about them."""
        return self.likeness.kin is Kin.SAME and not self.is_joined and not self.is_apart


def compare_new(work: UnitOfWork) -> int:
    """Compare the pieces that are new or newly studied with the whole library, and store what is alike.

    Returns:
        How many pieces were compared.
    """
    waiting = work.likenesses.uncompared()
    if waiting:
        prints = {piece: fingerprint_of(text) for piece, text in work.likenesses.fingerprints().items()}
        work.likenesses.store(waiting, find_likenesses(prints, waiting))
    return len(waiting)


def alike(work: UnitOfWork, piece_id: int) -> tuple[AlikePair, ...]:
    """What a piece is like: the same music first, the nearest first.

    Raises:
        NotFoundError: If it is not there.
    """
    found = work.likenesses.likenesses(piece_id)
    pieces = work.pieces.get_all(
        {piece_id, *(each for one in found for each in (one.piece_id, one.other_id))}
    )
    if piece_id not in pieces:
        work.pieces.get(piece_id)
    return _pairs(work, found, pieces, piece_id)


def open_pairs(work: UnitOfWork) -> tuple[AlikePair, ...]:
    """All pairs that hold the same music and about which nobody has decided, the nearest first."""
    found = work.likenesses.likenesses(kin=Kin.SAME)
    pieces = work.pieces.get_all({each for one in found for each in (one.piece_id, one.other_id)})
    return tuple(pair for pair in _pairs(work, found, pieces) if pair.is_open)


def count_open_pairs(work: UnitOfWork) -> int:
    """How many pairs ``open_pairs`` would find."""
    undecided = [one for one in work.likenesses.likenesses(kin=Kin.SAME) if not one.is_apart]
    if not undecided:
        return 0
    linked = linked_pieces(work)
    return sum(one.other_id not in linked.get(one.piece_id, ()) for one in undecided)


def keep_apart(work: UnitOfWork, piece_id: int, other_id: int, *, by: Author, is_apart: bool = True) -> None:
    """Note that two pieces whose music is alike are different pieces, or take that back; it is journaled.

    Raises:
        NotFoundError: If one of the two is not there.
        InputError: If the two are one.
        ConflictError: If they are linked as files of one piece, or it is so already.
    """
    piece, other = work.pieces.get(piece_id), work.pieces.get(other_id)
    if piece_id == other_id:
        raise InputError(f"“{piece.title}” is one file.", hint="Name the other piece.")
    if is_apart and other_id in linked_pieces(work).get(piece_id, ()):
        raise ConflictError(
            f"“{piece.title}” and “{other.title}” are linked as files of one piece.",
            hint="Take them apart first.",
        )
    pair = (min(piece_id, other_id), max(piece_id, other_id))
    if (pair in work.likenesses.kept_apart()) == is_apart:
        state = "kept apart already" if is_apart else "not kept apart"
        raise ConflictError(f"“{piece.title}” and “{other.title}” are {state}.")
    with recorded(work, ChangeKind.APART, apart_subject(piece, other), by):
        work.likenesses.keep_apart(piece_id, other_id, is_apart=is_apart)


def _pairs(
    work: UnitOfWork, found: Sequence[Likeness], pieces: Mapping[int, Piece], first: int | None = None
) -> tuple[AlikePair, ...]:
    if not found:
        return ()
    linked = linked_pieces(work)
    pairs = []
    for one in found:
        here, there = one.piece_id, one.other_id
        if there == first:
            here, there = there, here
        joined = there in linked.get(here, ())
        pairs.append(AlikePair(pieces[here], pieces[there], one, is_joined=joined))
    return tuple(pairs)
