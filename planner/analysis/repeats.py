"""Stretches of a part that come again elsewhere: the same notes, or the same shape higher or lower."""

import numpy as np

from planner.analysis.columns import Bools, Columns, Ints, Line
from planner.analysis.strings import Repeat, maximal_repeats
from planner.analysis.talk import bars, interval, listed
from planner.core.profile import Pattern

LEAST_NOTES = 6
"""Fewest notes of an exact repeat worth telling.

Source: house choice. In a random line over 7 pitches of one length a given pair of places agrees for
six notes with chance 7**-6, so a line of 100 notes shows one by luck in about 4 of 100 lines.
"""
LEAST_SHAPE = 8
"""Fewest notes of a shape that comes again higher or lower (house choice; chance 7**-7 a pair of places)."""
MOST_TRIED = 40
"""Most repeats looked at, the longest and most frequent first (house choice)."""
MOST_REPEATS = 3
"""Most repeats of a kind told for a part (house choice: what fits the study time)."""


def note_symbols(line: Line, gap: Ints) -> Ints:
    """One number for each note: the same for the same pitch, spelling, length and time to the next."""
    table = np.stack([line.written.astype(np.int64), line.diatonic, gap, line.duration])
    return np.asarray(np.unique(table, axis=1, return_inverse=True)[1].reshape(-1), dtype=np.int64)


def find_repeats(columns: Columns, line: Line, gap: Ints, told: Bools) -> list[Pattern]:
    """Exact repeats, then shapes that come again higher or lower; their notes are marked in ``told``.

    Those that save most reading come first; a stretch already told of is not told again.
    """
    exact = _chosen(line, maximal_repeats(note_symbols(line, gap), least=LEAST_NOTES - 1), LEAST_NOTES, told)
    shapes = _chosen(line, _moved_shapes(line, gap), LEAST_SHAPE, told)
    return [_repeat_pattern(columns, line, repeat) for repeat in exact] + [
        _shape_pattern(columns, line, repeat) for repeat in shapes
    ]


def _chosen(line: Line, found: tuple[Repeat, ...], least: int, told: Bools) -> list[Repeat]:
    chosen: list[Repeat] = []
    for candidate in sorted(found, key=lambda r: (-r.length * (len(r.starts) - 1), r.starts))[:MOST_TRIED]:
        repeat = _with_last(line, candidate) if least == LEAST_NOTES else candidate
        if repeat.length < least or not _varied(line, repeat):
            continue
        spots = np.concatenate([np.arange(s, s + repeat.length) for s in repeat.starts])
        if told[spots].mean() < 0.4:
            chosen.append(repeat)
            told[spots] = True
            if len(chosen) == MOST_REPEATS:
                break
    return sorted(chosen, key=lambda r: r.starts)


def _moved_shapes(line: Line, gap: Ints) -> tuple[Repeat, ...]:
    """Repeats of steps and lengths, not all of them on the same pitches."""
    table = np.stack([np.diff(line.diatonic), gap[:-1], line.duration[:-1]])
    symbols = np.unique(table, axis=1, return_inverse=True)[1].reshape(-1)
    found = maximal_repeats(np.asarray(symbols, dtype=np.int64), least=LEAST_SHAPE - 1)
    notes = (Repeat(r.length + 1, _apart(r.starts, r.length + 1)) for r in found)
    return tuple(r for r in notes if len(r.starts) > 1 and len({int(line.diatonic[s]) for s in r.starts}) > 1)


def _apart(starts: tuple[int, ...], length: int) -> tuple[int, ...]:
    kept: list[int] = []
    for start in starts:
        if not kept or start >= kept[-1] + length:
            kept.append(start)
    return tuple(kept)


def _with_last(line: Line, repeat: Repeat) -> Repeat:
    """The repeat with one more note, where that note has the same pitch in every statement."""
    after = [start + repeat.length for start in repeat.starts]
    if after[-1] >= len(line) or any(a in repeat.starts for a in after):
        return repeat
    if len({(float(line.written[a]), int(line.diatonic[a])) for a in after}) > 1:
        return repeat
    return Repeat(repeat.length + 1, repeat.starts)


def _varied(line: Line, repeat: Repeat) -> bool:
    """True unless the stretch is one note over and over."""
    return len(set(line.written[repeat.starts[0] : repeat.starts[0] + repeat.length].tolist())) > 1


def _repeat_pattern(columns: Columns, line: Line, repeat: Repeat) -> Pattern:
    places = tuple((int(line.measure[s]), int(line.measure[s + repeat.length - 1])) for s in repeat.starts)
    again = listed(tuple(bars(columns, *place) for place in places[1:]))
    why = f"{repeat.length} notes from {bars(columns, *places[0])} come again, the same, in {again}."
    return Pattern("repeat", places, why, round(repeat.length * len(places) / len(line), 3))


def _shape_pattern(columns: Columns, line: Line, repeat: Repeat) -> Pattern:
    places = tuple((int(line.measure[s]), int(line.measure[s + repeat.length - 1])) for s in repeat.starts)
    base = int(line.diatonic[repeat.starts[0]])
    told = [
        f"{interval(step)} in {bars(columns, *place)}" if (step := int(line.diatonic[start]) - base)
        else f"at pitch in {bars(columns, *place)}"
        for start, place in zip(repeat.starts[1:], places[1:], strict=True)
    ]  # fmt: skip
    why = f"The shape of {repeat.length} notes from {bars(columns, *places[0])} comes again: {listed(told)}."
    return Pattern("repeat", places, why, round(repeat.length * len(places) / len(line), 3))
