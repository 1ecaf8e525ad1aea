"""What a plan is worth to the sections, and the best that any plan of a term could be, by a relaxation.

The relaxation gives every slot any piece that may stand there, each piece once, and asks for nothing else:
not for minutes together, skills over the term, turns or variety. What it finds no plan can undercut.
Source of the assignment: ``scipy.optimize.linear_sum_assignment``.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

from planner.core.term import Slot
from planner.levels.readable import Verdict, verdict_of
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE, Candidate, PlanProblem, Sitting

ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Reading:
    """One section reading one piece: the share of bars it should get right, and the aim that day."""

    share: float
    aim: float

    @property
    def is_out(self) -> bool:
        """Whether the part is too hard or too easy."""
        return verdict_of(self.share) is not Verdict.JUST_READABLE


@dataclass(frozen=True, slots=True)
class Measures:
    """What a plan is worth.

    Attributes:
        filled, open: Slots with a piece and without.
        cost: Of all that is filled, open slots and changes apart, a filled slot.
        readings: Readings of all sections together.
        out: Share of them out of band.
        share: Mean expected share of bars right.
        aim: Mean aim of the same readings.
        off: Mean distance of each from its aim.
    """

    filled: int
    open: int
    cost: float
    readings: int
    out: float
    share: float
    aim: float
    off: float


def readings_of(
    problem: PlanProblem, slots: Sequence[Slot], *, days: Sequence[int] | None = None
) -> Iterator[Reading]:
    """Every reading of the free days, or of some of them."""
    wanted = set(problem.free_days if days is None else days)
    for slot in slots:
        sitting = problem.sitting_of(slot)
        if sitting is not None and sitting.day in wanted and slot.piece_id != OPEN_PIECE:
            aim = problem.days[sitting.day].aim
            for _, ask in check.asks(problem, problem.piece_by_id[slot.piece_id], sitting):
                yield Reading(ask.share, aim)


def measures_of(problem: PlanProblem, slots: Sequence[Slot]) -> Measures:
    """What the free days of a plan are worth."""
    free = [slot for slot in slots if problem.sitting_of(slot) is not None]
    filled = sum(slot.piece_id != OPEN_PIECE for slot in free)
    found = list(readings_of(problem, slots))
    return Measures(
        filled=filled,
        open=len(free) - filled,
        cost=check.cost(problem, slots).filled / max(1, filled),
        readings=len(found),
        out=_mean([each.is_out for each in found]),
        share=_mean([each.share for each in found]),
        aim=_mean([each.aim for each in found]),
        off=_mean([abs(each.share - each.aim) for each in found]),
    )


def least_out(problem: PlanProblem) -> float:
    """No plan that fills every slot has a smaller share of its readings out of band.

    That share is a ratio; the assignment that is best for a share of ``x`` minimizes the readings out of band
    less ``x`` for each reading, and ``x`` is the least share when that comes to 0 (Dinkelbach 1967).
    """
    tally = _tallies(problem)

    def least(share: float) -> float:
        rows, columns = _assign(problem, lambda sitting, piece: tally[sitting, piece] @ (1.0, -share))
        out, readings = sum((tally[s, p] for s, p in zip(rows, columns, strict=True)), np.zeros(2))
        return float(out / readings) if readings else 0.0

    share, now = 1.0, least(1.0)
    while now < share - ROUNDING:
        share, now = now, least(now)
    return now


def least_bias(problem: PlanProblem) -> float:
    """No plan that fills every slot has a mean share nearer its mean aim, in readings counted by slot.

    Each slot counts by the mean of its readings, so that the relaxation stays an assignment. 0 where the
    library has pieces on both sides of the aim.
    """
    lead: dict[tuple[int, int], float] = {}
    for at, sitting in enumerate(problem.sittings):
        for number, piece in enumerate(problem.pieces):
            each = [ask.share for _, ask in check.asks(problem, piece, sitting)]
            lead[at, number] = _mean(each) - problem.days[sitting.day].aim if each else 0.0
    for side in (1.0, -1.0):
        rows, columns = _assign(problem, lambda sitting, piece, side=side: side * lead[sitting, piece])
        nearest = side * sum(lead[s, p] for s, p in zip(rows, columns, strict=True)) / max(1, len(rows))
        if nearest > 0:
            return nearest
    return 0.0


def least_cost(problem: PlanProblem) -> float:
    """No plan that fills every slot costs less a slot: readings, and what each slot costs by itself."""

    def price(sitting: int, piece: int) -> float:
        candidate = problem.pieces[piece]
        where = problem.sittings[sitting]
        return check.piece_cost(problem, candidate, where) + own_price(problem, candidate, where)

    rows, columns = _assign(problem, price)
    if not len(rows):
        return 0.0
    return sum(price(s, p) for s, p in zip(rows, columns, strict=True)) / len(rows)


def own_price(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> int:
    """The least that the skill and the featured section of a piece cost by themselves."""
    tiers = dict(piece.trains)
    skill = min(
        cost + (check.SOME_FOCUS_COST if tiers[name] < 2 else 0)
        for name, cost, _ in problem.focuses
        if name in tiers
    )
    if not problem.featured:
        return skill
    turning = {section for section, _, _ in problem.featured} & sitting.sections
    able = [tier for section, tier in piece.features if section in turning]
    if not able:
        return skill + check.NO_FEATURE_COST
    return skill + (check.SOME_FEATURE_COST if max(able) < 2 else 0)


def _mean(values: Sequence[float]) -> float:
    return float(np.mean(values)) if values else 0.0


def _places(problem: PlanProblem) -> list[int]:
    """The sitting of each slot."""
    return [at for at, sitting in enumerate(problem.sittings) for _ in range(sitting.slots)]


def _tallies(problem: PlanProblem) -> dict[tuple[int, int], np.ndarray]:
    """Readings out of band, and readings, of each piece in each sitting."""
    found = {}
    for at, sitting in enumerate(problem.sittings):
        for number, piece in enumerate(problem.pieces):
            each = [verdict_of(ask.share) for _, ask in check.asks(problem, piece, sitting)]
            out = sum(verdict is not Verdict.JUST_READABLE for verdict in each)
            found[at, number] = np.array((out, len(each)), dtype=float)
    return found


def _assign(problem: PlanProblem, price: Callable[[int, int], float]) -> tuple[list[int], list[int]]:
    """Sittings and pieces, paired the cheapest way that fills as many slots as can be.

    A piece is used once, or, on days with stations, once for every station of its day.
    """
    places = _places(problem)
    stations = max([1, *(len(day.stations) for day in problem.days)])
    beyond = 1e7
    table = np.full((len(places), len(problem.pieces)), beyond)
    for place, at in enumerate(places):
        for number, piece in enumerate(problem.pieces):
            if check.may_stand(problem, piece, problem.sittings[at]):
                table[place, number] = price(at, number)
    rows, columns = linear_sum_assignment(np.tile(table, stations))
    pairs = [
        (places[row], int(column) % len(problem.pieces))
        for row, column in zip(rows, columns, strict=True)
        if table[row, column % len(problem.pieces)] < beyond
    ]
    return [sitting for sitting, _ in pairs], [piece for _, piece in pairs]
