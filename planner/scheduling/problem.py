"""What a term plan has to fill, and with what: the problem as plain values.

Every number the rules speak of is here; neither the check nor the solver looks
anywhere else. Slots are ``core.term.Slot``; a piece may stand in any free day.
"""

from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from planner.core.term import Slot

OPEN_PIECE = 0
"""Piece id of a slot left open; only where the limits allow it."""


@dataclass(frozen=True, slots=True)
class PlanDay:
    """One reading day.

    Attributes:
        on: Its date.
        minutes: Minutes for all pieces of the day together.
        slots: Pieces to read.
        target: Level the pieces should have on that day.
        growth: Levels the sections are expected to have gained by then.
        is_past: Nothing may change here any more.
    """

    on: date
    minutes: float
    slots: int
    target: float
    growth: float = 0.0
    is_past: bool = False


@dataclass(frozen=True, slots=True)
class Candidate:
    """A piece that may be planned.

    Attributes:
        piece_id, title: Which.
        level: Level of the piece.
        minutes: From "face up" to "pencils down".
        trains: Focus and tier: 2 trains it strongly, 1 somewhat. Others cannot be its focus.
        features: Section id and tier: 2 the part leads, 1 it can be featured.
        parts: Section id and level of the part it reads.
        is_fresh: Nobody in the room has met it.
    """

    piece_id: int
    title: str
    level: float
    minutes: float
    trains: tuple[tuple[str, int], ...]
    features: tuple[tuple[int, int], ...] = ()
    parts: tuple[tuple[int, float], ...] = ()
    is_fresh: bool = True


@dataclass(frozen=True, slots=True)
class PlanSection:
    """A section as the plan sees it: its level on the first day of the term."""

    id: int
    name: str
    level: float
    size: int = 1


@dataclass(frozen=True, slots=True)
class PlanWish:
    """A piece pinned to, or banned from, a date; ``on`` None means the whole term."""

    piece_id: int
    on: date | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """How strict the rules are.

    Attributes:
        corridor: Levels a piece may lie above or below the day's target.
        step: Levels one piece may lie above the one read before it.
        reach: Levels a part may lie above its section.
        focus_window: In so many slots in a row every focus comes up; 0 asks nothing.
        may_leave_open: Slots may stay open, at a high cost.

    Source: house choices; ``reach`` is where half of the measures are lost (``levels.curve``).
    """

    corridor: float = 1.0
    step: float = 1.0
    reach: float = 1.3
    focus_window: int = 12
    may_leave_open: bool = False


@dataclass(frozen=True)
class PlanProblem:
    """A term to fill.

    Attributes:
        days: Reading days by date, past ones included.
        pieces: Candidates, each id once.
        focuses: Skills that take turns, and what a slot with it costs (0 when much needed).
        sections: Sections whose parts must be readable; those in ``featured`` take turns.
        featured: Section id, fewest and most times it is featured in the term, past included.
        past: Slots of past days as they were.
        pins, bans: The director's wishes.
        limits: How strict the rules are.
    """

    days: tuple[PlanDay, ...]
    pieces: tuple[Candidate, ...]
    focuses: tuple[tuple[str, int], ...]
    sections: tuple[PlanSection, ...] = ()
    featured: tuple[tuple[int, int, int], ...] = ()
    past: tuple[Slot, ...] = ()
    pins: tuple[PlanWish, ...] = ()
    bans: tuple[PlanWish, ...] = ()
    limits: Limits = field(default_factory=Limits)

    @cached_property
    def places(self) -> tuple[tuple[int, int], ...]:
        """Free slots in order, as (index of the day, position within it)."""
        return tuple(
            (index, position)
            for index, day in enumerate(self.days)
            if not day.is_past
            for position in range(day.slots)
        )

    @cached_property
    def piece_by_id(self) -> dict[int, Candidate]:
        """Candidates by id."""
        return {piece.piece_id: piece for piece in self.pieces}

    @cached_property
    def day_by_date(self) -> dict[date, int]:
        """Index of each day."""
        return {day.on: index for index, day in enumerate(self.days)}

    @cached_property
    def section_by_id(self) -> dict[int, PlanSection]:
        """Sections by id."""
        return {section.id: section for section in self.sections}

    @cached_property
    def pinned_days(self) -> frozenset[tuple[int, int]]:
        """(piece id, index of the day) of every pin with a date in the term."""
        return frozenset(
            (pin.piece_id, self.day_by_date[pin.on]) for pin in self.pins if pin.on in self.day_by_date
        )

    def is_pinned(self, piece_id: int, day: int) -> bool:
        """Whether the director put this piece on this very day; the planner's own taste is then silent."""
        return (piece_id, day) in self.pinned_days


def turn_bounds(
    section_ids: tuple[int, ...], past: dict[int, int], open_slots: int, able: dict[int, int]
) -> tuple[tuple[int, int, int], ...]:
    """How often each section is to be featured over the whole term so that turns come out even.

    The open slots are poured onto what was already featured until all stand level.

    Args:
        section_ids: Sections that take turns.
        past: Times each was featured already.
        open_slots: Slots still to fill.
        able: Pieces that could feature each; a section is never asked for more.

    Returns:
        Section id, fewest and most times, past included.

    Example:
        >>> turn_bounds((1, 2), {1: 2}, 3, {1: 9, 2: 9})
        ((1, 2, 3), (2, 2, 3))
    """
    counts = {section: past.get(section, 0) for section in section_ids}
    if not counts:
        return ()
    height = min(counts.values())
    left = open_slots
    while left >= (below := sum(1 for c in counts.values() if c <= height)):
        left -= below
        height += 1
    return tuple(
        (s, max(c, min(height, c + able.get(s, 0))), max(c, height + (1 if left else 0)))
        for s, c in counts.items()
    )
