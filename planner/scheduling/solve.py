"""Finding a cheap plan, with a bound that says how good it is."""

import math
import random
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from planner.errors import PlanError, PlanTimeoutError
from planner.scheduling import check
from planner.scheduling.answer import Ended, Solution
from planner.scheduling.explanation.explain import find_conflict, impossible_plan
from planner.scheduling.problem import PlanProblem
from planner.scheduling.search.board import Board
from planner.scheduling.search.bound import Bound, Relaxation
from planner.scheduling.search.draft import Draft
from planner.scheduling.search.greedy import begin, stays_whole
from planner.scheduling.search.improve import Best, best_of, improve
from planner.scheduling.search.refill import every_choice, refill

GAP = 0.02
"""A plan proven within this share of the best is called proven."""

STEPS_BASE, STEPS_A_PLACE = 4_000, 200
"""Steps of a search that is not given any: so many, and so many more for each place."""

FIRST_SHARE, AGAIN_SHARE = 0.1, 0.25
"""Shares of the steps: before the problem is bounded, which tells the others where to look; and for looking
again from a plan that stands."""

SETTLING = 4
"""How often a search looks again from what it found, until it finds nothing worth a change."""

ROUNDS = 25
"""Rounds in which the bound may look for more columns."""

SMALL = 400
"""Pairs of piece and sitting up to which a term is also weighed as a whole."""

LARGE, NEIGHBORS = 4_000, 3
"""Pairs from which on open days are weighed only with so many days before and after them."""

WINDOW, WINDOW_WORK, STEPS_A_WINDOW = 12, 1.0, 400
"""Places of days in a row that are weighed at once when a new plan is nearly made, the work for each such
window, and for how many steps there is one more. Source: measured on terms of 36 to 108 readings."""

NEAR_BEST = 0.2
"""Pieces are weighed where they raise the bound by at most this share of what the plan is above it. Source:
measured likewise."""

WORK = 8.0
"""Work for that, and for a try at days that would stay open, in the solver's own measure, about seconds."""

Progress = Callable[[int, float, int], bool]
"""Asked now and then with the cost of the best plan, the bound, and how many places it fills; False stops."""


@dataclass
class _Watch:
    """When to stop: the clock, a proof, or somebody who asks.

    Attributes:
        began, ends: On the monotonic clock.
        progress: Who may ask.
        gap: As for ``solve``.
        bound: The best bound so far.
        ended: Why the search was stopped; None while it was not.
    """

    began: float
    ends: float
    progress: Progress | None
    gap: float
    bound: float = 0.0
    ended: Ended | None = None

    def goes_on(self, best: Best) -> bool:
        """Whether the search goes on."""
        if self.ended is not None:
            return False
        if time.monotonic() >= self.ends:
            self.ended = Ended.TIME
        elif self.progress is not None and not self.progress(best.total, self.bound, best.filled):
            self.ended = Ended.ASKED
        return self.ended is None

    def seeks(self, best: Best) -> bool:
        """Whether the search goes on and is not yet good enough."""
        return self.goes_on(best) and not self.is_proven(best.readings)

    def is_proven(self, cost: float) -> bool:
        """Whether readings that cost so much are near enough to the bound."""
        return self.bound > 0 and cost <= self.bound + self.gap * cost

    @property
    def left_s(self) -> float:
        """Seconds left."""
        return max(0.01, self.ends - time.monotonic())


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
    place. Then it is made cheaper step by step; it never gets dearer. What is found is looked at again as if
    it were in force until nothing is worth a change, so that planning again with nothing new changes nothing.

    Args:
        problem: What has to be filled.
        limit_s: Wall seconds after which the search stops early. A first plan is always made; the explanation
            of a conflict may take as long again.
        steps: How many steps the search may take; None for as many as suit the term. The same problem, seed
            and steps give the same plan unless the clock stops it.
        seed: Random seed.
        gap: Stop when proven within this share of the best.
        progress: Told the cost of the best plan, the bound and the places filled; False stops the search.

    Raises:
        InfeasiblePlanError: If no plan keeps all rules.
        PlanTimeoutError: If slots that must not stay open are still open, and no conflict was proven.
    """
    began = time.monotonic()
    watch = _Watch(began, began + limit_s, progress, gap)
    board = Board(problem)
    wanted = STEPS_BASE + STEPS_A_PLACE * board.size if steps is None else steps
    draft = begin(board)
    if not draft.keeps_pins():
        refill(draft, problem.free_days, {}, work=WORK, seed=seed, limit_s=watch.left_s, must=True)
    if not draft.keeps_pins() or board.broken_pins:
        raise _refusal(problem, limit_s)
    is_new = not problem.stands or not stays_whole(draft)
    if is_new:
        _search(draft, wanted, seed, watch)
        _fill_days(draft, seed, watch)
    _settle(draft, int(AGAIN_SHARE * wanted), seed, watch)
    if sum(board.choices) <= SMALL:
        _weigh_all(draft, seed, watch)
    elif not is_new and wanted:
        _relax(draft, watch)
    return _answer(draft, limit_s, watch)


def _search(draft: Draft, steps: int, seed: int, watch: _Watch) -> None:
    """Make a first plan cheaper, the bound leading the way after a while."""
    chance = random.Random(seed)  # noqa: S311 - a search, not a secret
    first = int(FIRST_SHARE * steps)
    improve(draft, first, chance, watch.seeks)
    found = _relax(draft, watch, share=0.5) if steps else None
    improve(draft, steps - first, chance, watch.seeks)
    if found is not None:
        _weigh_windows(draft, found, steps // STEPS_A_WINDOW, seed, watch)


def _weigh_windows(draft: Draft, bound: Bound, most: int, seed: int, watch: _Watch) -> None:
    """Weigh a few days in a row at once, window by window, among the pieces the bound finds promising.

    Args:
        draft: The plan so far; it never gets dearer.
        bound: Says which pieces those are.
        most: Windows to weigh at most; fewer when a whole round of them changes nothing.
        seed: Random seed.
        watch: When to stop.
    """
    windows, idle = _windows(draft.board), 0
    for done in range(most if windows else 0):
        best = best_of(draft)
        if not watch.seeks(best) or idle == len(windows):
            return
        slack = NEAR_BEST * (best.readings - bound.least)
        near = {at: np.flatnonzero(costs <= slack).tolist() for at, costs in enumerate(bound.excess)}
        weighed = refill(
            draft, windows[done % len(windows)], near, work=WINDOW_WORK, seed=seed, limit_s=watch.left_s
        )
        idle = 0 if weighed.is_changed else idle + 1


def _windows(board: Board) -> list[list[int]]:
    """Runs of free days with about ``WINDOW`` places, each half over the one before."""
    days = list(board.problem.free_days)
    a_day = max(1, board.size // max(1, len(days)))
    many = max(2, WINDOW // a_day)
    return [
        days[first : first + many] for first in range(0, max(1, len(days) - many // 2), max(1, many // 2))
    ]


def _relax(draft: Draft, watch: _Watch, share: float = 1.0) -> Bound | None:
    """Bound the problem, and let what each piece is worth elsewhere lead the search from here on.

    Args:
        draft: The plan so far.
        watch: Kept up to date.
        share: Share of the time left that it may take.
    """
    best, ends = best_of(draft), time.monotonic() + share * watch.left_s
    relaxation = Relaxation(draft.board, draft.board.size - best.filled)
    found = relaxation.solve(draft.held, lambda: watch.goes_on(best) and time.monotonic() < ends, ROUNDS)
    if found is not None:
        watch.bound = max(watch.bound, float(math.ceil(found.least)))  # plans cost whole numbers
        draft.worth = np.rint(found.worth).astype(np.int32)
    return found


def _settle(draft: Draft, steps: int, seed: int, watch: _Watch) -> None:
    """Look again from the plan as if it were in force, until nothing is worth a change."""
    for _ in range(SETTLING):
        slots = draft.slots()
        again = begin(draft.board.standing(slots))
        improve(again, steps, random.Random(seed), watch.goes_on)  # noqa: S311
        if again.slots() == slots:
            return
        draft.hold(again.held)


def _fill_days(draft: Draft, seed: int, watch: _Watch) -> None:
    """Try to fill days that are still open by weighing them together with others."""
    board = draft.board
    able = [int((suit.may_stand & draft.is_unused).sum()) for suit in board.suits]
    if not draft.open_places() or not any(able):
        return
    days: Sequence[int] = board.problem.free_days
    if sum(board.choices) > LARGE:
        left_open = {board.day_of[place] for place in draft.open_places()}
        days = [day for day in days if any(abs(day - other) <= NEIGHBORS for other in left_open)]
    refill(draft, days, every_choice(board), work=WORK, seed=seed, limit_s=watch.left_s)


def _weigh_all(draft: Draft, seed: int, watch: _Watch) -> None:
    """Weigh the whole of a small term at once: the best plan, and the proof of it, if the work is enough."""
    board = draft.board
    weighed = refill(
        draft,
        board.problem.free_days,
        every_choice(board),
        work=WORK,
        seed=seed,
        limit_s=watch.left_s,
    )
    if weighed.least is not None:
        open_costs = sorted((board.open_cost[day] for day in board.day_of), reverse=True)
        unread = sum(open_costs[: len(draft.open_places())])
        watch.bound = max(watch.bound, weighed.least - unread)


def _answer(draft: Draft, limit_s: float, watch: _Watch) -> Solution:
    """What was found.

    Raises:
        InfeasiblePlanError: If places may not stay open but must.
        PlanTimeoutError: If they do, and it is not known that they must.
    """
    problem = draft.board.problem
    if draft.open_places() and not problem.limits.may_leave_open:
        raise _refusal(problem, limit_s)
    slots = draft.slots()
    cost = check.cost(problem, slots)
    ended = watch.ended or Ended.WORK
    if watch.is_proven(cost.filled + cost.change):
        ended = Ended.PROVEN
    return Solution(slots, cost, watch.bound, ended, time.monotonic() - watch.began)


def _refusal(problem: PlanProblem, limit_s: float) -> PlanError:
    """Why there is no plan: a conflict, or only too little time."""
    conflict = find_conflict(problem, limit_s)
    return PlanTimeoutError(limit_s) if conflict is None else impossible_plan(conflict)
