"""Finding a cheap plan, with a bound that says how good it is."""

import random
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.errors import InfeasiblePlanError, PlanTimeoutError
from planner.scheduling import check
from planner.scheduling.answer import Ended, Solution
from planner.scheduling.board import Board
from planner.scheduling.bound import Relaxation
from planner.scheduling.draft import Draft
from planner.scheduling.greedy import begin
from planner.scheduling.improve import Best, best_of, improve
from planner.scheduling.problem import PlanProblem

GAP = 0.02
"""A plan proven within this share of the best is called proven."""

STEPS_BASE, STEPS_A_PLACE = 2_000, 100
"""Steps of a search that is not given any: so many, and so many more for each place."""

FIRST_SHARE = 0.2
"""Share of the steps before the problem is bounded, which tells the others where to look."""

ROUNDS = 25
"""Rounds in which the bound may look for more columns."""

Progress = Callable[[int, float, int], bool]
"""Asked now and then with the cost of the best plan, the bound, and how many places it fills; False stops."""


@dataclass
class _Watch:
    """When to stop: the clock, a proof, or somebody who asks."""

    ends: float
    progress: Progress | None
    gap: float
    bound: float = 0.0
    ended: Ended = Ended.WORK

    def goes_on(self, best: Best) -> bool:
        """Whether the search goes on."""
        if self.ended is not Ended.WORK:
            return False
        if time.monotonic() >= self.ends:
            self.ended = Ended.TIME
        elif self.progress is not None and not self.progress(best.total, self.bound, best.filled):
            self.ended = Ended.ASKED
        elif self.is_proven(best.readings):
            self.ended = Ended.PROVEN
        return self.ended is Ended.WORK

    def is_proven(self, cost: float) -> bool:
        """Whether readings that cost so much are near enough to the bound."""
        return self.bound > 0 and cost <= self.bound + self.gap * cost


def solve(
    problem: PlanProblem,
    limit_s: float = 20.0,
    *,
    steps: int | None = None,
    seed: int = 1,
    gap: float = GAP,
    progress: Progress | None = None,
) -> Solution:
    """Find a cheap plan.

    The plan in force, repaired where it breaks a rule, is the start; without one a plan is made place by
    place. Then it is made cheaper step by step; it never gets dearer.

    Args:
        problem: What has to be filled.
        limit_s: Wall seconds after which the search stops early. A first plan is always made.
        steps: How many steps the search may take; None for as many as suit the term. The same problem, seed
            and steps give the same plan unless the clock stops it.
        seed: Random seed.
        gap: Stop when proven within this share of the best.
        progress: Told the cost of the best plan, the bound and the places filled; False stops the search.

    Raises:
        InfeasiblePlanError: If no plan keeps all rules.
        PlanTimeoutError: If slots that must not stay open are still open, and no conflict was proven.
    """
    started = time.monotonic()
    watch = _Watch(started + limit_s, progress, gap)
    board = Board(problem)
    draft = begin(board)
    wanted = STEPS_BASE + STEPS_A_PLACE * board.size if steps is None else steps
    chance = random.Random(seed)  # noqa: S311 - a search, not a secret
    first = int(FIRST_SHARE * wanted)
    improve(draft, first, chance, watch.goes_on)
    if wanted:
        _relax(draft, watch)
    improve(draft, wanted - first, chance, watch.goes_on)
    _refuse_broken(draft, limit_s)
    slots = draft.slots()
    cost = check.cost(problem, slots)
    if watch.is_proven(cost.filled + cost.change):
        watch.ended = Ended.PROVEN
    return Solution(slots, cost, watch.bound, watch.ended, time.monotonic() - started)


def _relax(draft: Draft, watch: _Watch) -> None:
    """Bound the problem, and let what each piece is worth elsewhere lead the search from here on."""
    relaxation = Relaxation(draft.board, len(draft.open_places()))
    found = relaxation.solve(draft.held, lambda: watch.goes_on(best_of(draft)), ROUNDS)
    if found is not None:
        watch.bound = max(0.0, found.least)
        draft.worth = np.rint(found.worth).astype(np.int32)


def _refuse_broken(draft: Draft, limit_s: float) -> None:
    """Refuse a plan that misses pins, or has open places where none may be."""
    problem = draft.board.problem
    if draft.board.broken_pins or not draft.keeps_pins():
        raise InfeasiblePlanError((check.PINS,))
    if draft.open_places() and not problem.limits.may_leave_open:
        if len(problem.pieces) < problem.open_slots:
            raise InfeasiblePlanError((check.FILLED, check.ONCE))
        raise PlanTimeoutError(limit_s)
