"""What lists of thousands are filtered and sorted by, levels above all: worked out and stored here alone.

A piece has a level as if all its parts were read, and for each ensemble that has sections what it asks of it:
a level, minutes, skills, seats. Beside them stand its lines, the parts as far as all that rests on them, so
that a change of sections opens no study.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.core.asked import Asked, PieceLines, packed
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PieceProfile
from planner.matching.seats import Seated, packed_seats, seat_parts
from planner.services.levels.in_force import Corrections, read_corrections
from planner.services.plan.demands import mean_shares, paper_least, part_shares
from planner.services.plan.reading_time import slower_of
from planner.services.ports.work import UnitOfWork
from planner.study.difficulty.roles import is_named_solo
from planner.study.fit.fit import measure_reading
from planner.study.on_paper import profile_on_paper

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
    lines: PieceLines

    def asked_of(self, ensemble: Ensemble, playing_seconds: float) -> Asked:
        """What it asks of an ensemble."""
        parts = self.lines.parts
        if not parts:
            return Asked(self.level)
        seated = seat_parts(parts, ensemble.sections)
        level = self.level if self.is_own else seated.level
        time = measure_reading(playing_seconds / 60.0, self.lines.slower, level or self.level)
        return Asked(
            level=level,
            minutes=time.total if playing_seconds > 0 else None,
            covered=seated.covered,
            uncovered=seated.uncovered,
            skills=packed(self._skills(seated)),
            seats=packed_seats(parts, ensemble.sections, seated.readings),
        )

    def _skills(self, seated: Seated) -> Iterable[float]:
        """As ``demands.skill_shares``, of every skill."""
        by_part = dict(zip((part.name for part in self.lines.parts), self.lines.skills, strict=True))
        read = [shares for each in seated.readings if (shares := by_part[each.part])]
        mean = mean_shares(read or [self.lines.whole])
        return [mean.get(skill, 0.0) for skill in FOCUSES]


def index_levels(work: UnitOfWork, changed: Collection[int] | None = None) -> tuple[Moved, ...]:
    """Work out and store the levels that lists are sorted by; the pieces that moved, the largest move first.

    Call it in the transaction that changed a study, a published grade or a correction.

    Args:
        work: An open unit of work.
        changed: Pieces whose study or published grade is new. When one of them has corrections, what those
            teach is new as well, and all pieces are looked at; so they are when it is None.
    """
    if changed is not None and are_corrected(work, changed):
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
        work.pieces.store_lines({piece_id: one.lines for piece_id, one in found.items()})
        for ensemble in ensembles:
            _store_for(work, ensemble, found, {piece.id: piece.playing_seconds for piece in chunk})
        moved += [
            Moved(p, p.level, found[p.id].level) for p in chunk if not _same(p.level, found[p.id].level)
        ]
    moved.sort(key=lambda each: (-abs((each.after or 0) - (each.before or 0)), each.piece.title))
    return tuple(moved)


def are_corrected(work: UnitOfWork, piece_ids: Collection[int]) -> bool:
    """Whether the director has corrected a level of one of some pieces."""
    if len(piece_ids) == 1:
        return bool(work.corrections.levels(next(iter(piece_ids))))
    return not {one.piece_id for one in work.corrections.levels()}.isdisjoint(piece_ids)


def _work_out(work: UnitOfWork, pieces: Sequence[Piece], corrections: Corrections) -> dict[int, _Found]:
    outlines = dict(work.pieces.outlines([piece.id for piece in pieces if not piece.is_on_paper]))
    on_paper = [piece for piece in pieces if piece.is_on_paper]
    instruments = work.corrections.instruments_of([piece.id for piece in on_paper])
    outlines |= {piece.id: profile_on_paper(piece, instruments.get(piece.id)) for piece in on_paper}
    found = {}
    for piece in pieces:
        is_own = corrections.own_level(piece.id) is not None
        if piece.id in outlines:
            profile = corrections.levels_of(piece, outlines[piece.id]).profile
            found[piece.id] = _Found(profile.level, is_own, _lines_of(profile))
        else:
            found[piece.id] = _Found(corrections.level_without_study(piece), is_own, PieceLines(()))
    return found


def _lines_of(profile: PieceProfile) -> PieceLines:
    least = paper_least(profile.level) if profile.is_on_paper else 0.0
    return PieceLines(
        parts=profile.parts,
        skills=tuple(part_shares(part.contributions, least) for part in profile.parts),
        whole=part_shares(profile.contributions, least),
        slower=slower_of(profile),
    )


def _same(one: float | None, other: float | None) -> bool:
    return one == other or (one is not None and other is not None and abs(one - other) < _SMALL)


def index_ensemble(work: UnitOfWork, ensemble_id: int) -> None:
    """Work out and store what every piece asks of one ensemble.

    Call it in the transaction that changed which sections it has, or one so that ``has_other_seats``.
    """
    ensemble = work.ensembles.get(ensemble_id)
    work.pieces.forget_levels_for(ensemble_id)
    lines, pieces = work.pieces.lines(), work.pieces.list_pieces(PieceQuery(limit=0))[0]
    if any(piece.id not in lines for piece in pieces):
        index_levels(work)
        return
    own = {one.piece_id for one in work.corrections.levels() if not one.part and not one.dimension}
    found = {piece.id: _Found(piece.level, piece.id in own, lines[piece.id]) for piece in pieces}
    _store_for(work, ensemble, found, {piece.id: piece.playing_seconds for piece in pieces})


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
    """All that casting asks of a section."""
    return section.instrument, section.chair, section.size, is_named_solo(section.name)


def _store_for(
    work: UnitOfWork, ensemble: Ensemble, found: Mapping[int, _Found], seconds: Mapping[int, float]
) -> None:
    """Store what some pieces ask of an ensemble; of one without sections nothing is asked."""
    if ensemble.sections:
        asked = {piece_id: one.asked_of(ensemble, seconds[piece_id]) for piece_id, one in found.items()}
        work.pieces.store_asked(ensemble.id, asked)
