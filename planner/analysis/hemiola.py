"""Where the music moves against its signature: hemiolas, three against two, 3+3+2 in common time."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from planner.analysis.columns import TICKS_PER_QUARTER, Columns, Ints, PartColumns
from planner.core.score import Measure

LEAST_SHARE = 0.75
"""Share of the parts playing there that must move against the signature. House choice."""


@dataclass(frozen=True, slots=True)
class Counter:
    """A way of moving against a signature.

    Attributes:
        time: Signature it goes against.
        measures: Measures it takes.
        struck: Eighths from its start at which notes must begin.
        silent: Eighths at which none may begin (pulses of the signature).
        why: What it is, to follow "Bars 5–6".
    """

    time: str
    measures: int
    struck: tuple[int, ...]
    silent: tuple[int, ...]
    why: str


COUNTERS: tuple[Counter, ...] = (
    Counter("3/4", 2, (0, 4, 8), (6,), "two bars of 3/4 move as three half notes (hemiola)"),
    Counter("6/8", 1, (0, 2, 4), (3,), "6/8 moves as 3/4, three quarters a bar (hemiola)"),
    Counter("3/4", 1, (0, 3), (2, 4), "3/4 moves as 6/8, two dotted quarters a bar"),
    Counter("4/4", 1, (0, 3, 6), (4,), "4/4 moves as 3+3+2 eighths"),
)
"""The usual cases. Source: common theory of hemiola and of the tresillo rhythm."""


@dataclass(frozen=True, slots=True)
class Against:
    """Measures ``first`` to ``last`` that move against their signature, and how."""

    first: int
    last: int
    why: str


def find_against(columns: Columns) -> tuple[Against, ...]:
    """Every passage in which nearly all parts that play move against the signature.

    A single bar of 3+3+2 or of dotted quarters is a common rhythm and not
    reported; two in a row are.
    """
    measures = columns.score.measures
    wanted = {counter.time for counter in COUNTERS}
    if not any(str(measure.time) in wanted for measure in measures):
        return ()
    masks = attack_masks(columns)
    found: list[Against] = []
    for counter in COUNTERS:
        hits = [m.index for m in measures if _fits(counter, columns, masks, m.index)]
        for first, last in _joined(hits, counter.measures):
            if counter.measures > 1 or "hemiola" in counter.why or last > first:
                found.append(Against(first, last, counter.why))
    return tuple(sorted(found, key=lambda each: (each.first, each.last, each.why)))


def attack_masks(columns: Columns) -> Ints:
    """For each part and measure, the eighths on which a note begins, as bits; shape ``(parts, measures)``.

    A bit higher than the 30th, and attacks between eighths, are left out.
    """
    eighth = TICKS_PER_QUARTER // 2
    masks = np.zeros((len(columns.parts), len(columns.measure_start)), dtype=np.int64)
    for part in columns.parts:
        onset = (part.onset - columns.measure_start[part.measure])[part.struck]
        measure = part.measure[part.struck]
        on_grid = (onset % eighth == 0) & (onset >= 0) & (onset // eighth < 30)
        bits = np.left_shift(1, onset[on_grid] // eighth)
        np.bitwise_or.at(masks[part.index], measure[on_grid], bits)
    return masks


def _fits(counter: Counter, columns: Columns, masks: Ints, at: int) -> bool:
    span = columns.score.measures[at : at + counter.measures]
    if len(span) < counter.measures or not all(_is_full(measure, counter.time) for measure in span):
        return False
    joined = masks[:, at].copy()
    if counter.measures == 2:
        joined |= np.left_shift(masks[:, at + 1], int(span[0].length_quarters / Fraction(1, 2)))
    struck = sum(1 << place for place in counter.struck)
    silent = sum(1 << place for place in counter.silent)
    playing = int(np.count_nonzero(joined))
    conform = np.flatnonzero(((joined & struck) == struck) & ((joined & silent) == 0))
    if len(conform) < max(min(2, playing), LEAST_SHARE * playing, 1):
        return False
    start = int(columns.measure_start[at])
    ticks = [start + place * TICKS_PER_QUARTER // 2 for place in counter.silent]
    held = sum(all(_sounds(columns.parts[part], tick) for tick in ticks) for part in conform)
    return held >= max(min(2, playing), LEAST_SHARE * playing)


def _is_full(measure: Measure, time: str) -> bool:
    return str(measure.time) == time and measure.length_quarters == measure.time.length_quarters


def _sounds(part: PartColumns, tick: int) -> bool:
    """Whether a note is held over a moment: the pulse is bridged, not rested through."""
    first = int(np.searchsorted(part.onset, tick, side="right"))
    window = slice(max(0, first - 12), first)
    return bool(np.any(part.onset[window] + part.duration[window] > tick))


def _joined(hits: list[int], width: int) -> Iterator[tuple[int, int]]:
    """Runs of hits, each taking ``width`` measures, without overlap."""
    first = last = -1
    for hit in hits:
        if hit <= last:
            continue
        if hit == last + 1 and first >= 0:
            last = hit + width - 1
            continue
        if first >= 0:
            yield first, last
        first, last = hit, hit + width - 1
    if first >= 0:
        yield first, last
