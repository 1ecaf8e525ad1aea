"""What the places of a plan have in common, counted, and what one more would cost.

Each tally knows the price of one more place at any time, for one choice in plain numbers and for all choices
as a table. The prices are those of ``check``.
"""

from bisect import bisect_left, insort

import numpy as np

from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE
from planner.scheduling.search.board import NEVER, Board, Ints


class FocusTally:
    """How often each skill comes up on each day, in each run of days and in the term.

    Attributes:
        times: Focus: places of the term, settled ones included.
        run_times: Run, focus: places of that run of days.
    """

    def __init__(self, board: Board) -> None:
        problem = board.problem
        days, focuses = len(problem.days), len(problem.focuses)
        self._on = [[0] * focuses for _ in range(days + 1)]
        self._has = np.zeros((days + 1, focuses), dtype=np.int32)
        self._again = [0 if day.stations else check.SAME_FOCUS_COST for day in problem.days]
        self._runs = [[at for at, run in enumerate(problem.windows) if day in run] for day in range(days)]
        self._run_days = problem.windows
        self.run_times = [[0] * focuses for _ in problem.windows]
        self._missing = np.zeros((days, focuses), dtype=np.int32)
        for run in problem.windows:
            for day in run:
                self._missing[day] += 1
        self.times = [0] * focuses
        self._fewest = [fewest for _, _, fewest in problem.focuses]
        self._short = np.array(
            [-check.UNEVEN_FOCUS_COST if fewest > 0 else 0 for fewest in self._fewest], dtype=np.int32
        )
        row = {name: at for at, (name, _, _) in enumerate(problem.focuses)}
        for slot in problem.settled:
            if slot.piece_id != OPEN_PIECE and slot.focus in row:
                self.count(problem.day_by_date.get(slot.on, days), row[slot.focus], 1)

    def is_on(self, day: int, focus: int) -> bool:
        """Whether a skill comes up on a day."""
        return self._on[day][focus] > 0

    def count(self, day: int, focus: int, by: int) -> None:
        """Count one place more or less; a day past the last is none of the problem's."""
        on = self._on[day]
        on[focus] += by
        self._has[day, focus] = on[focus] > 0 and day < len(self._runs)
        self.times[focus] += by
        self._short[focus] = -check.UNEVEN_FOCUS_COST if self.times[focus] < self._fewest[focus] else 0
        for run in self._runs[day] if day < len(self._runs) else ():
            times = self.run_times[run]
            was, now = times[focus], times[focus] + by
            times[focus] = now
            if not was or not now:
                for each in self._run_days[run]:
                    self._missing[each, focus] -= by

    def price(self, day: int, focus: int) -> int:
        """What one more place of a day with a skill costs."""
        short = -check.UNEVEN_FOCUS_COST if self.times[focus] < self._fewest[focus] else 0
        if self._on[day][focus]:
            return self._again[day] + short
        has = self._has
        beside = int(has[day - 1, focus]) + int(has[day + 1, focus])
        return (
            check.SAME_FOCUS_COST * beside - check.MISSING_FOCUS_COST * int(self._missing[day, focus]) + short
        )

    def prices(self, day: int) -> Ints:
        """The same for every skill."""
        has = self._has
        first = check.SAME_FOCUS_COST * (has[day - 1] + has[day + 1])
        first -= check.MISSING_FOCUS_COST * self._missing[day]
        prices: Ints = np.where(has[day], np.int32(self._again[day]), first)
        prices += self._short
        return prices


class TurnTally:
    """On which days each section is featured, and how often in the term.

    Attributes:
        times: Turn: how often in the term, settled days included.
    """

    def __init__(self, board: Board) -> None:
        problem = board.problem
        self._gap = problem.turn_gap
        self._present = board.present.tolist()
        self._is_free = [not day.is_settled for day in problem.days]
        self._bounds = [(fewest, most) for _, fewest, most in problem.featured]
        self._days: list[list[int]] = [[] for _ in board.turns]
        self.times = [0] * len(board.turns)
        row = {section: at for at, section in enumerate(board.turns)}
        for slot in problem.settled:
            at = row.get(slot.featured_section_id or 0)
            if at is not None:
                self.times[at] += 1
                day = problem.day_by_date.get(slot.on)
                if day is not None and day not in self._days[at]:
                    insort(self._days[at], day)

    def is_on(self, day: int, turn: int) -> bool:
        """Whether a section is featured on a day."""
        return day in self._days[turn]

    def count(self, day: int, turn: int, by: int) -> None:
        """Count one turn more or less of a free day; nobody's is not counted."""
        if turn < len(self.times):
            self.times[turn] += by
            if by > 0:
                insort(self._days[turn], day)
            else:
                self._days[turn].remove(day)

    def price(self, day: int, turn: int) -> int:
        """What one more turn of a section on a day costs; ``NEVER`` when it has one that day."""
        if turn >= len(self.times):
            return 0
        days, times, (fewest, most) = self._days[turn], self.times[turn], self._bounds[turn]
        price = 0
        if times < fewest:
            price = -check.UNEVEN_TURN_COST
        elif times >= most:
            price = check.UNEVEN_TURN_COST
        at = bisect_left(days, day)
        before = days[at - 1] if at else -NEVER
        after = days[at] if at < len(days) else NEVER
        if after == day:
            return NEVER
        if day - before <= self._gap:
            price += check.AGAIN_COST
        if after - day <= self._gap < after - before and self._is_free[after]:
            price += check.AGAIN_COST
        return price

    def prices(self, day: int, sitting: int) -> Ints:
        """The same for every section, ``NEVER`` for those who do not sit there; at last for nobody."""
        here = self._present[sitting]
        own = [self.price(day, turn) if here[turn] else NEVER for turn in range(len(self.times))]
        return np.array([*own, 0], dtype=np.int32)


class AlikeTally:
    """Which traits the pieces of each day have, and how many of them are too hard for some section."""

    def __init__(self, board: Board) -> None:
        days, free = len(board.problem.days), board.problem.free_days
        self._traits = [[int(t) for t in row if t < board.trait_count] for row in board.traits.T]
        if not len(board.traits):
            self._traits = [[] for _ in board.pieces]
        self._on = [[0] * board.trait_count for _ in range(days)]
        self._has = np.zeros((days, board.trait_count + 1), dtype=np.int32)
        self._is_hard = board.hard_rows
        self._hard = [0] * days
        self._beside = {
            day: [free[n] for n in (at - 1, at + 1) if 0 <= n < len(free)] for at, day in enumerate(free)
        }

    def is_on(self, day: int, trait: int) -> bool:
        """Whether a piece of a day has a trait."""
        return self._on[day][trait] > 0

    def is_hard(self, day: int) -> bool:
        """Whether a day has a piece too hard for some section."""
        return self._hard[day] > 0

    def count(self, day: int, piece: int, sitting: int, by: int) -> None:
        """Count one place more or less."""
        on = self._on[day]
        for trait in self._traits[piece]:
            on[trait] += by
            self._has[day, trait] = on[trait] > 0
        if self._is_hard[sitting][piece]:
            self._hard[day] += by

    def price(self, day: int, piece: int, sitting: int) -> int:
        """What a piece costs on a day for being like those of the free days before and after."""
        on, price = self._on[day], 0
        for beside in self._beside[day]:
            other = self._on[beside]
            for trait in self._traits[piece]:
                if other[trait] and not on[trait]:
                    price += check.LIKE_COST
        return price + self.hard_price(day) if self._is_hard[sitting][piece] else price

    def trait_prices(self, day: int) -> Ints | None:
        """What each trait costs on a day, 0 at last for none; None when all are 0."""
        beside = self._beside[day]
        if not beside or self._has.shape[1] < 2:
            return None
        near = self._has[beside[0]] + self._has[beside[1]] if len(beside) > 1 else self._has[beside[0]]
        prices: Ints = check.LIKE_COST * near * (1 - self._has[day])
        return prices

    def hard_price(self, day: int) -> int:
        """What a piece too hard for some section costs on a day."""
        if self._hard[day]:
            return 0
        return check.TWO_HARD_COST * sum(1 for n in self._beside[day] if self._hard[n])
