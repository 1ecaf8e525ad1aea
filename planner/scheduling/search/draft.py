"""A plan while it is being searched for: pieces in places, and what each further one would cost.

The cost is kept up to date place by place and equals that of ``check`` at any time; a test holds it
against that.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from planner.core.term import Slot
from planner.levels.many_readings import Bools
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE
from planner.scheduling.search.board import NEVER, Board, Ints
from planner.scheduling.search.tallies import AlikeTally, FocusTally, TurnTally

OPEN = -1
"""Piece index of an open place, and what it trains and features."""

Held = tuple[int, int, int]
"""What a place holds: piece, focus and turn, as indices; the number of turns means nobody."""

NOTHING: Held = (OPEN, OPEN, OPEN)


@dataclass(frozen=True, slots=True)
class Prices:
    """What filling one open place would cost besides the piece's own tables.

    Attributes:
        focus: For each focus.
        turn: For each turn, and for nobody.
        trait: For each trait, and 0 for none; None when all are 0.
        hard: For a piece that is too hard for some section.
    """

    focus: Ints
    turn: Ints
    trait: Ints | None
    hard: int


class Draft:
    """Places and what they hold.

    Attributes:
        board: The problem.
        held: For each place what it holds.
        total: What the plan costs, ``check.cost(...).total``.
        worth: What each piece would save elsewhere, which counts when a place chooses; None for nothing.
        where: For each piece used so far the places that hold it.
    """

    def __init__(self, board: Board) -> None:
        self.board = board
        self.held: list[Held] = [NOTHING] * board.size
        self.worth: Ints | None = None
        self.where: dict[int, list[int]] = {}
        self.is_unused = board.sets > 0
        self.minutes_left = list(board.room)
        self.focuses = FocusTally(board)
        self.turns = TurnTally(board)
        self.alike = AlikeTally(board)
        self.total = check.cost(board.problem, self.slots()).total

    def prices(self, place: int) -> Prices:
        """What filling an open place would cost, with all others as they are."""
        at, day = self.board.sitting_of[place], self.board.day_of[place]
        return Prices(
            self.focuses.prices(day),
            self.turns.prices(day, at),
            self.alike.trait_prices(day),
            self.alike.hard_price(day),
        )

    def dress_prices(self, place: int) -> Prices:
        """Prices of focuses and turns alone."""
        at, day = self.board.sitting_of[place], self.board.day_of[place]
        return Prices(self.focuses.prices(day), self.turns.prices(day, at), None, 0)

    def may_hold(self, place: int, piece: int) -> bool:
        """Whether the rules let one piece into an open place, with all others as they are."""
        board, at = self.board, self.board.sitting_of[place]
        return bool(
            board.suits[at].may_stand[piece]
            and board.minutes_row[piece] <= self.minutes_left[at]
            and (
                self.is_unused[piece]
                or (board.sittings[at].station is not None and self._may_share(piece, place))
            )
        )

    def costs(self, place: int, prices: Prices) -> Ints:
        """For each piece what it costs to put it into an open place; whether it may is not asked."""
        board, at = self.board, self.board.sitting_of[place]
        day = board.day_of[place]
        suit = board.suits[at]
        costs: Ints = suit.cost - board.open_cost[day]
        costs += (board.focus_cost + prices.focus[:, None]).min(axis=0, initial=2 * NEVER)
        if board.turns:
            costs += (board.feature_cost + prices.turn[:, None]).min(axis=0)
        if prices.trait is not None:
            costs += prices.trait[board.traits].sum(axis=0, dtype=np.int32)
        if prices.hard:
            costs += prices.hard * suit.is_hard
        for piece in board.keep[day]:
            if not self.stands_on(piece, day):
                costs[piece] -= board.problem.limits.change_cost
        return costs

    def allowed(self, place: int) -> Bools:
        """For each piece whether the rules let it into an open place, with all others as they are."""
        board, at = self.board, self.board.sitting_of[place]
        fits = board.suits[at].may_stand
        if self.minutes_left[at] < board.room[at]:
            fits = fits & (board.minutes <= self.minutes_left[at])
        allowed: Bools = fits & self.is_unused
        if board.sittings[at].station is not None:
            for other in board.places_on[board.day_of[place]]:
                piece = self.held[other][0]
                if piece != OPEN and fits[piece] and self._may_share(piece, place):
                    allowed[piece] = True
        return allowed

    def _may_share(self, piece: int, place: int) -> bool:
        """Whether a piece that stands on the day already may be read in one more of its rooms."""
        board = self.board
        here = board.sittings[board.sitting_of[place]]
        others = [board.sittings[board.sitting_of[p]] for p in self.where[piece]]
        in_round = sum(1 for other in others if other.round == here.round)
        return (
            bool(here.sections)
            and all(other.day == here.day and not here.sections & other.sections for other in others)
            and in_round < board.sets[piece]
        )

    def stands_on(self, piece: int, day: int) -> bool:
        """Whether a piece is read on a day."""
        return any(self.board.day_of[place] == day for place in self.where.get(piece, ()))

    def best_dress(self, piece: int, prices: Prices) -> Held:
        """A piece with the focus and the turn that cost least."""
        focus = int((self.board.focus_cost[:, piece] + prices.focus).argmin())
        turn = int((self.board.feature_cost[:, piece] + prices.turn).argmin())
        return piece, focus, turn

    def price_of(self, place: int, held: Held) -> int:
        """What it costs to put something into an open place, with all others as they are."""
        board, at = self.board, self.board.sitting_of[place]
        day, (piece, focus, turn) = board.day_of[place], held
        cost: int = (
            board.cost_rows[at][piece]
            + board.focus_rows[piece][focus]
            + self.focuses.price(day, focus)
            + board.feature_rows[piece][turn]
            + self.turns.price(day, turn)
            + self.alike.price(day, piece, at)
            - board.open_cost[day]
        )
        if piece in board.keep[day] and not self.stands_on(piece, day):
            cost -= board.problem.limits.change_cost
        return cost

    def put(self, place: int, held: Held) -> None:
        """Fill an open place."""
        self.total += self.price_of(place, held)
        self._count(place, held, 1)
        self.held[place] = held

    def take(self, place: int) -> Held:
        """Open a place; what it held."""
        held = self.held[place]
        if held[0] != OPEN:
            self.held[place] = NOTHING
            self._count(place, held, -1)
            self.total -= self.price_of(place, held)
        return held

    def _count(self, place: int, held: Held, by: int) -> None:
        board, at = self.board, self.board.sitting_of[place]
        day, (piece, focus, turn) = board.day_of[place], held
        self.focuses.count(day, focus, by)
        self.turns.count(day, turn, by)
        self.alike.count(day, piece, at, by)
        self.minutes_left[at] -= by * board.minutes_row[piece]
        if by > 0:
            self.where.setdefault(piece, []).append(place)
        else:
            self.where[piece].remove(place)
        self.is_unused[piece] = not self.where[piece]

    def fill(self, place: int, rank: int = 0) -> bool:
        """Put the piece that costs least, or the one so many ranks dearer, into an open place, if any may."""
        prices = self.prices(place)
        costs = self.costs(place, prices)
        if not len(costs):
            return False
        if self.worth is not None:
            costs += self.worth
        costs[~self.allowed(place)] = NEVER
        piece = int(costs.argmin())
        if rank and costs[piece] < NEVER // 2:
            order = np.argsort(costs, kind="stable")[: rank + 1]
            piece = next(int(p) for p in order[::-1] if costs[p] < NEVER // 2)
        if costs[piece] >= NEVER // 2:
            return False
        self.put(place, self.best_dress(piece, prices))
        return True

    def open_places(self) -> list[int]:
        """Places that hold nothing."""
        return [place for place, held in enumerate(self.held) if held[0] == OPEN]

    def restore(self, before: Sequence[Held], places: Iterable[int], total: int) -> None:
        """Bring places back to what they held when the plan cost so much."""
        changed = [place for place in places if self.held[place] != before[place]]
        for place in changed:
            if self.held[place][0] != OPEN:
                self._count(place, self.held[place], -1)
        for place in changed:
            self.held[place] = before[place]
            if before[place][0] != OPEN:
                self._count(place, before[place], 1)
        self.total = total

    def hold(self, held: Sequence[Held]) -> None:
        """Hold what another draft of the same term holds."""
        changed = [place for place, each in enumerate(held) if each != self.held[place]]
        for place in changed:
            self.take(place)
        for place in changed:
            if held[place][0] != OPEN:
                self.put(place, held[place])

    def keeps_pins(self) -> bool:
        """Whether every pinned piece stands where it should."""
        for piece, day in self.board.pins:
            places = self.where.get(piece, ())
            if not places or (day is not None and not self.stands_on(piece, day)):
                return False
        return True

    def slots(self) -> tuple[Slot, ...]:
        """The plan as slots, settled ones included, in order of date, round and station."""
        board, problem = self.board, self.board.problem
        found = list(problem.settled)
        for at, sitting in enumerate(board.sittings):
            held = [self.held[place] for place in board.places_of[at] if self.held[place][0] != OPEN]
            held.sort(key=lambda h: (check.hundredths(board.pieces[h[0]].level), board.pieces[h[0]].piece_id))
            on = problem.days[sitting.day].on
            for position in range(sitting.slots):
                place = sitting.round + position
                if position < len(held):
                    found.append(self._slot(at, place, held[position]))
                else:
                    found.append(Slot(on, place, OPEN_PIECE, "", station=sitting.station))
        return tuple(sorted(found, key=lambda s: (s.on, s.position, s.station or 0)))

    def _slot(self, at: int, position: int, held: Held) -> Slot:
        board, problem, sitting = self.board, self.board.problem, self.board.sittings[at]
        piece = board.pieces[held[0]]
        turn = board.turns[held[2]] if held[2] < len(board.turns) else None
        pinned = board.pinned.get(held[0])
        return Slot(
            on=problem.days[sitting.day].on,
            position=position,
            piece_id=piece.piece_id,
            focus=problem.focuses[held[1]][0],
            featured_section_id=turn,
            minutes=piece.minutes,
            is_pinned=pinned is not None,
            station=sitting.station,
        )
