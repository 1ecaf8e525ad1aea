"""How alike two stretches of a score are by their tunes, in whichever parts those stand."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.study.form.leading_line import leading_line
from planner.study.form.phrases import full_bars
from planner.study.notes.arrays import within
from planner.study.notes.columns import Columns, Floats, Ints, Line, asked_once

SLOTS = 8
"""Places in a measure at which a tune is looked at (house choice: eighths in 4/4)."""
LIVELY = 0.4
"""Least share, beside the part of a section most like a tune, of another part that may have the tune.

How much a part is like a tune: how often it goes to another pitch, times how unlike each bar is to the next
in steps and rhythm. Chords struck again, arpeggios and held notes are alike from bar to bar (house choice).
"""
SAME, VARIED = 0.9, 0.6
"""Likeness from which two sections are the same, and from which one varies the other (house choice)."""
FIRST_BAR = 0.6
"""Least likeness of their first bars: a tune is known by how it begins (house choice)."""
HEAD = 4
"""Bars that must be alike for one section to vary another (house choice: a phrase)."""
SAME_SHAPE = 0.85
"""Likeness of the first bars in steps and rhythm from which a section is the other in another mode or key,
the rest being ``KEEPS_ON`` alike at least (house choice)."""
KEEPS_ON = 0.6
HALF = 0.5
"""Least share of the longer of two sections that the shorter one has as its variant (house choice)."""
TWO_PERIODS = 16
"""Fewest bars of a section of which the second half alone may come again (house choice)."""

Prints = NDArray[np.float32]
Span = tuple[int, int]
"""First measure, and one past the last."""


@dataclass(frozen=True, eq=False)
class Tunes:
    """The lines of a score, measure by measure; rows of length 1, or 0 where a line rests.

    Attributes:
        pitches: Pitch classes struck by each line in each eighth of a measure, ``(lines, measures, 96)``.
        shapes: The same with steps of the staff in place of pitch classes, ``(lines, measures, 56)``.
        moves: How often each line goes to another pitch in each measure, ``(lines, measures)``.
        goes_on: How alike each measure of a line is to the next in shape, wherever it stands; NaN where one
            of them rests; ``(lines, measures - 1)``.
    """

    pitches: Prints
    shapes: Prints
    moves: Floats
    goes_on: Floats


@asked_once
def tunes_of(columns: Columns) -> Tunes:
    """The lines of the pitched parts, the leading line first."""
    lines = [part.line for part in columns.pitched() if len(part.line)]
    leading = leading_line(columns)
    if leading is not None:
        lines.insert(0, leading)
    measures = len(columns.measure_start)
    pitches = np.zeros((len(lines), measures, SLOTS * 12), dtype=np.float32)
    shapes = np.zeros((len(lines), measures, SLOTS * 7), dtype=np.float32)
    moves = np.zeros((len(lines), measures))
    for at, line in enumerate(lines):
        pitches[at] = _print(columns, line, np.asarray(np.rint(line.sounding), dtype=np.int64), 12)
        shapes[at] = _print(columns, line, line.diatonic, 7)
        changes = np.append(True, np.diff(line.sounding) != 0)
        moves[at] = np.bincount(line.measure[changes], minlength=measures)
    return Tunes(pitches, shapes, moves, _goes_on(shapes))


def _moved(rows: Prints, step: int) -> Prints:
    """Rows of staff steps, the last axis, moved up by some steps around the octave."""
    return np.concatenate([rows[..., 7 - step :], rows[..., : 7 - step]], axis=-1)


def _goes_on(shapes: Prints) -> Floats:
    rows = shapes.reshape(*shapes.shape[:2], SLOTS, 7)
    own, after = rows[:, :-1], rows[:, 1:]
    alike = np.max([np.einsum("lmsk,lmsk->lm", own, _moved(after, step)) for step in range(7)], axis=0)
    silent = (own.sum(axis=(2, 3)) == 0) | (after.sum(axis=(2, 3)) == 0)
    return np.where(silent, np.nan, alike)


def _print(columns: Columns, line: Line, values: Ints, classes: int) -> Prints:
    measures = len(columns.measure_start)
    length = np.maximum(columns.measure_length, 1)
    place = (line.onset - columns.measure_start[line.measure]) * SLOTS // length[line.measure]
    slot = within(place, 0, SLOTS - 1)
    size = SLOTS * classes
    table = np.bincount(
        line.measure * size + slot * classes + values % classes, minlength=measures * size
    ).reshape(measures, size)
    norm = np.linalg.norm(table, axis=1, keepdims=True)
    return np.asarray(table / np.maximum(norm, 1e-9), dtype=np.float32)


def from_full_bar(columns: Columns, span: Span) -> Span:
    """The span without the pickup it begins with."""
    begin, end = span
    while begin + 1 < end and not full_bars(columns)[begin]:
        begin += 1
    return begin, end


def _tunes_in(tunes: Tunes, span: Span, *, leading_only: bool) -> list[int]:
    """The lines that may have the tune of a stretch: lively ones that do not only accompany."""
    if leading_only:
        return [0]
    alike = tunes.goes_on[:, span[0] : max(span[1] - 1, span[0])]
    known = ~np.isnan(alike)
    usual = np.where(known, alike, 0).sum(axis=1) / np.maximum(known.sum(axis=1), 1)
    like_tune = tunes.moves[:, span[0] : span[1]].sum(axis=1) * (1 - usual)
    if like_tune.max() < _LEAST:
        return [0]
    return [int(at) for at in np.flatnonzero(like_tune >= LIVELY * like_tune.max())]


_LEAST = 0.5
"""Below this nothing in a stretch is like a tune, and its leading line stands for it (house choice)."""


def _beside(
    table: Prints, tunes: Tunes, one: Span, two: Span, *, bars: int, leading_only: bool
) -> tuple[Prints, Prints]:
    """The first bars of the lines of two stretches that may have their tunes, as many of each."""
    first = _tunes_in(tunes, one, leading_only=leading_only)
    second = _tunes_in(tunes, two, leading_only=leading_only)
    return table[first, one[0] : one[0] + bars], table[second, two[0] : two[0] + bars]


def bar_likeness(columns: Columns, one: Span, two: Span) -> Floats:
    """Likeness of the tunes of two stretches bar by bar from their full bars on, in the best two lines."""
    tunes = tunes_of(columns)
    one, two = from_full_bar(columns, one), from_full_bar(columns, two)
    return _best(tunes, one, two, leading_only=False)


def _best(tunes: Tunes, one: Span, two: Span, *, leading_only: bool) -> Floats:
    """Likeness bar by bar of the pair of lines that are most alike as a whole."""
    size = min(one[1] - one[0], two[1] - two[0])
    if not size:
        return np.zeros(0)
    own, other = _beside(tunes.pitches, tunes, one, two, bars=size, leading_only=leading_only)
    alike = np.einsum("pbk,qbk->pqb", own, other)
    rests, others_rest = np.all(own == 0, axis=2), np.all(other == 0, axis=2)
    silent = rests[:, None, :] & others_rest[None, :, :]
    heard = np.maximum((~silent).sum(axis=2), 1)
    usual = np.where(silent, 0, alike).sum(axis=2) / heard  # bars in which both rest are as the others are
    alike = np.where(silent, usual[:, :, None], alike).reshape(-1, size)
    return np.asarray(alike[int(alike.mean(axis=1).argmax())], dtype=np.float64)


def likeness(columns: Columns, one: Span, two: Span, *, leading_only: bool = False) -> float:
    """How alike two sections are, 0 to 1: at least ``SAME`` for a return, at least ``VARIED`` for a variant.

    They must begin alike; of a section of two periods the second may come again alone.

    Args:
        columns: The score.
        one: A section.
        two: Another.
        leading_only: Only what leads in both is compared, not what accompanies.
    """
    one, two = from_full_bar(columns, one), from_full_bar(columns, two)
    whole = _likeness(columns, one, two, leading_only)
    if whole < VARIED and one[1] - one[0] >= TWO_PERIODS:
        later = ((one[0] + one[1]) // 2, one[1])
        if _likeness(columns, later, two, leading_only) >= VARIED:
            return VARIED
    return whole


def _likeness(columns: Columns, one: Span, two: Span, leading_only: bool) -> float:
    tunes = tunes_of(columns)
    shorter, longer = sorted((one[1] - one[0], two[1] - two[0]))
    if shorter < HALF * longer:
        return 0.0
    alike = _best(tunes, one, two, leading_only=leading_only)
    if len(alike) and alike[0] >= FIRST_BAR:
        whole = float(alike.sum()) / longer
        if whole >= SAME:
            return whole
        if alike[:HEAD].mean() >= VARIED:
            return max(min(whole, SAME - 0.01), VARIED)
    return VARIED if _same_shape(tunes, one, two, leading_only) else 0.0


def _same_shape(tunes: Tunes, one: Span, two: Span, leading_only: bool) -> bool:
    """Whether a tune comes in another mode or key: the same steps of the staff, all moved by the same."""
    size = min(one[1] - one[0], two[1] - two[0])
    if size < HEAD:
        return False
    own, other = _beside(tunes.shapes, tunes, one, two, bars=size, leading_only=leading_only)
    own, other = (rows.reshape(*rows.shape[:2], SLOTS, 7) for rows in (own, other))
    for step in range(7):
        moved = _moved(other, step)
        head = np.einsum("pbsk,qbsk->pqb", own[:, :HEAD], moved[:, :HEAD])
        for first, second in np.argwhere((head[:, :, 0] >= FIRST_BAR) & (head.mean(axis=2) >= SAME_SHAPE)):
            if np.einsum("bsk,bsk->b", own[first], moved[second]).mean() >= KEEPS_ON:
                return True
    return False
