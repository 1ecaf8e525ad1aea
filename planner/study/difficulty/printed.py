"""What is printed of each struck head of a part, as arrays."""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Ints, PartColumns

_SHARPS = {step: place for place, step in enumerate("FCGDAEB")}
"""When each letter gets its sharp; flats come the other way round."""


@dataclass(frozen=True, eq=False)
class PrintedNotes:
    """Struck heads in the order of ``PartColumns``; arrays of shape ``(n_struck,)``.

    Attributes:
        onset: Ticks from the start of the score.
        staff: 1-based staff.
        diatonic: Written staff step from C0.
        pitched: True where the head has a pitch.
        rank: When its letter gets its sharp, 0 (F) to 6 (B); -1 without a pitch.
        alter: Tenths of a semitone by which it is altered.
    """

    onset: Ints
    staff: Ints
    diatonic: Ints
    pitched: Bools
    rank: Ints
    alter: Ints

    def __len__(self) -> int:
        return len(self.onset)


def printed_notes(part: PartColumns) -> PrintedNotes:
    """One pass over the heads of a part."""
    heads = np.flatnonzero(part.struck)
    pitches = [part.part.notes[place].pitch for place in part.note[heads].tolist()]
    rank = np.array([-1 if pitch is None else _SHARPS[pitch.step] for pitch in pitches], dtype=np.int64)
    alter = np.array([0 if pitch is None else round(10 * pitch.alter) for pitch in pitches], dtype=np.int64)
    return PrintedNotes(part.onset[heads], part.staff[heads], part.diatonic[heads], rank >= 0, rank, alter)


def in_force(columns: Columns, places: list[tuple[int, Fraction]], onset: Ints) -> Ints:
    """For each onset the index of the last of some marks that stands at or before it; the first before all.

    Args:
        columns: The score.
        places: Measure and quarters from its start of each mark, in order; at least one.
        onset: Ticks.
    """
    starts = columns.measure_start
    ticks = np.array(
        [int(starts[min(measure, len(starts) - 1)]) + int(at * TICKS_PER_QUARTER) for measure, at in places]
    )
    found: Ints = np.maximum(np.searchsorted(ticks, onset, side="right") - 1, 0)
    return found
