"""The turns by which a piece is known again in another key, for other instruments, or cut short."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from planner.core.fingerprint import MOST_TURNS, Fingerprint
from planner.core.score import TimeSignature
from planner.study.form.leading_line import leading_line
from planner.study.notes.columns import (
    TICKS_PER_QUARTER,
    Columns,
    Floats,
    Ints,
    PartColumns,
    asked_once,
)

MUSIC_STEPS, TUNE_STEPS = 7, 8
"""Intervals in a turn, with note lengths and without (house choices: fewer are shared by strangers)."""
LEAST_KINDS = 3
"""Different intervals that a turn needs; a scale or a repeated note belongs to everybody (house choice)."""
WIDEST = 24
"""Semitones above which a leap counts as that wide."""

Numbers = NDArray[np.uint64]


def find_fingerprint(columns: Columns) -> Fingerprint:
    """The turns of every line of a score, and of the line that leads.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> find_fingerprint(columns_of(Score("Empty", (), ())))
        Fingerprint(music=(), lines=(), tune=())
    """
    voices = [voice for part in columns.pitched() for voice in _voices(part)]
    leading = leading_line(columns)
    tune = [] if leading is None else [(leading.measure, leading.onset, leading.sounding)]
    return Fingerprint(
        _kept(_turns(onset, pitch, MUSIC_STEPS, with_lengths=True) for _, onset, pitch in voices),
        _kept(_turns(*_on_beats(columns, *each), TUNE_STEPS, with_lengths=False) for each in voices),
        _kept(_turns(*_on_beats(columns, *each), TUNE_STEPS, with_lengths=False) for each in tune),
    )


def _voices(part: PartColumns) -> list[tuple[Ints, Ints, Floats]]:
    """Measures, onsets and sounding pitches of the top and the bottom of each staff of a part."""
    voices = []
    for staff in np.unique(part.staff):
        here = (part.staff == staff) & part.struck & ~np.isnan(part.sounding)
        measure, onset, pitch = part.measure[here], part.onset[here], part.sounding[here]
        order = np.lexsort((pitch, onset))
        measure, onset, pitch = measure[order], onset[order], pitch[order]
        first = np.append(True, np.diff(onset) != 0)[: len(onset)]
        last = np.append(np.diff(onset) != 0, True)[: len(onset)]
        voices.append((measure[last], onset[last], pitch[last]))
        if not np.array_equal(first, last):
            voices.append((measure[first], onset[first], pitch[first]))
    return voices


def _on_beats(columns: Columns, measure: Ints, onset: Ints, pitch: Floats) -> tuple[Ints, Floats]:
    """What a line has on the beats, a repeated note once: passing notes differ from setting to setting."""
    beats = _beats(columns)[measure]
    ends = (columns.measure_start + columns.measure_length)[measure]
    kept = ~np.isnan(pitch) & ((ends - onset) % beats == 0)
    onset, pitch = onset[kept], pitch[kept]
    moves = np.append(True, np.diff(pitch) != 0)[: len(pitch)]
    return onset[moves], pitch[moves]


@asked_once
def _beats(columns: Columns) -> Ints:
    """Ticks of a beat of each measure, counted from its end since a pickup has no beginning."""
    return np.array([_beat(measure.time) for measure in columns.score.measures], dtype=np.int64)


def _beat(time: TimeSignature) -> int:
    unit = TICKS_PER_QUARTER * 4 // time.unit
    is_compound = time.unit >= 8 and time.beats > 3 and time.beats % 3 == 0
    return max(1, 3 * unit if is_compound else unit)


def _turns(onset: Ints, pitch: Floats, steps: int, *, with_lengths: bool) -> Numbers:
    """A number for each run of ``steps`` intervals that is not trivial."""
    if len(pitch) <= steps:
        return np.zeros(0, dtype=np.uint64)
    intervals = np.clip(np.rint(np.diff(pitch)), -WIDEST, WIDEST).astype(np.int64)
    signs = (intervals + WIDEST).astype(np.uint64)
    longer = np.zeros(len(intervals), dtype=np.uint64)
    if with_lengths:
        lengths = np.diff(onset).astype(np.float64)
        quarters = np.rint(4 * np.log2(lengths[1:] / lengths[:-1]))
        longer[1:] = np.clip(quarters + WIDEST, 0, 2 * WIDEST).astype(np.uint64)
    count = len(intervals) - steps + 1
    numbers = np.zeros(count, dtype=np.uint64)
    for step in range(steps):
        here = signs[step : step + count]
        if step:  # how long the first note is beside one outside the turn is not its business
            here = here * np.uint64(2 * WIDEST + 1) + longer[step : step + count]
        numbers = _mixed(numbers * np.uint64(1_000_003) + here)
    runs = np.sort(np.lib.stride_tricks.sliding_window_view(intervals, steps), axis=1)
    kinds = 1 + (np.diff(runs, axis=1) != 0).sum(axis=1)
    return np.asarray(numbers[kinds >= LEAST_KINDS])


def _mixed(numbers: Numbers) -> Numbers:
    """Each number scattered over all of 64 bits (the finalizer of MurmurHash3, public domain)."""
    numbers = (numbers ^ (numbers >> np.uint64(33))) * np.uint64(0xFF51AFD7ED558CCD)
    numbers = (numbers ^ (numbers >> np.uint64(33))) * np.uint64(0xC4CEB9FE1A85EC53)
    return numbers ^ (numbers >> np.uint64(33))


def _kept(turns: Iterable[Numbers]) -> tuple[int, ...]:
    """The smallest of all turns, as 32-bit numbers."""
    found: Sequence[Numbers] = [numbers for numbers in turns if len(numbers)]
    if not found:
        return ()
    short = np.unique(np.concatenate(found) >> np.uint64(32))
    return tuple(short[:MOST_TURNS].tolist())
