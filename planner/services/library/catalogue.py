"""The library as the director keeps it: lists, one piece with its study, corrections, removal."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from planner.core.change import Author, ChangeKind
from planner.core.corrections import LevelCorrection
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.piece import Piece, PieceChoices, PieceQuery
from planner.core.profile import PieceProfile
from planner.core.text import folded
from planner.errors import InputError
from planner.services.changes.journal import recorded
from planner.services.changes.records import piece_subject
from planner.services.levels.in_force import index_levels, profile_in_force
from planner.services.ports import UnitOfWork


@dataclass(frozen=True, slots=True)
class PiecePage:
    """One page of a list of pieces.

    Attributes:
        pieces: On this page.
        total: How many match in all.
        query: What was asked.
    """

    pieces: Sequence[Piece]
    total: int
    query: PieceQuery

    @property
    def first(self) -> int:
        """1-based place of the first piece shown; 0 when none is."""
        return self.query.offset + 1 if self.pieces else 0

    @property
    def last(self) -> int:
        """1-based place of the last piece shown."""
        return self.query.offset + len(self.pieces)


@dataclass(frozen=True, slots=True)
class Correction:
    """What the director changes in a piece; None leaves a thing as it is.

    ``studied_level`` goes back to the study's level, ``no_grade`` takes the published grade away.
    """

    title: str | None = None
    composer: str | None = None
    arranger: str | None = None
    rights: str | None = None
    level: float | None = None
    published_grade: float | None = None
    tags: tuple[str, ...] | None = None
    studied_level: bool = False
    no_grade: bool = False


def list_pieces(work: UnitOfWork, query: PieceQuery) -> PiecePage:
    """One page of the pieces that match.

    Raises:
        InputError: If the query contradicts itself.
    """
    if query.order not in ("title", "level", "added"):
        raise InputError(f"Pieces are ordered by title, level or added, not by {query.order}.")
    if query.offset < 0 or query.limit < 0:
        raise InputError("A list begins at the first piece.")
    if query.level_from is not None and query.level_to is not None and query.level_from > query.level_to:
        raise InputError("The lowest level asked for is above the highest.", hint="Swap the two.")
    pieces, total = work.pieces.list_pieces(query)
    return PiecePage(pieces, total, query)


def list_choices(work: UnitOfWork) -> PieceChoices:
    """Every home key, meter and tag to narrow a list by."""
    return work.pieces.choices()


def get_piece(work: UnitOfWork, piece_id: int) -> tuple[Piece, PieceProfile]:
    """A piece and its study, with the levels in force.

    Raises:
        NotFoundError: If it is not in the library.
    """
    piece = work.pieces.get(piece_id)
    return piece, profile_in_force(work, piece)


def own_level(work: UnitOfWork, piece_id: int) -> float | None:
    """The level the director set for a piece as a whole; None where they set none."""
    own = work.corrections.levels(piece_id)
    return next((one.level for one in own if not one.part and not one.dimension), None)


def correct_piece(work: UnitOfWork, piece_id: int, correction: Correction, by: Author) -> Piece:
    """Store a correction and journal it; the piece as it is then.

    Raises:
        NotFoundError: If the piece is not in the library.
        InputError: If the correction cannot hold.
    """
    level = None if correction.level is None else _checked_level(correction.level)
    piece, before = work.pieces.get(piece_id), own_level(work, piece_id)
    corrected, subject = _corrected(piece, correction), piece_subject(piece)
    with recorded(work, ChangeKind.DETAILS, subject, by), recorded(work, ChangeKind.LEVEL, subject, by):
        work.pieces.update(corrected)
        if correction.studied_level:
            work.corrections.remove_level(piece_id)
        elif level is not None:
            work.corrections.put_level(LevelCorrection(piece_id, level))
    index_levels(work, [piece_id] if own_level(work, piece_id) == before else None)
    return work.pieces.get(piece_id)


def remove_piece(work: UnitOfWork, piece_id: int) -> Piece:
    """Take a piece out of the library; the piece as it was.

    Its score file can be removed once that is committed.

    Raises:
        NotFoundError: If it is not there.
        ConflictError: If a plan, a result or an exposure speaks of it.
    """
    piece = work.pieces.get(piece_id)
    was_taught_by = bool(work.corrections.levels(piece_id))
    work.pieces.remove(piece_id)
    if was_taught_by:
        index_levels(work)
    return piece


def _corrected(piece: Piece, correction: Correction) -> Piece:
    if correction.title is not None:
        title = " ".join(correction.title.split())
        if not title:
            raise InputError("A piece needs a title.")
        piece = replace(piece, title=title)
    piece = replace(
        piece,
        composer=_words(correction.composer, piece.composer),
        arranger=_words(correction.arranger, piece.arranger),
        rights=_words(correction.rights, piece.rights),
    )
    if correction.no_grade:
        piece = replace(piece, published_grade=None)
    elif correction.published_grade is not None:
        piece = replace(piece, published_grade=_checked_grade(correction.published_grade))
    if correction.tags is not None:
        piece = replace(piece, tags=_clean_tags(correction.tags))
    return piece


def _words(given: str | None, before: str) -> str:
    return before if given is None else " ".join(given.split())


def _checked_level(level: float) -> float:
    if not LOWEST_LEVEL <= level <= HIGHEST_LEVEL:
        raise InputError(f"A level is from {LOWEST_LEVEL:g} to {HIGHEST_LEVEL:g}, not {level:g}.")
    return float(level)


def _checked_grade(grade: float) -> float:
    if not LOWEST_LEVEL <= grade <= HIGHEST_LEVEL or grade * 2 != round(grade * 2):
        raise InputError(f"Published grades are ½, 1, 1½ and so on up to 6, not {grade:g}.")
    return float(grade)


def _clean_tags(tags: Sequence[str]) -> tuple[str, ...]:
    """Tags without blanks, each once whatever its case."""
    clean = {folded(tag): " ".join(tag.split()) for tag in reversed(tags)}
    return tuple(tag for key, tag in reversed(clean.items()) if key)
