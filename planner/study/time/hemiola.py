"""Where the music moves against its signature: hemiolas, three against two, 3+3+2 in common time."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Ints, PartColumns

EIGHTHS: dict[str, int] = {"3/4": 6, "6/8": 6, "4/4": 8}
"""Eighths in a bar."""

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
        name: What it is called.
        is_alone: Whether one such passage, not joined by a second, is worth knowing.
    """

    time: str
    measures: int
    struck: tuple[int, ...]
    silent: tuple[int, ...]
    name: str
    is_alone: bool


COUNTERS: tuple[Counter, ...] = (
    Counter("3/4", 2, (0, 4, 8), (6,), "hemiola", True),
    Counter("6/8", 1, (0, 2, 4), (3,), "6/8 as 3/4", True),
    Counter("3/4", 1, (0, 3), (2, 4), "3/4 as 6/8", False),
    Counter("4/4", 1, (0, 3, 6), (4,), "3+3+2", False),
)
"""The usual cases. Source: common theory of hemiola and of the tresillo rhythm."""


def find_against(columns: Columns) -> tuple[Fact, ...]:
    """Every passage in which nearly all parts that play move against the signature.

    A single bar of 3+3+2 or of dotted quarters is a common rhythm and not
    reported; two in a row are.
    """
    full = {time: (str(time), time.length_quarters) for time in {m.time for m in columns.score.measures}}
    times = [full[m.time][0] if m.length_quarters == full[m.time][1] else "" for m in columns.score.measures]
    counters = [counter for counter in COUNTERS if counter.time in times]
    if not counters:
        return ()
    masks = attack_masks(columns)
    found: list[Fact] = []
    for counter in counters:
        is_full = np.array([time == counter.time for time in times])
        for first, last in _joined(_hits(counter, columns, masks, is_full), counter.measures):
            if counter.is_alone or last > first:
                found.append(Fact(FactKind.AGAINST_METER, places=((first, last),), terms=(counter.name,)))
    return tuple(sorted(found, key=lambda fact: (fact.places, fact.terms)))


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


def _hits(counter: Counter, columns: Columns, masks: Ints, is_full: Bools) -> list[int]:
    """Measures where a counter begins: nearly all parts that play strike it and hold over the pulses."""
    joined, fits = masks, is_full
    if counter.measures == 2:
        joined = masks[:, :-1] | np.left_shift(masks[:, 1:], EIGHTHS[counter.time])
        fits = is_full[:-1] & is_full[1:]
    struck = sum(1 << place for place in counter.struck)
    silent = sum(1 << place for place in counter.silent)
    playing = np.count_nonzero(joined, axis=0)
    least = np.maximum(np.minimum(2, playing), LEAST_SHARE * playing)
    conform = ((joined & struck) == struck) & ((joined & silent) == 0)
    candidates = np.flatnonzero(fits & (playing > 0) & (conform.sum(axis=0) >= least))
    hits = []
    for at in candidates.tolist():
        start = int(columns.measure_start[at])
        ticks = [start + place * TICKS_PER_QUARTER // 2 for place in counter.silent]
        parts = [columns.parts[part] for part in np.flatnonzero(conform[:, at])]
        if sum(all(_sounds(part, tick) for tick in ticks) for part in parts) >= least[at]:
            hits.append(at)
    return hits


def _sounds(part: PartColumns, tick: int) -> bool:
    """Whether a note is held over a moment: the pulse is bridged, not rested through."""
    first = int(np.searchsorted(part.onset, tick, side="right"))
    window = slice(max(0, first - 12), first)
    return bool(np.any(part.onset[window] + part.duration[window] > tick))


def _joined(hits: list[int], width: int) -> Iterator[tuple[int, int]]:
    """Runs of hits, each taking ``width`` measures; none overlap: one strikes where another must not."""
    first = last = -1
    for hit in hits:
        if hit == last + 1 and first >= 0:
            last = hit + width - 1
            continue
        if first >= 0:
            yield first, last
        first, last = hit, hit + width - 1
    if first >= 0:
        yield first, last
