"""The widest leap of a part, where there is one alone: the place where a wrong note is most likely."""

from collections.abc import Iterator

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.study.notes.columns import Columns

LEAST_SEMITONES = 5
"""Fewest semitones of a leap to speak of: a fourth. House choice: less is a step or a third."""


def wide_leap_facts(columns: Columns) -> Iterator[Fact]:
    """For each part of one staff with one note at a time the widest leap, if no other is as wide.

    A leap goes from a note to the next, in the order of the page, with no whole bar of rest between.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> list(wide_leap_facts(columns_of(Score("Empty", (), ()))))
        []
    """
    for part in columns.pitched():
        line = part.line
        if part.part.staves > 1 or len(line) < 2 or len(line) != int(part.struck.sum()):
            continue
        sizes = np.abs(np.diff(line.written))
        sizes[np.isnan(sizes) | (np.diff(line.measure) > 1)] = 0.0
        widest = np.flatnonzero(sizes == sizes.max()).tolist()
        if len(widest) > 1 or sizes.max() < LEAST_SEMITONES:
            continue
        [at] = widest
        notes = [part.part.notes[int(line.note[each])].pitch for each in (at, at + 1)]
        bar = int(line.measure[at + 1])
        yield Fact(
            FactKind.WIDEST_LEAP,
            part.part.name,
            places=((bar, bar),),
            notes=tuple(map(str, notes)),
            weight=0.3,
        )
