"""What makes the levels of a piece and of its parts, row by row."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from planner.core.difficulty import DIMENSIONS, LevelCorrection
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.issue import Issue
from planner.core.profile import Contribution, PartProfile, PieceProfile
from planner.levels.adjustment import Adjustment, LevelsInForce, share_of
from planner.study.difficulty.weights import piece_level, weighted

SMALL_SHARE = 0.05
"""A share below half a tenth of a level is not worth naming."""


class HeldBy(StrEnum):
    """Why a level is not what its shares add up to."""

    CHARTS_LIFT = "charts lift"
    """The published grade charts lift it."""
    CHARTS_HOLD = "charts hold"
    """The published grade charts hold it down."""
    PIECE = "piece"
    """A part moves along with the director's level of the piece."""
    SCALE = "scale"
    """The sum of a whole piece stands elsewhere among published grades."""
    PUBLISHED = "published"
    """The publisher's grade is weighed in."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One dimension of one part or of the piece.

    Attributes:
        name: The dimension.
        level: In force, 0.5 to 6.
        studied: The study's.
        share: How much of the level it makes.
        contribution: What the study found, the evidence in it.
        is_own: The director set it.
    """

    name: str
    level: float
    studied: float
    share: float
    contribution: Contribution
    is_own: bool


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
        held: Why the level is not that sum; None when it is.
        published_grade: The publisher's, for the piece; None when not known.
        question: What to ask about its instrument; None when sure.
        instrument_is_own: The director set the instrument.
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
    held: HeldBy | None = None
    published_grade: float | None = None
    question: Issue | None = None
    instrument_is_own: bool = False


def rows_of(
    found: LevelsInForce,
    studied: PieceProfile,
    adjustment: Adjustment,
    own: Sequence[LevelCorrection],
    published_grade: float | None = None,
) -> tuple[LevelRow, tuple[LevelRow, ...]]:
    """The row of the whole piece and those of its parts, in score order.

    Args:
        found: The levels in force.
        studied: The study's.
        adjustment: What all corrections of the library teach.
        own: The director's corrections of this piece.
        published_grade: The publisher's, if it is known.
    """
    moves_along = any(not each.part and not each.dimension for each in own)
    parts = tuple(
        _part_row(part, old, adjustment, _own_levels(own, part.name), moves_along=moves_along)
        for part, old in zip(found.profile.parts, studied.parts, strict=True)
    )
    return _piece_row(found, studied, adjustment, _own_levels(own, ""), published_grade), parts


def _part_row(
    part: PartProfile,
    old: PartProfile,
    adjustment: Adjustment,
    own: Mapping[str, float],
    *,
    moves_along: bool,
) -> LevelRow:
    cells = _cells(part.contributions, old.contributions, own)
    base, total = _sum(part.contributions, 0.0 if moves_along else adjustment.refit.offset)
    held = _held_by_charts(part.level, total, is_own="" in own)
    return LevelRow(
        name=part.name, instrument=part.instrument, level=part.level, error=part.level_error,
        studied=old.level, is_own="" in own, cells=cells, makes=_makes(part.contributions, cells),
        base=base, total=total, held=HeldBy.PIECE if held and moves_along else held,
    )  # fmt: skip


def _piece_row(
    found: LevelsInForce,
    studied: PieceProfile,
    adjustment: Adjustment,
    own: Mapping[str, float],
    published_grade: float | None,
) -> LevelRow:
    profile, is_own = found.profile, "" in own
    cells = _cells(profile.contributions, studied.contributions, own)
    base, total = _sum(profile.contributions, 0.0 if is_own else adjustment.refit.offset)
    on_scale = round(piece_level(total), 2)
    held = _held_by_charts(profile.level, on_scale, is_own=is_own)
    if not held and not is_own and profile.level is not None and abs(on_scale - total) >= SMALL_SHARE:
        held = HeldBy.SCALE
    if published_grade is not None and not is_own:
        held = HeldBy.PUBLISHED
    return LevelRow(
        name="", instrument="", level=profile.level, error=found.error, studied=studied.level, is_own=is_own,
        cells=cells, makes=_makes(profile.contributions, cells), base=base, total=total, held=held,
        published_grade=published_grade,
    )  # fmt: skip


def _own_levels(own: Sequence[LevelCorrection], part: str) -> dict[str, float]:
    """The director's levels of one part, or of the whole, by dimension (empty: the level itself)."""
    return {each.dimension: each.level for each in own if each.part == part}


def _cells(
    now: tuple[Contribution, ...], old: tuple[Contribution, ...], own: Mapping[str, float]
) -> tuple[Cell | None, ...]:
    found: dict[str, Contribution] = {each.name: each for each in now}
    before: dict[str, float] = {each.name: each.level for each in old}
    return tuple(
        Cell(
            name, found[name].level, before.get(name, found[name].level), round(share_of(found[name]), 2),
            found[name], is_own=name in own,
        )
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
    levels: dict[str, float] = {each.name: each.level for each in contributions}
    weights: dict[str, float] = {each.name: each.weight for each in contributions}
    total = weighted(levels, weights) + offset
    return round(LOWEST_LEVEL + offset, 2), round(total, 2)


def _held_by_charts(level: float | None, total: float, *, is_own: bool) -> HeldBy | None:
    if level is None or is_own or abs(level - total) < SMALL_SHARE:
        return None
    return HeldBy.CHARTS_LIFT if level > total else HeldBy.CHARTS_HOLD
