"""A piece's levels by part and dimension, what makes them, and how an ensemble stands to them."""

from dataclasses import dataclass, replace

from planner.core.difficulty import LevelCorrection
from planner.core.ensemble import Ensemble
from planner.core.piece import Piece
from planner.levels.adjustment import Adjustment
from planner.levels.rows import LevelRow, rows_of
from planner.matching.outlook import PieceOutlook, outlook_of
from planner.services.levels.in_force import read_corrections
from planner.services.ports.work import UnitOfWork
from planner.study.instrument_questions import UNSURE


@dataclass(frozen=True, slots=True)
class LevelsView:
    """Everything the levels page shows.

    Attributes:
        piece: Which.
        whole: The piece.
        parts: In score order.
        ensemble: Whose outlook is shown; None without one.
        outlook: How the ensemble stands to it; None without an ensemble.
        own: The director's corrections of this piece.
        adjustment: What all corrections of the library teach.
    """

    piece: Piece
    whole: LevelRow
    parts: tuple[LevelRow, ...]
    ensemble: Ensemble | None
    outlook: PieceOutlook | None
    own: tuple[LevelCorrection, ...]
    adjustment: Adjustment


def view_levels(work: UnitOfWork, piece_id: int, ensemble: Ensemble | None = None) -> LevelsView:
    """A piece's levels as they are in force.

    Raises:
        NotFoundError: If there is no such piece, or it has no up-to-date study.
    """
    piece, studied = work.pieces.get(piece_id), work.pieces.profile(piece_id)
    corrections, instruments = read_corrections(work), work.corrections.instruments(piece_id)
    found = corrections.levels_of(piece, studied)
    own = corrections.own.get(piece.id, ())
    whole, parts = rows_of(found, studied, corrections.adjustment, own, piece.published_grade)
    questions = {issue.part: issue for issue in studied.issues if issue.slug == UNSURE}
    return LevelsView(
        piece=piece,
        whole=replace(whole, is_on_paper=piece.is_on_paper),
        parts=tuple(
            replace(
                row,
                question=questions.get(row.name),
                instrument_is_own=row.name in instruments,
                is_on_paper=piece.is_on_paper,
            )
            for row in parts
        ),
        ensemble=ensemble,
        outlook=(
            outlook_of(piece, found.profile, ensemble, own_level=corrections.own_level(piece.id))
            if ensemble
            else None
        ),
        own=own,
        adjustment=corrections.adjustment,
    )
