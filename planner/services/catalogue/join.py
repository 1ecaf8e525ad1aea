"""A piece on paper whose score file has been added: the two become one piece."""

from collections.abc import Mapping, Sequence

from planner.core.change import Author, Change, ChangeKind
from planner.core.instruments import read_name, recognise
from planner.core.piece import Piece
from planner.core.text import folded
from planner.errors import ConflictError, InputError
from planner.services.changes.join_record import give_score, read_join, what_stands
from planner.services.changes.records import piece_subject
from planner.services.ports.work import UnitOfWork


def join_score(work: UnitOfWork, piece_id: int, score_id: int, *, by: Author) -> Piece:
    """Give a piece on paper the score that was added for it, and journal it; the piece as it is then.

    Its results, exposures, plan places, and all that was entered of it stay; what the director left empty is
    as the score prints it. Copies go to the parts of the same name, else of the same instrument and chair.

    Args:
        work: An open unit of work.
        piece_id: The piece on paper.
        score_id: The piece that came with the score file; it goes.
        by: Who joins them.

    Raises:
        NotFoundError: If one of the two is not there.
        InputError: If the first is not on paper, or the second is.
        ConflictError: If the score was read, met, planned or linked by itself.
    """
    piece, score = work.pieces.get(piece_id), work.pieces.get(score_id)
    if not piece.is_on_paper:
        raise InputError(f"“{piece.title}” has a score already.", hint="Name the piece on paper first.")
    if score.is_on_paper:
        raise InputError(f"“{score.title}” is on paper itself.", hint="Name the piece that has the score.")
    _refuse_used(work, score)
    subject = piece_subject(piece)
    before = {
        "file": None,
        "sha256": None,
        "paper": what_stands(work, piece),
        "score": {**what_stands(work, score), "number": score.id},
    }
    parts = [part.name for part in work.pieces.profile(score_id).parts]
    copies = _copies_by_part(work.pieces.copies([piece_id]).get(piece_id, {}), parts)
    give_score(work, piece, score)
    work.pieces.store_copies({piece_id: copies})
    work.changes.add(Change(0, ChangeKind.JOIN, subject, before, read_join(work, subject), by))
    return work.pieces.get(piece_id)


def _refuse_used(work: UnitOfWork, score: Piece) -> None:
    """A score that has a life of its own is not swallowed."""
    hint = "Link the two as files of one piece instead."
    if any(score.id in pair for pair in work.pieces.links().items()):
        raise ConflictError(f"“{score.title}” is linked with another file.", hint="Take it apart first.")
    for term in work.terms.list_terms():
        if any(wish.piece_id == score.id for wish in work.terms.wishes(term.id)):
            raise ConflictError(f"You have a wish for the score “{score.title}” in {term.name}.", hint=hint)
        plan = work.terms.plan(term.id)
        if plan and any(slot.piece_id == score.id for slot in plan.slots):
            raise ConflictError(f"The score “{score.title}” stands in the plan of {term.name}.", hint=hint)
    if work.results.ensembles_that_read([score.id]):
        raise ConflictError(f"The score “{score.title}” has results of its own.", hint=hint)
    if any(filled.piece_id == score.id for filled in work.results.points()):
        raise ConflictError(f"The score “{score.title}” has points of a scoring form.", hint=hint)
    if any(met.piece_id == score.id for met in work.ensembles.exposures()):
        raise ConflictError(f"The score “{score.title}” has been met by itself.", hint=hint)


def _copies_by_part(copies: Mapping[str, int], parts: Sequence[str]) -> dict[str, int | None]:
    """Counted copies under the names that the score gives the parts; one that finds none keeps its own."""
    by_name = {folded(part): part for part in parts}
    free = [part for part in parts if folded(part) not in map(folded, copies)]
    seats = [(_seat(part), part) for part in free]
    found: dict[str, int | None] = {}
    for name, count in copies.items():
        own = by_name.get(folded(name))
        alike = [part for seat, part in seats if seat == _seat(name)]
        there = own or (alike[0] if len(alike) == 1 else "")
        if there and there != name:
            found[name] = None
        found[there or name] = count
    return found


def _seat(name: str) -> tuple[str, tuple[int, ...]]:
    return recognise(name).instrument or folded(name), read_name(name).chairs or (1,)
