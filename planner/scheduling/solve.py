"""Finding a cheap plan, with a bound that says how good it is."""

import math
import random
import time
from collections.abc import Sequence

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
from planner.scheduling.search.improve import best_of, improve
from planner.scheduling.search.refill import every_choice, refill
from planner.scheduling.search.watch import Progress, Watch
from planner.scheduling.search.windows import weigh_days

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

STEPS_A_WORK = 600
"""For how many steps there is one more of the solver's own measure of work, for days weighed at once. Source:
measured on terms of 36 to 108 readings."""

ROUNDING = 1e-6
"""Slack for the solver's own bound, as plans cost whole numbers."""

WORK, LEAST_WORK = 8.0, 1.0
"""Work for a small term as a whole, and for a try at days that would stay open, in the solver's own measure,
about seconds; less where fewer steps than suit the term are asked for, and at least so much."""

WORTH_SHARE = 0.05
"""Share of its cost that a plan in force must gain before days that the steps leave are weighed anew together
(house choice: a smaller gain is not worth announcing several days anew)."""


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
    watch = Watch(began + limit_s, progress, gap)
    board = Board(problem)
    suited = STEPS_BASE + STEPS_A_PLACE * board.size
    wanted = suited if steps is None else steps
    work = max(LEAST_WORK, WORK * min(1.0, wanted / suited))
    draft = begin(board)
    if not draft.keeps_pins():
        refill(draft, problem.free_days, {}, work=work, seed=seed, limit_s=watch.left_s, must=True)
    if not draft.keeps_pins() or board.broken_pins:
        raise _refusal(problem, limit_s)
    is_new = not problem.stands or not stays_whole(draft)
    is_small = sum(board.choices) <= SMALL
    if is_new:
        _search(draft, wanted, seed, watch)
        _fill_days(draft, work, seed, watch)
    least = None if is_small else WORTH_SHARE if problem.stands else 0.0
    _settle(draft, int(AGAIN_SHARE * wanted), seed, watch, least)
    if is_small:
        _weigh_all(draft, work, seed, watch)
    elif not is_new and wanted:
        _relax(draft, watch)
    return _answer(draft, limit_s, watch, began)


def _search(draft: Draft, steps: int, seed: int, watch: Watch) -> None:
    """Make a first plan cheaper, the bound leading the way after a while."""
    chance = random.Random(seed)  # noqa: S311 - a search, not a secret
    first = int(FIRST_SHARE * steps)
    improve(draft, first, chance, watch.seeks)
    found = _relax(draft, watch, share=0.5) if steps else None
    improve(draft, steps - first, chance, watch.seeks)
    if found is None or draft.board.problem.stands:  # what stands is repaired, not made anew
        return
    least = weigh_days(draft, found, steps / STEPS_A_WORK, seed, watch, watch.seeks)
    if least is not None:
        watch.bound = max(watch.bound, float(math.ceil(least - ROUNDING)))


def _relax(draft: Draft, watch: Watch, share: float = 1.0) -> Bound | None:
    """Bound the problem, and let what each piece is worth elsewhere lead the search from here on.

    Args:
        draft: The plan so far.
        watch: Kept up to date.
        share: Share of the time left that it may take.
    """
    if not draft.board.problem.focuses:
        return None  # no piece trains anything: there is no column, and every slot stays open
    best, ends = best_of(draft), time.monotonic() + share * watch.left_s
    relaxation = Relaxation(draft.board, draft.board.size - best.filled)
    found = relaxation.solve(draft.held, lambda: watch.goes_on(best) and time.monotonic() < ends, ROUNDS)
    if found is not None:
        watch.bound = max(watch.bound, float(math.ceil(found.least)))  # plans cost whole numbers
        draft.worth = np.rint(found.worth).astype(np.int32)
    return found


def _settle(draft: Draft, steps: int, seed: int, watch: Watch, least: float | None) -> None:
    """Look again from the plan as if it were in force, until nothing is worth a change.

    Args:
        draft: The plan.
        steps: Of each look.
        seed: Random seed.
        watch: When to stop.
        least: Where steps find nothing, many days are weighed at once, for at least this share of the cost;
            None where they are not.
    """
    for _ in range(SETTLING):
        slots = draft.slots()
        again = begin(draft.board.standing(slots))
        improve(again, steps, random.Random(seed), watch.goes_on)  # noqa: S311
        if least is not None and steps and again.slots() == slots:
            before = again.total
            _look_wider(again, steps / STEPS_A_WORK, seed, watch)
            if before - again.total < least * before:
                return
        if again.slots() == slots:
            return
        draft.hold(again.held)


def _look_wider(draft: Draft, work: float, seed: int, watch: Watch) -> None:
    """Weigh many days of a plan in force at once."""
    relaxation = Relaxation(draft.board, len(draft.open_places()))
    found = relaxation.solve(draft.held, lambda: watch.goes_on(best_of(draft)), ROUNDS)
    if found is not None:
        weigh_days(draft, found, work, seed, watch, watch.goes_on)


def _fill_days(draft: Draft, work: float, seed: int, watch: Watch) -> None:
    """Try to fill days that are still open by weighing them together with others."""
    board = draft.board
    able = [int((suit.may_stand & draft.is_unused).sum()) for suit in board.suits]
    if not draft.open_places() or not any(able):
        return
    days: Sequence[int] = board.problem.free_days
    if sum(board.choices) > LARGE:
        left_open = {board.day_of[place] for place in draft.open_places()}
        days = [day for day in days if any(abs(day - other) <= NEIGHBORS for other in left_open)]
    refill(draft, days, every_choice(board), work=work, seed=seed, limit_s=watch.left_s)


def _weigh_all(draft: Draft, work: float, seed: int, watch: Watch) -> None:
    """Weigh the whole of a small term at once: the best plan, and the proof of it, if the work is enough."""
    board = draft.board
    weighed = refill(
        draft,
        board.problem.free_days,
        every_choice(board),
        work=work,
        seed=seed,
        limit_s=watch.left_s,
    )
    if weighed.least is not None:
        open_costs = sorted((board.open_cost[day] for day in board.day_of), reverse=True)
        unread = sum(open_costs[: len(draft.open_places())])
        watch.bound = max(watch.bound, weighed.least - unread)


def _answer(draft: Draft, limit_s: float, watch: Watch, began: float) -> Solution:
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
    return Solution(slots, cost, watch.bound, ended, time.monotonic() - began)


def _refusal(problem: PlanProblem, limit_s: float) -> PlanError:
    """Why there is no plan: a conflict, or only too little time."""
    conflict = find_conflict(problem, limit_s)
    return PlanTimeoutError(limit_s) if conflict is None else impossible_plan(conflict)
