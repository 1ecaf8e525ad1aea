"""How long a term plan takes, and how near to the best it is proven.

Run: ``python -m tests.benchmarks.planning``. Terms are made up at random: 300 pieces with
levels, skills and parts that scatter about as real ones do, 36 slots, and three groups that
take turns at being featured. The demand is proof within 1 % of the best in 20 s on 2 cores.
"""

import random
import time
from collections.abc import Iterator
from datetime import date, timedelta

from planner.core.difficulty import FOCUSES
from planner.errors import PlannerError
from planner.scheduling import check
from planner.scheduling.problem import Candidate, Limits, PlanDay, PlanProblem, PlanSection, turn_bounds
from planner.scheduling.solve import solve
from tests.benchmarks.rows import Row

LIMIT_S = 20.0
WITHIN = 0.01
FIRST = date(2026, 9, 1)


def make_term(
    pieces: int, slots: int, groups: int, seed: int, *, a_day: int = 1, leave_open: bool = False
) -> PlanProblem:
    """A made-up term: the same seed gives the same one."""
    chance = random.Random(seed)
    start, target = 1.5, 3.0
    sections = tuple(
        PlanSection(n + 1, f"Group {n + 1}", start + chance.gauss(0, 0.3), chance.randint(1, 6))
        for n in range(groups)
    )
    days = slots // a_day
    return PlanProblem(
        days=tuple(
            PlanDay(
                FIRST + timedelta(days=3 * n),
                10.0 * a_day,
                a_day,
                round(start + (target - start) * n / max(1, days - 1), 2),
                round(0.02 * 3 * n / 7, 3),
            )
            for n in range(days)
        ),
        pieces=tuple(_piece(n + 1, sections, chance) for n in range(pieces)),
        focuses=tuple((focus, chance.randint(0, 6)) for focus in FOCUSES),
        sections=sections,
        featured=turn_bounds(tuple(s.id for s in sections), {}, slots, {s.id: pieces for s in sections}),
        limits=Limits(may_leave_open=leave_open),
    )


def _piece(number: int, sections: tuple[PlanSection, ...], chance: random.Random) -> Candidate:
    level = chance.uniform(0.5, 4.5)
    trains = tuple((focus, chance.choice((1, 2))) for focus in FOCUSES if chance.random() < 0.4)
    return Candidate(
        number,
        f"Piece {number}",
        round(level, 2),
        round(chance.uniform(5, 11), 1),
        trains or (("rhythm", 1),),
        tuple((s.id, 2 if chance.random() < 0.3 else 1) for s in sections if chance.random() < 0.9),
        tuple((s.id, round(min(6.0, max(0.5, level + chance.gauss(-0.2, 0.3))), 2)) for s in sections),
    )


def measure(name: str, problem: PlanProblem) -> Iterator[Row]:
    """Plan once; how far from proven best, and the seconds it took."""
    wall, processor = time.perf_counter(), time.process_time()
    try:
        solution = solve(problem, LIMIT_S)
    except PlannerError as error:
        yield Row(f"{name}: distance from the proven best", 1.0, WITHIN, "share", True, str(error))
        return
    wall, processor = time.perf_counter() - wall, time.process_time() - processor
    assert not check.broken_rules(problem, solution.slots)
    off = (solution.cost - solution.bound) / max(1.0, solution.cost)
    note = f"cost {solution.cost}, bound {solution.bound:g}"
    yield Row(f"{name}: distance from the proven best", off, WITHIN, "share", True, note)
    yield Row(f"{name}: wall time", wall, LIMIT_S, "s", True, f"{processor:.1f} s of one processor")


def rows(seeds: int = 3) -> Iterator[Row]:
    """The figures: the demanded size, the same with two pieces a day, a full band, and too few pieces."""
    for seed in range(seeds):
        yield from measure(f"300 pieces, 36 slots, 3 groups, term {seed}", make_term(300, 36, 3, seed))
    yield from measure("300 pieces, 18 days of 2, 3 groups", make_term(300, 36, 3, 0, a_day=2))
    yield from measure("300 pieces, 36 slots, 16 sections", make_term(300, 36, 16, 0))
    yield from measure("24 pieces for 36 slots, 16 sections", make_term(24, 36, 16, 0, leave_open=True))


def main() -> None:
    """Print the table."""
    for row in rows():
        verdict = "ok" if row.holds else "MISSED"
        print(f"{row.name:52} {row.value:8.4f} {row.unit:6} at most {row.floor:<6g} {verdict:7} {row.note}")


if __name__ == "__main__":
    main()
