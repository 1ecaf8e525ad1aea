"""How the pulses of a meter group: what is printed, what the beams show, else custom."""

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from planner.analysis.columns import Columns
from planner.core.profile import MeterSpan
from planner.core.score import TimeSignature

CUSTOM: dict[int, tuple[int, ...]] = {
    5: (3, 2),
    7: (2, 2, 3),
    8: (3, 3, 2),
    10: (3, 3, 2, 2),
    11: (3, 3, 3, 2),
}
"""Usual groupings of irregular meters where the page shows none.

Source: J. Buccheri, "Other metric structures" (7 as 2+2+3, 8 as 3+3+2); the rest from memory.
"""


@cache
def groupings_of(units: int) -> tuple[tuple[int, ...], ...]:
    """Every way to make a number of units from twos and threes, the usual one first.

    Example:
        >>> groupings_of(5)
        ((3, 2), (2, 3))
    """

    def build(left: int) -> Iterator[tuple[int, ...]]:
        if left == 0:
            yield ()
        for first in (2, 3):
            if left >= first:
                yield from ((first, *rest) for rest in build(left - first))

    usual = CUSTOM.get(units)
    return tuple(sorted(build(units), key=lambda groups: (groups != usual, len(groups), groups)))


def regular_grouping(time: TimeSignature) -> tuple[int, ...] | None:
    """The grouping of a meter that needs no inference; None for an irregular one."""
    if len(time.groups) > 1 or len(time.groups[0][0]) > 1:
        unit = max(unit for _, unit in time.groups)
        return tuple(beat * unit // lower for beats, lower in time.groups for beat in beats)
    if time.beats % 3 == 0 and time.unit >= 8:
        return (3,) * (time.beats // 3)
    if time.beats in (5, 7, 10, 11, 13) or (time.unit >= 8 and time.beats > 4):
        return None
    return (1,) * time.beats


def infer_grouping(columns: Columns, start: int, stop: int, time: TimeSignature) -> list[MeterSpan]:
    """The meter of measures ``start`` to ``stop`` (not included), split where the grouping turns."""
    regular = regular_grouping(time)
    if regular is not None:
        return [MeterSpan(start, str(time), regular, 1.0, "printed")]
    if time.beats > 24:
        return [MeterSpan(start, str(time), (1,) * min(time.beats, 64), 0.0, "custom")]
    begins = _beam_begins(columns, start, stop, Fraction(4, time.unit))
    best = max(groupings_of(time.beats), key=lambda groups: _fit(groups, begins), default=(1,) * time.beats)
    shown = _fit(best, begins)
    total = sum(begins.values())
    if shown <= 0 or not total:
        return [MeterSpan(start, str(time), groupings_of(time.beats)[0], 0.2, "custom")]
    return [MeterSpan(start, str(time), best, round(shown / total, 3), "beams")]


def _beam_begins(columns: Columns, start: int, stop: int, unit: Fraction) -> Counter[Fraction]:
    begins: Counter[Fraction] = Counter()
    for part in columns.score.parts:
        for note in part.notes:
            if start <= note.measure < stop and note.beams and note.beams[0] == "begin":
                begins[note.onset_quarters / unit] += 1
    return begins


def _fit(groups: tuple[int, ...], begins: Counter[Fraction]) -> int:
    edges, at = set(), 0
    for group in groups:
        edges.add(at)
        at += group
    return sum(count if place in edges else -count for place, count in begins.items() if place != 0)
