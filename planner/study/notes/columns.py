"""The score's notes as arrays, derived once and shared by every question.

Time is in ticks, integers of 1/10080 quarter: exact for every binary value and
for tuplets of 3, 5, 7, 9; rarer tuplets are rounded to the nearest tick.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property, wraps
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from planner.core.pitch import CONCERT, STEP_SEMITONES
from planner.core.score import Note, Part, Score

TICKS_PER_QUARTER = 10080

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]


def to_ticks(quarters: Fraction) -> int:
    """Quarters as ticks.

    Example:
        >>> to_ticks(Fraction(1, 3))
        3360
    """
    numerator, denominator = quarters.as_integer_ratio()
    return round(numerator * TICKS_PER_QUARTER / denominator)


@dataclass(frozen=True, eq=False)
class Line:
    """A single melodic line, shape ``(n_events,)`` each: top struck heads, ties merged, in time order.

    Attributes:
        onset: Ticks from the start of the written score.
        duration: Ticks it sounds, ties included.
        measure: Written position of the measure where it begins.
        written: MIDI number of the written pitch.
        sounding: MIDI number of the sounding pitch.
        diatonic: Written staff step, counted from C0.
        note: Index into ``part.notes``.
    """

    onset: Ints
    duration: Ints
    measure: Ints
    written: Floats
    sounding: Floats
    diatonic: Ints
    note: Ints

    def __len__(self) -> int:
        return len(self.onset)

    @cached_property
    def end(self) -> Ints:
        """Tick at which each event stops sounding."""
        return self.onset + self.duration


@dataclass(frozen=True, eq=False)
class PartColumns:
    """One part's heads (no rests, grace or cue notes), in the order of ``part.notes``.

    Arrays have shape ``(n_heads,)``.

    Attributes:
        part: The part.
        index: Its place in the score.
        onset, duration: Ticks; onset from the start of the written score.
        measure: Written position of the measure.
        written, sounding: MIDI numbers; NaN for unpitched heads.
        diatonic: Written staff step from C0 (display step for unpitched heads).
        struck: True where the head is not a tied continuation.
        staff: 1-based staff.
        note: Index into ``part.notes``.
    """

    part: Part
    index: int
    onset: Ints
    duration: Ints
    measure: Ints
    written: Floats
    sounding: Floats
    diatonic: Ints
    struck: Bools
    staff: Ints
    note: Ints

    def __len__(self) -> int:
        return len(self.onset)

    @cached_property
    def is_pitched(self) -> bool:
        """True when at least one head has a pitch."""
        return bool(len(self) and not np.all(np.isnan(self.written)))

    def on_staff(self, staff: int) -> "PartColumns":
        """The part with the heads of one staff alone."""
        here = self.staff == staff
        arrays = (
            "onset",
            "duration",
            "measure",
            "written",
            "sounding",
            "diatonic",
            "struck",
            "staff",
            "note",
        )
        return replace(self, **{name: getattr(self, name)[here] for name in arrays})

    @cached_property
    def line(self) -> Line:
        """The leading line: the highest head at each struck onset, tied continuations added to its length."""
        return _line(self)


@dataclass(frozen=True, eq=False)
class Columns:
    """A score and its parts' arrays.

    Attributes:
        score: The score.
        parts: One ``PartColumns`` a part, in score order.
        measure_start, measure_length: Ticks, shape ``(n_measures,)``.
        total: Ticks of the whole written score.
        found: What questions marked ``asked_once`` have found in this score.
    """

    score: Score
    parts: tuple[PartColumns, ...]
    measure_start: Ints
    measure_length: Ints
    found: dict[Callable[..., Any], Any] = field(default_factory=dict, init=False, repr=False)

    @property
    def total(self) -> int:
        """Length of the written score in ticks."""
        return int(self.measure_start[-1] + self.measure_length[-1]) if len(self.measure_start) else 0

    def pitched(self) -> Iterator[PartColumns]:
        """The parts that have pitches."""
        return (part for part in self.parts if part.is_pitched)


Answer = TypeVar("Answer")


def asked_once(question: Callable[[Columns], Answer]) -> Callable[[Columns], Answer]:
    """A question that several others ask: its answer is kept with the columns, as long as they live.

    Example:
        >>> from planner.core.score import Score
        >>> parts = asked_once(lambda columns: list(columns.parts))
        >>> columns = columns_of(Score("Empty", (), ()))
        >>> parts(columns) is parts(columns)
        True
    """

    @wraps(question)
    def asked(columns: Columns) -> Answer:
        if question not in columns.found:
            columns.found[question] = question(columns)
        return cast("Answer", columns.found[question])

    return asked


def columns_of(score: Score) -> Columns:
    """Derive the arrays of a score.

    Example:
        >>> from planner.core.score import Score
        >>> columns_of(Score("Empty", (), ())).total
        0
    """
    starts = np.array([to_ticks(m.start_quarters) for m in score.measures], dtype=np.int64)
    lengths = np.array([to_ticks(m.length_quarters) for m in score.measures], dtype=np.int64)
    start_list = starts.tolist()
    parts = tuple(_part_columns(part, index, start_list) for index, part in enumerate(score.parts))
    return Columns(score, parts, starts, lengths)


def _part_columns(part: Part, index: int, starts: list[int]) -> PartColumns:
    rows: list[tuple[int, int, int, float, float, int, bool, int, int]] = []
    shifts = _semitones_by_measure(part, len(starts))
    for place, note in enumerate(part.notes):
        if note.is_rest or note.is_grace or note.is_cue:
            continue
        written, diatonic = _place(note)
        rows.append((
            starts[note.measure] + to_ticks(note.onset_quarters), to_ticks(note.duration_quarters),
            note.measure, written,
            written + shifts[note.measure], diatonic, not note.tie_from_previous, note.staff, place,
        ))  # fmt: skip
    whole = np.array([(r[0], r[1], r[2], r[5], r[6], r[7], r[8]) for r in rows], dtype=np.int64)
    pitches = np.array([(r[3], r[4]) for r in rows], dtype=np.float64)
    table, midi = whole.reshape(-1, 7).T, pitches.reshape(-1, 2).T
    return PartColumns(
        part=part,
        index=index,
        onset=table[0],
        duration=table[1],
        measure=table[2],
        written=midi[0],
        sounding=midi[1],
        diatonic=table[3],
        struck=table[4].astype(np.bool_),
        staff=table[5],
        note=table[6],
    )


def _place(note: Note) -> tuple[float, int]:
    if note.pitch is not None:
        pitch = note.pitch
        alter, parts = pitch.alter.as_integer_ratio()
        natural = 12 * (pitch.octave + 1) + STEP_SEMITONES[pitch.step]
        return float(natural + alter if parts == 1 else natural + pitch.alter), pitch.diatonic
    return float("nan"), note.unpitched.diatonic if note.unpitched else 0


def _semitones_by_measure(part: Part, measures: int) -> list[int]:
    shifts = [part.transposition.semitones if part.transpositions else CONCERT.semitones] * measures
    for start, transposition in part.transpositions:
        shifts[start:] = [transposition.semitones] * (measures - start)
    return shifts


def _line(columns: PartColumns) -> Line:
    pitched = ~np.isnan(columns.written)
    struck = np.flatnonzero(columns.struck & pitched)
    order = struck[np.lexsort((-columns.sounding[struck], columns.onset[struck]))]
    first = np.ones(len(order), dtype=bool)
    first[1:] = columns.onset[order][1:] != columns.onset[order][:-1]
    top = order[first]
    duration = columns.duration[top].copy()
    tied = np.flatnonzero(~columns.struck & pitched)
    open_ends = {(int(o + d), float(p)): i for i, (o, d, p) in enumerate(zip(
        columns.onset[top], duration, columns.written[top], strict=True))}  # fmt: skip
    for at in tied[np.argsort(columns.onset[tied], kind="stable")]:
        key = (int(columns.onset[at]), float(columns.written[at]))
        event = open_ends.pop(key, None)
        if event is not None:
            duration[event] += columns.duration[at]
            open_ends[key[0] + int(columns.duration[at]), key[1]] = event
    return Line(
        columns.onset[top], duration, columns.measure[top], columns.written[top],
        columns.sounding[top], columns.diatonic[top], columns.note[top],
    )  # fmt: skip
