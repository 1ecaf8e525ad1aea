"""Whether the director's pins can hold, in plain Python, so that a page can refuse one at once."""

from dataclasses import dataclass, field, replace

from planner.scheduling import check
from planner.scheduling.answer import Cause, Conflict
from planner.scheduling.explanation.causes import every_cause
from planner.scheduling.explanation.conflicts import conflict_of, narrowed
from planner.scheduling.explanation.narrow import Causes
from planner.scheduling.explanation.pairs import Pairs, pin_places
from planner.scheduling.problem import PlanProblem, PlanWish

STEPS = 20_000
"""Places tried before the question is left to the solver; terms have few pins, most with a date."""


def pins_hold(pairs: Pairs, causes: Causes, steps: int = STEPS) -> bool | None:
    """Whether all pinned pieces can stand together when every other slot stays open.

    Args:
        pairs: Pieces and sittings.
        causes: The rules in force; filling slots is not asked.
        steps: Places to try at most.

    Returns:
        None when the steps ran out.
    """
    board = _Board(pairs, causes, steps)
    wanted = [[(piece, at) for at in places] for piece, places in pin_places(pairs, causes)]
    return board.place_all(sorted(wanted, key=len))


@dataclass
class _Board:
    """Which pinned pieces stand where so far."""

    pairs: Pairs
    causes: Causes
    steps: int
    stands: list[tuple[int, int]] = field(default_factory=list)

    def place_all(self, wanted: list[list[tuple[int, int]]]) -> bool | None:
        """Give every pin a place, going back where that fails."""
        if not wanted:
            return True
        is_sure = True
        for piece, at in wanted[0]:
            self.steps -= 1
            if self.steps < 0:
                return None
            is_there = (piece, at) in self.stands
            if not is_there and not self._has_room(piece, at):
                continue
            if not is_there:
                self.stands.append((piece, at))
            answer = self.place_all(wanted[1:])
            if not is_there:
                self.stands.pop()
            if answer:
                return True
            is_sure = is_sure and answer is False
        return False if is_sure else None

    def _has_room(self, piece: int, at: int) -> bool:
        problem, sitting = self.pairs.problem, self.pairs.problem.sittings[at]
        on = problem.days[sitting.day].on
        here = [p for p, where in self.stands if where == at]
        if len(here) >= sitting.slots:
            return False
        used = sum(check.whole_minutes(problem.pieces[p].minutes) for p in (*here, piece))
        if Cause(check.MINUTES, on) in self.causes and used > check.whole_minutes(sitting.minutes):
            return False
        others = [problem.sittings[where] for p, where in self.stands if p == piece]
        if Cause(check.ONCE) in self.causes and any(
            other.day != sitting.day or not other.sections.isdisjoint(sitting.sections) for other in others
        ):
            return False
        rooms = [other for other in others if (other.day, other.round) == (sitting.day, sitting.round)]
        return Cause(check.FOLDERS, on) not in self.causes or len(rooms) < problem.pieces[piece].sets


def pin_conflict(problem: PlanProblem, pin: PlanWish) -> Conflict | None:
    """Why a pin cannot hold beside the others, whatever stands in the other slots; None when it can.

    Args:
        problem: With or without the pin among its pins.
        pin: The pin in question.
    """
    wanted = problem if pin in problem.pins else replace(problem, pins=(*problem.pins, pin))
    pairs = Pairs(wanted)
    every = every_cause(wanted)
    mine = frozenset({Cause(check.PINS, pin.on, (pin.piece_id,))})
    causes = _without_filling(every)
    if pins_hold(pairs, causes - mine) is False:
        causes = causes.difference(every[check.PINS]) | mine
    if pins_hold(pairs, causes) is not False:
        return None
    narrowing, is_minimal = narrowed(wanted, causes, lambda some: pins_hold(pairs, some), keep=mine)
    return conflict_of(pairs, narrowing, _settles, is_minimal=is_minimal)


def _settles(problem: PlanProblem, causes: Causes | None) -> bool | None:
    return pins_hold(Pairs(problem), _without_filling(every_cause(problem)) if causes is None else causes)


def _without_filling(every: dict[str, tuple[Cause, ...]]) -> Causes:
    return frozenset(cause for rule, each in every.items() if rule != check.FILLED for cause in each)
