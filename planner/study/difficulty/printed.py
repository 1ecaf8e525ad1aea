"""What is printed of each struck head of a part, as arrays."""

from dataclasses import dataclass
from fractions import Fraction
from math import floor, log2

import numpy as np

from planner.core.score import Note
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Ints, PartColumns

VALUES = {"whole": 0, "half": 1, "quarter": 2, "eighth": 3, "16th": 4, "32nd": 5, "64th": 6}
"""Place of a printed value."""
_SHARPS = {step: place for place, step in enumerate("FCGDAEB")}
"""When each letter gets its sharp; flats come the other way round."""
_TUPLETS = {None: 0, (3, 2): 1, (6, 4): 1}
_DOTTED_EIGHTH = Fraction(3, 4)


@dataclass(frozen=True, eq=False)
class PrintedNotes:
    """Struck heads in the order of ``PartColumns``; arrays of shape ``(n_struck,)``.

    Attributes:
        measure: Written position of the measure.
        onset: Ticks from the start of the score.
        staff: 1-based staff.
        diatonic: Written staff step from C0.
        pitched: True where the head has a pitch.
        rank: When its letter gets its sharp, 0 (F) to 6 (B).
        alter: Tenths of a semitone by which it is altered.
        value: Place of its printed value, see ``VALUES``.
        completes_dotted: True for the sixteenth beside a dotted eighth.
        dotted: True where it has a dot.
        tuplet: 0 none, 1 triplet, 2 any other.
        accidental: True where an accidental is printed that is no courtesy.
    """

    measure: Ints
    onset: Ints
    staff: Ints
    diatonic: Ints
    pitched: Bools
    rank: Ints
    alter: Ints
    value: Ints
    completes_dotted: Bools
    dotted: Bools
    tuplet: Ints
    accidental: Bools

    def __len__(self) -> int:
        return len(self.measure)


def printed_notes(part: PartColumns) -> PrintedNotes:
    """One pass over the heads of a part."""
    heads = np.flatnonzero(part.struck)
    notes = [part.part.notes[place] for place in part.note[heads].tolist()]
    rows = [
        (
            -1 if note.pitch is None else _SHARPS[note.pitch.step],
            0 if note.pitch is None else round(10 * note.pitch.alter),
            VALUES[note.value] if note.value in VALUES else _place(note),
            note.dots > 0,
            _TUPLETS.get(note.tuplet, 2),
            bool(note.accidental) and not note.is_courtesy,
            note.duration_quarters == _DOTTED_EIGHTH,
        )
        for note in notes
    ]
    rank, alter, value, dotted, tuplet, accidental, eighth = (
        np.array(rows, dtype=np.int64).T if rows else np.zeros((7, 0), dtype=np.int64)
    )
    beside = np.zeros(len(rows), dtype=np.bool_)
    beside[1:] |= eighth[:-1] > 0
    beside[:-1] |= eighth[1:] > 0
    return PrintedNotes(
        measure=part.measure[heads], onset=part.onset[heads], staff=part.staff[heads],
        diatonic=part.diatonic[heads], pitched=rank >= 0, rank=rank, alter=alter, value=value,
        completes_dotted=(value == VALUES["16th"]) & beside, dotted=dotted > 0, tuplet=tuplet,
        accidental=accidental > 0,
    )  # fmt: skip


def _place(note: Note) -> int:
    """Place of a value from its length, where none is printed."""
    length = note.duration_quarters
    return 2 - floor(log2(length)) if length > 0 else 2


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
