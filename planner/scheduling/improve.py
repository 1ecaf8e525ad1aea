"""Making a plan cheaper by steps: some places are opened and filled again, and what is worse is undone."""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from planner.scheduling.draft import OPEN, Draft, Held
from planner.scheduling.greedy import put_cheapest

OPENED = (1, 2, 2, 3, 3, 4, 5, 6)
"""How many places a step opens: one of these."""

WARM = 0.004
"""Share of the cost by which a plan may get worse at the start of the search; it falls to nothing."""


@dataclass
class Best:
    """The cheapest plan met so far."""

    held: list[Held]
    total: int


def improve(draft: Draft, steps: int, chance: random.Random, go: Callable[[int], bool]) -> int:
    """Make a plan cheaper.

    Args:
        draft: The plan; afterwards the best one met.
        steps: How many steps to try.
        chance: Where randomness comes from.
        go: Asked before every step with the best cost so far; False ends the search.

    Returns:
        Steps done.
    """
    best = Best(list(draft.held), draft.total)
    done = 0
    for done in range(steps):
        if not go(best.total):
            break
        slack = WARM * abs(best.total) * max(0.0, 1 - done / (0.8 * steps))
        _step(draft, chance, best.total + slack * chance.random())
        if draft.total < best.total:
            best = Best(list(draft.held), draft.total)
    else:
        done = steps
    draft.restore(best.held, range(draft.board.size))
    return done


def _step(draft: Draft, chance: random.Random, most: float) -> None:
    """Open a few places and fill them again; undone when the plan then costs more than ``most``."""
    board = draft.board
    if not board.size:
        return
    opened = _opened(draft, chance)
    before, total = list(draft.held), draft.total
    pinned = []
    for place in opened:
        piece = draft.take(place)[0]
        if piece in board.pinned and not draft.where[piece]:
            pinned.append(piece)
    chance.shuffle(opened)
    kept = all(put_cheapest(draft, piece, _open_for(draft, piece, opened)) for piece in pinned)
    for place in opened:
        if kept and draft.held[place][0] == OPEN:
            draft.fill(place, rank=1 if chance.random() < 0.1 else 0)
    if not kept or draft.total > max(total, most):
        draft.restore(before, opened)


def _open_for(draft: Draft, piece: int, opened: Sequence[int]) -> list[int]:
    days = draft.board.pinned[piece]
    return [
        place
        for place in opened
        if draft.held[place][0] == OPEN and (not days or draft.board.day_of[place] in days)
    ]


def _opened(draft: Draft, chance: random.Random) -> list[int]:
    """Which places a step opens: any, or those of a few days in a row, with the open ones now and then."""
    board = draft.board
    many = min(board.size, chance.choice(OPENED))
    first = chance.randrange(board.size)
    kind = chance.random()
    if kind < 0.4:
        return chance.sample(range(board.size), many)
    if kind < 0.8:
        return [(first + n) % board.size for n in range(many)]
    opened = draft.open_places()
    if opened and kind < 0.9:
        sitting = board.places_of[board.sitting_of[chance.choice(opened)]]
        others = [p for p in chance.sample(range(board.size), many) if p not in sitting]
        return [*sitting, *others]
    piece = draft.held[first][0]
    if piece == OPEN:
        return [first]
    near = [
        place
        for place in range(board.size)
        if draft.held[place][0] != OPEN and board.suits[board.sitting_of[place]].may_stand[piece]
    ]
    near = chance.sample(near, min(len(near), many)) if near else []
    return [first, *(place for place in near if place != first)]


