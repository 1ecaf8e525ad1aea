"""The levels by which lists of thousands are filtered and sorted: worked out and stored here alone.

A piece has one as if all its parts were read, and one for each ensemble that has sections. Beside them stand
its lines, the parts as far as casting and levels go, so that a change of sections opens no study.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PartProfile
from planner.matching.casting import UNPITCHED
from planner.matching.for_whom import level_for, levels_alike
from planner.services.levels.in_force import Corrections, read_corrections
from planner.services.ports import UnitOfWork
from planner.study.difficulty.roles import is_named_solo

_CHUNK = 200
_SMALL = 0.005
"""Levels are kept to hundredths."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A piece whose level in force, as if all its parts were read, changed."""

    piece: Piece
    before: float | None
    after: float | None


@dataclass(frozen=True, slots=True)
class _Found:
    """What one piece comes to as a whole, and its parts in force; none when its study cannot be looked at.

    Where ``is_own``, the level is the director's word, which holds for every ensemble.
    """

    level: float | None
    is_own: bool
    parts: tuple[PartProfile, ...] = ()

    def level_for(self, ensemble: Ensemble) -> float | None:
        return self.level if self.is_own or not self.parts else level_for(self.parts, ensemble)


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
        pieces: Sequence[Piece] = work.pieces.list_pieces(PieceQuery(limit=0))[0]
    else:
        pieces = tuple(work.pieces.get_all(changed).values())
    corrections, ensembles = read_corrections(work), work.ensembles.list_ensembles()
    moved: list[Moved] = []
    for at in range(0, len(pieces), _CHUNK):
        chunk = pieces[at : at + _CHUNK]
        found = _work_out(work, chunk, corrections)
        work.pieces.store_levels({p.id: found[p.id].level for p in chunk if found[p.id].level != p.level})
        work.pieces.store_lines({piece_id: one.parts for piece_id, one in found.items()})
        for ensemble in ensembles:
            _store_for(work, ensemble, found)
        moved += [
            Moved(p, p.level, found[p.id].level) for p in chunk if not _same(p.level, found[p.id].level)
        ]
    moved.sort(key=lambda each: (-abs((each.after or 0) - (each.before or 0)), each.piece.title))
    return tuple(moved)


def _work_out(work: UnitOfWork, pieces: Sequence[Piece], corrections: Corrections) -> dict[int, _Found]:
    outlines = work.pieces.outlines([piece.id for piece in pieces])
    found = {}
    for piece in pieces:
        is_own = corrections.own_level(piece.id) is not None
        if piece.id in outlines:
            profile = corrections.levels_of(piece, outlines[piece.id]).profile
            found[piece.id] = _Found(profile.level, is_own, profile.parts)
        else:
            found[piece.id] = _Found(corrections.level_without_study(piece), is_own)
    return found


def _same(one: float | None, other: float | None) -> bool:
    return one == other or (one is not None and other is not None and abs(one - other) < _SMALL)


def index_ensemble(work: UnitOfWork, ensemble_id: int) -> None:
    """Work out and store the level of every piece for one ensemble.

    Call it in the transaction that changed which sections it has, or one so that ``has_other_seats``.
    """
    ensemble = work.ensembles.get(ensemble_id)
    work.pieces.forget_levels_for(ensemble_id)
    if not ensemble.sections:
        return
    shapes = work.pieces.shapes()
    wholes = work.pieces.levels_for(None, work.pieces.titles())
    if sum(len(pieces) for pieces in shapes.values()) < len(wholes):
        index_levels(work)
        return
    own = {one.piece_id for one in work.corrections.levels() if not one.part and not one.dimension}
    found: dict[int, float | None] = {}
    for shape, pieces in shapes.items():
        if shape:
            found |= levels_alike(shape, pieces, ensemble.sections)
        else:
            found |= {piece_id: wholes.get(piece_id) for piece_id in pieces}
    found |= {piece_id: wholes[piece_id] for piece_id in own & wholes.keys()}
    work.pieces.store_levels_for(ensemble_id, found)


def index_the_rest(work: UnitOfWork) -> None:
    """Work out what a library of an older version of the program has not: the levels for its ensembles."""
    lines = work.pieces.lines()
    rest = [piece_id for piece_id in work.pieces.titles() if piece_id not in lines]
    if rest:
        index_levels(work, rest)


def has_other_seats(before: Section, after: Section) -> bool:
    """Whether a changed section may read other parts than before.

    Example:
        >>> flutes = Section(1, "Flute", "flute", level=2.0)
        >>> has_other_seats(flutes, Section(1, "Flutes", "flute", level=3.0))
        False
        >>> has_other_seats(flutes, Section(1, "Flute solo", "flute", level=2.0))
        True
    """
    return _seat(before) != _seat(after)


def _seat(section: Section) -> tuple[str, int, int, bool]:
    """All that casting asks of a section; how many there are matters to those who share out the drums."""
    hands = section.size if section.instrument in UNPITCHED else 0
    return section.instrument, section.chair, hands, is_named_solo(section.name)


def _store_for(work: UnitOfWork, ensemble: Ensemble, found: Mapping[int, _Found]) -> None:
    """Store the levels of some pieces for an ensemble; one without sections has none."""
    if ensemble.sections:
        levels = {piece_id: one.level_for(ensemble) for piece_id, one in found.items()}
        work.pieces.store_levels_for(ensemble.id, levels)
