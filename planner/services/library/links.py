"""Files of one piece: the director says which belong together, so that who knows one knows them all."""

from planner.core.change import Author, ChangeKind
from planner.core.piece import Piece
from planner.errors import ConflictError, InputError
from planner.services.changes.journal import recorded
from planner.services.changes.records import piece_subject
from planner.services.plan.freshness import linked_pieces
from planner.services.ports.work import UnitOfWork


def link_pieces(work: UnitOfWork, piece_id: int, same_as: int, *, by: Author) -> None:
    """Note that a piece is another file of the same piece, and journal it.

    Raises:
        NotFoundError: If one of the two is not there.
        InputError: If the two are one.
        ConflictError: If they belong together already.
    """
    piece, other = work.pieces.get(piece_id), work.pieces.get(same_as)
    if piece_id == same_as:
        raise InputError(f"“{piece.title}” is one file.", hint="Name the other file of the same piece.")
    if same_as in linked_pieces(work).get(piece_id, ()):
        raise ConflictError(f"“{piece.title}” and “{other.title}” are files of one piece already.")
    if piece_id in work.pieces.links():
        piece_id, same_as, piece = same_as, piece_id, other
    if piece_id in work.pieces.links():
        raise ConflictError(
            f"Both “{work.pieces.get(piece_id).title}” and the other have files of their own already.",
            hint="Take one of them apart first.",
        )
    with recorded(work, ChangeKind.LINK, piece_subject(piece), by):
        work.pieces.put_link(piece_id, same_as)


def unlink_piece(work: UnitOfWork, piece_id: int, *, by: Author) -> None:
    """Take a piece apart from the other files it was linked with, and journal it; they stay together.

    Raises:
        NotFoundError: If it is not there.
        ConflictError: If it stands alone already.
    """
    piece = work.pieces.get(piece_id)
    links = work.pieces.links()
    pointing = sorted(one for one, other in links.items() if other == piece_id)
    if piece_id not in links and not pointing:
        raise ConflictError(f"“{piece.title}” is not linked with another file.")
    # Those that were linked through it stay together: through the one it was linked with, else the first.
    onto = links.get(piece_id) or pointing[0]
    for one in (one for one in pointing if one != onto):
        with recorded(work, ChangeKind.LINK, piece_subject(work.pieces.get(one)), by):
            work.pieces.put_link(one, onto)
    for one in (piece_id, *(one for one in pointing if one == onto)):
        with recorded(work, ChangeKind.LINK, piece_subject(work.pieces.get(one)), by):
            work.pieces.put_link(one, None)


def same_pieces(work: UnitOfWork, piece_id: int) -> tuple[Piece, ...]:
    """The other files of a piece, by title.

    Raises:
        NotFoundError: If it is not there.
    """
    work.pieces.get(piece_id)
    found = work.pieces.get_all(linked_pieces(work).get(piece_id, frozenset())).values()
    return tuple(sorted(found, key=lambda piece: (piece.title, piece.id)))
