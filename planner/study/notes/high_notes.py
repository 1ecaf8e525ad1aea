"""The highest note of a part, where it is reached so rarely that a player prepares for it."""

from collections.abc import Iterator

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.study.notes.arrays import distinct
from planner.study.notes.columns import Columns
from planner.study.notes.ranges import family_of

MOST_BARS = 3
"""Most bars with the highest note: one that comes oftener is part of the usual range. House choice."""
LEAST_COMPASS = 5
"""Least semitones from the lowest to the highest note of a part with a top to speak of. House choice."""
FAMILIES = frozenset({"voice", "woodwind", "brass", "strings"})
"""Families whose high notes cost breath, lip or a shift; common practice."""


def high_note_facts(columns: Columns) -> Iterator[Fact]:
    """For each part that sings, blows or bows, the highest written note with its bars.

    A transposition that changes on the way leaves the written notes comparable, for the page is one.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> list(high_note_facts(columns_of(Score("Empty", (), ()))))
        []
    """
    for part in columns.pitched():
        if family_of(part) not in FAMILIES:
            continue
        top, low = float(np.nanmax(part.written)), float(np.nanmin(part.written))
        highest = np.flatnonzero((part.written == top) & part.struck)
        measures = distinct(part.measure[highest]).tolist()
        if top - low < LEAST_COMPASS or not 0 < len(measures) <= MOST_BARS:
            continue
        pitch = part.part.notes[int(part.note[highest[0]])].pitch
        yield Fact(
            FactKind.HIGHEST_NOTE,
            part.part.name,
            places=tuple((measure, measure) for measure in measures),
            notes=(str(pitch),),
            weight=0.4,
        )
