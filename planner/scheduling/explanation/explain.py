"""Why no plan exists: rules that contradict each other, where they do, and what would resolve it."""

import time
from dataclasses import dataclass, field, replace
from typing import Any

from ortools.sat.python import cp_model

from planner.errors import InfeasiblePlanError, PinFailsError, TooFewPiecesError
from planner.scheduling import check
from planner.scheduling.answer import Conflict, ConflictKind, Mend, MendKind
from planner.scheduling.explanation.causes import every_cause
from planner.scheduling.explanation.conflicts import conflict_of, narrowed
from planner.scheduling.explanation.mends import mended
from planner.scheduling.explanation.narrow import Causes
from planner.scheduling.explanation.pairs import Lost, Pairs
from planner.scheduling.explanation.pins import pins_hold
from planner.scheduling.explanation.rules import Grid, build_grid, demand_of, share_of, total, without_plenty
from planner.scheduling.problem import PlanProblem

WORK = 30.0
"""Work for one explanation, in the solver's own measure, about a second each: the same on every machine."""

FILLING_WORK = 0.5
"""Work for the fewest pieces to add; what is found by then is enough, if not always the fewest."""

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
    best = {mend.kind: mend for mend in reversed(enough)}
    fillings = (best[kind] for kind in (MendKind.ADD_PIECES, MendKind.LEAVE_OPEN) if kind in best)
    return replace(conflict, mends=(*fillings, *conflict.mends))


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
    lost: Lost = field(default_factory=Lost)

    @property
    def is_over(self) -> bool:
        """Whether time or work has run out."""
        return self.work <= 0 or time.monotonic() >= self.ends

    def has_plan(self, pairs: Pairs, causes: Causes) -> bool | None:
        """Whether some plan keeps these causes; None when time or work ran out."""
        demand = demand_of(pairs, causes)
        if any(not places for _, places in demand.pinned):
            return False
        if any(not _can_fill(pairs, causes, at) for at in demand.filled):
            return False
        demand = without_plenty(pairs, causes, demand)
        if not demand.filled:
            answer = pins_hold(pairs, causes) if demand.pinned else True
            if answer is not None:
                return answer
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
        """Pieces to add, and slots to leave open, so that there is a plan; none when that is not found.

        They are as few as are found. Pieces to add may take the share of their slot in the minutes; or else
        what the others leave over.
        """
        demand, problem = without_plenty(pairs, causes, demand_of(pairs, causes)), pairs.problem
        found = []
        for is_timed in (True, False):
            grid = build_grid(pairs, causes, demand, may_open=True, is_open_timed=is_timed)
            grid.model.minimize(total(grid.open.values()))
            solver = self._solver(FILLING_WORK)
            if self.is_over or self._solve(grid, solver) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                continue
            left = {at: solver.value(x) for at, x in grid.open.items() if solver.value(x)}
            room = {at: share_of(problem.sittings[at]) for at in left}
            if not is_timed:
                room = {at: over // left[at] for at, over in _room_left(grid, solver).items() if at in left}
                found.append(_filling(problem, MendKind.LEAVE_OPEN, left))
            added = _filling(problem, MendKind.ADD_PIECES, left, min(room.values(), default=0))
            found += [added] if added.minutes >= SHORTEST else []
        return tuple(found)

    def _solver(self, most: float = WORK) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        solver.parameters.max_time_in_seconds = max(0.0, self.ends - time.monotonic())
        solver.parameters.max_deterministic_time = max(0.0, min(self.work, most))
        return solver

    def _solve(self, grid: Grid, solver: cp_model.CpSolver) -> Any:
        status = solver.solve(grid.model)
        self.work -= solver.response_proto.deterministic_time + BUILDING * len(grid.place)
        return status


def _can_fill(pairs: Pairs, causes: Causes, at: int) -> bool:
    """Whether a sitting has any piece at all: the plainest reason, for which no solver is needed."""
    return bool(pairs.allowed(causes)[:, at].any())


def _room_left(grid: Grid, solver: cp_model.CpSolver) -> dict[int, int]:
    """Tenths of minutes that the pieces of each sitting leave over."""
    problem, room = grid.pairs.problem, {}
    for at in grid.open:
        used = sum(
            check.whole_minutes(problem.pieces[i].minutes) * solver.value(x)
            for i, x in grid.by_sitting.get(at, ())
        )
        room[at] = check.whole_minutes(problem.sittings[at].minutes) - used
    return room


def _filling(problem: PlanProblem, kind: MendKind, left: dict[int, int], tenths: int = 0) -> Mend:
    """Pieces to add, or slots to leave open: so many in each sitting."""
    sittings = [problem.sittings[at] for at in left]
    dates = tuple(problem.days[day].on for day in sorted({sitting.day for sitting in sittings}))
    count = sum(left.values())
    if kind is MendKind.LEAVE_OPEN:
        return Mend(kind, dates, count=count)
    levels = [
        problem.section_by_id[section].levels[sitting.day] + problem.days[sitting.day].stretch
        for sitting in sittings
        for section in sitting.sections
    ]
    level = sum(levels) / len(levels) if levels else None
    return Mend(kind, dates, count=count, level=level, minutes=tenths / 10)
