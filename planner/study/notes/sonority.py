"""What sounds together, moment by moment: the score cut where harmony can change.

Spelling is kept as a place on the line of fifths (C is 0, G is 1, F is -1, F sharp
is 6, G flat is -6), so that F sharp and G flat stay different evidence.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.core.score import TimeSignature
from planner.study.notes.arrays import within
from planner.study.notes.columns import (
    TICKS_PER_QUARTER,
    Columns,
    Floats,
    Ints,
    PartColumns,
    asked_once,
    to_ticks,
)

LOF_LOW = -15
"""Lowest place on the line of fifths kept: F double flat."""
LOF_COUNT = 35
"""Places kept, up to B double sharp."""

_LETTER_LOF = np.array([0, 2, 4, -1, 1, 3, 5], dtype=np.int64)
_LETTER_SEMITONES = np.array([0, 2, 4, 5, 7, 9, 11], dtype=np.int64)


@dataclass(frozen=True, eq=False)
class Heads:
    """All pitched heads of a score in one table, shape ``(n_heads,)`` each.

    Attributes:
        onset, end: Ticks from the start of the written score.
        lof: Sounding pitch class as a place on the line of fifths.
        midi: Sounding MIDI number, rounded to a semitone.
        part: Index of the part.
        struck: True where the head begins to sound.
        measure: Written position of the measure.
        fermata: True under a fermata.
    """

    onset: Ints
    end: Ints
    lof: Ints
    midi: Ints
    part: Ints
    struck: NDArray[np.bool_]
    measure: Ints
    fermata: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.onset)


@dataclass(frozen=True, eq=False)
class Sonority:
    """The score in slices between which harmony may change.

    Arrays have shape ``(n_slices,)`` unless said otherwise.

    Attributes:
        start, end: Ticks from the start of the written score.
        measure: Written position of the measure.
        offset: Ticks from the start of the measure.
        weight: Metrical weight of the slice's start: 5 where the music sets in anew (the coda, what
            follows a jump), 4 right after a pause, 3 downbeat,
            2 strong beat, 1 beat, 0 off the beat.
        mass: Sounding time of each spelled pitch class over the slice's length,
            shape ``(n_slices, 35)``; doublings are pressed together.
        bass: Place on the line of fifths of the lowest sound at the start, or of the
            lowest later one; 99 when silent.
        pause: 2 under a fermata or before a common rest, 1 where nothing new is struck
            for two beats, 0 elsewhere.
    """

    start: Ints
    end: Ints
    measure: Ints
    offset: Ints
    weight: Ints
    mass: Floats
    bass: Ints
    pause: Ints

    def __len__(self) -> int:
        return len(self.start)


def spelled_lof(midi: Floats, diatonic: Ints) -> Ints:
    """Place on the line of fifths of pitches given by MIDI number and staff step from C0.

    Example:
        >>> spelled_lof(np.array([66.0, 66.0]), np.array([31, 32])).tolist()
        [6, -6]
    """
    octave, letter = np.divmod(diatonic, 7)
    alter = np.rint(midi).astype(np.int64) - 12 * (octave + 1) - _LETTER_SEMITONES[letter]
    return np.asarray(_LETTER_LOF[letter] + 7 * alter, dtype=np.int64)


@asked_once
def heads_of(columns: Columns) -> Heads:
    """Every pitched head with its sounding, spelled pitch, in part order."""
    tables = [_part_heads(part, len(columns.measure_start)) for part in columns.pitched()]
    if not tables:
        none = np.zeros(0, dtype=np.int64)
        return Heads(none, none, none, none, none, none.astype(np.bool_), none, none.astype(np.bool_))
    onset, end, lof, midi, part, struck, measure, fermata = np.concatenate(tables, axis=1)
    return Heads(onset, end, lof, midi, part, struck.astype(np.bool_), measure, fermata.astype(np.bool_))


def _part_heads(part: PartColumns, measures: int) -> Ints:
    keep = ~np.isnan(part.sounding) & (part.duration > 0)
    steps = np.full(max(measures, 1), part.part.transposition.steps, dtype=np.int64)
    for start, transposition in part.part.transpositions:
        steps[start:] = transposition.steps
    midi, measure = part.sounding[keep], part.measure[keep]
    notes = part.part.notes
    fermata = np.array([notes[at].has_fermata for at in part.note[keep].tolist()], dtype=np.int64)
    lof = spelled_lof(midi, part.diatonic[keep] + steps[measure])
    return np.stack([
        part.onset[keep], part.onset[keep] + part.duration[keep], lof,
        np.rint(midi).astype(np.int64), np.full(len(midi), part.index), part.struck[keep], measure,
        fermata,
    ])  # fmt: skip


def beat_ticks(time: TimeSignature) -> int:
    """Length of the counted beat: a dotted value in 6, 9 and 12, never longer than a half note.

    Source:
        Compound meters beat in threes when the upper number is 6, 9 or 12 (common practice).
    """
    unit = 4 * TICKS_PER_QUARTER // max(time.unit, 1)
    if time.unit >= 8 and time.beats in (6, 9, 12):
        return 3 * unit
    return min(unit, 2 * TICKS_PER_QUARTER)


@asked_once
def sonority_of(columns: Columns) -> Sonority:
    """Cut a score into slices at each place on the half-beat grid where a note begins."""
    heads = heads_of(columns)
    start, measure, offset, weight = _grid(columns)
    keep = _changing(start, heads, columns.total)
    start, measure, offset, weight = start[keep], measure[keep], offset[keep], weight[keep]
    end = np.append(start[1:], columns.total).astype(np.int64)
    mass, bass = _masses(start, end, heads)
    pause = _pauses(columns, start, end, measure, heads)
    weight[1:][pause[:-1] == 2] = 4
    weight[(offset == 0) & np.isin(measure, _set_in(columns))] = 5
    return Sonority(start, end, measure, offset, weight, mass, bass, pause)


def _set_in(columns: Columns) -> list[int]:
    """Measures that are not played after the one written before them: the coda, and what follows a jump."""
    marks = columns.score.marks
    return [m.measure for m in marks if m.kind == "coda"] + [
        m.measure + 1 for m in marks if m.kind in ("da-capo", "dal-segno")
    ]


def _pauses(columns: Columns, start: Ints, end: Ints, measure: Ints, heads: Heads) -> Ints:
    """How clearly the music stands still in each slice."""
    if not len(start):
        return np.zeros(0, dtype=np.int64)
    beats = np.array([beat_ticks(m.time) for m in columns.score.measures], dtype=np.int64)
    pause = (end - start >= 2 * beats[measure]).astype(np.int64)
    at = within(np.searchsorted(start, heads.onset, side="right") - 1, 0, len(start) - 1)
    pause[at[heads.fermata]] = 2
    last = np.zeros(len(start), dtype=np.int64)
    np.maximum.at(last, np.maximum(np.searchsorted(start, heads.end, side="left") - 1, 0), heads.end)
    np.maximum.at(last, at, np.minimum(heads.end, end[at]))
    silent = np.maximum.accumulate(last) <= end - TICKS_PER_QUARTER // 2
    silent[-1] = True
    pause[silent] = 2
    return pause


def _grid(columns: Columns) -> tuple[Ints, Ints, Ints, Ints]:
    """Start, measure, offset and metrical weight of every half beat of the score."""
    rows: list[tuple[Ints, Ints]] = []
    known: dict[tuple[int, TimeSignature], tuple[Ints, Ints]] = {}
    for measure, length in zip(columns.score.measures, columns.measure_length.tolist(), strict=True):
        key = (length, measure.time)
        if key not in known:
            known[key] = _measure_grid(measure.time, length)
        rows.append(known[key])
    if not rows:
        none = np.zeros(0, dtype=np.int64)
        return none, none, none, none
    offset, weight = (np.concatenate(each) for each in zip(*rows, strict=True))
    at = np.repeat(np.arange(len(rows)), [len(offsets) for offsets, _ in rows])
    return columns.measure_start[at] + offset, at, offset, weight


def _measure_grid(time: TimeSignature, length: int) -> tuple[Ints, Ints]:
    beat = beat_ticks(time)
    unit = 4 * TICKS_PER_QUARTER // max(time.unit, 1)
    step = min(unit, TICKS_PER_QUARTER) if beat > unit or beat > TICKS_PER_QUARTER else beat // 2
    if time.unit >= 8:
        step = unit
    offsets = np.arange(0, length, max(step, 1), dtype=np.int64)
    full = to_ticks(time.length_quarters)
    lead = full - length if 0 < length < full else 0
    place = offsets + lead
    weights = np.where(place % beat == 0, 1, 0)
    if full and (full // beat) % 2 == 0 and full // beat > 2:
        weights[(place * 2) % full == 0] = 2
    weights[place == 0] = 3
    return offsets, weights.astype(np.int64)


def _changing(start: Ints, heads: Heads, total: int) -> NDArray[np.bool_]:
    """Grid places whose slice holds the beginning of a note, plus the first."""
    keep = np.zeros(len(start), dtype=np.bool_)
    if len(start):
        keep[0] = True
        inside = heads.struck & (heads.onset >= 0) & (heads.onset < total)
        keep[np.searchsorted(start, heads.onset[inside], side="right") - 1] = True
    return keep


def _masses(start: Ints, end: Ints, heads: Heads) -> tuple[Floats, Ints]:
    slices = len(start)
    mass = np.zeros((slices, LOF_COUNT))
    bass = np.full(slices, 99, dtype=np.int64)
    if not slices or not len(heads):
        return mass, bass
    first = within(np.searchsorted(start, heads.onset, side="right") - 1, 0, slices - 1)
    last = within(np.searchsorted(start, heads.end, side="left") - 1, first, slices - 1)
    counts = last - first + 1
    head = np.repeat(np.arange(len(heads)), counts)
    at = first[head] + np.arange(len(head)) - np.repeat(np.cumsum(counts) - counts, counts)
    begin = np.maximum(heads.onset[head], start[at])
    share = (np.minimum(heads.end[head], end[at]) - begin) / np.maximum(end[at] - start[at], 1)
    lof = within(heads.lof[head] - LOF_LOW, 0, LOF_COUNT - 1)
    flat = np.bincount(at * LOF_COUNT + lof, weights=np.maximum(share, 0), minlength=slices * LOF_COUNT)
    mass = np.sqrt(flat.reshape(slices, LOF_COUNT))
    # The lowest note sounding nearest the start of the slice is the bass.
    order = np.lexsort((heads.midi[head], begin > start[at], at))
    picked = order[np.append(True, at[order][1:] != at[order][:-1])]
    bass[at[picked]] = heads.lof[head][picked]
    return mass, bass
