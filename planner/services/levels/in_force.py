"""Levels as they count: the study's, the published grades, and what the director's corrections teach.

The three are kept apart and combined here. One thing worked out is stored, the level of each whole piece,
because lists of thousands are filtered and sorted by it; ``index_levels`` stores it and can do so anew.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.core.difficulty import LevelCorrection
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

    def leave_alone(self, piece: Piece) -> bool:
        """True when the level is the study's, so that the study need not be looked at."""
        return self.adjustment.is_neutral and piece.published_grade is None and piece.id not in self.own

    def level_without_study(self, piece: Piece) -> float | None:
        """The level of a piece whose study cannot be looked at: the director's, else as it was studied."""
        whole = [each.level for each in self.own.get(piece.id, ()) if not (each.part or each.dimension)]
        return whole[0] if whole else piece.studied_level


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


def combined_levels(work: UnitOfWork, pieces: Iterable[Piece]) -> dict[int, float | None]:
    """The level each piece comes to by its study, its published grade, and every correction in the library.

    A piece whose study is of an older version counts as that study says, unless the director set its level.
    """
    asked = {piece.id: piece for piece in pieces}
    corrections = read_corrections(work)
    levels = {i: corrections.level_without_study(piece) for i, piece in asked.items()}
    looked_at = [i for i, piece in asked.items() if not corrections.leave_alone(piece)]
    for at in range(0, len(looked_at), _CHUNK):
        for i, outline in work.pieces.outlines(looked_at[at : at + _CHUNK]).items():
            levels[i] = corrections.levels_of(asked[i], outline).profile.level
    return levels


def index_levels(work: UnitOfWork, changed: Collection[int] | None = None) -> tuple[Moved, ...]:
    """Work out and store the levels that lists are sorted by; the pieces that moved, the largest move first.

    Call it in the transaction that changed a study, a published grade or a correction.

    Args:
        work: An open unit of work.
        changed: Pieces whose study or published grade is new. When one of them has corrections, what those
            teach is new as well, and all pieces are looked at; so they are when it is None.
    """
    if changed is not None and any(work.corrections.levels(piece_id) for piece_id in changed):
        changed = None
    if changed is None:
        pieces = work.pieces.list_pieces(PieceQuery(limit=0))[0]
    else:
        pieces = tuple(work.pieces.get_all(changed).values())
    levels = combined_levels(work, pieces)
    work.pieces.store_levels(
        {piece.id: levels[piece.id] for piece in pieces if levels[piece.id] != piece.level}
    )
    moved = [Moved(p, p.level, levels[p.id]) for p in pieces if not _same(p.level, levels[p.id])]
    moved.sort(key=lambda each: (-abs((each.after or 0) - (each.before or 0)), each.piece.title))
    return tuple(moved)


def _same(one: float | None, other: float | None) -> bool:
    return one == other or (one is not None and other is not None and abs(one - other) < _SMALL)
