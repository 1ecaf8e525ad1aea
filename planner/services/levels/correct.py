"""Correcting a level or an instrument by hand, seeing what it changes, and taking it back."""

from dataclasses import dataclass

from planner.core.change import Author, ChangeKind
from planner.core.difficulty import DIMENSIONS, LevelCorrection
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.instruments import get_instrument, ids_named
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.text import folded
from planner.errors import InputError, NotFoundError
from planner.levels.adjustment import Adjustment
from planner.services.changes.journal import recorded
from planner.services.changes.records import piece_subject
from planner.services.levels.in_force import read_corrections
from planner.services.levels.index import Moved
from planner.services.levels.section_levels import follow_levels
from planner.services.ports.files import FileStore
from planner.services.ports.scores import ProfileSource
from planner.services.ports.work import OpenWork, UnitOfWork
from planner.services.toolbox import changing
from planner.study.on_paper import profile_on_paper


@dataclass(frozen=True, slots=True)
class CorrectionReport:
    """What came of a correction, or of taking one back.

    Attributes:
        piece: The corrected piece as it is now.
        before, after: Adjustment before and after.
        moved: Pieces whose level changed as they were, the corrected one first, then the largest move.
    """

    piece: Piece
    before: Adjustment
    after: Adjustment
    moved: tuple[Moved, ...]

    @property
    def others(self) -> tuple[Moved, ...]:
        """The other pieces that moved."""
        return tuple(each for each in self.moved if each.piece.id != self.piece.id)


def correct_level(
    work: UnitOfWork,
    piece_id: int,
    level: float | None,
    *,
    by: Author,
    part: str = "",
    dimension: str = "",
) -> CorrectionReport:
    """Keep the director's word on a level; every level of the library then follows what it teaches.

    Args:
        work: An open unit of work.
        piece_id: Which piece.
        level: From 0.5 to 6; None takes the correction back.
        by: Whose word it is.
        part: Name of a part, any case; empty for the whole piece.
        dimension: A dimension of difficulty; empty for the level as a whole.

    Raises:
        NotFoundError: If there is no such piece or part.
        InputError: If the level lies off the scale, or the dimension is none or is not asked of the part.
    """
    if level is not None and not LOWEST_LEVEL <= level <= HIGHEST_LEVEL:
        raise InputError(f"A level is from {LOWEST_LEVEL:g} to {HIGHEST_LEVEL:g}, not {level:g}.")
    piece, profile = work.pieces.get(piece_id), work.pieces.profile(piece_id)
    stored = [each for each in work.corrections.levels(piece_id) if folded(each.part) == folded(part)]
    part = stored[0].part if stored and level is None else _part_named(profile, part)
    before = read_corrections(work).adjustment
    if level is not None:
        _check_dimension(profile, part, dimension)
    with recorded(work, ChangeKind.LEVEL, piece_subject(piece, part=part, dimension=dimension), by):
        if level is None:
            work.corrections.remove_level(piece_id, part, dimension)
        else:
            work.corrections.put_level(LevelCorrection(piece_id, float(level), part, dimension))
    moved = sorted(follow_levels(work), key=lambda each: each.piece.id != piece_id)
    after = read_corrections(work).adjustment
    return CorrectionReport(work.pieces.get(piece_id), before, after, tuple(moved))


def correct_instrument(
    open_work: OpenWork,
    files: FileStore,
    source: ProfileSource,
    piece_id: int,
    part: str,
    instrument: str,
    by: Author,
) -> Piece:
    """Keep the director's word on what a part is for, and study the piece anew with it.

    Args:
        open_work: Opens a transaction; none is open while the score is studied.
        files: Where the score lies.
        source: Studies it.
        piece_id: Which piece.
        part: Name of the part, any case.
        instrument: Id or English name of the instrument; empty goes back to what the page says.
        by: Whose word it is.

    Raises:
        NotFoundError: If there is no such piece or part, or its score file is gone.
        InputError: If there is no such instrument, or the score can no longer be read.
    """
    chosen = _instrument_named(instrument) if instrument.strip() else ""
    with open_work() as work:
        piece = work.pieces.get(piece_id)
        name = _part_named(work.pieces.profile(piece_id), part, needed=True)
        instruments = {**work.corrections.instruments(piece_id), name: chosen}
    corrected = {name: each for name, each in instruments.items() if each}
    if piece.is_on_paper:
        profile = profile_on_paper(piece, corrected)
    else:
        profile = source.study_corrected(files.path_of(piece.source), corrected)
    with changing(open_work) as work:
        with recorded(work, ChangeKind.INSTRUMENT, piece_subject(piece, part=name), by):
            work.corrections.put_instrument(piece_id, name, chosen)
        work.pieces.replace_profile(piece_id, profile)
        follow_levels(work, [piece_id])
        return work.pieces.get(piece_id)


def _part_named(profile: PieceProfile, name: str, *, needed: bool = False) -> str:
    if not name.strip() and not needed:
        return ""
    for part in profile.parts:
        if folded(part.name) == folded(name):
            return part.name
    names = ", ".join(part.name for part in profile.parts)
    raise NotFoundError("part", f"“{name}”", hint=f"The parts are: {names}.")


def _check_dimension(profile: PieceProfile, part: str, dimension: str) -> None:
    if not dimension:
        return
    if profile.is_on_paper:
        raise InputError("Of a piece on paper only the level as a whole can be set.")
    if dimension not in DIMENSIONS:
        raise InputError(f"“{dimension}” is not a dimension.", hint=f"Dimensions: {', '.join(DIMENSIONS)}.")
    contributions = profile.part(part).contributions if part else profile.contributions
    if dimension not in {each.name for each in contributions}:
        raise InputError(f"The study finds no {dimension} in {part or 'this piece'} to correct.")


def _instrument_named(name: str) -> str:
    """Id of an instrument by id or name.

    Raises:
        InputError: If the table has none, or several.
    """
    found = ids_named(name)
    if len(found) == 1:
        return found[0]
    if found:
        names = " or ".join(f"“{get_instrument(each).name}”" for each in found)
        raise InputError(f"“{name}” can be several instruments.", hint=f"Say {names}.")
    raise InputError(
        f"The instrument table has no “{name}”.", hint="Give a name such as “B♭ Clarinet”, or its id."
    )
