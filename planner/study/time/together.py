"""Where all parts move in one rhythm."""

from collections.abc import Iterator

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.study.notes.arrays import distinct
from planner.study.notes.columns import Bools, Columns, Ints, PartColumns

LEAST_PARTS = 3
"""Fewest sounding parts that can be said to move together. House choice."""
ALIKE = 0.85
"""Share of the moments at which any part strikes that the parts must have on the average. House choice:
passing notes in one of four voices are let by."""
ALIKE_EACH = 0.75
"""The same for the part that has fewest; below it, it goes its own way. House choice."""
LEAST_BARS = 4
"""Fewest bars in a row worth speaking of: a phrase. House choice."""
MOST_PLACES = 4
"""Most passages named. House choice."""


def together_facts(columns: Columns) -> Iterator[Fact]:
    """Where all parts that sound strike together.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> list(together_facts(columns_of(Score("Empty", (), ()))))
        []
    """
    parts = [part for part in columns.pitched() if part.struck.any()]
    if len(parts) < LEAST_PARTS or any(part.part.staves > 1 for part in parts):
        return
    bars = len(columns.measure_start)
    counts = np.zeros((len(parts), bars), dtype=np.int64)
    every: list[Ints] = []
    for row, part in enumerate(parts):
        onsets = distinct(part.onset[part.struck])
        measures = np.searchsorted(columns.measure_start, onsets, side="right") - 1
        counts[row] = np.bincount(measures, minlength=bars)
        every.append(onsets)
    moments = distinct(np.concatenate(every))
    moment_measures = np.searchsorted(columns.measure_start, moments, side="right") - 1
    total = np.bincount(moment_measures, minlength=bars)
    sounding = _sounding(columns, parts)
    share = np.where(sounding, counts / np.maximum(total, 1), np.nan)
    playing = sounding.sum(axis=0)
    enough = (playing >= LEAST_PARTS) & (total > 0)
    alike = np.zeros(bars, dtype=np.bool_)
    alike[enough] = (np.nanmean(share[:, enough], axis=0) >= ALIKE) & (
        np.nanmin(share[:, enough], axis=0) >= ALIKE_EACH
    )
    runs = _runs(alike)
    if runs:
        longest = sorted(runs, key=lambda run: (run[0] - run[1], run[0]))[:MOST_PLACES]
        yield Fact(FactKind.ONE_RHYTHM, places=tuple(sorted(longest)), weight=0.4)


def _sounding(columns: Columns, parts: list[PartColumns]) -> Bools:
    """Which parts sound in which bars, held notes among them: shape ``(n_parts, n_measures)``."""
    found = np.zeros((len(parts), len(columns.measure_start)), dtype=np.bool_)
    for row, part in enumerate(parts):
        found[row, part.measure] = True
    return found


def _runs(flags: Bools) -> list[tuple[int, int]]:
    """First and last measure of each run of flags that is long enough."""
    edges = np.flatnonzero(np.diff(np.r_[0, flags.astype(np.int64), 0]))
    runs = zip(edges[::2].tolist(), (edges[1::2] - 1).tolist(), strict=True)
    return [(first, last) for first, last in runs if last - first + 1 >= LEAST_BARS]
