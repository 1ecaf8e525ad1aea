"""A plan while it is being searched for: pieces in places, and what each further one would cost.

The cost is kept up to date place by place and equals that of ``check`` at any time; a test holds it
against that.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.core.term import Slot
from planner.scheduling import check
from planner.scheduling.board import NEVER, Board, Ints
from planner.scheduling.problem import OPEN_PIECE

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
        trait: For each trait, and 0 for none.
        hard: For a piece that is too hard for some section.
    """

    focus: Ints
    turn: Ints
    trait: Ints
    hard: int


class Draft:
    """Places and what they hold.

    Attributes:
        board: The problem.
        held: For each place what it holds.
        total: What the plan costs, ``check.cost(...).total``.
    """

    def __init__(self, board: Board) -> None:
        self.board = board
        problem = board.problem
        days, focuses = len(problem.days), len(problem.focuses)
        self.held: list[Held] = [NOTHING] * board.size
        self.focus_on = np.zeros((days, focuses), dtype=np.int64)
        self.turn_on = np.zeros((days, len(board.turns)), dtype=np.int64)
        self.trait_on = np.zeros((days, board.trait_count + 1), dtype=np.int64)
        self.hard_on = [0] * days
        self.focus_times = np.zeros(focuses, dtype=np.int64)
        self.turn_times = np.zeros(len(board.turns), dtype=np.int64)
        self.is_unused = board.sets > 0
        self.where: dict[int, list[int]] = {}
        self.minutes_left = list(board.room)
        self._fewest_focus = np.array([fewest for _, _, fewest in problem.focuses], dtype=np.int64)
        self._fewest_turn = np.array([fewest for _, fewest, _ in problem.featured], dtype=np.int64)
        self._most_turn = np.array([most for _, _, most in problem.featured], dtype=np.int64)
        self._focus_row = {name: at for at, (name, _, _) in enumerate(problem.focuses)}
        self._turn_row = {section: at for at, section in enumerate(board.turns)}
        self._add_settled()
        self._runs_with: dict[int, Ints] = {
            day: np.array([at for at, run in enumerate(problem.windows) if day in run], dtype=np.int64)
            for day in problem.free_days
        }
        self.run_times = np.array(
            [self.focus_on[list(run)].sum(axis=0) for run in problem.windows], dtype=np.int64
        ).reshape(len(problem.windows), focuses)
        free = problem.free_days
        self._beside = {
            day: [free[n] for n in (at - 1, at + 1) if 0 <= n < len(free)] for at, day in enumerate(free)
        }
        self._adjacent = {day: [n for n in (day - 1, day + 1) if 0 <= n < days] for day in free}
        self._is_free = [not day.is_settled for day in problem.days]
        self.total = check.cost(problem, self.slots()).total

    def _add_settled(self) -> None:
        problem = self.board.problem
        for slot in problem.settled:
            day = problem.day_by_date.get(slot.on)
            focus = self._focus_row.get(slot.focus) if slot.piece_id != OPEN_PIECE else None
            turn = self._turn_row.get(slot.featured_section_id or 0)
            if focus is not None:
                self.focus_times[focus] += 1
                if day is not None:
                    self.focus_on[day, focus] += 1
            if turn is not None:
                self.turn_times[turn] += 1
                if day is not None:
                    self.turn_on[day, turn] += 1

    def prices(self, place: int) -> Prices:
        """What filling an open place would cost, with all others as they are."""
        board, day = self.board, self.board.day_of[place]
        here = self.focus_on[day] > 0
        beside = sum((self.focus_on[n] > 0).astype(np.int64) for n in self._adjacent[day])
        first = check.SAME_FOCUS_COST * beside
        runs = self._runs_with[day]
        if len(runs):
            first = first - check.MISSING_FOCUS_COST * (self.run_times[runs] == 0).sum(axis=0)
        again = 0 if board.problem.days[day].stations else check.SAME_FOCUS_COST
        focus = np.where(here, again, first) - check.UNEVEN_FOCUS_COST * (
            self.focus_times < self._fewest_focus
        )
        own = self.trait_on[day] > 0
        near = [self.trait_on[n] > 0 for n in self._beside[day]]
        trait = check.LIKE_COST * np.where(own, 0, sum((n.astype(np.int64) for n in near), np.zeros_like(own, dtype=np.int64)))
        trait[-1] = 0
        hard = 0
        if not self.hard_on[day]:
            hard = check.TWO_HARD_COST * sum(1 for n in self._beside[day] if self.hard_on[n])
        return Prices(focus, self._turn_prices(place, day), trait, hard)

    def _turn_prices(self, place: int, day: int) -> Ints:
        board = self.board
        prices = np.zeros(len(board.turns) + 1, dtype=np.int64)
        if not board.turns:
            return prices
        gap, turns = board.problem.turn_gap, self.turn_on > 0
        again = turns[max(0, day - gap) : day].any(axis=0).astype(np.int64)
        for later in range(day + 1, min(day + gap + 1, len(turns))):
            if self._is_free[later]:
                again += turns[later] & ~turns[max(0, later - gap) : later].any(axis=0)
        prices[:-1] = (
            check.AGAIN_COST * again
            - check.UNEVEN_TURN_COST * (self.turn_times < self._fewest_turn)
            + check.UNEVEN_TURN_COST * (self.turn_times >= self._most_turn)
        )
        prices[:-1][turns[day] | ~board.present[board.sitting_of[place]]] = NEVER
        return prices

    def costs(self, place: int, prices: Prices) -> Ints:
        """For each piece what it costs to put it into an open place; whether it may is not asked."""
        board, at = self.board, self.board.sitting_of[place]
        day = board.day_of[place]
        suit = board.suits[at]
        costs: Ints = suit.cost + (board.focus_cost + prices.focus[:, None]).min(axis=0, initial=NEVER)
        if board.turns:
            costs += (board.feature_cost + prices.turn[:, None]).min(axis=0)
        if len(board.traits) and prices.trait.any():
            costs += prices.trait[board.traits].sum(axis=0)
        if prices.hard:
            costs += prices.hard * suit.is_hard
        for piece in board.keep[day]:
            if not self.stands_on(piece, day):
                costs[piece] -= board.problem.limits.change_cost
        costs -= board.open_cost[day]
        return costs

    def allowed(self, place: int) -> np.ndarray:
        """For each piece whether the rules let it into an open place, with all others as they are."""
        board, at = self.board, self.board.sitting_of[place]
        fits = board.suits[at].may_stand & (board.minutes <= self.minutes_left[at])
        allowed = fits & self.is_unused
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
        focus = int(np.argmin(self.board.focus_cost[:, piece] + prices.focus))
        turn = int(np.argmin(self.board.feature_cost[:, piece] + prices.turn))
        return piece, focus, turn

    def price_of(self, place: int, held: Held, prices: Prices) -> int:
        """What it costs to put something into an open place."""
        board, at = self.board, self.board.sitting_of[place]
        day, (piece, focus, turn) = board.day_of[place], held
        suit = board.suits[at]
        cost = (
            suit.cost[piece]
            + board.focus_cost[focus, piece]
            + prices.focus[focus]
            + board.feature_cost[turn, piece]
            + prices.turn[turn]
            - board.open_cost[day]
        )
        if len(board.traits):
            cost += prices.trait[board.traits[:, piece]].sum()
        if suit.is_hard[piece]:
            cost += prices.hard
        if piece in board.keep[day] and not self.stands_on(piece, day):
            cost -= board.problem.limits.change_cost
        return int(cost)

    def put(self, place: int, held: Held, prices: Prices | None = None) -> None:
        """Fill an open place."""
        self.total += self.price_of(place, held, prices or self.prices(place))
        self._count(place, held, 1)
        self.held[place] = held

    def take(self, place: int) -> Held:
        """Open a place; what it held."""
        held = self.held[place]
        if held[0] != OPEN:
            self.held[place] = NOTHING
            self._count(place, held, -1)
            self.total -= self.price_of(place, held, self.prices(place))
        return held

    def _count(self, place: int, held: Held, by: int) -> None:
        board, at = self.board, self.board.sitting_of[place]
        day, (piece, focus, turn) = board.day_of[place], held
        self.focus_on[day, focus] += by
        self.focus_times[focus] += by
        self.run_times[self._runs_with[day], focus] += by
        if turn < len(board.turns):
            self.turn_on[day, turn] += by
            self.turn_times[turn] += by
        for trait in board.traits[:, piece]:
            self.trait_on[day, trait] += by
        self.hard_on[day] += by * int(board.suits[at].is_hard[piece])
        self.minutes_left[at] -= by * int(board.minutes[piece])
        if by > 0:
            self.where.setdefault(piece, []).append(place)
        else:
            self.where[piece].remove(place)
        self.is_unused[piece] = not self.where[piece]

    def fill(self, place: int, rank: int = 0) -> bool:
        """Put the piece that costs least, or the one so many ranks dearer, into an open place, if any may."""
        prices = self.prices(place)
        costs = np.where(self.allowed(place), self.costs(place, prices), NEVER)
        if not len(costs):
            return False
        if rank and len(costs) > rank:
            order = np.argpartition(costs, rank)[: rank + 1]
            piece = int(order[np.argmax(costs[order])])
            if costs[piece] >= NEVER // 2:
                piece = int(np.argmin(costs))
        else:
            piece = int(np.argmin(costs))
        if costs[piece] >= NEVER // 2:
            return False
        self.put(place, self.best_dress(piece, prices), prices)
        return True

    def open_places(self) -> list[int]:
        """Places that hold nothing."""
        return [place for place, held in enumerate(self.held) if held[0] == OPEN]

    def restore(self, before: Sequence[Held], places: Sequence[int]) -> None:
        """Bring places back to what they held."""
        changed = [place for place in places if self.held[place] != before[place]]
        for place in changed:
            self.take(place)
        for place in changed:
            if before[place][0] != OPEN:
                self.put(place, before[place])

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
