"""Levels as they count: the study's, the published grades, and what the director's corrections teach."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.core.corrections import LevelCorrection
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PieceProfile
from planner.levels.adjustment import Adjustment, Corrected, LevelsInForce, fit_adjustment, in_force
from planner.services.ports import UnitOfWork

_CHUNK = 200
_SMALL = 0.005
"""Levels are kept to hundredths."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A piece whose level in force changed."""

    piece: Piece
    before: float | None
    after: float | None


@dataclass(frozen=True, slots=True)
class Corrections:
    """All corrections of a library, and the adjustment they show."""

    own: Mapping[int, tuple[LevelCorrection, ...]]
    adjustment: Adjustment

    def levels_of(self, piece: Piece, profile: PieceProfile) -> LevelsInForce:
        """The levels of one piece."""
        return in_force(profile, self.adjustment, self.own.get(piece.id, ()), piece.published_grade)


def read_corrections(work: UnitOfWork) -> Corrections:
    """What the director corrected in the whole library."""
    own = _own_levels(work)
    return _taught_by(own, work.pieces.outlines(list(own)) if own else {})


def _taught_by(
    own: Mapping[int, Sequence[LevelCorrection]], outlines: Mapping[int, PieceProfile]
) -> Corrections:
    corrected = [Corrected(outlines[i], tuple(own[i])) for i in sorted(own) if i in outlines]
    return Corrections({i: tuple(each) for i, each in own.items()}, fit_adjustment(corrected))


def _own_levels(work: UnitOfWork) -> Mapping[int, Sequence[LevelCorrection]]:
    own: dict[int, list[LevelCorrection]] = defaultdict(list)
    for correction in work.corrections.levels():
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
    known = {piece.id: piece for piece in pieces}
    own = _own_levels(work)
    outlines = work.pieces.outlines([*known, *own])
    corrections = _taught_by(own, outlines)
    return {i: corrections.levels_of(known[i], outlines[i]).profile for i in known if i in outlines}


def profiles_in_force(work: UnitOfWork, pieces: Iterable[Piece]) -> dict[int, PieceProfile]:
    """Whole studies, by piece, with the levels that count; a piece without a study is left out."""
    known = {piece.id: piece for piece in pieces}
    corrections = read_corrections(work)
    profiles = work.pieces.profiles(list(known))
    return {i: corrections.levels_of(known[i], profile).profile for i, profile in profiles.items()}


def settle_levels(work: UnitOfWork, piece_ids: Iterable[int] | None = None) -> tuple[Moved, ...]:
    """Store the level in force of some pieces, or of all; those that moved, the largest move first.

    Call it inside the transaction that changed a correction, a published grade or a study.
    """
    corrections = read_corrections(work)
    if piece_ids is None:
        pieces = list(work.pieces.list_pieces(PieceQuery(limit=0))[0])
    else:
        pieces = list(work.pieces.get_all(list(piece_ids)).values())
    asked = [piece for piece in pieces if _can_move(piece, corrections)]
    levels: dict[int, float | None] = {}
    for at in range(0, len(asked), _CHUNK):
        chunk = {piece.id: piece for piece in asked[at : at + _CHUNK]}
        for piece_id, profile in work.pieces.outlines(list(chunk)).items():
            levels[piece_id] = corrections.levels_of(chunk[piece_id], profile).taught
    moving = {piece.id: piece for piece in asked if piece.id in levels}
    own = {i for i, said in corrections.own.items() if any(not (c.part or c.dimension) for c in said)}
    changed = {i: new for i, new in levels.items() if i not in own and not _same(new, moving[i].level)}
    work.corrections.settle(changed)
    moved = [Moved(moving[i], moving[i].level, new) for i, new in changed.items()]
    moved.sort(key=lambda each: (-abs((each.after or 0) - (each.before or 0)), each.piece.title))
    return tuple(moved)


def _can_move(piece: Piece, corrections: Corrections) -> bool:
    """False when the study's level holds and is stored already, so that the study need not be looked at."""
    if (
        not corrections.adjustment.is_neutral
        or piece.published_grade is not None
        or piece.id in corrections.own
    ):
        return True
    return not _same(piece.level, piece.studied_level)


def _same(one: float | None, other: float | None) -> bool:
    return one == other or (one is not None and other is not None and abs(one - other) < _SMALL)
