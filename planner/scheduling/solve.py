"""Finding the cheapest plan, with a proof of how good it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ortools.sat.python import cp_model

from planner.core.term import Slot
from planner.errors import InfeasiblePlanError, PlanTimeoutError
from planner.scheduling import check
from planner.scheduling.explain import find_conflict
from planner.scheduling.problem import OPEN_PIECE, PlanProblem
from planner.scheduling.rules import RULES, Grid, build_grid

GAP = 0.01
"""A plan proven within this share of the best is called proven."""


@dataclass(frozen=True, slots=True)
class Solution:
    """A plan that keeps every rule.

    Attributes:
        slots: Past and planned slots in order of date and position, without reasons.
        cost: Its cost by ``check.cost``.
        bound: No plan costs less.
        status: ``optimal`` when proven within the asked gap, else ``feasible``.
        seconds: Wall time of the search.
    """

    slots: tuple[Slot, ...]
    cost: int
    bound: float
    status: Literal["optimal", "feasible"]
    seconds: float


def solve(
    problem: PlanProblem,
    limit_s: float = 20.0,
    *,
    seed: int = 1,
    workers: int = 1,
    gap: float = GAP,
    hint: Sequence[Slot] = (),
) -> Solution:
    """Find the cheapest plan.

    Args:
        problem: What has to be filled.
        limit_s: Wall seconds for the search; the explanation of a conflict may take as long again.
        seed: Random seed; with one worker the same problem gives the same plan.
        workers: Threads.
        gap: Stop when proven within this share of the best; 0 for the very best.
        hint: An earlier plan to begin from.

    Raises:
        InfeasiblePlanError: If no plan keeps all rules, with the names of those in conflict.
        PlanTimeoutError: If neither a plan nor a proof was found in time.
    """
    grid = build_grid(problem)
    for rule in RULES.values():
        for constraint in rule.constrain(grid) if rule.constrain else ():
            grid.model.add(constraint)
    grid.model.minimize(objective(grid))
    _hint(grid, hint)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = workers
    solver.parameters.relative_gap_limit = gap
    status = solver.solve(grid.model)
    if status == cp_model.INFEASIBLE:
        raise InfeasiblePlanError(find_conflict(problem, limit_s))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise PlanTimeoutError(limit_s)
    slots = _read_slots(grid, solver)
    is_proven = status == cp_model.OPTIMAL
    return Solution(
        slots=slots,
        cost=check.cost(problem, slots),
        bound=solver.best_objective_bound,
        status="optimal" if is_proven else "feasible",
        seconds=solver.wall_time,
    )


def objective(grid: Grid) -> cp_model.LinearExprT:
    """The cost of ``check.cost`` as a sum over the decisions."""
    problem = grid.problem
    terms = []
    for (i, k), x in grid.place.items():
        terms.append(check.place_cost(problem, problem.pieces[i], problem.places[k][0]) * x)
    focus_cost = dict(problem.focuses)
    for (_, name, tier), y in grid.focus.items():
        terms.append((focus_cost[name] + (check.SOME_FOCUS_COST if tier < 2 else 0)) * y)
    for (_, _, tier), g in grid.featured.items():
        terms.append((check.SOME_FEATURE_COST if tier < 2 else 0) * g)
    terms += [check.NO_FEATURE_COST * nobody for nobody in grid.unfeatured.values()]
    terms += [check.OPEN_COST * left_open for left_open in grid.open.values()]
    return cp_model.LinearExpr.sum(terms)


def _hint(grid: Grid, slots: Sequence[Slot]) -> None:
    stands = {(s.on, s.position): s.piece_id for s in slots}
    if not stands:
        return
    for (i, k), x in grid.place.items():
        day, position = grid.problem.places[k]
        wanted = stands.get((grid.problem.days[day].on, position))
        grid.model.add_hint(x, wanted == grid.problem.pieces[i].piece_id)


def _read_slots(grid: Grid, solver: cp_model.CpSolver) -> tuple[Slot, ...]:
    problem, slots = grid.problem, []
    focus = {k: name for (k, name, _), y in grid.focus.items() if solver.boolean_value(y)}
    featured = {k: s for (k, s, _), g in grid.featured.items() if solver.boolean_value(g)}
    piece_at = {k: problem.pieces[i] for (i, k), x in grid.place.items() if solver.boolean_value(x)}
    for k, (day, position) in enumerate(problem.places):
        piece = piece_at.get(k)
        on = problem.days[day].on
        if piece is None:
            slots.append(Slot(on, position, OPEN_PIECE, ""))
            continue
        is_pinned = problem.is_pinned(piece.piece_id, day) or any(
            pin.piece_id == piece.piece_id and pin.on is None for pin in problem.pins
        )
        slots.append(Slot(on, position, piece.piece_id, focus[k], featured.get(k), piece.minutes, is_pinned))
    return tuple(sorted((*problem.past, *slots), key=lambda s: (s.on, s.position)))
