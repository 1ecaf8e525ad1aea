"""Levels as they count: the study's, the published grades, and what the director's corrections teach.

The three are kept apart and combined here. What lists of thousands are filtered and sorted by is stored as
well: see ``index``.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.core.difficulty import LevelCorrection
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.levels.adjustment import Adjustment, Corrected, LevelsInForce, fit_adjustment, in_force
from planner.services.ports.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class Corrections:
    """All corrections of a library by piece, and the adjustment they show."""

    own: Mapping[int, tuple[LevelCorrection, ...]]
    adjustment: Adjustment

    def levels_of(self, piece: Piece, profile: PieceProfile) -> LevelsInForce:
        """The levels of one piece."""
        return in_force(profile, self.adjustment, self.own.get(piece.id, ()), piece.published_grade)

    def own_level(self, piece_id: int) -> float | None:
        """The level the director set for a piece as a whole; None where they set none."""
        own = self.own.get(piece_id, ())
        return next((each.level for each in own if not (each.part or each.dimension)), None)

    def level_without_study(self, piece: Piece) -> float | None:
        """The level of a piece whose study cannot be looked at: the director's, else as it was studied."""
        own = self.own_level(piece.id)
        return piece.studied_level if own is None else own


def read_corrections(work: UnitOfWork) -> Corrections:
    """What the director corrected in the whole library."""
    levels, outlines = work.corrections.taught()
    return _taught_by(_by_piece(levels), outlines)


def _taught_by(
    own: Mapping[int, Sequence[LevelCorrection]], outlines: Mapping[int, PieceProfile]
) -> Corrections:
    corrected = [Corrected(outlines[i], tuple(own[i])) for i in sorted(own) if i in outlines]
    return Corrections({i: tuple(each) for i, each in own.items()}, fit_adjustment(corrected))


def _by_piece(levels: Iterable[LevelCorrection]) -> Mapping[int, Sequence[LevelCorrection]]:
    own: dict[int, list[LevelCorrection]] = defaultdict(list)
    for correction in levels:
        own[correction.piece_id].append(correction)
    return own


def profile_in_force(work: UnitOfWork, piece: Piece) -> PieceProfile:
    """The whole study of a piece with the levels that count.

    Raises:
        NotFoundError: If it has no up-to-date study.
    """
    return read_corrections(work).levels_of(piece, work.pieces.profile(piece.id)).profile


def outlines_in_force(work: UnitOfWork, pieces: Iterable[Piece]) -> dict[int, PieceProfile]:
    """Studies in outline, by piece, with the levels that count; a piece without a study is left out."""
    return outlines_and_corrections(work, pieces)[0]


def outlines_and_corrections(
    work: UnitOfWork, pieces: Iterable[Piece]
) -> tuple[dict[int, PieceProfile], Corrections]:
    """As ``outlines_in_force``, and the corrections that made the levels."""
    known = {piece.id: piece for piece in pieces}
    own = _by_piece(work.corrections.levels())
    outlines = work.pieces.outlines([*known, *own])
    corrections = _taught_by(own, outlines)
    in_outline = {i: corrections.levels_of(known[i], outlines[i]).profile for i in known if i in outlines}
    return in_outline, corrections


def profiles_in_force(work: UnitOfWork, pieces: Iterable[Piece]) -> dict[int, PieceProfile]:
    """Whole studies, by piece, with the levels that count; a piece without a study is left out."""
    known = {piece.id: piece for piece in pieces}
    corrections = read_corrections(work)
    profiles = work.pieces.profiles(list(known))
    return {i: corrections.levels_of(known[i], profile).profile for i, profile in profiles.items()}
