"""Filling places of many days at once: a flow shares pieces out so that all of them together cost least."""

import random
from collections.abc import Sequence

import numpy as np
from ortools.graph.python import min_cost_flow  # type: ignore[import-untyped]

from planner.scheduling.search.board import NEVER
from planner.scheduling.search.draft import OPEN, Draft

CHOICES = 25
"""Cheapest pieces of each place among which the flow chooses, besides those that are there."""

SPACING = (1, 2, 2, 3)
"""One day of so many gives a place. Days that do not touch do not change each other's costs."""

Arc = tuple[int, int, int]
"""Place, by its number in the list, piece, and what the piece costs there."""


def places_apart(draft: Draft, chance: random.Random) -> list[int]:
    """One place each of every second day or so."""
    board = draft.board
    days = [day for day in board.problem.free_days if board.places_on[day]]
    step = chance.choice(SPACING)
    return [chance.choice(board.places_on[day]) for day in days[chance.randrange(step) :: step]]


def share_out(draft: Draft, places: Sequence[int]) -> None:
    """Open places and fill them so that, each by itself, they cost least together."""
    taken = {draft.take(place)[0] for place in places} - {OPEN}
    arcs = [(at, *arc) for at, place in enumerate(places) for arc in _choices(draft, place, taken)]
    for at, piece in _cheapest(arcs, len(places)) if arcs else ():
        if draft.may_hold(places[at], piece):
            draft.put(places[at], draft.best_dress(piece, draft.dress_prices(places[at])))


def _choices(draft: Draft, place: int, taken: set[int]) -> list[tuple[int, int]]:
    """The pieces that cost least in an open place, and those that may come back there, with their costs."""
    costs = draft.costs(place, draft.prices(place))
    costs[~draft.allowed(place)] = NEVER
    many = min(CHOICES, len(costs))
    near = set(np.argpartition(costs, many - 1)[:many].tolist()) | taken if many else taken
    return [(piece, int(costs[piece])) for piece in sorted(near) if costs[piece] < NEVER // 2]


def _cheapest(arcs: Sequence[Arc], places: int) -> list[tuple[int, int]]:
    """Which piece each place takes, each piece once, so that the sum is least; a place may take none."""
    row = {piece: places + at for at, piece in enumerate(sorted({piece for _, piece, _ in arcs}))}
    source, sink = places + len(row), places + len(row) + 1
    ends = [(at, row[piece], cost) for at, piece, cost in arcs]
    ends += [(source, at, 0) for at in range(places)]
    ends += [(at, sink, 0) for at in range(places)]
    ends += [(each, sink, 0) for each in row.values()]
    tails, heads, costs = np.array(ends, dtype=np.int64).T
    flow = min_cost_flow.SimpleMinCostFlow()
    flow.add_arcs_with_capacity_and_unit_cost(tails, heads, np.ones(len(ends), dtype=np.int64), costs)
    flow.set_node_supply(source, places)
    flow.set_node_supply(sink, -places)
    if flow.solve() != flow.OPTIMAL:
        return []
    used = flow.flows(np.arange(len(arcs)))
    return [(at, piece) for (at, piece, _), is_used in zip(arcs, used, strict=True) if is_used]
