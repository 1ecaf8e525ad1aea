"""A problem as tables of whole numbers, worked out once: what the search looks at instead of the rules.

The tables say the same as ``check``; a test holds them against it. Pieces, days, focuses, sections that take
turns and traits are known by their index here; a place is one slot of one sitting.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from planner.core.term import Slot
from planner.levels.many_readings import Bools, expected_shares, greatest_lost, reading_costs
from planner.levels.readable import HARD_BELOW, LEAST_BUSY
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE, PlanProblem, Sitting

Ints = NDArray[np.int32]

NEVER = 10**8
"""Cost of what a rule forbids: more than any plan costs."""


@dataclass(frozen=True, slots=True)
class Suit:
    """How every piece suits those who sit together on a day.

    Attributes:
        cost: What it costs by ``check.piece_cost``.
        may_stand: As ``check.may_stand``.
        is_hard: As ``check.is_hard``.
    """

    cost: Ints
    may_stand: Bools
    is_hard: Bools


class Board:
    """Everything the search needs to know of a problem.

    Attributes:
        problem: The problem.
        sittings: Its sittings.
        sitting_of: Index of the sitting of each place.
        day_of: Index of the day of each place.
        minutes: Tenths of a minute of each piece.
        room: Tenths of a minute of each sitting.
        suits: For each sitting how each piece suits it.
        focus_cost: Focus by piece: what it costs for itself; ``NEVER`` where the piece does not train it.
        feature_cost: Turn by piece, the last row for nobody: what it costs for itself.
        traits: One row for each of a piece's traits: their indices, the number of all traits where it has
            fewer.
    """

    def __init__(self, problem: PlanProblem) -> None:
        self.problem = problem
        self.sittings = problem.sittings
        self.pieces = problem.pieces
        self.index_of = {piece.piece_id: at for at, piece in enumerate(problem.pieces)}
        places = [(at, sitting) for at, sitting in enumerate(self.sittings) for _ in range(sitting.slots)]
        self.sitting_of = [at for at, _ in places]
        self.day_of = [sitting.day for _, sitting in places]
        self.places_of: list[list[int]] = [[] for _ in self.sittings]
        self.places_on: dict[int, list[int]] = {day: [] for day in problem.free_days}
        for place, (at, sitting) in enumerate(places):
            self.places_of[at].append(place)
            self.places_on[sitting.day].append(place)
        self.minutes = np.array([check.whole_minutes(p.minutes) for p in problem.pieces], dtype=np.int32)
        self.room = [check.whole_minutes(sitting.minutes) for sitting in self.sittings]
        self.sets = np.array([p.sets for p in problem.pieces], dtype=np.int32)
        self.open_cost = {day: check.open_cost(problem, day) for day in problem.free_days}
        self._read_pins()
        self.suits = _suits(problem, self._stays_home)
        self.focus_cost = _focus_costs(problem)
        self.turns = [section for section, _, _ in problem.featured]
        self.feature_cost = _feature_costs(problem)
        self.present = np.array(
            [[turn in sitting.sections for turn in self.turns] for sitting in self.sittings], dtype=bool
        ).reshape(len(self.sittings), len(self.turns))
        self.traits, self.trait_count = _traits(problem)
        self.keep = _keep(problem, self.index_of)
        self._add_rows()

    def standing(self, slots: Sequence[Slot]) -> "Board":
        """The same board with another plan in force."""
        free = {self.problem.days[day].on for day in self.problem.free_days}
        other = copy(self)
        other.problem = replace(self.problem, stands=tuple(slot for slot in slots if slot.on in free))
        other.keep = {day: set() for day in self.problem.free_days}
        for slot in other.problem.stands:
            if slot.piece_id != OPEN_PIECE:
                day = self.problem.day_by_date[slot.on]
                other.keep[day].add(self.index_of[slot.piece_id])
        return other

    def _add_rows(self) -> None:
        """The same as plain numbers, where one is looked up at a time."""
        known: dict[int, tuple[list[int], list[bool]]] = {}
        for suit in self.suits:
            if id(suit) not in known:
                known[id(suit)] = suit.cost.tolist(), suit.is_hard.tolist()
        self.cost_rows = [known[id(suit)][0] for suit in self.suits]
        self.hard_rows = [known[id(suit)][1] for suit in self.suits]
        self.focus_rows = self.focus_cost.T.tolist()
        self.feature_rows = self.feature_cost.T.tolist()
        self.minutes_row = self.minutes.tolist()

    def _read_pins(self) -> None:
        problem = self.problem
        settled: set[tuple[int, date | None]] = {(slot.piece_id, slot.on) for slot in problem.settled}
        settled |= {(slot.piece_id, None) for slot in problem.settled}
        self.pins: list[tuple[int, int | None]] = []
        """Piece and day of each pin still to be kept; day None for any."""
        self.broken_pins = [
            pin
            for pin in problem.pins
            if (pin.piece_id, pin.on) not in settled
            and (
                pin.piece_id not in self.index_of
                or (pin.on is not None and problem.day_by_date.get(pin.on) not in problem.free_days)
            )
        ]
        for pin in problem.pins:
            if (pin.piece_id, pin.on) not in settled and pin not in self.broken_pins:
                day = None if pin.on is None else problem.day_by_date[pin.on]
                self.pins.append((self.index_of[pin.piece_id], day))
        dated: dict[int, set[int]] = {}
        for piece, day in self.pins:
            dated.setdefault(piece, set())
            if day is not None:
                dated[piece].add(day)
        self.pinned = dated
        self._stays_home = {piece: days for piece, days in dated.items() if days}

    @cached_property
    def size(self) -> int:
        """How many places there are."""
        return len(self.sitting_of)

    @cached_property
    def choices(self) -> list[int]:
        """For each sitting how many pieces may stand there."""
        return [int(suit.may_stand.sum()) for suit in self.suits]


def _suits(problem: PlanProblem, stays_home: dict[int, set[int]]) -> list[Suit]:
    parts = _Parts(problem)
    known: dict[tuple[int, int | None], Suit] = {}
    for sitting in problem.sittings:
        key = (sitting.day, sitting.station)
        if key not in known:
            known[key] = parts.suit(sitting)
            for piece, days in stays_home.items():
                if sitting.day not in days:
                    known[key].may_stand[piece] = False
    return [known[sitting.day, sitting.station] for sitting in problem.sittings]


class _Parts:
    """What the pieces ask, as tables of piece by section."""

    def __init__(self, problem: PlanProblem) -> None:
        self.problem = problem
        column = {section.id: at for at, section in enumerate(problem.sections)}
        shape = (len(problem.pieces), len(problem.sections))
        self.level, self.error = np.zeros(shape), np.zeros(shape)
        self.reads = np.zeros(shape, dtype=bool)
        for row, piece in enumerate(problem.pieces):
            for part in piece.parts:
                if part.section_id in column:
                    at = row, column[part.section_id]
                    self.level[at], self.error[at], self.reads[at] = part.level, part.error, True
        self.size = np.array([section.size for section in problem.sections], dtype=np.int32)
        self.own_cost = np.array([piece.cost for piece in problem.pieces], dtype=np.int32)
        self.minutes = np.array([check.whole_minutes(p.minutes) for p in problem.pieces], dtype=np.int32)
        settled = {slot.piece_id for slot in problem.settled}
        names = {name for name, _, _ in problem.focuses}
        self.is_free = np.array(
            [
                piece.piece_id not in settled and any(name in names for name, _ in piece.trains)
                for piece in problem.pieces
            ],
            dtype=bool,
        )
        self.is_for_all = np.array([piece.is_for_all for piece in problem.pieces], dtype=bool)
        self.banned: dict[object, set[int]] = {}
        for ban in problem.bans:
            self.banned.setdefault(ban.on, set()).add(ban.piece_id)

    def suit(self, sitting: Sitting) -> Suit:
        """How every piece suits a sitting."""
        problem, at = self.problem, sitting.day
        sits = np.array([section.id in sitting.sections for section in problem.sections], dtype=bool)
        own = np.array([section.levels[at] for section in problem.sections])[sits]
        doubt = np.array([section.errors[at] for section in problem.sections])[sits]
        reads = self.reads[:, sits]
        gap = self.level[:, sits] - own
        share = expected_shares(gap)
        lost = greatest_lost(gap, np.sqrt(doubt**2 + self.error[:, sits] ** 2), reads)
        reading = reading_costs(share, lost, reads, problem.days[at].aim)
        cost = self.own_cost + np.rint(reading).astype(np.int32)
        is_readable: Bools = np.less_equal(lost, problem.limits.lost + check.ROUNDING)
        suits: Bools = self._has_forces(sitting, sits) & is_readable
        may_stand: Bools = self._fits(sitting) & (suits | self._pinned(at))
        is_hard = np.asarray((reads & (share < HARD_BELOW)).any(axis=1), dtype=bool)
        return Suit(cost, may_stand, is_hard)

    def _fits(self, sitting: Sitting) -> Bools:
        on = self.problem.days[sitting.day].on
        banned = self.banned.get(None, set()) | self.banned.get(on, set())
        kept_off = [
            sitting.day in p.stale_on or sitting.day in p.away_on or p.piece_id in banned
            for p in self.problem.pieces
        ]
        fits: Bools = (
            self.is_free
            & (self.minutes <= check.whole_minutes(sitting.minutes))
            & ~np.array(kept_off, dtype=bool)
        )
        return fits

    def _pinned(self, day: int) -> Bools:
        ids = {piece for piece, on in self.problem.pinned_days if on == day}
        return np.array([piece.piece_id in ids for piece in self.problem.pieces], dtype=bool)

    def _has_forces(self, sitting: Sitting, sits: Bools) -> Bools:
        if sitting.station is None:
            return self.is_for_all
        busy = (self.reads & sits) @ self.size
        enough: Bools = (busy > 0) & (busy >= LEAST_BUSY * self.size[sits].sum())
        return enough


def _focus_costs(problem: PlanProblem) -> Ints:
    table = np.full((len(problem.focuses), len(problem.pieces)), NEVER, dtype=np.int32)
    for row, (name, each, _) in enumerate(problem.focuses):
        for at, piece in enumerate(problem.pieces):
            tier = dict(piece.trains).get(name)
            if tier is not None:
                table[row, at] = each + (check.SOME_FOCUS_COST if tier < 2 else 0)
    return table


def _feature_costs(problem: PlanProblem) -> Ints:
    table = np.full((len(problem.featured) + 1, len(problem.pieces)), NEVER, dtype=np.int32)
    table[-1] = check.NO_FEATURE_COST if problem.featured else 0
    row_of = {section: row for row, (section, _, _) in enumerate(problem.featured)}
    for at, piece in enumerate(problem.pieces):
        for section, tier in dict(piece.features).items():
            if section in row_of:
                table[row_of[section], at] = check.SOME_FEATURE_COST if tier < 2 else 0
    return table


def _traits(problem: PlanProblem) -> tuple[Ints, int]:
    """Traits that at least two candidates share, by piece."""
    times: dict[str, int] = {}
    for piece in problem.pieces:
        for trait in sorted(piece.likeness):
            times[trait] = times.get(trait, 0) + 1
    names = {trait: at for at, trait in enumerate(t for t, many in times.items() if many > 1)}
    own = [sorted(names[t] for t in piece.likeness if t in names) for piece in problem.pieces]
    table = np.full((max(map(len, own), default=0), len(own)), len(names), dtype=np.int32)
    for at, traits in enumerate(own):
        table[: len(traits), at] = traits
    return table, len(names)


def _keep(problem: PlanProblem, index_of: dict[int, int]) -> dict[int, set[int]]:
    """For each day the pieces of the plan in force that could stay there."""
    kept: dict[int, set[int]] = {day: set() for day in problem.free_days}
    for on, piece_id in check.keepable(problem):
        kept[problem.day_by_date[on]].add(index_of[piece_id])  # type: ignore[index]
    return kept
