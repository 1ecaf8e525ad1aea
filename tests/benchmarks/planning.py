"""How long a term plan takes, and how near to the best it is proven.

Run: ``python -m tests.benchmarks.planning [terms] [slower]``. A machine that others use is so many times
slower than an idle one, and gets as many times the seconds. Terms are made up at random: levels, skills,
parts, composers, keys and meters scatter about as those of real libraries do, and sections take turns at the
tune. The demands: 300 pieces on 36 days of three a full plan in 10 s and proof within 2 % in 60 s; one a day
within 1 % in 20 s; 1,000 pieces on 72 days of two and 5,000 on 40 days of two a full plan in 60 s; never more
than 1 GB.
"""

import random
import resource
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.difficulty import FOCUSES
from planner.scheduling import check
from planner.scheduling.problem import (
    Candidate,
    Limits,
    PartAsked,
    PlanDay,
    PlanProblem,
    PlanSection,
    turn_bounds,
)
from planner.scheduling.solve import solve
from tests.benchmarks.rows import Row

FIRST = date(2026, 9, 1)
COMPOSERS_A_HUNDRED = 25
KEYS = ("F", "B flat", "E flat", "C", "A flat", "G", "d", "g")
ENDING_S = 1.0
"""Seconds a search may take beyond its limit: it looks at the clock between steps."""
METERS = ("4/4", "4/4", "4/4", "3/4", "3/4", "2/4", "2/4", "6/8", "2/2")


@dataclass(frozen=True, slots=True)
class Demand:
    """One size of term and what is asked of it.

    Attributes:
        name, pieces, days, a_day, sections: The term.
        full_s: Wall seconds within which every slot has a piece.
        within: Share of the best within which the plan is proven, None for no demand.
        limit_s: Wall seconds for that.
    """

    name: str
    pieces: int
    days: int
    a_day: int
    sections: int
    full_s: float
    within: float | None
    limit_s: float


DEMANDS = (
    Demand("300 x 36 x 1, 3 sections", 300, 36, 1, 3, 10, 0.01, 20),
    Demand("300 x 36 x 1, 16 sections", 300, 36, 1, 16, 10, 0.01, 20),
    Demand("300 x 36 x 3, 3 sections", 300, 36, 3, 3, 10, 0.02, 60),
    Demand("300 x 36 x 3, 10 sections", 300, 36, 3, 10, 10, 0.02, 60),
    Demand("1,000 x 72 x 2, 10 sections", 1000, 72, 2, 10, 60, None, 60),
    Demand("5,000 x 40 x 2, 16 sections", 5000, 40, 2, 16, 60, None, 60),
)


def make_term(
    pieces: int, days: int, a_day: int, groups: int, seed: int, *, leave_open: bool = False
) -> PlanProblem:
    """A made-up term: the same seed gives the same one."""
    chance = random.Random(seed)
    slots = days * a_day
    sections = tuple(_section(n + 1, days, chance) for n in range(groups))
    composers = max(2, pieces * COMPOSERS_A_HUNDRED // 100)
    return PlanProblem(
        days=tuple(PlanDay(FIRST + timedelta(days=3 * n), 10.0 * a_day, a_day) for n in range(days)),
        pieces=tuple(_piece(n + 1, sections, composers, chance) for n in range(pieces)),
        focuses=tuple((focus, chance.randint(0, 6), slots // len(FOCUSES) // 2) for focus in FOCUSES),
        sections=sections,
        featured=turn_bounds(tuple(s.id for s in sections), {}, slots, {s.id: pieces for s in sections}),
        limits=Limits(may_leave_open=leave_open),
    )


def _section(number: int, days: int, chance: random.Random) -> PlanSection:
    start, gain = 2.0 + chance.gauss(0, 0.25), 0.8
    levels = tuple(start + gain * n / max(1, days - 1) for n in range(days))
    return PlanSection(number, f"Group {number}", chance.randint(1, 6), levels, (0.3,) * days)


def _piece(
    number: int, sections: tuple[PlanSection, ...], composers: int, chance: random.Random
) -> Candidate:
    level = chance.uniform(0.5, 4.5)
    trains = tuple((focus, chance.choice((1, 2))) for focus in FOCUSES if chance.random() < 0.4)
    parts = tuple(
        PartAsked(s.id, round(min(6.0, max(0.5, level + chance.gauss(-0.2, 0.3))), 2), 0.25)
        for s in sections
        if chance.random() < 0.95
    )
    composer = min(int(chance.expovariate(4 / composers)), composers)
    return Candidate(
        piece_id=number,
        title=f"Piece {number}",
        level=round(level, 2),
        minutes=round(chance.uniform(5, 11), 1),
        trains=trains or (("rhythm", 1),),
        features=tuple((s.id, 2 if chance.random() < 0.3 else 1) for s in sections if chance.random() < 0.4),
        parts=parts,
        cost=chance.choice((0, 0, 0, 5, 10)),
        likeness=frozenset({f"composer {composer}", chance.choice(KEYS), chance.choice(METERS)}),
    )


class _Seen:
    """When the search first had every slot filled."""

    def __init__(self, problem: PlanProblem) -> None:
        self.began, self.slots, self.full_s = time.perf_counter(), problem.open_slots, None

    def __call__(self, total: int, bound: float, filled: int) -> bool:
        if self.full_s is None and filled == self.slots:
            self.full_s = time.perf_counter() - self.began
        return True


def measure(demand: Demand, seed: int, slower: float = 1.0) -> Iterator[Row]:
    """Plan once: seconds until the plan is full, and how far it is from proven best."""
    problem = make_term(demand.pieces, demand.days, demand.a_day, demand.sections, seed)
    seen, processor = _Seen(problem), time.process_time()
    solution = solve(problem, slower * demand.limit_s, gap=demand.within or 0.02, progress=seen)
    processor = time.process_time() - processor
    assert not check.broken_rules(problem, solution.slots)
    name, cost = f"{demand.name}, term {seed}", solution.cost.filled + solution.cost.change
    off = (cost - solution.bound) / max(1.0, cost)
    full_s = seen.full_s if seen.full_s is not None else float("inf")
    note = f"cost {cost}, bound {solution.bound:.0f}, {solution.ended}; {solution.cost}"
    yield Row(f"{name}: full plan", full_s, slower * demand.full_s, "s", True, "")
    yield Row(f"{name}: distance from the bound", off, demand.within or 1.0, "share", True, note)
    yield Row(
        f"{name}: wall time",
        solution.seconds,
        slower * demand.limit_s + ENDING_S,
        "s",
        True,
        f"{processor:.1f} s of one processor",
    )


def rows(seeds: int = 1, slower: float = 1.0) -> Iterator[Row]:
    """Every demand, and the memory all of it took."""
    for demand in DEMANDS:
        for seed in range(seeds):
            yield from measure(demand, seed, slower)
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 / 1024
    yield Row("memory of the whole run", most, 1.0, "GB", True, "")


def main() -> None:
    """Print the table."""
    for row in rows(*(kind(given) for kind, given in zip((int, float), sys.argv[1:], strict=False))):
        verdict = "ok" if row.holds else "MISSED"
        print(
            f"{row.name:52} {row.value:8.4f} {row.unit:6} at most {row.floor:<6g} {verdict:7} {row.note}",
            flush=True,
        )


if __name__ == "__main__":
    main()
