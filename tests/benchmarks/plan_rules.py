"""Rules of a plan and conflicts held against other statements of them.

``python -m tests.benchmarks.study_figures plan_rules`` prints how many random tiny terms agree, plan by plan,
with a director's own statement of the rules (``tests.scheduling.director``); whether the solver's constraints
have a plan just when trying all finds one; and of how many impossible terms another solver with another model
(``tests.scheduling.milp_model``) confirms that there is no plan, that no rule and no cause can be left out of
those that are named, and that each mend that is called enough lets a plan exist.
"""

import random
import statistics
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

from planner.errors import InfeasiblePlanError
from planner.scheduling import check
from planner.scheduling.answer import Cause, Conflict
from planner.scheduling.check import PlanCost
from planner.scheduling.explanation.causes import every_cause, why_not
from planner.scheduling.explanation.explain import find_conflict
from planner.scheduling.explanation.mends import mended
from planner.scheduling.problem import Candidate, PartAsked, PlanDay, PlanProblem, PlanSection, PlanWish
from planner.scheduling.solve import solve
from tests.benchmarks.rows import Row
from tests.scheduling.director import broken, dressed, every_dressing, every_placing
from tests.scheduling.milp_model import by_cause, by_name, has_plan
from tests.scheduling.small_problems import FIRST, LIMIT_S, SKILLS, random_problem

AGREEING = 400
IMPOSSIBLE = 500
WORK = 1000.0
"""Far more work than any of these terms takes."""

EVERYWHERE = set(every_cause(random_problem(0)))


BEST = 300
STEPS = 400
"""Steps of the search on terms of at most three slots."""


def best_by_trying(problem: PlanProblem) -> PlanCost | None:
    """Cost of the best of all plans that keep a director's rules; None when there is none."""
    costs = (
        check.cost(problem, plan)
        for placing in every_placing(problem)
        if not broken(problem, placing) - {check.FOCUSED, check.FEATURED}
        for plan in every_dressing(problem, placing)
        if not broken(problem, plan)
    )
    return min(costs, key=lambda cost: cost.total, default=None)


def best_by_search(problem: PlanProblem) -> tuple[int | None, float]:
    """Cost of the plan that the search finds, and its bound; None when it proves that there is none."""
    try:
        found = solve(problem, LIMIT_S, steps=STEPS, gap=0.0)
    except InfeasiblePlanError:
        return None, 0.0
    return found.cost.total, found.bound


@dataclass(frozen=True)
class Agreement:
    """What came of holding one term against the director's statement, plan by plan.

    Attributes:
        plans: Plans tried.
        kept: Placings that keep every rule.
        differences: Rules on which the two differ, each with its plan.
        is_solver_right: Whether the constraints have a plan just when trying all found one.
    """

    plans: int
    kept: int
    differences: tuple[tuple[str, object], ...]
    is_solver_right: bool


def agreement(problem: PlanProblem, seed: int, every: int = 1) -> Agreement:
    """Hold every placing of a term, and one with something wrong drawn for each, against the director.

    Args:
        problem: A tiny term.
        seed: Draws what is wrong.
        every: The rules are compared one by one on every so-manieth placing only.
    """
    chance, differences, plans, kept = random.Random(seed), [], 0, 0
    for placing in every_placing(problem):
        plans += 1
        is_kept = not broken(problem, placing)
        kept += is_kept
        if is_kept != (not check.broken_rules(problem, placing)):
            differences.append(("all", placing))
        if plans % every == 0:
            wrong = dressed(problem, placing, chance)
            plans += 1
            ours = {name for name, is_met in check.CHECKS.items() if not is_met(problem, wrong)}
            differences += [(rule, wrong) for rule in ours ^ broken(problem, wrong)]
    is_possible = find_conflict(problem, LIMIT_S, WORK) is None
    return Agreement(plans, kept, tuple(differences), is_possible == (kept > 0))


def impossible_terms(count: int) -> Iterator[tuple[PlanProblem, Conflict]]:
    """Random terms without a plan, with their conflicts; of two sizes."""
    seed = found = 0
    while found < count:
        size = (4, 5) if seed % 2 else (9, 9)
        problem = random_problem(seed, most_slots=size[0], most_pieces=size[1])
        seed += 1
        if (conflict := find_conflict(problem, LIMIT_S, WORK)) is not None:
            found += 1
            yield problem, conflict


def possible_terms(count: int) -> Iterator[PlanProblem]:
    """Random terms in which no conflict was found."""
    seed = found = 0
    while found < count:
        problem = random_problem(seed, most_slots=9, most_pieces=9)
        seed += 1
        if find_conflict(problem, LIMIT_S, WORK) is None:
            found += 1
            yield problem


def faults(problem: PlanProblem, conflict: Conflict) -> list[str]:
    """What another model finds wrong with a conflict; empty when it confirms all of it."""
    rules, found = set(conflict.rules), []
    if has_plan(problem, by_name(EVERYWHERE)):
        found.append("there is a plan")
    if has_plan(problem, by_name(rules)):
        found.append("the rules named have a plan")
    found += [f"not needed: {rule}" for rule in rules if not has_plan(problem, by_name(rules - {rule}))]
    if has_plan(problem, by_cause(conflict)):
        found.append("the causes named have a plan")
    found += [
        f"not needed: {cause}"
        for cause, without in each_left_out(conflict)
        if not has_plan(problem, by_cause(without))
    ]
    found += [
        f"not enough: {mend}"
        for mend in conflict.mends
        if mend.is_enough and not has_plan(mended(problem, mend), by_name(EVERYWHERE))
    ]
    if not (conflict.is_minimal and conflict.is_exact):
        found.append("not proven to be minimal")
    return found


def each_left_out(conflict: Conflict) -> Iterator[tuple[Cause, Conflict]]:
    """Every single cause, with the conflict without it: of pins, bans and lost sections each by itself."""
    for cause in conflict.causes:
        others = tuple(other for other in conflict.causes if other != cause)
        if cause.rule in (check.PINS, check.BANS):
            parts = [
                replace(cause, piece_ids=tuple(p for p in cause.piece_ids if p != piece))
                for piece in cause.piece_ids
            ]
        elif cause.rule == check.READABLE:
            parts = [
                replace(cause, section_ids=tuple(s for s in cause.section_ids if s != section))
                for section in cause.section_ids
            ]
        else:
            parts = [None]
        for part in parts:
            yield cause, replace(conflict, causes=others if part is None else (*others, part))


def _tiny(seed: int) -> PlanProblem:
    return random_problem(seed, most_slots=3)


def large_term(
    *,
    pieces: int = 300,
    days: int = 36,
    slots: int = 3,
    minutes: float = 20.0,
    fresh: float = 1.0,
    above: float = 0.0,
) -> PlanProblem:
    """A term of usual size for eight sections at about level 2, with pieces from level 1.5 to 3.5.

    Args:
        pieces, days, slots, minutes: Its size.
        fresh: Share of the pieces that nobody knows.
        above: Levels by which all pieces are harder.
    """
    chance = random.Random(7)
    sections = tuple(
        PlanSection(
            number, f"Section {number}", 4,
            tuple(2.0 + chance.gauss(0.0, 0.2) + 0.01 * day for day in range(days)), (0.3,) * days,
        )
        for number in range(1, 9)
    )  # fmt: skip
    found = []
    for number in range(1, pieces + 1):
        level = chance.uniform(1.5, 3.5) + above
        parts = tuple(PartAsked(s.id, level + chance.gauss(0.0, 0.3), 0.2) for s in sections)
        known = frozenset() if chance.random() < fresh else frozenset(range(days))
        length, trains = float(chance.randint(4, 9)), tuple((name, 2) for name in chance.sample(SKILLS, 2))
        found.append(Candidate(number, f"Piece {number}", level, length, trains, (), parts, stale_on=known))
    dates = (FIRST + timedelta(days=7 * number) for number in range(days))
    return PlanProblem(
        days=tuple(PlanDay(on, minutes, slots) for on in dates),
        pieces=tuple(found),
        focuses=tuple((name, 0, 0) for name in SKILLS),
        sections=sections,
    )


def large_impossible_terms() -> dict[str, PlanProblem]:
    """Terms of usual and of great size without a plan, by what is wrong with them."""
    wishes = make_wishes(large_term())
    short_day = large_term(slots=1, minutes=8.0)
    days = tuple(replace(day, minutes=3.0) if at == 10 else day for at, day in enumerate(short_day.days))
    return {
        "a third of the pieces fresh": large_term(fresh=0.34),
        "days too short for three pieces": large_term(minutes=12.5),
        "pieces too hard": large_term(slots=2, above=1.2),
        "one day too short": replace(short_day, days=days),
        "a pin against a ban": wishes,
        "5,000 pieces too hard": large_term(pieces=5000, days=40, slots=2, above=2.2),
    }


def make_wishes(problem: PlanProblem) -> PlanProblem:
    """A dozen pins that can hold, the first of them against a ban."""
    dates = [day.on for day in problem.days]
    pins = [PlanWish(n, dates[n] if n % 3 else None) for n in range(1, 30)]
    able = [
        pin
        for pin in pins
        if any(not why_not(problem, pin.piece_id, on) for on in dates if pin.on in (None, on))
    ]
    return replace(problem, pins=tuple(able[:12]), bans=(PlanWish(able[0].piece_id),))


def timed_conflicts() -> Iterator[tuple[str, float, Conflict | None]]:
    """Each large impossible term with the seconds of processor time its explanation takes."""
    for name, problem in large_impossible_terms().items():
        start = time.process_time()
        conflict = find_conflict(problem, LIMIT_S)
        yield name, time.process_time() - start, conflict


def rows() -> Iterable[Row]:
    """The figures."""
    start = time.perf_counter()
    found = [agreement(random_problem(seed), seed) for seed in range(AGREEING)]
    agree = sum(not each.differences for each in found)
    yield Row("tiny terms: check and director agree on every plan", agree, AGREEING, "terms")
    yield Row("  plans tried", sum(each.plans for each in found), unit="plans")
    yield Row("  terms that have a plan", sum(each.kept > 0 for each in found), unit="terms")
    right = sum(each.is_solver_right for each in found)
    yield Row("tiny terms: constraints have a plan just when one exists", right, AGREEING, "terms")
    terms = list(impossible_terms(IMPOSSIBLE))
    wrong = [faults(problem, conflict) for problem, conflict in terms]
    confirmed = sum(not each for each in wrong)
    yield Row("impossible terms: confirmed and minimal by another model", confirmed, IMPOSSIBLE, "terms")
    for kind, count in sorted(Counter(conflict.kind.value for _, conflict in terms).items()):
        yield Row(f"  {kind}", count, unit="terms")
    enough = sum(mend.is_enough for _, conflict in terms for mend in conflict.mends)
    yield Row("  mends called enough, each tried", enough, unit="mends")
    has = sum(has_plan(problem, by_name(EVERYWHERE)) for problem in possible_terms(IMPOSSIBLE))
    yield Row("terms without a conflict: another model finds a plan", has, IMPOSSIBLE, "terms")
    both = [(best_by_trying(problem), best_by_search(problem)) for problem in map(_tiny, range(BEST))]
    same = sum(found == (None if best is None else best.total) for best, (found, _) in both)
    yield Row("tiny terms: the search finds the best of all plans", same, BEST, "terms")
    yield Row("  terms that have a plan", sum(best is not None for best, _ in both), unit="terms")
    true = sum(best is None or bound <= best.filled + best.change for best, (_, bound) in both)
    yield Row("tiny terms: no plan costs less than the bound", true, BEST, "terms")
    timed = list(timed_conflicts())
    exact = sum(c is not None and c.is_minimal and c.is_exact for _, _, c in timed)
    yield Row("large impossible terms: explained, proven minimal", exact, len(timed), "terms")
    yield Row("  processor time, median", statistics.median(s for _, s, _ in timed), 5.0, "s", at_most=True)
    for name, seconds, _ in timed:
        yield Row(f"  {name}", seconds, unit="s")
    yield Row("  time", time.perf_counter() - start, unit="s")
