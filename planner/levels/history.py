"""A section's level over time: every result in order, with growth and doubt in between."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.levels.belief import DEFAULT_ERROR, Reading, estimate
from planner.levels.curve import clip_level
from planner.levels.forecast import forecast_level


@dataclass(frozen=True, slots=True)
class LevelPoint:
    """One result as evidence: when, how hard the part was (with its error), and the share right."""

    on: date
    part_level: float
    share: float
    part_error: float = 0.0


def trace_level(
    start: float, start_error: float | None, points: Sequence[LevelPoint]
) -> list[tuple[float, float]]:
    """Level and standard error after each day that has results.

    All results of one day are weighed together, so their order within it does not matter;
    between days the belief is carried forward by the forecast.

    Args:
        start: Level before the first result.
        start_error: Its standard error; None for the director's word alone.
        points: Results in any order.

    Returns:
        One pair a day, in order of date.

    Example:
        >>> good = LevelPoint(date(2026, 9, 1), 2.0, 0.97)
        >>> trace_level(2.0, None, [good])[-1][0] > 2.0
        True
    """
    belief = (start, DEFAULT_ERROR if start_error is None else start_error)
    days = sorted({point.on for point in points})
    traced = []
    for at, day in enumerate(days):
        if at:
            weeks = (day - days[at - 1]).days / 7
            belief = forecast_level(*belief, weeks)
        readings = [Reading(p.part_level, p.share, part_error=p.part_error) for p in points if p.on == day]
        level, error = estimate(belief, readings)
        belief = (clip_level(level), error)
        traced.append(belief)
    return traced
