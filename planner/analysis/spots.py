"""The hard places of each part: where a player should look first."""

from dataclasses import dataclass

import numpy as np

from planner.analysis.columns import Columns, PartColumns
from planner.analysis.dim_page import attack_rates
from planner.analysis.facts import StudyFacts
from planner.analysis.ranges import bar_number
from planner.analysis.strands import strands_of
from planner.core.profile import Spot, Statement

MOST_SPOTS = 5
"""Spots a player can look at in the study time.

Source: house choice: half a minute of the study and about six seconds a place.
"""


@dataclass(frozen=True, slots=True)
class SpotStudy:
    """Spots of each part in score order, hardest first, and the sentences they make."""

    by_part: tuple[tuple[Spot, ...], ...]
    statements: tuple[Statement, ...] = ()


def find_spots(columns: Columns, facts: StudyFacts, *, most: int = MOST_SPOTS) -> SpotStudy:
    """The hardest places of every part."""
    numbers = tuple(m.number for m in columns.score.measures)
    by_part = tuple(_of_part(part, columns, facts, numbers, most) for part in columns.parts)
    statements = tuple(
        Statement("spots", spot.why, part.part.name, spot.measure, spot.end_measure)
        for part, spots in zip(columns.parts, by_part, strict=True)
        for spot in spots
    )
    return SpotStudy(by_part, statements)


def _of_part(
    part: PartColumns, columns: Columns, facts: StudyFacts, numbers: tuple[str, ...], most: int
) -> tuple[Spot, ...]:
    if not part.struck.any():
        return ()
    count = len(columns.measure_start)
    weight = np.zeros(count)
    reasons: list[list[str]] = [[] for _ in range(count)]
    line = part.line
    if len(line) > 1:
        leap = np.abs(np.diff(line.sounding))
        for at in np.flatnonzero(leap > 7):
            weight[line.measure[at + 1]] += leap[at] / 12
            reasons[line.measure[at + 1]].append("wide leap")
    rates = attack_rates(strands_of(columns)[part.index], columns, facts)
    playing = rates[rates > 0]
    for at in np.flatnonzero(rates > max(3.0, 1.3 * float(np.median(playing)))):
        weight[at] += rates[at] / 4
        reasons[at].append("run")
    chosen = sorted(int(m) for m in np.argsort(-weight, kind="stable")[:most] if weight[m] > 0)
    spots = []
    for measure in chosen:
        why = tuple(dict.fromkeys(reasons[measure]))
        sentence = f"Bar {bar_number(measure, numbers)}: {' and '.join(why)}."
        spots.append(Spot(measure, why, sentence, measure, round(float(weight[measure]), 2)))
    return tuple(sorted(spots, key=lambda s: (-s.weight, s.measure)))
