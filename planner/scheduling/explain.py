"""Which rules contradict each other when no plan exists."""

import time
from collections.abc import Collection

from ortools.sat.python import cp_model

from planner.scheduling.problem import PlanProblem
from planner.scheduling.rules import RULES, build_grid

NARROWING_WORK = 1.0
"""Work allowed for the first narrowing, in the solver's own measure: it is done at once or takes for ever."""


def find_conflict(problem: PlanProblem, limit_s: float = 20.0) -> tuple[str, ...]:
    """Names of rules that cannot all be kept, as few as can be shown in time.

    First each rule stands behind one assumption, and the solver names a contradictory
    set (without an objective and with one worker, since otherwise it names all).
    Then every rule is left out in turn: if there is still no plan, it was not to blame.

    Args:
        problem: A problem without a plan.
        limit_s: Wall seconds in all. When they run out the set may hold rules that are not to blame.

    Returns:
        Names in the order of ``RULES``.
    """
    ends = time.monotonic() + limit_s
    core = _assumed_conflict(problem, limit_s)
    suspects = core[::-1]
    for at, name in enumerate(suspects):
        share = (ends - time.monotonic()) / (len(suspects) - at)
        rest = tuple(other for other in core if other != name)
        if share > 0 and has_no_plan(problem, rest, share):
            core = rest
    return core


def has_no_plan(problem: PlanProblem, names: Collection[str], limit_s: float) -> bool:
    """Whether it is proven in time that no plan keeps just these rules."""
    grid = build_grid(problem, names)
    for name in names:
        constrain = RULES[name].constrain
        for constraint in constrain(grid) if constrain else ():
            grid.model.add(constraint)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_time_in_seconds = limit_s
    return bool(solver.solve(grid.model) == cp_model.INFEASIBLE)


def _assumed_conflict(problem: PlanProblem, limit_s: float) -> tuple[str, ...]:
    """A contradictory set named by the solver; all rules when its time or work runs out."""
    grid = build_grid(problem, ())
    model = grid.model
    literals = {name: model.new_bool_var(name) for name in RULES}
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
    solver.parameters.max_deterministic_time = NARROWING_WORK
    if solver.solve(model) != cp_model.INFEASIBLE:
        return tuple(RULES)
    by_index = {literal.index: name for name, literal in literals.items()}
    core = {by_index[i] for i in solver.sufficient_assumptions_for_infeasibility() if i in by_index}
    return tuple(name for name in RULES if name in core) or tuple(RULES)
