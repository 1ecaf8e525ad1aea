"""Finding the cheapest plan, with a proof of how good it is."""

import random
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from ortools.sat.python import cp_model

from planner.core.term import Slot
from planner.errors import InfeasiblePlanError, PlanTimeoutError
from planner.scheduling import check
from planner.scheduling.explain import find_conflict
from planner.scheduling.problem import OPEN_PIECE, Candidate, PlanProblem
from planner.scheduling.relax import Relaxation, relax
from planner.scheduling.rules import RULES, Grid, build_grid, total

GAP = 0.01
"""A plan proven within this share of the best is called proven."""

SMALL = 400
"""Pairs of piece and day up to which the whole problem is searched at once."""

CORES: tuple[tuple[float, float, float], ...] = ((0.004, 2.0, 2.0), (0.012, 5.0, 6.0))
"""Searches among the promising decisions: those that raise the bound by no more than this share of it or
this cost, and how much work the search may do (the solver's own measure, about a second each).

Measured on terms of 300 pieces and 36 slots: plans within half a percent of the bound are nearly
always there.
"""

FILL_DAYS, FILL_WORK = 4, 0.5
"""Days filled at a time to have a plan early on, and how much work each time may take."""

REPAIR_SHARE, REPAIR_LEAST, REPAIR_WORK = 0.03, 15.0, 1.0
REPAIR_DAYS = (10, 12, 14)
REPAIR_TURNS = 12
"""A plan not yet good enough is opened again on so many days at a time, the others kept, with the choice
among decisions that raise the bound by no more than this."""


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


@dataclass
class _Search:
    """The running search: what is known so far, and until when."""

    grid: Grid
    ends: float
    gap: float
    seed: int
    workers: int
    bound: float = 0.0
    best: tuple[int, ...] | None = None
    cost: float = float("inf")

    @property
    def left_s(self) -> float:
        """Seconds left."""
        return max(0.01, self.ends - time.monotonic())

    @property
    def is_done(self) -> bool:
        """Whether the best plan is proven within the gap."""
        return self.best is not None and self.cost <= self.bound + self.gap * abs(self.cost) + 1e-6


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

    A large problem is relaxed first; the relaxation's bound and prices then lead a
    search among the promising pairs of piece and day, whose result is held against
    the bound. Only when that is not proof enough the whole problem is searched.

    Args:
        problem: What has to be filled.
        limit_s: Wall seconds for the search; the explanation of a conflict may take as long again.
        seed: Random seed; with one worker the same problem gives the same plan, time allowing.
        workers: Threads.
        gap: Stop when proven within this share of the best; 0 for the very best.
        hint: An earlier plan to begin from.

    Raises:
        InfeasiblePlanError: If no plan keeps all rules, with the names of those in conflict.
        PlanTimeoutError: If neither a plan nor a proof was found in time.
    """
    started = time.monotonic()
    grid = build_model(problem)
    _hint(grid, hint)
    search = _Search(grid, started + limit_s, gap, seed, workers)
    if len(grid.place) > SMALL:
        if problem.limits.may_leave_open:
            _find_open(search, 0.5 * search.left_s)
            _fill(search)
        relaxation = relax(grid.model, search.left_s, without=[x.index for x in grid.again.values()])
        if relaxation is not None:
            search.bound = relaxation.bound
            if not problem.limits.may_leave_open:
                _search_cores(search, relaxation)
            if search.best is None:
                _find_any(search, 0.5 * search.left_s)
            if search.best is not None:
                _repair(search, relaxation)
    if not search.is_done and _run(search, grid.model, search.left_s) == cp_model.INFEASIBLE:
        raise InfeasiblePlanError(find_conflict(problem, limit_s))
    if search.best is None:
        raise PlanTimeoutError(limit_s)
    slots = _read_slots(grid, search.best)
    status: Literal["optimal", "feasible"] = "optimal" if search.is_done else "feasible"
    seconds = time.monotonic() - started
    bound = search.bound + check.unavoidable_cost(problem)
    return Solution(slots, check.cost(problem, slots), bound, status, seconds)


def build_model(problem: PlanProblem) -> Grid:
    """The decisions with every rule and the cost."""
    grid = build_grid(problem)
    for rule in RULES.values():
        for constraint in rule.constrain(grid) if rule.constrain else ():
            grid.model.add(constraint)
    grid.model.minimize(objective(grid))
    return grid


def objective(grid: Grid) -> Any:
    """The cost of ``check.cost`` over the decisions, less what no plan can avoid."""
    problem, terms = grid.problem, []
    for (i, day), x in grid.place.items():
        terms.append(check.place_cost(problem, problem.pieces[i], day) * x)
    focus_cost = dict(problem.focuses)
    for (i, _, name), y in grid.train.items():
        is_weak = (name, 2) not in problem.pieces[i].trains
        terms.append((focus_cost[name] + (check.SOME_FOCUS_COST if is_weak else 0)) * y)
    for (_, _, tier), g in grid.featured.items():
        terms.append((check.SOME_FEATURE_COST if tier < 2 else 0) * g)
    terms += [check.NO_FEATURE_COST * nobody for nobody in grid.unfeatured.values()]
    terms += [check.AGAIN_COST * again for again in grid.again.values()]
    terms += [check.open_cost(problem, day) * left_open for day, left_open in grid.open.items()]
    return total(terms) - check.unavoidable_cost(problem)


class _StopWhenProven(cp_model.CpSolverSolutionCallback):
    """Ends a search as soon as its plan is near enough to the bound known from outside."""

    def __init__(self, search: _Search) -> None:
        super().__init__()
        self._search = search

    def on_solution_callback(self) -> None:
        """Called by the solver with each better plan."""
        cost = self.objective_value
        if cost <= self._search.bound + self._search.gap * abs(cost) + 1e-6:
            self.stop_search()


def _run(
    search: _Search,
    model: cp_model.CpModel,
    limit_s: float,
    *,
    beyond: float | None = None,
    work: float = float("inf"),
    turn: int = 0,
) -> Any:
    """Search a model and keep what it taught.

    Args:
        search: What is known; it is brought up to date.
        model: The whole problem or a part of it.
        limit_s: Wall seconds.
        beyond: What any plan outside the model costs at least; None when there is none outside.
        work: Limit in the solver's own measure, the same on every machine.
        turn: Added to the seed.
    """
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.max_deterministic_time = work
    solver.parameters.random_seed = search.seed + turn
    solver.parameters.num_workers = search.workers if beyond is None else 1
    solver.parameters.relative_gap_limit = search.gap
    # Measured on 300 pieces and 36 slots: only with the whole relaxation solved to the end at
    # the root does the search find good plans, and prove them.
    solver.parameters.linearization_level = 2
    solver.parameters.root_lp_iterations = 100_000
    solver.parameters.add_lp_constraints_lazily = False
    if search.best is not None:
        _give_hint(model, dict(enumerate(search.best)))
    status = solver.solve(model, _StopWhenProven(search))
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) and solver.objective_value < search.cost:
        search.best = tuple(solver.response_proto.solution)
        search.cost = solver.objective_value
    inside = search.cost if status == cp_model.INFEASIBLE else solver.best_objective_bound
    if beyond is not None or status != cp_model.INFEASIBLE:
        outside = search.cost if beyond is None else beyond
        search.bound = max(search.bound, min(inside, outside, search.cost))
    return status


def _search_cores(search: _Search, relaxation: Relaxation) -> None:
    """Search among the promising decisions until a plan is near enough to the bound."""
    for turn, (share, least, work) in enumerate(CORES):
        if not search.is_done and search.left_s > 1.0:
            dear = max(least, share * abs(relaxation.bound))
            core = _core(search.grid, relaxation, dear)
            beyond = relaxation.bound_beyond(dear)
            _run(search, core, 0.85 * search.left_s, beyond=beyond, work=work, turn=turn)


def _fill(search: _Search) -> None:
    """Fill a plan with open slots a few days at a time, the earlier first, so that there is one early on."""
    free = search.grid.problem.free_days
    for at in range(0, len(free), FILL_DAYS):
        if search.best is not None and search.left_s > 1.0:
            opened = free[at : at + FILL_DAYS]
            model = search.grid.model.clone()
            for (_, day), x in search.grid.place.items():
                if day not in opened:
                    _fix(model, x.index, search.best[x.index])
            _run(search, model, 0.3 * search.left_s, beyond=0.0, work=FILL_WORK, turn=at)


def _repair(search: _Search, relaxation: Relaxation) -> None:
    """Open the plan again on a few days at a time, as long as that helps and there is time."""
    chance = random.Random(search.seed)  # noqa: S311 - a search, not a secret
    free = search.grid.problem.free_days
    dear = max(REPAIR_LEAST, REPAIR_SHARE * abs(relaxation.bound))
    ends = time.monotonic() + 0.7 * search.left_s
    in_vain = turn = 0
    while in_vain < REPAIR_TURNS and not search.is_done and time.monotonic() < ends:
        before, many = search.cost, min(len(free), REPAIR_DAYS[turn % len(REPAIR_DAYS)])
        at = chance.randrange(len(free) - many + 1)
        opened = set(free[at : at + many]) if turn % 2 else set(chance.sample(free, many))
        model = _core(search.grid, relaxation, dear)
        for (_, day), x in search.grid.place.items():
            if day not in opened:
                _fix(model, x.index, search.best[x.index] if search.best else 0)
        _run(search, model, ends - time.monotonic(), beyond=0.0, work=REPAIR_WORK, turn=turn)
        in_vain = 0 if search.cost < before else in_vain + 1
        turn += 1


def _fix(model: cp_model.CpModel, index: int, value: int) -> None:
    domain = model.proto.variables[index].domain
    domain[0], domain[1] = value, value


def _core(grid: Grid, relaxation: Relaxation, dear: float) -> cp_model.CpModel:
    """The model without the decisions that raise the bound by more than a cost."""
    core = grid.model.clone()
    for index, reduced_cost in enumerate(relaxation.reduced_costs):
        if reduced_cost > dear:
            domain = core.proto.variables[index].domain
            domain[1] = domain[0]
    return core


def _find_open(search: _Search, limit_s: float) -> None:
    """Begin with every slot open but those pinned: a plan at once, to be filled a few days at a time."""
    model, problem = search.grid.model.clone(), search.grid.problem
    pinned = {pin.piece_id for pin in problem.pins}
    for (i, _), x in search.grid.place.items():
        if problem.pieces[i].piece_id not in pinned:
            _fix(model, x.index, 0)
    _find_any(search, limit_s, model)


def _find_any(search: _Search, limit_s: float, within: Any = None) -> None:
    """Look for any plan that keeps the rules, whatever it costs, to begin from."""
    model: Any = search.grid.model.clone() if within is None else within
    model.clear_objective()
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.random_seed = search.seed
    solver.parameters.num_workers = search.workers
    solver.parameters.linearization_level = 0
    if solver.solve(model) == cp_model.OPTIMAL:
        goal, values = search.grid.model.proto.objective, tuple(solver.response_proto.solution)
        search.best = values
        search.cost = goal.offset + sum(c * values[v] for v, c in zip(goal.vars, goal.coeffs, strict=True))


def _hint(grid: Grid, slots: Sequence[Slot]) -> None:
    stands = {(s.on, s.piece_id) for s in slots}
    if stands:
        days, pieces = grid.problem.days, grid.problem.pieces
        for (i, day), x in grid.place.items():
            grid.model.add_hint(x, (days[day].on, pieces[i].piece_id) in stands)


def _give_hint(model: Any, values: dict[int, int]) -> None:
    model.clear_hints()
    for index, value in values.items():
        model.add_hint(model.get_int_var_from_proto_index(index), value)


def _read_slots(grid: Grid, values: Sequence[int]) -> tuple[Slot, ...]:
    slots = list(grid.problem.past)
    for day in grid.problem.free_days:
        slots += _read_day(grid, values, day)
    return tuple(sorted(slots, key=lambda s: (s.on, s.position)))


def _read_day(grid: Grid, values: Sequence[int], day: int) -> list[Slot]:
    """The slots of one day: pieces by level, then what stays open."""
    problem = grid.problem
    on, count = problem.days[day].on, problem.days[day].slots
    chosen = [i for i, x in grid.on(day) if values[x.index]]
    chosen.sort(key=lambda i: (check.hundredths(problem.pieces[i].level), problem.pieces[i].piece_id))
    slots = []
    for position, i in enumerate(chosen):
        piece = problem.pieces[i]
        focus = next(
            n for n, _ in piece.trains if (y := grid.train.get((i, day, n))) is not None and values[y.index]
        )
        slots.append(
            Slot(on, position, piece.piece_id, focus, _featured(grid, values, day, i), piece.minutes,
                 _is_pinned(problem, piece, day))
        )  # fmt: skip
    slots += [Slot(on, position, OPEN_PIECE, "") for position in range(len(chosen), count)]
    return slots


def _featured(grid: Grid, values: Sequence[int], day: int, i: int) -> int | None:
    """Whom a piece features: said by the day when it has one slot, else by the piece."""
    if grid.problem.days[day].slots == 1:
        literals = {s: x for (d, s, _), x in grid.featured.items() if d == day and values[x.index]}
    else:
        literals = {s: x for (j, d, s), x in grid.leads.items() if (j, d) == (i, day) and values[x.index]}
    return next(iter(literals), None)


def _is_pinned(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    is_somewhere = any(pin.piece_id == piece.piece_id and pin.on is None for pin in problem.pins)
    return is_somewhere or problem.is_pinned(piece.piece_id, day)
