"""What stands on a part's page as numbers: equal numbers are equal notes, to the eye of who reads them."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.study.notes.arrays import is_among
from planner.study.notes.columns import Bools, Columns, Ints, PartColumns, to_ticks

Marks = NDArray[np.uint64]
"""Numbers that differ, but for a chance of about one in 2**64, where what they stand for differs."""
_FACTOR = np.uint64(0x9E3779B97F4A7C15)
_SHIFT = np.uint64(29)
_ONE = np.uint64(1)


@dataclass(frozen=True, eq=False)
class Printed:
    """A part's page in numbers.

    Attributes:
        chords: For each note of its line the spelled pitches struck with it and the grace notes before it.
        moments: The same with the printed lengths.
        bars: For each measure every head in it, tied ones too, with place, length and spelling, and its
            grace notes.
    """

    chords: Marks
    moments: Marks
    bars: Marks


def printed(columns: Columns, part: PartColumns) -> Printed:
    """The page of a part, all its staves together.

    Example:
        >>> from planner.core.score import Part, Score
        >>> from planner.study.notes.columns import columns_of
        >>> columns = columns_of(Score("Empty", (), (Part("P1", "Flute"),)))
        >>> len(printed(columns, columns.parts[0]).bars)
        0
    """
    line = part.line
    pitch = np.where(np.isnan(part.written), -1.0, part.written * 2).astype(np.int64)
    graces = _graces(columns, part)
    struck = part.struck & ~np.isnan(part.written)
    at = np.searchsorted(line.onset, part.onset[struck])
    heads = mixed(part.diatonic, pitch)
    lengths = mixed(part.duration, onto=heads)
    ahead = mixed(graces.order, graces.diatonic, graces.pitch)
    is_before = is_among(graces.onset, line.onset)
    before = np.searchsorted(line.onset, graces.onset[is_before])
    offset = part.onset - columns.measure_start[part.measure]
    every = mixed(offset, part.struck, onto=lengths)
    small = mixed(graces.offset, onto=ahead)
    bars = _summed(len(columns.measure_start), (part.measure, every), (graces.measure, small))
    own = (before, ahead[is_before])
    chords = _summed(len(line), (at, heads[struck]), own)
    return Printed(chords, _summed(len(line), (at, lengths[struck]), own), bars)


@dataclass(frozen=True, eq=False)
class _Graces:
    """Grace notes, with their place among those at one moment: arrays of shape ``(n_graces,)``."""

    onset: Ints
    offset: Ints
    measure: Ints
    order: Ints
    diatonic: Ints
    pitch: Ints


def _graces(columns: Columns, part: PartColumns) -> _Graces:
    rows: list[tuple[int, int, int, int, int, int]] = []
    starts = columns.measure_start
    for note in part.part.notes:
        if note.is_grace and note.pitch is not None and not note.is_cue:
            offset = to_ticks(note.onset_quarters)
            onset = int(starts[note.measure]) + offset
            order = rows[-1][3] + 1 if rows and rows[-1][0] == onset else 0
            half_steps = round(float(note.pitch.midi) * 2)
            rows.append((onset, offset, note.measure, order, note.pitch.diatonic, half_steps))
    table = np.array(rows, dtype=np.int64).reshape(-1, 6).T
    return _Graces(*table)


def mixed(*values: Ints | Bools, onto: Marks | None = None) -> Marks:
    """One number for each row of values; those of a row's first values may be given (``onto``)."""
    total = np.zeros(len(values[0]), dtype=np.uint64) if onto is None else onto
    for column in values:
        total = (total + column.astype(np.uint64) + _ONE) * _FACTOR
        total ^= total >> _SHIFT
    return total


def _summed(count: int, *groups: tuple[Ints, Marks]) -> Marks:
    """For each of so many places the sum of the numbers that stand there: their order does not matter."""
    total = np.zeros(count, dtype=np.uint64)
    for place, numbers in groups:
        if len(place):
            np.add.at(total, place, numbers)
    return total
