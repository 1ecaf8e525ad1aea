"""Where a part has even notes against the triplets of others, over whole passages."""

from collections.abc import Iterable, Iterator

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.study.difficulty.evidence import Evidence
from planner.study.difficulty.rhythm_dimensions import beats_of
from planner.study.facts import StudyFacts
from planner.study.notes.columns import Bools, Columns, Ints
from planner.study.spots.rhythm_challenges import divisions, others_of

LEAST_BARS = 4
"""Fewest bars in a row worth speaking of: a phrase; single bars are hard spots. House choice."""
MOST_PLACES = 4
"""Most passages named. House choice."""
HAVE_THEM = 0.5
"""Share of the beats against triplets on which a part has them to be named for them. House choice."""


def against_triplets_facts(columns: Columns, evidence: Evidence, facts: StudyFacts) -> Iterator[Fact]:
    """For each part that divides the beat evenly while others divide it in three: over which bars."""
    beats = beats_of(columns, facts)
    divided = divisions(evidence.parts, beats)
    thirds = divided["three"] | divided["six"]
    measure = np.searchsorted(columns.measure_start, beats.start, side="right") - 1
    for row in range(len(evidence.parts)):
        three, six = (others_of(divided[each], row) for each in ("three", "six"))
        crossed = (divided["two"][row] & three) | (divided["four"][row] & (three | six))
        crossed &= ~thirds[row]
        in_bar = np.zeros(len(columns.measure_start), dtype=np.bool_)
        in_bar[measure[crossed]] = True
        runs = _runs(in_bar)
        if not runs:
            continue
        longest = tuple(sorted(sorted(runs, key=lambda run: (run[0] - run[1], run[0]))[:MOST_PLACES]))
        names = _with_triplets(columns, thirds, crossed, measure, longest)
        yield Fact(
            FactKind.AGAINST_TRIPLETS, columns.parts[row].part.name, places=longest, parts=names, weight=0.5
        )


def _with_triplets(
    columns: Columns, three: Bools, crossed: Bools, measure: Ints, places: Iterable[tuple[int, int]]
) -> tuple[str, ...]:
    """The parts that have triplets on most beats where the own part goes against any, in every place."""
    found = []
    for row in range(len(three)):
        against = three[row] & crossed
        if all(
            against[within].sum() >= HAVE_THEM * crossed[within].sum() > 0
            for within in ((measure >= first) & (measure <= last) for first, last in places)
        ):
            found.append(columns.parts[row].part.name)
    return tuple(found)


def _runs(flags: Bools) -> list[tuple[int, int]]:
    """First and last measure of each long enough run of flags; one bar without is let by."""
    found: list[list[int]] = []
    for at in np.flatnonzero(flags).tolist():
        if found and at - found[-1][1] <= 2:
            found[-1][1] = at
        else:
            found.append([at, at])
    return [(first, last) for first, last in found if last - first + 1 >= LEAST_BARS]
