"""Weighing many days at once, exactly, among the pieces that the bound finds promising."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.scheduling.search.board import Board
from planner.scheduling.search.bound import Bound
from planner.scheduling.search.draft import Draft
from planner.scheduling.search.improve import Best, best_of
from planner.scheduling.search.refill import refill
from planner.scheduling.search.watch import Watch

NARROW, WIDE = (12, 1.0), (24, 3.0)
"""Places of days in a row that are weighed at once, and the most work for each such window."""

PROMISING = 25
"""Pieces of each sitting that are weighed in a window: those that raise the bound least."""

WHOLE, WHOLE_WORK = 1_300, 8.0
"""Pairs of sitting and piece up to which a term is weighed as a whole, and the most work for that.

Source of all: measured on terms of 36 to 108 readings.
"""


@dataclass(frozen=True, slots=True)
class Promise:
    """The pieces of each sitting that are worth weighing.

    Attributes:
        choices: By sitting.
        is_complete: Whether no cheaper plan has a piece that is not among them.
    """

    choices: dict[int, list[int]]
    is_complete: bool

    @property
    def pairs(self) -> int:
        """Pairs of sitting and piece."""
        return sum(map(len, self.choices.values()))


def promising(bound: Bound, best: Best, most: int | None = None) -> Promise:
    """The pieces with which a plan that fills as many places could still be cheaper than the best one.

    Args:
        bound: Says by how much each piece raises it.
        best: The best plan so far.
        most: How many of each sitting at most, those that raise it least; None for all.
    """
    room = best.readings - bound.least
    choices, is_cut = {}, False
    for at, costs in enumerate(bound.excess):
        able = np.flatnonzero(costs <= room)
        if most is not None and len(able) > most:
            able, is_cut = able[np.argsort(costs[able], kind="stable")[:most]], True
        choices[at] = sorted(able.tolist())
    is_about_such_plans = bound.still_open == len(best.held) - best.filled
    return Promise(choices, bound.is_tight and is_about_such_plans and not is_cut)


def weigh_days(
    draft: Draft, bound: Bound, work: float, seed: int, watch: Watch, goes_on: Callable[[Best], bool]
) -> float | None:
    """Weigh narrow windows, then the whole term where few pieces are promising, wide windows where many are.

    Args:
        draft: The plan; it never gets dearer.
        bound: Says which pieces are promising.
        work: How much the solver may work in all, in its own measure, about seconds.
        seed: Random seed.
        watch: Says how much time is left.
        goes_on: Asked before each is weighed with the best plan so far; False ends it.

    Returns:
        What no plan with every place filled undercuts; None where the term was not weighed as a whole.
    """
    work = _weigh_windows(draft, bound, NARROW, work, seed, watch, goes_on)
    best = best_of(draft)
    promise = promising(bound, best)
    if not promise.is_complete or promise.pairs > WHOLE:
        _weigh_windows(draft, bound, WIDE, work, seed, watch, goes_on)
        return None
    if work <= 0 or not goes_on(best):
        return None
    days, work = draft.board.problem.free_days, min(work, WHOLE_WORK)
    weighed = refill(draft, days, promise.choices, work=work, seed=seed, limit_s=watch.left_s)
    return weighed.least if best.filled == draft.board.size else None


def _weigh_windows(
    draft: Draft,
    bound: Bound,
    span: tuple[int, float],
    work: float,
    seed: int,
    watch: Watch,
    goes_on: Callable[[Best], bool],
) -> float:
    """Weigh window after window until none changes anything; the work that is left."""
    places, most = span
    windows, idle, at = runs_of_days(draft.board, places), 0, 0
    while idle < len(windows):
        best = best_of(draft)
        if work <= 0 or not goes_on(best):
            break
        choices = promising(bound, best, PROMISING).choices
        weighed = refill(draft, windows[at], choices, work=min(most, work), seed=seed, limit_s=watch.left_s)
        work -= weighed.work
        idle = 0 if weighed.is_changed else idle + 1
        at = (at + 1) % len(windows)
    return work


def runs_of_days(board: Board, places: int) -> list[list[int]]:
    """Runs of free days with about so many places, each half over the one before."""
    days = list(board.problem.free_days)
    a_day = max(1, board.size // max(1, len(days)))
    many = max(2, places // a_day)
    return [
        days[first : first + many] for first in range(0, max(1, len(days) - many // 2), max(1, many // 2))
    ]
