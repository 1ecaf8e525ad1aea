"""A piece's levels by part and dimension, what makes them, and how an ensemble stands to them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from planner.core.corrections import LevelCorrection
from planner.core.ensemble import LOWEST_LEVEL, Ensemble
from planner.core.piece import Piece
from planner.core.profile import DIMENSIONS, Contribution, PartProfile, PieceProfile
from planner.levels.adjustment import Adjustment, share_of
from planner.matching.outlook import PieceOutlook, outlook_of
from planner.services.levels.in_force import Corrections, read_corrections
from planner.services.ports import UnitOfWork
from planner.study.difficulty.weights import piece_level, weighted
from planner.study.instrument_questions import UNSURE

Work = Callable[[], UnitOfWork]
SMALL_SHARE = 0.05
"""A share below half a tenth of a level is not worth naming."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One dimension of one part or of the piece.

    Attributes:
        name: The dimension.
        level: In force, 0.5 to 6.
        studied: The study's.
        share: How much of the level it makes.
        why: The evidence.
        is_own: The director set it.
    """

    name: str
    level: float
    studied: float
    share: float
    why: str
    is_own: bool = False


@dataclass(frozen=True, slots=True)
class LevelRow:
    """A part's levels, or the whole piece's.

    Attributes:
        name: Of the part; empty for the piece.
        instrument: Id in the table; empty when not known, or for the piece.
        level: In force; None when nothing can be said.
        error: Its standard error.
        studied: The study's level.
        is_own: The director set it.
        cells: By dimension in the order of ``DIMENSIONS``; None where it does not apply.
        makes: The cells that make the level, the largest share first.
        base: What the shares are added to.
        total: Base and all shares together.
        held: Why the level is not that sum, as a sentence; empty when it is.
        question: What to ask about its instrument; empty when sure.
        instrument_is_own: The director said what it is for.
    """

    name: str
    instrument: str
    level: float | None
    error: float | None
    studied: float | None
    is_own: bool
    cells: tuple[Cell | None, ...]
    makes: tuple[Cell, ...]
    base: float
    total: float
    held: str = ""
    question: str = ""
    instrument_is_own: bool = False


@dataclass(frozen=True, slots=True)
class LevelsView:
    """Everything the levels page shows.

    Attributes:
        piece: Which.
        whole: The piece.
        parts: In score order.
        outlook: How the ensemble stands to it; None without an ensemble.
        own: The director's corrections of this piece.
        adjustment: What all corrections of the library teach.
    """

    piece: Piece
    whole: LevelRow
    parts: tuple[LevelRow, ...]
    outlook: PieceOutlook | None
    own: tuple[LevelCorrection, ...]
    adjustment: Adjustment


def view_levels(work: Work, piece_id: int, ensemble: Ensemble | None = None) -> LevelsView:
    """A piece's levels as they are in force.

    Raises:
        NotFoundError: If there is no such piece, or it has no up-to-date study.
    """
    with work() as unit:
        piece, studied = unit.pieces.get(piece_id), unit.pieces.profile(piece_id)
        corrections, by_hand = read_corrections(unit), unit.corrections.instruments(piece_id)
    found = corrections.levels_of(piece, studied)
    questions = {issue.part: issue.sentence for issue in studied.issues if issue.slug == UNSURE}
    parts = tuple(
        _part_row(part, old, corrections, piece.id, questions.get(part.name, ""), part.name in by_hand)
        for part, old in zip(found.profile.parts, studied.parts, strict=True)
    )
    return LevelsView(
        piece=piece,
        whole=_piece_row(found.profile, studied, found.error, corrections, piece),
        parts=parts,
        outlook=outlook_of(piece, found.profile, ensemble) if ensemble else None,
        own=corrections.own.get(piece.id, ()),
        adjustment=corrections.adjustment,
    )


def _part_row(
    part: PartProfile, old: PartProfile, corrections: Corrections, piece_id: int, question: str, by_hand: bool
) -> LevelRow:
    said = _said(corrections, piece_id, part.name)
    cells = _cells(part.contributions, old.contributions, said)
    moves_along = "" in _said(corrections, piece_id, "")
    base, total = _sum(part.contributions, 0.0 if moves_along else corrections.adjustment.refit.offset)
    held = _held(part.level, total, "" in said, "The published grade charts")
    if held and moves_along:
        held = f"It moves along with your level of the piece, to {part.level:.1f}."
    return LevelRow(
        name=part.name, instrument=part.instrument, level=part.level, error=part.level_error,
        studied=old.level, is_own="" in said, cells=cells, makes=_makes(part.contributions, cells),
        base=base, total=total, held=held,
        question=question, instrument_is_own=by_hand,
    )  # fmt: skip


def _piece_row(
    profile: PieceProfile, old: PieceProfile, error: float | None, corrections: Corrections, piece: Piece
) -> LevelRow:
    said = _said(corrections, piece.id, "")
    cells = _cells(profile.contributions, old.contributions, said)
    base, total = _sum(profile.contributions, 0.0 if "" in said else corrections.adjustment.refit.offset)
    on_scale = round(piece_level(total), 2)
    held = _held(profile.level, on_scale, "" in said, "The grade charts of its parts")
    if not held and "" not in said and profile.level is not None and abs(on_scale - total) >= SMALL_SHARE:
        held = (
            f"A sum of {total:.1f} over a whole piece stands at {profile.level:.1f} among published grades."
        )
    if piece.published_grade is not None and "" not in said:
        held = (
            f"Weighed with the published grade {piece.published_grade:g}, it stands at {profile.level:.1f}."
        )
    return LevelRow(
        name="", instrument="", level=profile.level, error=error, studied=old.level, is_own="" in said,
        cells=cells, makes=_makes(profile.contributions, cells), base=base, total=total, held=held,
    )  # fmt: skip


def _said(corrections: Corrections, piece_id: int, part: str) -> dict[str, float]:
    return {one.dimension: one.level for one in corrections.own.get(piece_id, ()) if one.part == part}


def _cells(
    now: tuple[Contribution, ...], old: tuple[Contribution, ...], said: Mapping[str, float]
) -> tuple[Cell | None, ...]:
    found = {each.name: each for each in now}
    before = {each.name: each.level for each in old}
    return tuple(
        Cell(name, found[name].level, before.get(name, found[name].level), round(share_of(found[name]), 2),
             found[name].why, name in said)
        if name in found
        else None
        for name in DIMENSIONS
    )  # fmt: skip


def _makes(contributions: tuple[Contribution, ...], cells: tuple[Cell | None, ...]) -> tuple[Cell, ...]:
    by_name = {cell.name: cell for cell in cells if cell}
    ordered = sorted(contributions, key=lambda each: (-share_of(each), each.name))
    return tuple(by_name[each.name] for each in ordered if share_of(each) >= SMALL_SHARE)


def _sum(contributions: tuple[Contribution, ...], offset: float) -> tuple[float, float]:
    """What shares are added to, and the sum of all."""
    weights = {each.name: each.weight for each in contributions}
    total = weighted({each.name: each.level for each in contributions}, weights) + offset
    return round(LOWEST_LEVEL + offset, 2), round(total, 2)


def _held(level: float | None, total: float, is_own: bool, who: str) -> str:
    """Why a level is not what its shares add up to."""
    if level is None or is_own or abs(level - total) < SMALL_SHARE:
        return ""
    verb = "lift it to" if level > total else "hold it at"
    return f"{who} {verb} {level:.1f}."
