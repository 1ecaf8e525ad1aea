"""What is heard around each slice of a score: the evidence from which keys and chords are read.

An accompaniment lays a chord out over a beat or a bar, and a key over many bars: a slice alone
shows a note or two. So each slice is seen with its beat, its bar and the bars around it.
"""

from dataclasses import dataclass

import numpy as np

from planner.study.notes.arrays import within
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, Ints, asked_once
from planner.study.notes.sonority import LOF_COUNT, LOF_LOW, Sonority, beat_ticks, sonority_of

CHORD_VIEWS: tuple[tuple[str, int], ...] = (
    ("notes", LOF_COUNT),
    ("bass", LOF_COUNT),
    ("present", 12),
    ("sounds", 1),
    ("notes_of_beat", LOF_COUNT),
    ("bass_of_beat", LOF_COUNT),
    ("present_in_beat", 12),
    ("notes_of_bar", LOF_COUNT),
    ("bass_of_bar", LOF_COUNT),
)
"""What is heard of a chord, and how many columns each view has.

Shares of the sounding time by place on the line of fifths, in the slice, its beat and its bar; the bass at
the start of each as one of the places; which of twelve pitch classes are present; whether anything sounds.
"""
KEY_VIEWS: tuple[tuple[str, int], ...] = (
    ("ahead", LOF_COUNT),
    ("behind", LOF_COUNT),
    ("around", LOF_COUNT),
    ("bass_around", LOF_COUNT),
)
"""What is heard of a key: shares of the sounding time in the next two bars of 4/4, in the last two, and in
six to either side; the bass from one bar before to two after."""

NEAR, FAR = 8, 24
"""How far a key is looked for near a slice and around it, in quarters.

House choice: two bars and six bars of 4/4; half of it to the side where less counts.
"""


@dataclass(frozen=True, eq=False)
class Heard:
    """The evidence of a score, a row a slice.

    Attributes:
        chord: The ``CHORD_VIEWS`` side by side, weighted by how long and how fully the slice sounds.
        key: The ``KEY_VIEWS`` side by side, weighted by the length of the slice.
        quarters: Length of each slice in quarters, at most four.
    """

    chord: Floats
    key: Floats
    quarters: Floats


def starts_of(views: tuple[tuple[str, int], ...]) -> dict[str, int]:
    """First column of each view.

    Example:
        >>> starts_of(CHORD_VIEWS)["present"]
        70
    """
    ends = np.cumsum([width for _, width in views]).tolist()
    return {name: end - width for (name, width), end in zip(views, ends, strict=True)}


@asked_once
def heard_of(columns: Columns) -> Heard:
    """What is heard around each slice of a score."""
    sonority = sonority_of(columns)
    beats = np.array([beat_ticks(measure.time) for measure in columns.score.measures], dtype=np.int64)
    return heard_in(sonority, beats)


def heard_in(sonority: Sonority, beats: Ints) -> Heard:
    """The same from the slices and the length of the beat in each measure, in ticks."""
    quarters = np.minimum((sonority.end - sonority.start) / TICKS_PER_QUARTER, 4.0)
    if not len(sonority):
        return Heard(np.zeros((0, _width(CHORD_VIEWS))), np.zeros((0, _width(KEY_VIEWS))), quarters)
    notes, bass = _shares(sonority.mass), _bass(sonority)
    chord = _of_chords(sonority, notes, bass, beats)
    # It grows with the square root of the length: twice as long is not twice as sure.
    pull = np.sqrt(quarters) * np.minimum(sonority.mass.sum(axis=1), 1.5)
    return Heard(chord * pull[:, None], _of_keys(sonority, notes, bass) * quarters[:, None], quarters)


def _width(views: tuple[tuple[str, int], ...]) -> int:
    return sum(width for _, width in views)


def _shares(rows: Floats) -> Floats:
    return np.asarray(rows / np.maximum(rows.sum(axis=1, keepdims=True), 1e-9))


def _bass(sonority: Sonority) -> Floats:
    bass = np.zeros((len(sonority), LOF_COUNT))
    heard = np.flatnonzero(sonority.bass != 99)
    bass[heard, within(sonority.bass[heard] - LOF_LOW, 0, LOF_COUNT - 1)] = 1.0
    return bass


def _present(shares: Floats, fullness: float) -> Floats:
    """Which pitch classes are there: wholly from one part in ``fullness`` of the sounding time."""
    fold = np.zeros((LOF_COUNT, 12))
    fold[np.arange(LOF_COUNT), 7 * (np.arange(LOF_COUNT) + LOF_LOW) % 12] = 1.0
    return np.asarray(np.minimum(fullness * (shares @ fold), 1.0))


def _of_chords(sonority: Sonority, notes: Floats, bass: Floats, beats: Ints) -> Floats:
    sums = _Sums(notes * _quarters(sonority))
    beat = sonority.measure * 1000 + sonority.offset // beats[sonority.measure]
    first, after = _stretches(beat)
    of_beat = _shares(sums.between(first, after))
    bar, next_bar = _stretches(sonority.measure)
    return np.concatenate(
        [
            notes,
            bass,
            _present(notes, 6),
            (sonority.mass.sum(axis=1, keepdims=True) > 0).astype(np.float64),
            of_beat,
            bass[first],
            _present(of_beat, 6),
            _shares(sums.between(bar, next_bar)),
            bass[bar],
        ],
        axis=1,
    )


def _of_keys(sonority: Sonority, notes: Floats, bass: Floats) -> Floats:
    length = _quarters(sonority)
    sums, basses = _Sums(notes * length), _Sums(bass * length)
    start = sonority.start / TICKS_PER_QUARTER

    def window(of: "_Sums", before: int, after: int) -> Floats:
        first, end = np.searchsorted(start, start - before), np.searchsorted(start, start + after)
        return _shares(of.between(first, end))

    return np.concatenate(
        [
            window(sums, 0, NEAR),
            window(sums, NEAR, 0),
            window(sums, FAR, FAR),
            window(basses, NEAR // 2, NEAR),
        ],
        axis=1,
    )


def _quarters(sonority: Sonority) -> Floats:
    return np.asarray((sonority.end - sonority.start)[:, None] / TICKS_PER_QUARTER, dtype=np.float64)


def _stretches(label: Ints) -> tuple[Ints, Ints]:
    """For each slice, the first slice with the same label and the one after the last."""
    change = np.append(True, label[1:] != label[:-1])
    begins = np.flatnonzero(change)
    at = np.cumsum(change) - 1
    return begins[at], np.append(begins[1:], len(label))[at]


class _Sums:
    """Running sums of rows, for the sum of any stretch of them."""

    def __init__(self, rows: Floats) -> None:
        self._running = np.concatenate([np.zeros((1, rows.shape[1])), np.cumsum(rows, axis=0)])

    def between(self, first: Ints, end: Ints) -> Floats:
        """The sum from ``first`` to before ``end``."""
        return np.asarray(np.maximum(self._running[end] - self._running[first], 0.0))
