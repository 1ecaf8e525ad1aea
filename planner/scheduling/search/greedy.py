"""A first plan: the pieces that stand, pins, then place by place the piece that costs least."""

from collections import deque

import numpy as np

from planner.core.term import Slot
from planner.scheduling.problem import OPEN_PIECE
from planner.scheduling.search.board import NEVER, Board
from planner.scheduling.search.draft import OPEN, Draft

PLENTY = 3
"""Sittings with more choices than so many times all places are filled day by day, scarcer ones before."""


def begin(board: Board) -> Draft:
    """A plan that keeps every rule but, where pieces are few, leaves places open.

    What stands stays wherever the rules let it.
    """
    draft = Draft(board)
    _put_pins(draft)
    for slot in board.problem.stands:
        _put_standing(draft, slot)
    for place in in_order(board, draft.open_places()):
        draft.fill(place)
    fill_open(draft)
    return draft


def stays_whole(draft: Draft) -> bool:
    """Whether a draft just begun is the plan in force: nothing lost, nothing added."""
    board = draft.board
    stands = sorted((s.on, s.piece_id) for s in board.problem.stands if s.piece_id != OPEN_PIECE)
    days = board.problem.days
    now = sorted(
        (days[board.day_of[place]].on, board.pieces[held[0]].piece_id)
        for place, held in enumerate(draft.held)
        if held[0] != OPEN
    )
    return stands == now


def in_order(board: Board, places: list[int]) -> list[int]:
    """Places in the order in which they are best filled: those with few choices first, then day by day."""
    cap = PLENTY * board.size
    return sorted(places, key=lambda p: (min(cap, board.choices[board.sitting_of[p]]), p))


def _put_pins(draft: Draft) -> None:
    """Put every pinned piece on its day; those without a day where they cost least."""
    board = draft.board
    for piece, day in sorted(board.pins, key=lambda pin: (pin[1] is None, pin)):
        if draft.where.get(piece):
            continue
        places = draft.open_places() if day is None else board.places_on[day]
        put_cheapest(draft, piece, [place for place in places if draft.held[place][0] == OPEN])


def put_cheapest(draft: Draft, piece: int, places: list[int]) -> bool:
    """Put a piece where it costs least among open places, if it may stand at one of them."""
    best = None
    for place in places:
        if draft.allowed(place)[piece]:
            prices = draft.prices(place)
            held = draft.best_dress(piece, prices)
            cost = draft.price_of(place, held)
            if best is None or cost < best[0]:
                best = cost, place, held
    if best is None:
        return False
    draft.put(best[1], best[2])
    return True


def _put_standing(draft: Draft, slot: Slot) -> None:
    """Leave a piece of the plan in force where it is, with its focus and its turn, if the rules let it."""
    board, problem = draft.board, draft.board.problem
    sitting, piece = problem.sitting_of(slot), board.index_of.get(slot.piece_id)
    if sitting is None or piece is None:
        return
    at = board.sittings.index(sitting)
    place = next((p for p in board.places_of[at] if draft.held[p][0] == OPEN), None)
    if place is None or not draft.allowed(place)[piece]:
        return
    prices = draft.prices(place)
    _, focus, turn = draft.best_dress(piece, prices)
    names = [name for name, _, _ in problem.focuses]
    if slot.focus in names and board.focus_cost[names.index(slot.focus), piece] < NEVER:
        focus = names.index(slot.focus)
    if slot.featured_section_id is None:
        turn = len(board.turns)
    elif slot.featured_section_id in board.turns:
        row = board.turns.index(slot.featured_section_id)
        if prices.turn[row] < NEVER and board.feature_cost[row, piece] < NEVER:
            turn = row
    draft.put(place, (piece, focus, turn))


def fill_open(draft: Draft) -> None:
    """Fill open places by moving pieces on along a chain that ends at a piece not used yet."""
    for place in in_order(draft.board, draft.open_places()):
        if draft.held[place][0] == OPEN and not draft.fill(place):
            chain = _chain(draft, place)
            if chain is None:
                _make_room(draft, place)
            else:
                _move_along(draft, chain)


def _chain(draft: Draft, start: int) -> list[int] | None:
    """Shortest run of places, each taking the piece of the next, whose last can take an unused piece."""
    board = draft.board
    came: dict[int, int] = {start: start}
    queue = deque([start])
    while queue:
        place = queue.popleft()
        at = board.sitting_of[place]
        for other in range(board.size):
            piece = draft.held[other][0]
            if other in came or piece == OPEN or piece in board.pinned or len(draft.where[piece]) > 1:
                continue
            own = draft.held[place][0]
            room = draft.minutes_left[at] + (0 if own == OPEN else int(board.minutes[own]))
            if board.sitting_of[other] == at or not board.suits[at].may_stand[piece]:
                continue
            if board.minutes[piece] > room:
                continue
            came[other] = place
            if _unused_for(draft, other):
                chain = [other]
                while chain[-1] != start:
                    chain.append(came[chain[-1]])
                return chain[::-1]
            queue.append(other)
    return None


def _unused_for(draft: Draft, place: int) -> bool:
    board, at = draft.board, draft.board.sitting_of[place]
    room = draft.minutes_left[at] + int(board.minutes[draft.held[place][0]])
    return bool((board.suits[at].may_stand & draft.is_unused & (board.minutes <= room)).any())


def _move_along(draft: Draft, chain: list[int]) -> None:
    before, total = list(draft.held), draft.total
    moved = [draft.take(place)[0] for place in chain[1:]]
    done = all(
        put_cheapest(draft, piece, [place]) for place, piece in zip(chain, moved, strict=False)
    ) and draft.fill(chain[-1])
    if not done or draft.total >= total:
        draft.restore(before, chain, total)


def _make_room(draft: Draft, place: int) -> None:
    """Fill an open place of a day that is full of minutes by giving its sitting the shortest pieces."""
    board, at = draft.board, draft.board.sitting_of[place]
    before, total = list(draft.held), draft.total
    opened = [p for p in board.places_of[at] if draft.held[p][0] not in board.pinned]
    for each in opened:
        draft.take(each)
    for each in opened:
        allowed = draft.allowed(each)
        if allowed.any():
            shortest = int(np.argmin(np.where(allowed, board.minutes, NEVER)))
            draft.put(each, draft.best_dress(shortest, draft.prices(each)))
    if draft.total >= total:
        draft.restore(before, opened, total)
