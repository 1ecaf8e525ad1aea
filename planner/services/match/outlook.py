"""What the library would ask of an ensemble: the common ground of matching and planning."""

from collections.abc import Mapping

from planner.core.ensemble import Ensemble
from planner.core.piece import PieceQuery
from planner.matching.outlook import PieceOutlook, outlook_of
from planner.services.levels.in_force import outlines_and_corrections
from planner.services.plan.freshness import Known
from planner.services.ports.work import UnitOfWork


def read_outlooks(
    work: UnitOfWork, ensemble: Ensemble, known: Mapping[int, Known], only: frozenset[int] | None = None
) -> tuple[PieceOutlook, ...]:
    """Every piece with a level as the ensemble would meet it, those it knows marked as met.

    Args:
        work: An open unit of work; nothing is changed.
        ensemble: Who reads.
        known: Pieces somebody in the room can know.
        only: Pieces to look at; None for all.
    """
    if only is None:
        pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
    else:
        pieces = tuple(work.pieces.get_all(only).values())
    wanted = [piece for piece in pieces if piece.level is not None]
    profiles, corrections = outlines_and_corrections(work, wanted)
    met = {piece: each.exposure for piece, each in known.items()}
    return tuple(
        outlook_of(p, profiles[p.id], ensemble, met.get(p.id), corrections.own_level(p.id))
        for p in wanted
        if p.id in profiles
    )
