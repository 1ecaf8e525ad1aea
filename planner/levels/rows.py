"""What makes the levels of a piece and of its parts, row by row."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import StrEnum

from planner.core.difficulty import DIMENSIONS, FOCUSES, Dimension, LevelCorrection
from planner.core.instruments import get_instrument
from planner.core.issue import Issue
from planner.core.profile import Contribution, PartProfile, PieceProfile
from planner.levels.adjustment import Adjustment, LevelsInForce, share_of
from planner.study.difficulty.weights import scale_of

SMALL_SHARE = 0.05
"""A share below half a tenth of a level is not worth naming."""


class HeldBy(StrEnum):
    """Why a level is not what its shares add up to."""

    END = "end"
    """The scale ends there."""
    PIECE = "piece"
    """A part moves along with the director's level of the piece."""
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
class SkillCell:
    """The dimensions of one skill together: the highest of their levels, and what they make of the level.

    ``is_own`` says that the director set one of them, ``leads`` that no skill makes more.
    """

    name: str
    level: float
    share: float
    is_own: bool
    leads: bool = False


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
        is_on_paper: Of a piece on paper: nothing is known of what makes the level.
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
    is_on_paper: bool = False

    @property
    def rest(self) -> float:
        """What all shares make together that are too small to be named."""
        return round(self.total - self.base - sum(cell.share for cell in self.makes), 2)

    @property
    def skills(self) -> tuple[SkillCell | None, ...]:
        """The cells by skill in the order of ``FOCUSES``; None where no dimension of it applies."""
        found: list[SkillCell | None] = []
        for skill in FOCUSES:
            cells = [cell for cell in self.cells if cell and Dimension(cell.name).skill == skill]
            together = SkillCell(
                skill, max(cell.level for cell in cells), round(sum(cell.share for cell in cells), 2),
                is_own=any(cell.is_own for cell in cells),
            ) if cells else None  # fmt: skip
            found.append(together)
        most = max((each.share for each in found if each), default=0.0)
        return tuple(replace(each, leads=0.0 < most == each.share) if each else None for each in found)


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
    moved_by = (
        HeldBy.PIECE if moves_along else HeldBy.PUBLISHED if published_grade is not None else HeldBy.END
    )
    offset = 0.0 if moves_along else adjustment.refit.offset
    parts = tuple(
        _row(
            part, old, _own_levels(own, part.name), base=_base(part) + offset,
            name=part.name, instrument=part.instrument, error=part.level_error, moved_by=moved_by,
        )
        for part, old in zip(found.profile.parts, studied.parts, strict=True)
    )  # fmt: skip
    base = (studied.level or 0.0) - sum(share_of(each) for each in studied.contributions) + offset
    whole = _row(
        found.profile, studied, _own_levels(own, ""), base=base, error=found.error,
        moved_by=HeldBy.PUBLISHED if published_grade is not None else HeldBy.END,
        published_grade=published_grade,
    )  # fmt: skip
    return whole, parts


def _base(part: PartProfile) -> float:
    """Where a part begins before any dimension counts."""
    family = ""
    with suppress(KeyError):
        family = get_instrument(part.instrument).family
    return scale_of(family).base_for([each.name for each in part.contributions])


def _row(
    now: PartProfile | PieceProfile,
    old: PartProfile | PieceProfile,
    own: Mapping[str, float],
    *,
    base: float,
    error: float | None,
    moved_by: HeldBy,
    name: str = "",
    instrument: str = "",
    published_grade: float | None = None,
) -> LevelRow:
    """A row: what its shares are added to, what they come to, and why the level is not that sum."""
    cells = _cells(now.contributions, old.contributions, own)
    total = base + sum(share_of(each) for each in now.contributions)
    is_own = "" in own
    is_held = now.level is not None and not is_own and abs(now.level - total) >= SMALL_SHARE
    return LevelRow(
        name=name, instrument=instrument, level=now.level, error=error, studied=old.level, is_own=is_own,
        cells=cells, makes=_makes(now.contributions, cells), base=round(base, 2), total=round(total, 2),
        held=moved_by if is_held else None, published_grade=published_grade,
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
