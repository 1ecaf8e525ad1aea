"""Which rules contradict each other when no plan exists."""

from collections.abc import Collection

from ortools.sat.python import cp_model

from planner.scheduling.problem import PlanProblem
from planner.scheduling.rules import RULES, build_grid


def find_conflict(problem: PlanProblem, limit_s: float = 20.0) -> tuple[str, ...]:
    """Names of rules that cannot all be kept, as few as can be shown in time.

    Each rule stands behind one assumption; the solver names a contradictory set,
    from which every rule that is not needed is then taken out again. There is no
    objective and one worker, since otherwise the solver names all assumptions.

    Args:
        problem: A problem without a plan.
        limit_s: Wall seconds in all. When they run out the set may hold rules that are not to blame.

    Returns:
        Names in the order of ``RULES``.
    """
    deadline = limit_s
    core, used = _conflict_among(problem, tuple(RULES), deadline)
    for name in core:
        rest = [other for other in core if other != name]
        smaller, seconds = _conflict_among(problem, rest, max(0.05, deadline - used))
        used += seconds
        if smaller and set(smaller) <= set(rest):
            core = tuple(other for other in core if other in smaller)
    return core


def _conflict_among(
    problem: PlanProblem, names: Collection[str], limit_s: float
) -> tuple[tuple[str, ...], float]:
    """A contradictory set among these rules (empty when they get on, or time runs out), and the seconds."""
    grid = build_grid(problem, with_forbidden=True)
    model = grid.model
    literals = {name: model.new_bool_var(name) for name in RULES if name in names}
    for name, literal in literals.items():
        rule = RULES[name]
        for constraint in rule.constrain(grid) if rule.constrain else ():
            model.add(constraint).only_enforce_if(literal)
        if rule.forbid:
            for (i, day), x in grid.place.items():
                if rule.forbid(problem, problem.pieces[i], day):
                    model.add_implication(literal, x.negated())
    model.add_assumptions(list(literals.values()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = limit_s
    status = solver.solve(model)
    if status != cp_model.INFEASIBLE:
        return (() if len(names) < len(RULES) else tuple(RULES)), solver.wall_time
    by_index = {literal.index: name for name, literal in literals.items()}
    core = {by_index[i] for i in solver.sufficient_assumptions_for_infeasibility() if i in by_index}
    return tuple(name for name in literals if name in (core or literals)), solver.wall_time
