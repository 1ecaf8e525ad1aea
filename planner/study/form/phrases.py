"""Where the phrases of the leading melody end."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from planner.core.profile import Cadence, Phrase
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, Line, asked_once

LENGTH_MERIT: dict[int, float] = {1: -2.0, 2: -0.6, 3: -0.4, 4: 0.6, 5: -0.2, 6: 0.0, 7: -0.4, 8: 0.3}
"""How well a phrase of so many measures reads; longer ones lose 0.3 a measure.

Source: phrases of four and eight measures are the common case in theory books (common practice); sizes
are a house choice.
"""
LONGEST = 12
_CADENCE = {"authentic": 1.2, "half": 1.0, "plagal": 0.8, "deceptive": 0.6}


@asked_once
def leading_line(columns: Columns) -> Line | None:
    """The highest part among those at least half as busy as the busiest; None without pitches."""
    lines = [part.line for part in columns.pitched() if len(part.line)]
    if not lines:
        return None
    busiest = max(len(line) for line in lines)
    playing = [line for line in lines if 2 * len(line) >= busiest]
    return max(playing, key=lambda line: float(line.sounding.mean()))


def find_phrases(
    columns: Columns, cadences: tuple[Cadence, ...], section_starts: Sequence[int]
) -> tuple[Phrase, ...]:
    """Phrases by measures: they end at cadences, long notes and rests, and tend to be four or eight long.

    Args:
        columns: The score.
        cadences: Its cadences.
        section_starts: First measures of sections: a phrase never runs over one.
    """
    measures = len(columns.score.measures)
    if not measures or leading_line(columns) is None:
        return ()
    close = _closes(columns, cadences)
    must = set(section_starts)
    best = np.full(measures + 1, -np.inf)
    came = np.zeros(measures + 1, dtype=np.int64)
    best[0] = 0.0
    for end in range(1, measures + 1):
        for begin in range(end - 1, max(-1, end - LONGEST - 1), -1):
            merit = LENGTH_MERIT.get(end - begin, 0.3 - 0.3 * (end - begin - 8))
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


def _closes(columns: Columns, cadences: tuple[Cadence, ...]) -> Floats:
    """How clearly the melody closes in each measure, shape ``(n_measures,)``."""
    close = np.full(len(columns.score.measures), -0.5)
    for cadence in cadences:
        close[cadence.measure] += _CADENCE[cadence.kind]
    line = leading_line(columns)
    if line is None or len(line) < 2:
        return close
    gap = line.onset[1:] - line.end[:-1]
    usual = float(np.median(line.duration))
    rest = np.minimum(gap / TICKS_PER_QUARTER, 1.0)
    held = (line.duration[:-1] >= 2 * usual).astype(np.float64)
    merit = 0.8 * rest + 0.6 * held
    # A long note that begins in a measure closes the measure in which it ends.
    last = np.searchsorted(columns.measure_start, line.end[:-1] - 1, side="right") - 1
    closing = np.zeros(len(close))
    np.maximum.at(closing, np.clip(last, 0, len(close) - 1), merit)
    return close + closing
