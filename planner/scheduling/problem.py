"""What a term plan has to fill, and with what: the problem as plain values.

Every number the rules speak of is here; neither the check nor the solver looks
anywhere else. Slots are ``core.term.Slot``. Pieces are planned onto days; within
a day they stand by level, the easier first.
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
    """A section as the plan sees it.

    Attributes:
        id, name, size: Which, and how many players.
        level: Its level now.
        by_day: The level expected of it on each day of the problem; empty where ``level`` and what all
            sections gain by the day say it.
    """

    id: int
    name: str
    level: float
    size: int = 1
    by_day: tuple[float, ...] = ()


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
        step: Levels the pieces of a day may lie above those of the day before, on average.
        reach: Levels a part may lie above its section.
        focus_window: In days in a row with so many slots every focus comes up; 0 asks nothing.
        may_leave_open: Slots may stay open, at a high cost.

    Source: house choices; at a ``reach`` of one level about six bars in ten are right (``levels.curve``).
    """

    corridor: float = 1.0
    step: float = 1.0
    reach: float = 1.0
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
    def free_days(self) -> tuple[int, ...]:
        """Indices of the days that are still to be filled, in order."""
        return tuple(index for index, day in enumerate(self.days) if not day.is_past)

    @cached_property
    def open_slots(self) -> int:
        """Slots that are still to be filled."""
        return sum(self.days[day].slots for day in self.free_days)

    @cached_property
    def most_slots(self) -> int:
        """Slots of the fullest free day."""
        return max((self.days[day].slots for day in self.free_days), default=1)

    @cached_property
    def windows(self) -> tuple[tuple[int, ...], ...]:
        """Runs of free days in which every focus has to come up: each as short as ``focus_window`` allows."""
        runs, window = [], self.limits.focus_window
        for at in range(len(self.free_days) if window else 0):
            slots = 0
            for end in range(at, len(self.free_days)):
                slots += self.days[self.free_days[end]].slots
                if slots >= window:
                    runs.append(self.free_days[at : end + 1])
                    break
        return tuple(runs)

    @cached_property
    def turn_gap(self) -> int:
        """Reading days that should lie between two turns of a section: half a round."""
        return len(self.featured) // 2 // self.most_slots

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

    def level_on(self, section_id: int, day: int) -> float:
        """The level that is expected of a section on a day."""
        section = self.section_by_id[section_id]
        return section.by_day[day] if section.by_day else section.level + self.days[day].growth

    def is_pinned(self, piece_id: int, day: int) -> bool:
        """Whether the director put this piece on this very day, whatever the plan would prefer."""
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
