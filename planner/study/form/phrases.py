"""Where the phrases of the leading melody end, counted in full bars."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import numpy as np

from planner.core.profile import Phrase
from planner.study.form.leading_line import leading_line
from planner.study.form.phrase_ends import ends_of
from planner.study.notes.arrays import quantile, within
from planner.study.notes.columns import Columns, Floats, Ints, asked_once

LENGTH_MERIT: dict[int, float] = {
    0: -2.5,
    1: -2.0,
    2: -0.6,
    3: -0.4,
    4: 0.6,
    5: -0.2,
    6: 0.0,
    7: -0.4,
    8: 0.3,
}
"""How well a phrase of so many full bars reads; longer ones lose 0.3 a bar.

Source: phrases of four and eight measures are the common case in theory books (common practice); sizes
are a house choice.
"""
LONGEST = 12
"""Most full bars of a phrase (house choice)."""
SHOWN = 2.0
"""What a fermata, a rest of all or the end of the piece adds to a phrase that ends with it (house choice)."""
HIGHEST, LOWEST = 4.0, -1.5
"""Bounds of how clearly a bar closes beside the usual bar of the piece (house choice)."""
WEIGHT = 0.8
"""How much a clear close weighs beside the length of a phrase (house choice)."""
USUAL = 0.35
"""Share of the bars that close less than the usual bar in which nothing closes (house choice: in a hymn every
second bar closes)."""


@asked_once
def full_bars(columns: Columns) -> Ints:
    """1 for each measure that counts as a bar, 0 for a pickup and the second half of a split bar.

    Files number neither the same way: a measure of less than half its signature is a pickup, and one that
    fills up the measure before it is the rest of that.
    """
    measures = columns.score.measures
    counts = np.ones(len(measures), dtype=np.int64)
    lengths = {time: time.length_quarters for time in {measure.time for measure in measures}}
    left = Fraction(0)
    for measure in measures:
        full, own = lengths[measure.time], measure.length_quarters
        if own == full or not 0 < own < full:
            left = Fraction(0)
            continue
        if measure.index == 0 or measure.implicit or 2 * own < full or own == left:
            counts[measure.index] = 0
        left = full - own
    return counts


def length_in_bars(columns: Columns, phrase: Phrase) -> int:
    """Full bars of a phrase: an upbeat of four bars and a beat has four."""
    return int(full_bars(columns)[phrase.measure : phrase.end_measure + 1].sum())


def find_phrases(columns: Columns, section_starts: Sequence[int]) -> tuple[Phrase, ...]:
    """Phrases by measures: they end where the music comes to rest, and tend to be four or eight bars long.

    A phrase that begins with an upbeat is counted from the bar line after it; the bar of the upbeat belongs
    to the phrase that closes in it.

    Args:
        columns: The score.
        section_starts: First measures of sections: a phrase never runs over one.
    """
    measures = len(columns.score.measures)
    if not measures or leading_line(columns) is None:
        return ()
    close = closes(columns)
    bars = np.append(0, np.cumsum(full_bars(columns))).tolist()
    must = set(section_starts)
    best = np.full(measures + 1, -np.inf)
    came = np.zeros(measures + 1, dtype=np.int64)
    best[0] = 0.0
    for end in range(1, measures + 1):
        for begin in range(end - 1, -1, -1):
            length = bars[end] - bars[begin]
            if length > LONGEST and end - begin > 1:
                break
            merit = LENGTH_MERIT.get(length, 0.3 - 0.3 * (length - 8))
            value = best[begin] + merit + close[end - 1]
            if value > best[end]:
                best[end], came[end] = value, begin
            if begin in must:
                break
    borders, end = [measures], measures
    while end:
        end = int(came[end])
        borders.append(end)
    borders.reverse()
    return tuple(Phrase(a, b - 1) for a, b in pairwise(borders))


def closes(columns: Columns) -> Floats:
    """How clearly the music closes in each measure beside its usual measure, shape ``(n_measures,)``."""
    peak = _peaks(columns)
    return np.asarray(
        WEIGHT * within(peak - usual_strength(columns) - 1.0, LOWEST, HIGHEST), dtype=np.float64
    )


def usual_strength(columns: Columns) -> float:
    """The logit of a phrase end in the usual measure of the piece, in which nothing closes."""
    return quantile(_peaks(columns), USUAL)


@asked_once
def _peaks(columns: Columns) -> Floats:
    ends = ends_of(columns)
    peak = np.full(len(columns.score.measures), -10.0)
    np.maximum.at(peak, ends.last_measure, ends.strength + SHOWN * ends.shown)
    return peak
