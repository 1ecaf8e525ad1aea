"""What a term plan has to fill, and with what: the problem as plain values.

Every number the rules speak of is here; neither the check nor the search looks
anywhere else. Slots are ``core.term.Slot``. On a day of the whole ensemble pieces
stand by level, the easier first; on a day with stations each station reads one
piece in each round.
"""

from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from planner.core.term import Slot, Station
from planner.levels.curve import SLOPE, TARGET_LOGIT, logistic

OPEN_PIECE = 0
"""Piece id of a slot left open; only where the limits allow it."""


@dataclass(frozen=True, slots=True)
class PlanDay:
    """One reading day.

    Attributes:
        on: Its date.
        minutes: Minutes for all pieces of the day together; on a day with stations for all rounds.
        slots: Pieces to read; on a day with stations the rounds.
        stretch: Levels above the sections' own at which their parts should lie that day; negative on an
            easier day.
        is_settled: Nothing may change here: the day is past, or announced.
        stations: Groups that read at the same time in their own rooms; empty: the whole ensemble together.
        absent: Sections that are away.
    """

    on: date
    minutes: float
    slots: int
    stretch: float = 0.0
    is_settled: bool = False
    stations: tuple[Station, ...] = ()
    absent: frozenset[int] = frozenset()

    @property
    def aim(self) -> float:
        """Share of bars every section should get right on the first reading, 0 to 1."""
        return logistic(TARGET_LOGIT - SLOPE * self.stretch)


@dataclass(frozen=True, slots=True)
class Sitting:
    """Who sits together to read: the ensemble on a day, or a station in one round.

    Attributes:
        day: Index of the day.
        slots: Pieces they read there.
        minutes: Minutes for these pieces together.
        sections: Sections that are present and sit there.
        station: Index of the station; None for the whole ensemble.
        round: 0-based; 0 for the whole ensemble.
    """

    day: int
    slots: int
    minutes: float
    sections: frozenset[int]
    station: int | None = None
    round: int = 0


@dataclass(frozen=True, slots=True)
class PartAsked:
    """The hardest part a section reads in a piece.

    Attributes:
        section_id: Who reads it.
        level: Its level.
        error: Standard error of that level.
    """

    section_id: int
    level: float
    error: float = 0.0


@dataclass(frozen=True, slots=True)
class Candidate:
    """A piece that may be planned.

    Attributes:
        piece_id, title: Which.
        level: Level of the piece for the ensemble; the pieces of a day stand by it.
        minutes: From "face up" to "pencils down".
        trains: Focus and tier: 2 trains it strongly, 1 somewhat. Others cannot be its focus.
        features: Section id and tier: 2 the section has the tune, 1 it has it for a while.
        parts: What it asks of each section that reads it.
        cost: What it costs on any day: parts nobody reads, sections without a part, notes out of comfort.
        likeness: What it should not share with its neighbors, such as its composer, key or meter.
        stale_on: Indices of days on which somebody in the room can know it.
        away_on: Indices of days on which its folders are elsewhere.
        is_for_all: The whole ensemble can read it together; others are for stations.
        sets: Rooms that can have its folders at once.
    """

    piece_id: int
    title: str
    level: float
    minutes: float
    trains: tuple[tuple[str, int], ...]
    features: tuple[tuple[int, int], ...] = ()
    parts: tuple[PartAsked, ...] = ()
    cost: int = 0
    likeness: frozenset[str] = frozenset()
    stale_on: frozenset[int] = frozenset()
    away_on: frozenset[int] = frozenset()
    is_for_all: bool = True
    sets: int = 1


@dataclass(frozen=True, slots=True)
class PlanSection:
    """A section as the plan sees it.

    Attributes:
        id, name, size: Which, and how many players.
        levels: The level expected of it on each day of the problem.
        errors: Standard error of each.
    """

    id: int
    name: str
    size: int
    levels: tuple[float, ...]
    errors: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PlanWish:
    """A piece pinned to, or banned from, a date; ``on`` None means the whole term."""

    piece_id: int
    on: date | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """How strict the rules are.

    Attributes:
        lost: Chance of being lost at which no section is given a part, 0 to 1.
        focus_window: In days in a row with so many slots every focus should come up; 0 asks nothing.
        may_leave_open: Slots may stay open, at a high cost.
        change_cost: What it costs to take a piece from a day on which the plan in force has it.

    Source: house choices; with the usual errors a part one level above its section has a chance of ``lost``.
    """

    lost: float = 0.25
    focus_window: int = 12
    may_leave_open: bool = False
    change_cost: int = 40


@dataclass(frozen=True)
class PlanProblem:
    """A term to fill.

    Attributes:
        days: Reading days by date, settled ones included.
        pieces: Candidates, each id once.
        focuses: Skills that take turns, what a slot with each costs (0 when much needed), and how many slots
            of the term, settled ones included, it should have at least.
        sections: Sections that read.
        featured: Section id, fewest and most times it should be featured in the term, settled days included.
        settled: Slots of settled days as they are.
        pins, bans: The director's wishes.
        stands: Slots of the plan in force on the other days; what leaves its day costs.
        limits: How strict the rules are.
    """

    days: tuple[PlanDay, ...]
    pieces: tuple[Candidate, ...]
    focuses: tuple[tuple[str, int, int], ...]
    sections: tuple[PlanSection, ...] = ()
    featured: tuple[tuple[int, int, int], ...] = ()
    settled: tuple[Slot, ...] = ()
    pins: tuple[PlanWish, ...] = ()
    bans: tuple[PlanWish, ...] = ()
    stands: tuple[Slot, ...] = ()
    limits: Limits = field(default_factory=Limits)

    @cached_property
    def free_days(self) -> tuple[int, ...]:
        """Indices of the days that are still to be filled, in order."""
        return tuple(index for index, day in enumerate(self.days) if not day.is_settled)

    @cached_property
    def sittings(self) -> tuple[Sitting, ...]:
        """Every sitting of the free days, in order of day, round and station.

        A station whose sections are all away does not sit.
        """
        everyone = frozenset(section.id for section in self.sections)
        found = []
        for index in self.free_days:
            day = self.days[index]
            here = everyone - day.absent
            if not day.stations:
                found.append(Sitting(index, day.slots, day.minutes, here))
                continue
            for turn in range(day.slots):
                for at, station in enumerate(day.stations):
                    sections = here & frozenset(station.section_ids)
                    if not sections:
                        continue
                    found.append(Sitting(index, 1, day.minutes / day.slots, sections, at, turn))
        return tuple(found)

    @cached_property
    def open_slots(self) -> int:
        """Slots that are still to be filled."""
        return sum(sitting.slots for sitting in self.sittings)

    @cached_property
    def windows(self) -> tuple[tuple[int, ...], ...]:
        """Runs of days in which every focus should come up: each as short as ``focus_window`` allows.

        Settled days count with what was planned there; a run of settled days alone is left out.
        """
        runs, window = [], self.limits.focus_window
        for at in range(len(self.days) if window else 0):
            slots = 0
            for end in range(at, len(self.days)):
                slots += self.days[end].slots
                if slots >= window:
                    if self.free_days and end >= self.free_days[0]:
                        runs.append(tuple(range(at, end + 1)))
                    break
        return tuple(runs)

    @cached_property
    def turn_gap(self) -> int:
        """Reading days that should lie between two turns of a section: half a round."""
        return (
            len(self.featured)
            // 2
            // max(1, max((self.days[day].slots for day in self.free_days), default=1))
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
    def sitting_by_place(self) -> dict[tuple[date, int | None, int], Sitting]:
        """The sitting of a date, a station and a round."""
        return {(self.days[s.day].on, s.station, s.round): s for s in self.sittings}

    @cached_property
    def pinned_days(self) -> frozenset[tuple[int, int]]:
        """(piece id, index of the day) of every pin with a date in the term."""
        return frozenset(
            (pin.piece_id, self.day_by_date[pin.on]) for pin in self.pins if pin.on in self.day_by_date
        )

    def sitting_of(self, slot: Slot) -> Sitting | None:
        """Where a slot of a free day is read; None when there is no such place."""
        return self.sitting_by_place.get(
            (slot.on, slot.station, 0 if slot.station is None else slot.position)
        )

    def is_pinned(self, piece_id: int, day: int) -> bool:
        """Whether the director put this piece on this very day, whatever the plan would prefer."""
        return (piece_id, day) in self.pinned_days


def turn_bounds(
    names: tuple[int, ...], past: dict[int, int], open_slots: int, able: dict[int, int]
) -> tuple[tuple[int, int, int], ...]:
    """How often each section should be featured over the whole term so that turns come out even.

    The open slots are poured onto what was already featured until all stand level; a section that few pieces
    could feature fills up early, and the others take what is left.

    Args:
        names: Ids of the sections that take turns.
        past: Times each was featured already.
        open_slots: Slots still to fill.
        able: Pieces that could feature each; a section is never asked for more.

    Returns:
        Section id, fewest and most times, past included.

    Example:
        >>> turn_bounds((1, 2), {1: 2}, 3, {1: 9, 2: 9})
        ((1, 2, 3), (2, 2, 3))
        >>> turn_bounds((1, 2), {}, 5, {1: 9, 2: 1})
        ((1, 4, 4), (2, 1, 1))
    """
    times = {name: past.get(name, 0) for name in names}
    ends = {name: times[name] + able.get(name, 0) for name in names}
    left = open_slots
    while True:
        not_full = [name for name in names if times[name] < ends[name]]
        lowest = min((times[name] for name in not_full), default=0)
        row = [name for name in not_full if times[name] == lowest]
        if not row or left < len(row):
            break
        left -= len(row)
        for name in row:
            times[name] += 1
    return tuple((s, count, count + (1 if left and s in row else 0)) for s, count in times.items())
