"""Where a part plays on the offbeats alone."""

from collections.abc import Iterator, Sequence

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.study.notes.arrays import distinct, is_among
from planner.study.notes.columns import Bools, Columns

LEAST_BARS = 3
"""Fewest bars with notes that make a passage of offbeats. House choice."""
LONGEST_REST = 1
"""Most bars of rest inside a passage. House choice."""
MOST_PLACES = 4
"""Most passages named. House choice."""


def offbeat_facts(columns: Columns, pulses: Sequence[tuple[int, ...]]) -> Iterator[Fact]:
    """For each part the passages in which no note begins on a felt beat, and at most one after each beat.

    More than one makes a figure that starts after a rest, which no player calls offbeats.

    Args:
        columns: The score.
        pulses: For each measure the ticks from its start at which a felt pulse falls.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> list(offbeat_facts(columns_of(Score("Empty", (), ())), ()))
        []
    """
    if not len(columns.measure_start):
        return
    starts = columns.measure_start.tolist()
    every = [start + pulse for start, each in zip(starts, pulses, strict=True) for pulse in each]
    beats = np.array(every, dtype=np.int64)
    bars = len(columns.measure_start)
    span = max((int(part.onset.max()) for part in columns.parts if len(part)), default=0) + 1
    for part in columns.parts:
        on_beat, struck = is_among(part.onset, beats), part.struck
        plays = np.bincount(part.measure[struck], minlength=bars) > 0
        holds_on = np.bincount(part.measure[on_beat], minlength=bars) > 0
        bar, onset = np.divmod(distinct(part.measure[struck] * span + part.onset[struck]), span)
        after = np.searchsorted(beats, onset, side="right")
        again = (after[1:] == after[:-1]) & (bar[1:] == bar[:-1])
        figure = np.bincount(bar[1:][again], minlength=bars) > 0
        runs = _runs(plays & ~holds_on & ~figure, plays)
        if runs:
            longest = sorted(runs, key=lambda run: (run[0] - run[1], run[0]))[:MOST_PLACES]
            yield Fact(FactKind.OFFBEATS, part.part.name, places=tuple(sorted(longest)), weight=0.45)


def _runs(off: Bools, plays: Bools) -> list[tuple[int, int]]:
    """First and last bar of each passage: bars that are off the beat, with short rests between."""
    found: list[list[int]] = []
    for at in np.flatnonzero(off).tolist():
        if found and at - found[-1][1] <= LONGEST_REST + 1 and not plays[found[-1][1] + 1 : at].any():
            found[-1][1] = at
            found[-1][2] += 1
        else:
            found.append([at, at, 1])
    return [(first, last) for first, last, bars in found if bars >= LEAST_BARS]
