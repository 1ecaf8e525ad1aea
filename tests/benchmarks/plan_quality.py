"""Plans of ten terms beside those of a careful planner, and beside the best that a library allows.

``python -m tests.benchmarks.plan_figures plan_quality`` prints the figures. Plans of both are made in the
same run. A floor that no plan of a term could reach, by the relaxations of ``plan_measures``, is not asked of
it; the share of the careful planner's cost always is, with the least that the bound leaves beside it.
"""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.scheduling import check
from planner.scheduling.solve import solve
from tests.benchmarks.careful_planner import careful_plan, remembered
from tests.benchmarks.plan_measures import Measures, least_bias, least_cost, least_out, measures_of
from tests.benchmarks.plan_terms import NamedTerm, all_terms
from tests.benchmarks.rows import Row

LIMIT_S = 120.0
"""Far above what the search's own steps take: they, not the clock, should end it."""

CHEAPER = 0.80
MOST_OUT = 0.10
MOST_BIAS = 0.03
"""Floors: of the careful planner's cost a filled slot; readings out of band; mean share from the mean aim."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """One term planned by both.

    Attributes:
        name: The term.
        ours, careful: What the plans are worth; the careful planner's is its cheaper one of two, with and
            without pieces from the shelf after the days are filled.
        day_by_day: The careful planner's before it exchanges anything.
        bound: No full plan costs less a slot, by the search's own proof or the relaxation.
        out, bias: The least that any full plan can have, by the relaxations.
        seconds: Wall time of the search.
    """

    name: str
    ours: Measures
    careful: Measures
    day_by_day: Measures
    bound: float
    out: float
    bias: float
    seconds: float


def compare(term: NamedTerm) -> Comparison:
    """Plan a term both ways."""
    problem = term.problem
    started = time.perf_counter()
    solution = solve(problem, LIMIT_S)
    seconds = time.perf_counter() - started
    assert not check.broken_rules(problem, solution.slots)
    rivals = [measures_of(problem, careful_plan(problem, with_shelf=shelf)) for shelf in (False, True)]
    ours = measures_of(problem, solution.slots)
    day_by_day = measures_of(problem, careful_plan(problem, sweeps=0))
    with remembered():
        bound = least_cost(problem)
        out, bias = least_out(problem), least_bias(problem)
    if not ours.open:
        bound = max(bound, solution.bound / max(1, ours.filled))
    careful = min(rivals, key=lambda rival: (rival.open, rival.cost))
    return Comparison(term.name, ours, careful, day_by_day, bound, out, bias, seconds)


def rows() -> Iterator[Row]:
    """The figures of all ten terms, and of all together."""
    found = []
    for term in all_terms():
        found.append(compare(term))
        yield from rows_of(found[-1])
    yield from together(found)


def rows_of(one: Comparison) -> Iterator[Row]:
    """The figures of one term."""
    name, ours, careful = f"plan, {one.name}", one.ours, one.careful
    note = f"{ours.cost:.1f} and {careful.cost:.1f} a slot; no plan below {one.bound / careful.cost:.3f}"
    ratio = ours.cost / careful.cost
    yield Row(f"{name}: cost beside careful", ratio, CHEAPER, "ratio", at_most=True, note=note)
    note = f"{one.day_by_day.cost:.1f} a slot, {one.day_by_day.open} open"
    yield Row(
        f"{name}: cost beside day by day alone", ours.cost / one.day_by_day.cost, None, "ratio", note=note
    )
    yield Row(f"{name}: open slots more than careful", ours.open - careful.open, 0, "slots", at_most=True)
    note = f"careful {careful.out:.3f}, no plan below {one.out:.3f}"
    most = MOST_OUT if one.out <= MOST_OUT else None
    yield Row(f"{name}: sections out of band", ours.out, most, "share", at_most=True, note=note)
    bias = abs(ours.share - ours.aim)
    note = f"{ours.share:.3f}, aim {ours.aim:.3f}, careful {careful.share:.3f}, no plan below {one.bias:.3f}"
    most = MOST_BIAS if one.bias <= MOST_BIAS else None
    yield Row(f"{name}: mean share from the aim", bias, most, "share", at_most=True, note=note)
    yield Row(
        f"{name}: each reading from its aim", ours.off, None, "share", note=f"careful {careful.off:.3f}"
    )
    yield Row(f"{name}: time", one.seconds, None, "s")


def together(found: Sequence[Comparison]) -> Iterator[Row]:
    """The figures of all terms together."""
    slots = sum(one.ours.filled for one in found)
    ours, careful, bound = (
        sum(one.ours.filled * each(one) for one in found) / slots
        for each in (lambda one: one.ours.cost, lambda one: one.careful.cost, lambda one: one.bound)
    )
    note = f"{ours:.1f} and {careful:.1f} a slot; no plan below {bound / careful:.3f}"
    yield Row(
        "plans together: cost beside careful", ours / careful, CHEAPER, "ratio", at_most=True, note=note
    )
    above = (ours - bound) / max(1e-9, careful - bound)
    yield Row("plans together: cost above the bound beside careful", above, 1.0, "ratio", at_most=True)
    readings = sum(one.ours.readings for one in found)
    theirs = sum(one.careful.readings for one in found)
    for what, each in (("out of band", "out"), ("from the aim", "off")):
        mean = sum(one.ours.readings * getattr(one.ours, each) for one in found) / readings
        rival = sum(one.careful.readings * getattr(one.careful, each) for one in found) / theirs
        name = f"plans together: readings {what}, less those of careful"
        yield Row(name, mean - rival, 0.0, "share", at_most=True, note=f"{mean:.4f} and {rival:.4f}")
