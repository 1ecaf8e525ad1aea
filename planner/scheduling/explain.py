"""Why no plan exists: rules that contradict each other, where they do, and what would resolve it."""

import time
from dataclasses import dataclass, field, replace
from typing import Any

from ortools.sat.python import cp_model

from planner.errors import InfeasiblePlanError, PinFailsError, TooFewPiecesError
from planner.scheduling import check
from planner.scheduling.answer import Conflict, ConflictKind, Mend, MendKind
from planner.scheduling.causes import Lost, Pairs, every_cause
from planner.scheduling.conflicts import conflict_of, narrowed
from planner.scheduling.mends import mended
from planner.scheduling.narrow import Causes
from planner.scheduling.pins import pins_hold
from planner.scheduling.problem import PlanProblem
from planner.scheduling.rules import Demand, Grid, build_grid, demand_of, total, without_plenty

WORK = 30.0
"""Work for one explanation, in the solver's own measure, about a second each: the same on every machine."""

BUILDING = 2e-5
"""Work that is reckoned for each decision of a question put to the solver, in the same measure."""

SHORTEST = 2.0
"""Minutes for which nobody looks for a piece if there are fewer. Source: house choice."""


def find_conflict(problem: PlanProblem, limit_s: float = 20.0, work: float = WORK) -> Conflict | None:
    """Why no plan keeps every rule.

    Args:
        problem: Any problem.
        limit_s: Wall seconds in all; far above what the work takes, unless the machine is very slow.
        work: Limit in the solver's own measure. When either runs out after the conflict is proven, the set
            may hold rules and causes that are not to blame, and says so.

    Returns:
        None when there is a plan, or when that could not be settled.
    """
    solver = _Solver(time.monotonic() + limit_s, work)
    pairs = Pairs(problem, solver.lost)
    causes = frozenset(cause for each in every_cause(problem).values() for cause in each)
    if solver.has_plan(pairs, causes) is not False:
        return None
    narrowing, is_minimal = narrowed(problem, causes, lambda some: solver.has_plan(pairs, some))
    conflict = conflict_of(pairs, narrowing, solver.settles, is_minimal=is_minimal)
    if conflict.kind is ConflictKind.PIN:
        return conflict
    enough = [
        replace(mend, is_enough=True)
        for mend in solver.fillings(pairs, causes)
        if solver.settles(mended(problem, mend), None) is True
    ]
    first = {mend.kind: mend for mend in reversed(enough)}
    return replace(conflict, mends=(*reversed(first.values()), *conflict.mends))


def impossible_plan(conflict: Conflict) -> InfeasiblePlanError:
    """The error that says what a conflict comes to."""
    match conflict.kind:
        case ConflictKind.PIN:
            return PinFailsError(conflict)
        case ConflictKind.TOO_FEW:
            return TooFewPiecesError(conflict)
        case ConflictKind.RULES:
            return InfeasiblePlanError(conflict)


@dataclass
class _Solver:
    """Answers questions until its time or its work is over.

    Attributes:
        ends: On the monotonic clock.
        work: What is left, in the solver's own measure.
        lost: What is known of who would be lost where.
    """

    ends: float
    work: float
    lost: Lost = field(default_factory=dict)

    @property
    def is_over(self) -> bool:
        """Whether time or work has run out."""
        return self.work <= 0 or time.monotonic() >= self.ends

    def has_plan(self, pairs: Pairs, causes: Causes) -> bool | None:
        """Whether some plan keeps these causes; None when time or work ran out."""
        demand = without_plenty(pairs, causes, demand_of(pairs, causes))
        if any(not places for _, places in demand.pinned):
            return False
        if not demand.filled:
            answer = pins_hold(pairs, causes) if demand.pinned else True
            if answer is not None:
                return answer
        if any(not _can_fill(pairs, causes, at) for at in demand.filled):
            return False
        if self.is_over:
            return None
        status = self._solve(build_grid(pairs, causes, demand), self._solver())
        if status == cp_model.INFEASIBLE:
            return False
        return True if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None

    def settles(self, problem: PlanProblem, causes: Causes | None) -> bool | None:
        """Whether a problem has a plan that keeps these causes, or all of its own."""
        own = frozenset(cause for each in every_cause(problem).values() for cause in each)
        return self.has_plan(Pairs(problem, self.lost), own if causes is None else causes)

    def fillings(self, pairs: Pairs, causes: Causes) -> tuple[Mend, ...]:
        """The fewest pieces to add, or slots to leave open, so that there is a plan; none when unsettled."""
        if self.is_over:
            return ()
        demand = without_plenty(pairs, causes, demand_of(pairs, causes))
        grid = build_grid(pairs, causes, demand, may_open=True)
        grid.model.minimize(total(grid.open.values()))
        solver = self._solver()
        if self._solve(grid, solver) != cp_model.OPTIMAL:
            return ()
        left = {at: solver.value(x) for at, x in grid.open.items() if solver.value(x)}
        return _fillings(pairs.problem, left, _room_left(grid, solver, demand)) if left else ()

    def _solver(self) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        solver.parameters.max_time_in_seconds = max(0.0, self.ends - time.monotonic())
        solver.parameters.max_deterministic_time = max(0.0, self.work)
        return solver

    def _solve(self, grid: Grid, solver: cp_model.CpSolver) -> Any:
        status = solver.solve(grid.model)
        self.work -= solver.response_proto.deterministic_time + BUILDING * len(grid.place)
        return status


def _can_fill(pairs: Pairs, causes: Causes, at: int) -> bool:
    """Whether a sitting has any piece at all: the plainest reason, for which no solver is needed."""
    return any(pairs.may(i, at, causes) for i in range(len(pairs.problem.pieces)))


def _room_left(grid: Grid, solver: cp_model.CpSolver, demand: Demand) -> dict[int, int]:
    """Tenths of minutes that the pieces of each sitting leave over."""
    problem, room = grid.pairs.problem, {}
    for at in demand.filled:
        used = sum(
            check.whole_minutes(problem.pieces[i].minutes) * solver.value(x)
            for i, x in grid.by_sitting.get(at, ())
        )
        room[at] = check.whole_minutes(problem.sittings[at].minutes) - used
    return room


def _fillings(problem: PlanProblem, left: dict[int, int], room: dict[int, int]) -> tuple[Mend, ...]:
    days = sorted({problem.sittings[at].day for at in left})
    dates = tuple(problem.days[day].on for day in days)
    count = sum(left.values())
    levels = [
        problem.section_by_id[section].levels[problem.sittings[at].day]
        + problem.days[problem.sittings[at].day].stretch
        for at in left
        for section in problem.sittings[at].sections
    ]
    sitting_of = problem.sittings
    share = min(check.whole_minutes(sitting_of[at].minutes) // sitting_of[at].slots for at in left)
    over = min(room[at] // many for at, many in left.items())
    level = sum(levels) / len(levels) if levels else None
    adds = [
        Mend(MendKind.ADD_PIECES, dates, (), count, level, tenths / 10)
        for tenths in sorted({share, over}, reverse=True)
        if tenths >= 10 * SHORTEST
    ]
    return (*adds, Mend(MendKind.LEAVE_OPEN, dates, (), count))
