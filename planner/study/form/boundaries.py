"""Where sections may begin: what the page shows, the return of the opening, and long repeats."""

from itertools import pairwise

import numpy as np

from planner.study.form.exact_repeats import maximal_repeats
from planner.study.form.leading_line import leading_line
from planner.study.notes.columns import Columns, Ints, asked_once

LEAST_SECTION = 4
"""Fewest measures of a section (house choice: a phrase)."""
LONG_REPEAT = 8
"""Fewest measures of a repeated stretch that shows a section where the page shows none (house choice)."""
OPENING = 4
"""Measures that make up the opening when looking for its return (house choice: a phrase)."""


@asked_once
def boundaries_of(columns: Columns) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """First measures of the sections, and measures at which the opening returns note for note.

    Both are empty for a score without pitches.
    """
    if not len(columns.score.measures) or leading_line(columns) is None:
        return (), ()
    symbols = _bar_symbols(columns)
    returns = _returns(symbols)
    return tuple(_section_starts(columns, symbols, returns)), tuple(returns)


def _bar_symbols(columns: Columns) -> Ints:
    """One number a measure: the same where the leading line has the same notes; silent measures differ."""
    line = leading_line(columns)
    assert line is not None
    measures = len(columns.measure_start)
    seen: dict[tuple[float, ...], int] = {}
    edges = np.searchsorted(line.measure, np.arange(measures + 1)).tolist()
    offset = (line.onset - columns.measure_start[line.measure]).tolist()
    pitch, length = line.sounding.tolist(), line.duration.tolist()
    symbols = []
    for measure in range(measures):
        inside = range(edges[measure], edges[measure + 1])
        figure = tuple(x for at in inside for x in (offset[at], pitch[at], length[at]))
        symbols.append(seen.setdefault(figure or (-1.0, measure), len(seen)))
    return np.array(symbols, dtype=np.int64)


def _returns(symbols: Ints) -> list[int]:
    """Measures at which the opening of the leading line comes again, note for note, for four measures."""
    first = 0
    while first + OPENING < len(symbols) and len(set(symbols[first : first + OPENING].tolist())) < 2:
        first += 1
    opening = symbols[first : first + OPENING]
    if len(opening) < OPENING:
        return []
    found, at = [], first + OPENING
    while at + OPENING <= len(symbols):
        if np.array_equal(symbols[at : at + OPENING], opening):
            found.append(at - first)
            at += OPENING
        else:
            at += 1
    return found


def _section_starts(columns: Columns, symbols: Ints, returns: list[int]) -> list[int]:
    """First measures of sections: what the page shows, the return of the opening, and long repeats."""
    count = len(columns.score.measures)
    strong = _printed_starts(columns) | {0}
    strong |= {at for before, at in pairwise([-LONG_REPEAT, *returns]) if at - before > LONG_REPEAT}
    weak: set[int] = set()
    if len(strong) == 1:
        for repeat in maximal_repeats(symbols, least=LONG_REPEAT):
            weak |= set(repeat.starts) | {start + repeat.length for start in repeat.starts}
    kept: list[int] = []
    for start in sorted(strong | weak):
        fits = 0 <= start < count and (not start or start in strong or count - start >= LEAST_SECTION)
        if fits and (not kept or start - kept[-1] >= LEAST_SECTION):
            kept.append(start)
    return kept


def _printed_starts(columns: Columns) -> set[int]:
    """Measures at which the page shows a new section."""
    starts = set()
    for measure in columns.score.measures:
        if measure.rehearsal:
            starts.add(measure.index)
        if measure.right_bar in ("light-light", "light-heavy"):
            starts.add(measure.index + 1)
    for mark in columns.score.marks:
        if mark.kind in ("repeat-start", "coda"):
            starts.add(mark.measure)
        elif mark.kind == "repeat-end":
            starts.add(mark.measure + 1)
    return _after_endings(columns, starts) | _meter_starts(columns)


def _after_endings(columns: Columns, starts: set[int]) -> set[int]:
    """The starts, one at a second or later ending moved behind it: an ending belongs to what it ends."""
    endings = {mark.measure for mark in columns.score.marks if mark.kind == "ending-start"}
    stops = sorted({mark.measure for mark in columns.score.marks if mark.kind == "ending-stop"})
    moved = set()
    for start in starts:
        while start in endings and any(stop >= start for stop in stops):
            start = next(stop for stop in stops if stop >= start) + 1
        moved.add(start)
    return moved


def _meter_starts(columns: Columns) -> set[int]:
    """Where a meter of some length turns to another of some length: bars that alternate are no sections."""
    measures = columns.score.measures
    changes = [0, *(m.index for m in measures if m.time_changes and m.index), len(measures)]
    return {
        at
        for before, at, after in zip(changes, changes[1:], changes[2:], strict=False)
        if at - before >= LONG_REPEAT and after - at >= LONG_REPEAT
    }
