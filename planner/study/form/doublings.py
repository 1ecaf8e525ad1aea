"""Who plays the same notes at the same time, bar by bar."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from planner.core.profile import Pattern, PatternKind
from planner.core.score import Note
from planner.study.notes.arrays import differences, distinct, first_places, is_among
from planner.study.notes.columns import Bools, Columns, Floats, Ints, PartColumns, asked_once, to_ticks

LEAST_UNISON = 8
"""Fewest notes in unison or octaves worth a player's ear (house choice)."""
MOST_UNISONS = 3
"""Most stretches in unison kept for a part (house choice)."""
LEAST_TOP_SHARE = 0.9
"""Share of a stretch on which a part must be the highest to have the top line (house choice)."""
LONGEST_REST = 1
"""Most whole bars of rest inside one stretch; a longer rest parts two stretches (house choice)."""
_LEAST_TOP_NOTES = 4
"""Fewest different notes of a top line that is one (house choice: a held or repeated note is none)."""

_OCTAVE = 24
"""Half semitones in an octave."""

_Stretch = tuple[int, int]
"""First and last measure of a stretch."""

Codes = NDArray[np.uint64]


@dataclass(frozen=True, eq=False)
class BarContents:
    """What each part plays in each bar, as numbers that are equal where the bars are.

    Arrays have shape ``(n_measures, n_parts)``. A bar is every head that sounds in it: when it begins, how
    long it lasts there, whether it is struck or held over, chords and grace notes included.

    Attributes:
        notes: Equal where two parts have the same bar in any octave; 0 where a part has no pitch.
        shape: Equal where two parts have the same bar at one distance throughout.
        lowest: Lowest sounding pitch in half semitones; 0 where a part has no pitch.
        struck: Moments at which something is struck.
    """

    notes: Codes
    shape: Codes
    lowest: Ints
    struck: Ints


@asked_once
def bar_contents(columns: Columns) -> BarContents:
    """What each part plays in each bar.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> bar_contents(columns_of(Score("Empty", (), ()))).notes.shape
        (0, 0)
    """
    shape = (len(columns.measure_start), len(columns.parts))
    notes, shapes = np.zeros(shape, dtype=np.uint64), np.zeros(shape, dtype=np.uint64)
    lowest, struck = np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
    for part in _comparable(columns):
        measure, rows, pitch = _heads_in_bars(columns, part)
        bars, first = first_places(measure)
        if not len(bars):
            continue
        low = np.minimum.reduceat(pitch, first)
        above = pitch - np.repeat(low, differences(first, len(pitch)))
        notes[bars, part.index] = np.add.reduceat(_mixed(rows, pitch % _OCTAVE), first) | np.uint64(1)
        shapes[bars, part.index] = np.add.reduceat(_mixed(rows, above), first) | np.uint64(1)
        lowest[bars, part.index] = low
        struck[:, part.index] = np.bincount(part.line.measure, minlength=shape[0])
    return BarContents(notes, shapes, lowest, struck)


def _comparable(columns: Columns) -> Iterator[PartColumns]:
    """The parts all of whose heads have a pitch."""
    return (part for part in columns.pitched() if not np.isnan(part.sounding).any())


def _heads_in_bars(columns: Columns, part: PartColumns) -> tuple[Ints, Ints, Ints]:
    """Measure, ``(onset in it, length, struck)`` and sounding pitch of each head, in order of measure.

    Heads tied to one another within a bar are one.
    """
    order = np.lexsort((part.onset, part.sounding, part.measure))
    measure, onset, length = part.measure[order], part.onset[order], part.duration[order]
    pitch, is_struck = np.rint(2 * part.sounding[order]).astype(np.int64), part.struck[order]
    goes_on = np.zeros(len(order), dtype=np.bool_)
    goes_on[1:] = (
        ~is_struck[1:]
        & (measure[1:] == measure[:-1])
        & (pitch[1:] == pitch[:-1])
        & (onset[1:] == onset[:-1] + length[:-1])
    )
    first = np.flatnonzero(~goes_on)
    whole = np.add.reduceat(length, first) if len(first) else length
    rows = np.stack([onset[first] - columns.measure_start[measure[first]], whole, is_struck[first]])
    graces = _graces(part)
    measure = np.concatenate([measure[first], graces[0]])
    order = np.argsort(measure, kind="stable")
    rows, pitch = np.concatenate([rows, graces[1:4]], axis=1), np.concatenate([pitch[first], graces[4]])
    return measure[order], rows[:, order], pitch[order]


def _graces(part: PartColumns) -> Ints:
    """Measure, onset in it, length below 0 by order, struck, and pitch of each grace note."""
    table = [
        (
            note.measure, to_ticks(note.onset_quarters), -1 - at, 1,
            round(2 * (midi + part.part.transposition_at(note.measure).semitones)),
        )
        for at, note, midi in _grace_notes(part)
    ]  # fmt: skip
    return np.array(table, dtype=np.int64).reshape(-1, 5).T


def _grace_notes(part: PartColumns) -> Iterator[tuple[int, Note, Fraction]]:
    """The grace notes of a part: place among those of its moment, note, and written pitch."""
    moment, at = None, 0
    for note in part.part.notes:
        if note.is_grace and not note.is_cue and note.pitch is not None:
            here = note.measure, note.onset_quarters
            at = at + 1 if here == moment else 0
            moment = here
            yield at, note, note.pitch.midi


def _mixed(rows: Ints, pitch: Ints) -> Codes:
    """One number for each head, such that sums of different bars differ (chance of a like sum 2**-63).

    Source: the finalizer of splitmix64 (Steele, Lea and Flood 2014).
    """
    mixed = np.zeros(len(pitch), dtype=np.uint64)
    for values in (*rows, pitch):
        mixed = (mixed + values.astype(np.uint64) + np.uint64(0x9E3779B97F4A7C15)).astype(np.uint64)
        mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        mixed ^= mixed >> np.uint64(31)
    return mixed


def find_doublings(columns: Columns) -> list[tuple[Pattern, ...]]:
    """For each part, the longest stretches of whole bars in which other parts play exactly the same notes.

    The same notes in another octave count as the same; whole bars in which both rest may stand between.
    """
    found: list[tuple[Pattern, ...]] = [() for _ in columns.parts]
    contents = bar_contents(columns)
    lines = [part for part in _comparable(columns) if len(part.line) >= LEAST_UNISON]
    if len(lines) < 2:
        return found
    for part in lines:
        shared = _shared_with(contents, part.index, [other.index for other in lines])
        found[part.index] = tuple(
            _pattern(columns, contents, part, stretches, others, octaves)
            for (others, octaves), stretches in shared.items()
        )
    return found


def same_bars(contents: BarContents, one: int, others: Sequence[int]) -> Bools:
    """Where other parts play the same bar as one part, in any octave; shape ``(n_measures, n_others)``.

    A bar without notes is the same as none.
    """
    own = contents.notes[:, [one]]
    return np.asarray((contents.notes[:, list(others)] == own) & (own != 0), dtype=np.bool_)


def octaves_above(contents: BarContents, one: int, other: int, bars: Ints) -> int | None:
    """How many octaves one part sounds above another in bars that are the same; None where that changes."""
    apart = distinct(contents.lowest[bars, one] - contents.lowest[bars, other])
    alike = contents.shape[bars, one] == contents.shape[bars, other]
    if len(apart) != 1 or not bool(np.all(alike)) or apart[0] % _OCTAVE:
        return None
    return int(apart[0]) // _OCTAVE


_With = tuple[tuple[int, ...], tuple[int, ...]]
"""The other parts of a stretch, and how many octaves above each the part sounds; empty where that changes."""


def _shared_with(contents: BarContents, own: int, lines: Sequence[int]) -> dict[_With, list[_Stretch]]:
    """The longest stretches shared with others, those with the same others together, in order."""
    others = [other for other in lines if other != own]
    same = same_bars(contents, own, others)
    enough = contents.struck[:, own] @ same >= LEAST_UNISON
    spans: dict[_Stretch, list[int]] = {}
    for at in np.flatnonzero(enough).tolist():
        for stretch in _stretches(contents, own, others[at], np.flatnonzero(same[:, at])):
            spans.setdefault(stretch, []).append(others[at])
    notes = np.append(0, np.cumsum(contents.struck[:, own]))
    best = sorted(spans.items(), key=lambda item: (notes[item[0][0]] - notes[item[0][1] + 1], item[0]))
    chosen: list[tuple[_Stretch, list[int]]] = []
    for (first, last), together in best:
        if len(chosen) < MOST_UNISONS and all(last < f or first > e for (f, e), _ in chosen):
            chosen.append(((first, last), together))
    joined: dict[_With, list[_Stretch]] = {}
    for (first, last), together in sorted(chosen):
        bars = first + np.flatnonzero(contents.notes[first : last + 1, own])
        octaves = [octaves_above(contents, own, other, bars) for other in together]
        known = tuple(each for each in octaves if each is not None)
        key = tuple(together), known if len(known) == len(octaves) else ()
        joined.setdefault(key, []).append((first, last))
    return joined


def _stretches(contents: BarContents, own: int, other: int, bars: Ints) -> list[_Stretch]:
    """Stretches of bars that are the same, with enough notes, parted by other bars and by longer rests."""
    if not len(bars):
        return []
    rests = np.append(0, np.cumsum((contents.notes[:, own] == 0) & (contents.notes[:, other] == 0)))
    between = np.diff(bars) - 1
    parted = (between > LONGEST_REST) | (rests[bars[1:]] - rests[bars[:-1] + 1] != between)
    edges = np.flatnonzero(parted) + 1
    firsts, lasts = bars[np.append(0, edges)], bars[np.append(edges - 1, len(bars) - 1)]
    notes = np.append(0, np.cumsum(contents.struck[:, own]))
    long = notes[lasts + 1] - notes[firsts] >= LEAST_UNISON
    return list(zip(firsts[long].tolist(), lasts[long].tolist(), strict=True))


def _pattern(
    columns: Columns,
    contents: BarContents,
    part: PartColumns,
    stretches: list[_Stretch],
    others: tuple[int, ...],
    octaves: tuple[int, ...],
) -> Pattern:
    inside = np.concatenate([np.arange(first, last + 1) for first, last in stretches])
    covers = round(int(contents.struck[inside, part.index].sum()) / len(part.line), 3)
    return Pattern(
        PatternKind.UNISON,
        tuple(stretches),
        covers,
        tuple(columns.parts[other].part.name for other in others),
        has_top_line=_has_top_line(columns, part, inside),
        octaves=octaves,
    )


def _has_top_line(columns: Columns, part: PartColumns, bars: Ints) -> bool:
    """Whether a part moves in some bars and is the highest at nearly all its notes there."""
    onset, highest = _top_pitch(columns)
    inside = is_among(part.line.measure, bars)
    own = part.line.sounding[inside]
    is_top = highest[np.searchsorted(onset, part.line.onset[inside])] <= own
    return len(distinct(own % 12)) >= _LEAST_TOP_NOTES and bool(np.mean(is_top) >= LEAST_TOP_SHARE)


@asked_once
def _top_pitch(columns: Columns) -> tuple[Ints, Floats]:
    """Onsets of the whole score, ascending, and the highest sounding MIDI number struck at each."""
    lines = [part.line for part in columns.pitched()]
    onset = np.concatenate([line.onset for line in lines])
    pitch = np.concatenate([line.sounding for line in lines])
    order = np.lexsort((-pitch, onset))
    first = np.append(True, onset[order][1:] != onset[order][:-1])
    return onset[order][first], pitch[order][first]
