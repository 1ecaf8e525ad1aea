"""Tiny terms to plan, and every plan of them."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations, product

from planner.core.term import Slot
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE, Candidate, Limits, PlanDay, PlanProblem, PlanSection

LIMIT_S = 600.0
"""Far more than any of these terms takes on a slow machine: what is found does not depend on it."""
FIRST = date(2026, 9, 1)
LOOSE = Limits(corridor=9.0, step=9.0, reach=9.0, focus_window=0)


def day(number: int, **changes) -> PlanDay:
    return replace(PlanDay(FIRST + timedelta(days=number), 10.0, 1, 2.0), **changes)


def piece(number: int, level: float = 2.0, **changes) -> Candidate:
    plain = Candidate(number, f"Piece {number}", level, 8.0, (("rhythm", 2), ("key", 2)))
    return replace(plain, **changes)


def make_problem(days: int = 3, pieces: int = 4, **changes) -> PlanProblem:
    """A term without any difficulty: each rule's test adds its own."""
    plain = PlanProblem(
        days=tuple(day(n) for n in range(days)),
        pieces=tuple(piece(n + 1) for n in range(pieces)),
        focuses=(("rhythm", 0), ("key", 1)),
        sections=(PlanSection(1, "Flute", 2.0), PlanSection(2, "Tuba", 2.0)),
        limits=LOOSE,
    )
    return replace(plain, **changes)


def every_plan(problem: PlanProblem) -> Iterator[tuple[Slot, ...]]:
    """Every plan that keeps every rule, by trying all there are; only for tiny problems."""
    ids = [p.piece_id for p in problem.pieces]
    if problem.limits.may_leave_open:
        ids += [OPEN_PIECE] * problem.most_slots
    days = [set(combinations(sorted(ids), problem.days[d].slots)) for d in problem.free_days]
    early = (check.ONCE, check.FRESH, check.MINUTES, check.READABLE, check.PINS, check.BANS)
    for chosen in product(*days):
        bare = [_stand(problem, d, ids_) for d, ids_ in zip(problem.free_days, chosen, strict=True)]
        flat = [slot for slots in bare for slot in slots]
        if all(check.CHECKS[name](problem, (*problem.past, *flat)) for name in early):
            for dressed in product(*(_dress(problem, slot) for slot in flat)):
                if not check.broken_rules(problem, plan := (*problem.past, *dressed)):
                    yield plan


def _stand(problem: PlanProblem, at: int, ids) -> list[Slot]:
    def by_level(number: int):
        return (number == OPEN_PIECE, number != OPEN_PIECE and problem.piece_by_id[number].level)

    on = problem.days[at].on
    return [Slot(on, n, number, "") for n, number in enumerate(sorted(ids, key=by_level))]


def _dress(problem: PlanProblem, slot: Slot) -> list[Slot]:
    if slot.piece_id == OPEN_PIECE:
        return [slot]
    chosen = problem.piece_by_id[slot.piece_id]
    featured = [None, *(s for s, _ in chosen.features)] if problem.featured else [None]
    return [
        replace(slot, focus=focus, featured_section_id=section)
        for focus, _ in chosen.trains
        for section in featured
    ]
