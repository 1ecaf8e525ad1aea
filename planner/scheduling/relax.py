"""The linear relaxation of the model: a bound no plan can beat, and where good plans lie."""

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from ortools.linear_solver.python import model_builder
from ortools.sat.python import cp_model

SLACK = 1e-4
"""Room for rounding in the linear solver; costs are whole numbers, so far less than 1 matters."""


@dataclass(frozen=True, slots=True)
class Relaxation:
    """What the relaxation says.

    Attributes:
        value: Cost of the relaxed optimum.
        reduced_costs: For each variable of the model, by how much the bound rises when it is used.
    """

    value: float
    reduced_costs: tuple[float, ...]

    @property
    def bound(self) -> int:
        """Least cost of any solution."""
        return math.ceil(self.value - SLACK)

    def bound_beyond(self, dear: float) -> int:
        """Least cost of a solution with a decision whose reduced cost is above ``dear``."""
        return math.ceil(self.value + dear - SLACK)


def relax(model: cp_model.CpModel, limit_s: float, *, without: Collection[int] = ()) -> Relaxation | None:
    """Solve the model's linear constraints without asking for whole numbers.

    Constraints of other kinds are left out, which keeps the bound valid.

    Args:
        model: With an objective to minimise.
        limit_s: Wall seconds.
        without: Indices of variables that only add cost; they and their constraints are left out, which
            keeps the bound valid and saves time.

    Returns:
        None when the linear solver did not finish with an optimum.
    """
    proto: Any = model.proto
    dear = frozenset(without)
    linear: Any = model_builder.Model()  # type: ignore[no-untyped-call]
    variables = [linear.new_num_var(*_ends(v.domain), "") for v in proto.variables]
    for constraint in proto.constraints:
        terms = constraint.linear
        if constraint.has_linear() and not dear.intersection(terms.vars):
            row = model_builder.LinearExpr.weighted_sum(
                [variables[i] for i in terms.vars], list(terms.coeffs)
            )
            linear.add_linear_constraint(row, *_ends(terms.domain))
    goal = proto.objective
    costs = {i: c for i, c in zip(goal.vars, goal.coeffs, strict=True) if i not in dear}
    linear.minimize(
        model_builder.LinearExpr.weighted_sum([variables[i] for i in costs], list(costs.values()))
    )
    solver = model_builder.Solver("glop")
    solver.set_time_limit_in_seconds(limit_s)
    if solver.solve(linear) != model_builder.SolveStatus.OPTIMAL:
        return None
    value = solver.objective_value + goal.offset
    return Relaxation(value, tuple(solver.reduced_cost(v) for v in variables))


def _ends(domain: Any) -> tuple[float, float]:
    """Lower and upper end of a domain; the solver's widest numbers mean none."""
    ends = list(domain)
    low, high = ends[0], ends[-1]
    return (low if low > -(10**15) else -math.inf), (high if high < 10**15 else math.inf)
