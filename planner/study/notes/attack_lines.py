"""What one player's hand or voice has to attack: a part, or each staff of a keyboard part."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.core.score import Part
from planner.study.notes.arrays import differences, distinct, first_places
from planner.study.notes.columns import Bools, Columns, Floats, Ints, PartColumns


@dataclass(frozen=True, eq=False)
class AttackLine:
    """Attacks of one part, or of one staff of a part with several; arrays of shape ``(n_attacks,)``.

    Attributes:
        part: Index of the part in the score.
        onset: Ticks of each attack, ascending, chords counted once.
        end: Tick at which the longest head struck there stops, ties included where one line is tied.
        measure: Written position of the measure.
        top, bottom: Highest and lowest sounding MIDI number struck; NaN for unpitched heads.
        written: Highest written MIDI number struck.
        heads: How many heads are struck at once.
        note: Index of the highest head in ``part.notes``.
    """

    part: int
    onset: Ints
    end: Ints
    measure: Ints
    top: Floats
    bottom: Floats
    written: Floats
    heads: Ints
    note: Ints

    def __len__(self) -> int:
        return len(self.onset)

    @cached_property
    def moves(self) -> Floats:
        """Signed semitones from each top to the next, across rests too; empty when unpitched."""
        tops = self.top[~np.isnan(self.top)]
        return np.diff(tops)


def attack_lines_of(columns: Columns) -> tuple[tuple[AttackLine, ...], ...]:
    """The attack lines of each part in score order; a part that never plays has none."""
    return tuple(_of_part(part) for part in columns.parts)


def _of_part(part: PartColumns) -> tuple[AttackLine, ...]:
    if part.part.staves <= 1:
        every = np.ones(len(part), dtype=np.bool_)
        return (_line_of(part, every),) if part.struck.any() else ()
    masks = [part.staff == staff for staff in distinct(part.staff)]
    return tuple(_line_of(part, mask) for mask in masks if (mask & part.struck).any())


def _line_of(part: PartColumns, mask: Bools) -> AttackLine:
    at = np.flatnonzero(mask & part.struck)
    height = np.where(np.isnan(part.sounding[at]), -1.0, part.sounding[at])
    at = at[np.lexsort((-height, part.onset[at]))]
    onset, first = first_places(part.onset[at])
    heads = differences(first, len(at))
    ends = np.maximum.reduceat((part.onset + part.duration)[at], first)
    held = np.flatnonzero(mask & ~part.struck)
    if held.size:
        _extend(onset, ends, part.onset[held], (part.onset + part.duration)[held])
    tops = at[first]
    with np.errstate(invalid="ignore"):
        bottom = np.fmin.reduceat(part.sounding[at], first)
    return AttackLine(
        part.index, onset, ends, part.measure[tops], part.sounding[tops], bottom, part.written[tops],
        heads, part.note[tops],
    )  # fmt: skip


def upper_voices(part: Part) -> dict[int, tuple[int, str]]:
    """For each measure, staff and voice of the one who plays the upper line of a part for several.

    Where a measure has one voice alone, everybody plays it.
    """
    found: dict[int, tuple[int, str]] = {}
    for note in part.notes:
        voice = (note.staff, note.voice)
        least = found.setdefault(note.measure, voice)
        if (voice[0], len(voice[1]), voice[1]) < (least[0], len(least[1]), least[1]):
            found[note.measure] = voice
    return found


def upper_voice_line(part: PartColumns) -> AttackLine | None:
    """The attacks of the upper line of a part for several; None of a part that never plays."""
    voices = upper_voices(part.part)
    notes = part.part.notes
    own = [voices[notes[at].measure] == (notes[at].staff, notes[at].voice) for at in part.note.tolist()]
    mask = np.array(own, dtype=np.bool_)
    return _line_of(part, mask) if (mask & part.struck).any() else None


def _extend(onset: Ints, ends: Ints, tied_onset: Ints, tied_end: Ints) -> None:
    """Carry an attack's end through the tied heads that follow it, in place."""
    for start, stop in zip(tied_onset[(order := np.argsort(tied_onset, kind="stable"))].tolist(),
                           tied_end[order].tolist(), strict=True):  # fmt: skip
        owner = int(np.searchsorted(onset, start, side="left")) - 1
        if owner >= 0 and ends[owner] == start:
            ends[owner] = stop


def most_in_window(values: Floats, width: int) -> float:
    """Largest sum of ``width`` neighbouring values, or of all when there are fewer.

    Example:
        >>> most_in_window(np.array([1.0, 0.0, 2.0, 2.0, 0.0]), 2)
        4.0
    """
    if not len(values):
        return 0.0
    width = min(width, len(values))
    sums = np.concatenate(([0.0], np.cumsum(values)))
    return float((sums[width:] - sums[:-width]).max())
