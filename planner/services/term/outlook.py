"""What the library would ask of an ensemble: the common ground of matching and planning."""

from collections.abc import Mapping, Sequence
from datetime import date

from planner.core.ensemble import Ensemble, Exposure
from planner.core.freshness import find_met_pieces
from planner.core.piece import PieceQuery
from planner.core.term import Result
from planner.matching.outlook import PieceOutlook, outlook_of
from planner.services.levels.in_force import outlines_and_corrections
from planner.services.ports import UnitOfWork


def read_outlooks(
    work: UnitOfWork, ensemble: Ensemble, on: date, *, also: Sequence[int] = ()
) -> tuple[tuple[PieceOutlook, ...], Mapping[int, Exposure]]:
    """Every fresh piece with a level as the ensemble would meet it, and the pieces already met.

    Args:
        work: An open unit of work.
        ensemble: Who reads.
        on: The date whose players count.
        also: Pieces to look at even if they are met (pinned ones).
    """
    met = met_pieces(work, ensemble, on)
    pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
    wanted = [p for p in pieces if p.level is not None and (p.id not in met or p.id in also)]
    profiles, corrections = outlines_and_corrections(work, wanted)
    outlooks = tuple(
        outlook_of(p, profiles[p.id], ensemble, met.get(p.id), corrections.own_level(p.id))
        for p in wanted
        if p.id in profiles
    )
    return outlooks, met


def met_pieces(work: UnitOfWork, ensemble: Ensemble, on: date) -> dict[int, Exposure]:
    """Pieces someone in the room can know: by an exposure, or by a result that was logged.

    Players who also sit in another ensemble bring along what they met there.
    """
    others = [e for e in work.ensembles.list_ensembles() if e.id != ensemble.id]
    exposures = [*work.ensembles.exposures(), *(_as_exposure(r) for r in work.results.list_results())]
    return find_met_pieces(ensemble, exposures, on, others)


def _as_exposure(result: Result) -> Exposure:
    return Exposure(result.ensemble_id, result.piece_id, "read", result.on, result.section_id)
