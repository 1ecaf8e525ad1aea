"""Making a plan cheaper by steps: some places are opened and filled again, and what is worse is undone."""

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from planner.scheduling.search.draft import OPEN, Draft, Held
from planner.scheduling.search.greedy import put_cheapest
from planner.scheduling.search.trade import places_apart, share_out

OPENED = (2, 3, 4, 5, 6, 8, 10)
"""How many places a step opens and fills again: one of these."""

TRADED, NEAR = (1, 2, 2, 2, 3, 3, 4), 6
"""How many places a step lets trade pieces, and within how many places of each other, half of the time."""

SHARED, PERMUTED, RANKED = 0.06, 0.5, 0.05
"""Share of the steps that share pieces out among places of many days; of the others those that only trade
pieces; and how often a place takes the second best piece."""

WARM, COLD, STILL = 8.0, 0.3, 0.9
"""By how much a step may make a plan worse, in the mean, at first and at last, and the share of the steps at
which the last is reached.

Source of all: measured on terms of 36 to 108 readings.
"""


@dataclass(frozen=True, slots=True)
class Best:
    """The cheapest plan met so far.

    Attributes:
        held: What its places hold.
        total: What it costs.
        filled: How many places it fills.
        readings: What it costs without its open places.
    """

    held: tuple[Held, ...]
    total: int
    filled: int
    readings: int


def best_of(draft: Draft) -> Best:
    """A draft as it is."""
    left_open = draft.open_places()
    unread = sum(draft.board.open_cost[draft.board.day_of[place]] for place in left_open)
    return Best(tuple(draft.held), draft.total, draft.board.size - len(left_open), draft.total - unread)


def improve(draft: Draft, steps: int, chance: random.Random, goes_on: Callable[[Best], bool]) -> None:
    """Make a plan cheaper.

    Args:
        draft: The plan; afterwards the best one met.
        steps: How many steps to try.
        chance: Where randomness comes from.
        goes_on: Asked before every step with the best plan so far; False ends the search.
    """
    best = best_of(draft)
    for done in range(steps if draft.board.size else 0):
        if not goes_on(best):
            break
        warm = max(COLD, WARM * (1 - done / (STILL * steps)))
        _step(draft, chance, draft.total - warm * math.log(1 - chance.random()))
        if draft.total < best.total:
            best = best_of(draft)
    draft.restore(best.held, range(draft.board.size), best.total)


def _step(draft: Draft, chance: random.Random, most: float) -> None:
    """Open a few places and fill them again; undone when the plan then costs more than ``most``."""
    if chance.random() < SHARED:
        opened = places_apart(draft, chance)
        before, total = list(draft.held), draft.total
        share_out(draft, opened)
        kept = draft.keeps_pins()
    elif chance.random() < PERMUTED:
        opened = _together(draft, chance)
        before, total = list(draft.held), draft.total
        kept = _permute(draft, opened, chance)
    else:
        opened = _opened(draft, chance)
        before, total = list(draft.held), draft.total
        kept = _refill(draft, opened, chance)
    if not kept or draft.total > max(total, most):
        draft.restore(before, opened, total)


def _permute(draft: Draft, opened: list[int], chance: random.Random) -> bool:
    """Let the pieces of these places trade places, each with the focus and turn that suit it there."""
    pieces = [draft.take(place)[0] for place in opened]
    moved = [*pieces[1:], pieces[0]]
    order = list(zip(opened, moved, strict=True))
    chance.shuffle(order)
    for place, piece in order:
        if piece == OPEN:
            continue
        if not draft.may_hold(place, piece):
            return False
        draft.put(place, draft.best_dress(piece, draft.dress_prices(place)))
    return True


def _refill(draft: Draft, opened: list[int], chance: random.Random) -> bool:
    """Fill places again with whatever costs least, pinned pieces first."""
    pinned = []
    for place in opened:
        piece = draft.take(place)[0]
        if piece in draft.board.pinned and not draft.where[piece]:
            pinned.append(piece)
    chance.shuffle(opened)
    if not all(put_cheapest(draft, piece, _open_for(draft, piece, opened)) for piece in pinned):
        return False
    for place in opened:
        if draft.held[place][0] == OPEN:
            draft.fill(place, rank=1 if chance.random() < RANKED else 0)
    return True


def _together(draft: Draft, chance: random.Random) -> list[int]:
    """Places that may trade pieces: one to four, near each other in time or anywhere."""
    size = draft.board.size
    many = min(size, chance.choice(TRADED))
    first = chance.randrange(size)
    if chance.random() < 0.5:
        reach = range(max(0, first - NEAR), min(size, first + NEAR + 1))
        return chance.sample(reach, min(many, len(reach)))
    return chance.sample(range(size), many)


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
