"""A bound no plan beats: the plan's linear relaxation over pieces with all they could be there for.

A column is a piece in a sitting with a focus and a turn. There are far too many to write down, so the linear
program begins with few, and those that could still lower its value are found among all by its prices and
added, until there are none or time is up; the bound holds at any time (Lagrange's relaxation). The prices
also say what each piece is worth elsewhere, which leads the search.
"""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]

from planner.scheduling import check
from planner.scheduling.search.board import NEVER, Board
from planner.scheduling.search.draft import OPEN, Held

Floats = NDArray[np.float64]

SLACK = 1e-3
"""Room for rounding in the linear solver; costs are whole numbers, so far less than 1 matters."""

FIRST_COLUMNS, MORE_COLUMNS = 12, 4
"""Columns of each sitting at the start, and added at most in a round. Source: measured."""


COMMON = 0.04
"""Share of the candidates that must have a trait for the bound to ask about it."""


@dataclass(frozen=True, slots=True)
class Bound:
    """What the relaxation says.

    Attributes:
        least: No plan that fills as many places costs less, open places not counted.
        excess: For each sitting by how much the bound rises, at least, when a piece is read there.
        worth: What each piece saves elsewhere.
        is_tight: Whether every column was asked, so that the bound is the relaxation's own.
        still_open: How many places the plans it speaks of leave open.
    """

    least: float
    excess: Floats
    worth: Floats
    is_tight: bool
    still_open: int = 0


class Relaxation:
    """The linear program, and the columns it has so far."""

    def __init__(self, board: Board, still_open: int = 0) -> None:
        self.board, self.problem, self.still_open = board, board.problem, still_open
        self.lp = pywraplp.Solver.CreateSolver("CLP")
        self.params = pywraplp.MPSolverParameters()
        self.params.SetIntegerParam(self.params.LP_ALGORITHM, self.params.PRIMAL)
        self.params.SetIntegerParam(self.params.PRESOLVE, self.params.PRESOLVE_OFF)
        self.params.SetIntegerParam(self.params.INCREMENTALITY, self.params.INCREMENTALITY_ON)
        self.goal = self.lp.Objective()
        self.goal.SetMinimization()
        self.constant = float(
            board.problem.limits.change_cost * sum(len(kept) for kept in board.keep.values())
        )
        self.rounds = 0
        self.columns: set[tuple[int, int, int, int]] = set()
        self._free = set(self.problem.free_days)
        self._base = self._base_costs()
        self._weights = [
            1.0 / len(self.problem.days[s.day].stations) if s.station is not None else 1.0
            for s in board.sittings
        ]
        self._add_rows()

    def _base_costs(self) -> list[Floats]:
        board, found = self.board, []
        for at, sitting in enumerate(board.sittings):
            suit = board.suits[at]
            costs = suit.cost.astype(float)
            for piece in board.keep[sitting.day]:
                costs[piece] -= self.problem.limits.change_cost
            costs[~suit.may_stand] = NEVER
            if not self.problem.days[sitting.day].stations:
                costs += check.SAME_FOCUS_COST
            found.append(costs)
        return found

    def _var(self, cost: float, most: float = math.inf, least: float = 0.0) -> Any:
        variable = self.lp.NumVar(least, most, "")
        if cost:
            self.goal.SetCoefficient(variable, cost)
        return variable

    def _row(self, terms: Iterable[tuple[Any, float]], least: float, most: float = math.inf) -> Any:
        row = self.lp.Constraint(least, most)
        for variable, factor in terms:
            row.SetCoefficient(variable, factor)
        return row

    def _add_rows(self) -> None:
        board, still_open = self.board, self.still_open
        sittings = range(len(board.sittings))
        opened = [self._var(0.0, board.sittings[at].slots if still_open else 0.0) for at in sittings]
        self._row([(o, 1.0) for o in opened], still_open, still_open)
        self.fill = [
            self._row([(opened[at], 1.0)], board.sittings[at].slots, board.sittings[at].slots)
            for at in sittings
        ]
        self.minutes: list[Any] = [
            self._row([], -math.inf, board.room[at]) if board.sittings[at].slots > 1 else None
            for at in sittings
        ]
        self.once = [self._row([], -math.inf, 1.0) for _ in board.pieces]
        self.pins = {(piece, day): self._row([], 1.0) for piece, day in board.pins if day is not None}
        self.any_pins = {piece: self._row([], 1.0) for piece, day in board.pins if day is None}
        self._add_focus_rows()
        self._add_turn_rows()
        times = np.bincount(board.traits.ravel(), minlength=board.trait_count + 1)[:-1]
        self._common = common = [int(k) for k in np.flatnonzero(times >= COMMON * len(board.pieces))]
        self.traits = self._pair_rows(check.LIKE_COST, common)
        self.hard = self._pair_rows(check.TWO_HARD_COST, [0])

    def _width(self, day: int) -> int:
        return len(self.board.places_on[day])

    def _add_focus_rows(self) -> None:
        problem = self.problem
        focuses, days = range(len(problem.focuses)), range(len(problem.days))
        settled = {(problem.day_by_date.get(s.on), s.focus) for s in problem.settled if s.piece_id}
        self.least_focus: dict[tuple[int, int], Any] = {}
        self.most_focus: dict[tuple[int, int], Any] = {}
        used: dict[tuple[int, int], Any] = {}
        for day in days:
            for at in focuses:
                if day in self._free:
                    gain = 0 if problem.days[day].stations else check.SAME_FOCUS_COST
                    used[day, at] = self._var(-gain, 1.0)
                    self.least_focus[day, at] = self._row([(used[day, at], -1.0)], 0.0)
                    if self._width(day) == 1:
                        self.least_focus[day, at].SetUb(0.0)
                    else:
                        self.most_focus[day, at] = self._row(
                            [(used[day, at], -float(self._width(day)))], -math.inf, 0.0
                        )
                else:
                    is_used = float((day, problem.focuses[at][0]) in settled)
                    used[day, at] = self._var(0.0, is_used, is_used)
        for a, b in pairwise(days):
            if {a, b} & self._free:
                for at in focuses:
                    both = self._var(check.SAME_FOCUS_COST)
                    self._row([(both, 1.0), (used[a, at], -1.0), (used[b, at], -1.0)], -1.0)
        for run in problem.windows:
            for at in focuses:
                missing = self._var(check.MISSING_FOCUS_COST)
                self._row([(missing, 1.0), *((used[day, at], 1.0) for day in run)], 1.0)
        self.share = []
        for name, _, fewest in problem.focuses:
            times = sum(1 for s in problem.settled if s.piece_id and s.focus == name)
            short = self._var(check.UNEVEN_FOCUS_COST)
            self.share.append(self._row([(short, 1.0)], fewest - times))

    def _add_turn_rows(self) -> None:
        problem = self.problem
        gap = problem.turn_gap
        self.turn: dict[tuple[int, int], Any] = {}
        for at, (section, fewest, most) in enumerate(problem.featured):
            times = sum(1 for s in problem.settled if s.featured_section_id == section)
            here = {day: self._var(0.0, 1.0) for day in problem.free_days}
            for day, variable in here.items():
                self.turn[day, at] = self._row([(variable, -1.0)], 0.0, 0.0)
            short, over = self._var(check.UNEVEN_TURN_COST), self._var(check.UNEVEN_TURN_COST)
            self._row([(short, 1.0), *((v, 1.0) for v in here.values())], fewest - times)
            self._row([(over, -1.0), *((v, 1.0) for v in here.values())], -math.inf, most - times)
            if gap:
                self._add_again_rows(section, here, gap)

    def _add_again_rows(self, section: int, here: dict[int, Any], gap: int) -> None:
        """In as many days as the gap, every turn but the first comes too soon."""
        problem = self.problem
        before = {
            problem.day_by_date[s.on]
            for s in problem.settled
            if s.featured_section_id == section and s.on in problem.day_by_date
        }
        again = {day: self._var(check.AGAIN_COST) for day in here}
        for first in range(len(problem.days)):
            days = [day for day in range(first, first + gap + 1) if day in here]
            settled = [day for day in range(first, first + gap + 1) if day in before]
            if not days or len(days) + len(settled) < 2:
                continue
            allowed = 0.0 if settled and min(settled) < days[0] else 1.0
            self._row(
                [*((here[day], 1.0) for day in days), *((again[day], -1.0) for day in days)],
                -math.inf,
                allowed,
            )

    def _pair_rows(self, cost: int, which: list[int]) -> dict[tuple[int, int], Any]:
        """Rows of what costs when one free day has it and the next again; for days of one place only."""
        days = self.problem.free_days
        has = {(day, at): self._var(0.0, 1.0) for day in days if self._width(day) == 1 for at in which}
        for a, b in pairwise(days):
            for at in which:
                if (a, at) in has and (b, at) in has:
                    both = self._var(cost)
                    self._row([(both, 1.0), (has[a, at], -1.0), (has[b, at], -1.0)], -1.0)
        return {key: self._row([(variable, 1.0)], 0.0) for key, variable in has.items()}

    def add(self, at: int, held: Held) -> None:
        """Add one column, once."""
        key = (at, *held)
        if key in self.columns:
            return
        self.columns.add(key)
        board, (piece, focus, turn) = self.board, held
        day = board.sittings[at].day
        cost = self._base[at][piece] + board.focus_cost[focus, piece] + board.feature_cost[turn, piece]
        x = self._var(float(cost))
        self.fill[at].SetCoefficient(x, 1.0)
        self.once[piece].SetCoefficient(x, self._weights[at])
        if self.minutes[at] is not None:
            self.minutes[at].SetCoefficient(x, float(board.minutes[piece]))
        if (piece, day) in self.pins:
            self.pins[piece, day].SetCoefficient(x, 1.0)
        if piece in self.any_pins:
            self.any_pins[piece].SetCoefficient(x, 1.0)
        self.least_focus[day, focus].SetCoefficient(x, 1.0)
        if (day, focus) in self.most_focus:
            self.most_focus[day, focus].SetCoefficient(x, 1.0)
        self.share[focus].SetCoefficient(x, 1.0)
        if turn < len(board.turns):
            self.turn[day, turn].SetCoefficient(x, 1.0)
        for trait in board.traits[:, piece]:
            if (day, int(trait)) in self.traits:
                self.traits[day, int(trait)].SetCoefficient(x, -1.0)
        if board.suits[at].is_hard[piece] and (day, 0) in self.hard:
            self.hard[day, 0].SetCoefficient(x, -1.0)

    def solve(self, held: list[Held], goes_on: Callable[[], bool], rounds: int = 200) -> Bound | None:
        """Find columns until none could lower the value, or it is time to stop."""
        for place, each in enumerate(held):
            if each[0] != OPEN:
                self.add(self.board.sitting_of[place], each)
        self._add_cheapest(self._excess(), FIRST_COLUMNS, math.inf)
        best: Bound | None = None
        for _ in range(rounds):
            if not goes_on() or self.lp.Solve(self.params) != pywraplp.Solver.OPTIMAL:
                break
            self.rounds += 1
            value = self.goal.Value() + self.constant
            excess = self._excess()
            below = sum(self._below(at, costs) for at, costs in enumerate(excess))
            if best is None or value + below > best.least + SLACK:
                worth = np.maximum(0.0, -self._once_prices())
                least, is_tight = value + below - SLACK, below > -SLACK
                best = Bound(least, np.array(excess), worth, is_tight, self.still_open)
            if below > -SLACK:
                break
            self._add_cheapest(excess, MORE_COLUMNS, -1e-6)
        return best

    def _below(self, at: int, excess: Floats) -> float:
        """By how much the columns of a sitting could lower the value at most."""
        many = self.board.sittings[at].slots
        lowest = np.sort(np.partition(excess, many - 1)[:many]) if len(excess) > many else excess
        return float(np.minimum(lowest, 0.0).sum())

    def _excess(self) -> list[Floats]:
        """For each sitting and piece the least reduced cost of its columns."""
        once = self._once_prices()
        self._dressed = [self._priced(at, once) for at in range(len(self.board.sittings))]
        return [costs for costs, _, _ in self._dressed]

    def _priced(self, at: int, once: Floats) -> tuple[Floats, NDArray[np.int64], NDArray[np.int64]]:
        board, day = self.board, self.board.sittings[at].day
        price = self._price
        focus = np.array(
            [
                -price(self.least_focus[day, f])
                - (price(self.most_focus[day, f]) if (day, f) in self.most_focus else 0.0)
                - price(self.share[f])
                for f in range(len(self.problem.focuses))
            ]
        )
        turn = np.array(
            [
                -price(self.turn[day, t]) if board.present[at, t] else float(NEVER)
                for t in range(len(board.turns))
            ]
            + [0.0]
        )
        by_focus = board.focus_cost + focus[:, None]
        by_turn = board.feature_cost + turn[:, None]
        best_focus, best_turn = by_focus.argmin(axis=0), by_turn.argmin(axis=0)
        costs = self._base[at] - price(self.fill[at]) - self._weights[at] * once
        costs = costs + by_focus.min(axis=0) + by_turn.min(axis=0)
        if self.minutes[at] is not None:
            costs -= price(self.minutes[at]) * board.minutes
        if len(board.traits):
            own = np.zeros(board.trait_count + 1)
            for k in self._common:
                if (day, k) in self.traits:
                    own[k] = price(self.traits[day, k])
            costs += own[board.traits].sum(axis=0)
        if (day, 0) in self.hard:
            costs += price(self.hard[day, 0]) * board.suits[at].is_hard
        for (piece, on), row in self.pins.items():
            if on == day:
                costs[piece] -= price(row)
        for piece, row in self.any_pins.items():
            costs[piece] -= price(row)
        return costs, best_focus, best_turn

    def _price(self, row: Any) -> float:
        """What a row is worth to the relaxation; nothing before it is first solved."""
        return float(row.dual_value()) if self.rounds else 0.0

    def _once_prices(self) -> Floats:
        return np.array([self._price(row) for row in self.once])

    def _add_cheapest(self, excess: list[Floats], many: int, below: float) -> None:
        for at, costs in enumerate(excess):
            _, focus, turn = self._dressed[at]
            many_here = many * self.board.sittings[at].slots
            for piece in np.argsort(costs, kind="stable")[:many_here]:
                if costs[piece] < below and costs[piece] < NEVER // 2:
                    self.add(at, (int(piece), int(focus[piece]), int(turn[piece])))
