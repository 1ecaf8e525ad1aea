"""The rules of a term plan as constraints for the solver, rule by rule and place by place.

``check.py`` says what each rule means; the tests hold the two against each other.
Rules that only say where a piece may not stand are no constraints: such pairs are no
decisions (``causes.forbidding``).
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from planner.scheduling import check
from planner.scheduling.answer import Cause
from planner.scheduling.explanation.pairs import Pairs, pin_places
from planner.scheduling.problem import Sitting


def total(terms: Iterable[Any]) -> Any:
    """The sum of literals and weighted literals. The solver's types do not say what a sum may be added to."""
    return cp_model.LinearExpr.sum(list(terms))


@dataclass
class Grid:
    """The decisions: how many slots of a sitting a piece takes, or several pieces that are all the same here.

    Attributes:
        model: The solver's model.
        pairs: What has to be filled, and what may stand where.
        causes: The rules in force, each at its places.
        alike: Index of a piece to how many it stands for, itself included.
        place: (index of the piece, index of the sitting); pairs that a cause forbids are missing.
        open: Index of a sitting that has to be filled to how many of its slots stay open all the same.
    """

    model: cp_model.CpModel
    pairs: Pairs
    causes: frozenset[Cause]
    alike: dict[int, int] = field(default_factory=dict)
    place: dict[tuple[int, int], cp_model.IntVar] = field(default_factory=dict)
    open: dict[int, cp_model.IntVar] = field(default_factory=dict)
    by_piece: dict[int, list[tuple[int, cp_model.IntVar]]] = field(default_factory=dict)
    by_sitting: dict[int, list[tuple[int, cp_model.IntVar]]] = field(default_factory=dict)

    def add_place(self, piece: int, sitting: int, most: int) -> None:
        """One more decision."""
        x = self.model.new_int_var(0, most, f"piece{piece}_in{sitting}")
        self.place[piece, sitting] = x
        self.by_piece.setdefault(piece, []).append((sitting, x))
        self.by_sitting.setdefault(sitting, []).append((piece, x))

    def in_sitting(self, sitting: int) -> Any:
        """How many slots of a sitting have a piece."""
        return total(x for _, x in self.by_sitting.get(sitting, ()))


@dataclass(frozen=True, slots=True)
class Demand:
    """What has to be decided, the rest of the term left out.

    Attributes:
        filled: Indices of the sittings whose slots all need a piece.
        pinned: Indices of pieces that must stand somewhere, to the sittings one of which must have them.
    """

    filled: tuple[int, ...]
    pinned: tuple[tuple[int, tuple[int, ...]], ...]


def demand_of(pairs: Pairs, causes: frozenset[Cause]) -> Demand:
    """What the causes in force ask to be placed."""
    problem = pairs.problem
    dates = [problem.days[sitting.day].on for sitting in problem.sittings]
    filled = tuple(at for at, on in enumerate(dates) if Cause(check.FILLED, on) in causes)
    return Demand(filled, tuple(pin_places(pairs, causes)))


def without_plenty(pairs: Pairs, causes: frozenset[Cause], demand: Demand) -> Demand:
    """The demand without sittings that can always be filled, whatever stands in the others.

    Such a sitting has more pieces that may stand there, each short enough for its share of the minutes, than
    all sittings together have slots. Sittings that a pinned piece may need are kept.
    """
    problem = pairs.problem
    kept = set(demand.filled)
    needed = {at for _, places in demand.pinned for at in places}
    while True:
        slots = sum(problem.sittings[at].slots for at in kept) + len(demand.pinned)
        plenty = {at for at in kept - needed if _has_plenty(pairs, causes, at, slots)}
        if not plenty:
            return Demand(tuple(sorted(kept)), demand.pinned)
        kept -= plenty


def _has_plenty(pairs: Pairs, causes: frozenset[Cause], at: int, least: int) -> bool:
    problem, sitting = pairs.problem, pairs.problem.sittings[at]
    is_timed = Cause(check.MINUTES, problem.days[sitting.day].on) in causes
    able = pairs.allowed(causes)[:, at]
    if is_timed:
        able = able & (pairs.minutes * sitting.slots <= check.whole_minutes(sitting.minutes))
    return int(able.sum()) >= least


def build_grid(
    pairs: Pairs,
    causes: frozenset[Cause],
    demand: Demand,
    *,
    may_open: bool = False,
    is_open_timed: bool = False,
) -> Grid:
    """The decisions that a demand needs, and the constraints of the causes in force.

    Args:
        pairs: Pieces and sittings.
        causes: The rules in force, each at its places.
        demand: What has to be placed.
        may_open: Sittings that should be filled may keep slots open: ``Grid.open``.
        is_open_timed: An open slot takes its share of the minutes of its sitting.
    """
    problem = pairs.problem
    grid = Grid(cp_model.CpModel(), pairs, causes)
    is_once = Cause(check.ONCE) in causes
    pinned: dict[int, set[int]] = {}
    for piece, places in demand.pinned:
        for at in places:
            pinned.setdefault(at, set()).add(piece)
    grid.alike = _alike(pairs, causes, demand)
    for at in sorted({*demand.filled, *pinned}):
        slots = problem.sittings[at].slots
        for i in grid.alike if at in demand.filled else sorted(pinned[at]):
            if pairs.may(i, at, causes):
                grid.add_place(i, at, min(slots, grid.alike[i]) if is_once else slots)
    _fill(grid, demand, may_open=may_open)
    _pin(grid, demand)
    if is_once:
        _once(grid)
    _minutes(grid, is_open_timed=is_open_timed)
    _folders(grid)
    return grid


def _alike(pairs: Pairs, causes: frozenset[Cause], demand: Demand) -> dict[int, int]:
    """One piece of each kind to how many there are: allowed in the same sittings, and as long.

    How long does not matter where each sitting has one slot. Pinned pieces and those that stations may read,
    where groups rotate, stand for themselves.
    """
    problem, filled = pairs.problem, list(demand.filled)
    pinned = {piece for piece, _ in demand.pinned}
    sittings = [problem.sittings[at] for at in filled]
    able = pairs.allowed(causes)[:, filled]
    is_room = np.array([sitting.station is not None for sitting in sittings], dtype=bool)
    is_shared = np.array([sitting.slots > 1 for sitting in sittings], dtype=bool)
    in_rooms, shared = (able & is_room).sum(axis=1), (able & is_shared).sum(axis=1)
    places = np.packbits(able, axis=1)
    first: dict[object, int] = {}
    count: dict[int, int] = {}
    for i in sorted({*np.flatnonzero(able.any(axis=1)).tolist(), *(p for p in pinned if p >= 0)}):
        is_own = i in pinned or in_rooms[i] > 0
        kind = i if is_own else (int(pairs.minutes[i]) if shared[i] > 0 else 0, places[i].tobytes())
        same = first.setdefault(kind, i)
        count[same] = count.get(same, 0) + 1
    return count


def _fill(grid: Grid, demand: Demand, *, may_open: bool) -> None:
    """No sitting has more pieces than slots; those that must be filled have no fewer."""
    filled = set(demand.filled)
    for at in sorted(filled | grid.by_sitting.keys()):
        slots = grid.pairs.problem.sittings[at].slots
        if at not in filled:
            grid.model.add(grid.in_sitting(at) <= slots)
        elif may_open:
            grid.open[at] = grid.model.new_int_var(0, slots, f"open{at}")
            grid.model.add(grid.in_sitting(at) + grid.open[at] == slots)
        else:
            grid.model.add(grid.in_sitting(at) == slots)


def _pin(grid: Grid, demand: Demand) -> None:
    for piece, places in demand.pinned:
        grid.model.add(total(grid.place[piece, at] for at in places) >= 1)


def _once(grid: Grid) -> None:
    """A piece stands on one day, and no section meets it in two sittings of that day."""
    problem = grid.pairs.problem
    for i, places in grid.by_piece.items():
        if len(places) < 2:
            continue
        by_day: dict[int, list[tuple[int, cp_model.IntVar]]] = {}
        for at, x in places:
            by_day.setdefault(problem.sittings[at].day, []).append((at, x))
        on_day = []
        for day, here in by_day.items():
            if len(here) == 1:
                on_day.append(here[0][1])
                continue
            literal = grid.model.new_bool_var(f"piece{i}_on{day}")
            on_day.append(literal)
            readers: dict[int, list[cp_model.IntVar]] = {}
            for at, x in here:
                for section in problem.sittings[at].sections or {check.NOBODY}:
                    readers.setdefault(section, []).append(x)
            for literals in readers.values():
                grid.model.add(total(literals) <= literal)
        grid.model.add(total(on_day) <= grid.alike[i])


def share_of(sitting: Sitting) -> int:
    """Tenths of minutes for each slot of a sitting."""
    return check.whole_minutes(sitting.minutes) // max(1, sitting.slots)


def _minutes(grid: Grid, *, is_open_timed: bool) -> None:
    """The pieces of a sitting fit into its minutes; a single one that does not is no decision at all."""
    problem = grid.pairs.problem
    for at, pieces in grid.by_sitting.items():
        sitting = problem.sittings[at]
        if sitting.slots > 1 and Cause(check.MINUTES, problem.days[sitting.day].on) in grid.causes:
            used = total(check.whole_minutes(problem.pieces[i].minutes) * x for i, x in pieces)
            if is_open_timed and at in grid.open:
                used += share_of(sitting) * grid.open[at]
            grid.model.add(used <= check.whole_minutes(sitting.minutes))


def _folders(grid: Grid) -> None:
    """A piece is in no more rooms of one round than it has sets."""
    problem = grid.pairs.problem
    for i, places in grid.by_piece.items():
        rooms: dict[tuple[int, int], list[cp_model.IntVar]] = {}
        for at, x in places:
            sitting = problem.sittings[at]
            if (
                sitting.station is not None
                and Cause(check.FOLDERS, problem.days[sitting.day].on) in grid.causes
            ):
                rooms.setdefault((sitting.day, sitting.round), []).append(x)
        for literals in rooms.values():
            if len(literals) > problem.pieces[i].sets:
                grid.model.add(total(literals) <= problem.pieces[i].sets)
