"""Stretches of a part that come again elsewhere: the same notes, or the same shape higher or lower."""

from dataclasses import replace

import numpy as np

from planner.core.profile import Pattern, PatternKind
from planner.study.form.exact_repeats import Repeat, maximal_repeats
from planner.study.notes.columns import Bools, Columns, Ints, Line, PartColumns

LEAST_NOTES = 6
"""Fewest notes of an exact repeat worth a player's eye.

Source: house choice. In a random line over 7 pitches of one length a given pair of places agrees for
six notes with chance 7**-6, so a line of 100 notes shows one by luck in about 4 of 100 lines.
"""
LEAST_SHAPE = 8
"""Fewest notes of a shape that comes again higher or lower (house choice; chance 7**-7 a pair of places)."""
MOST_TRIED = 40
"""Most repeats looked at, the longest and most frequent first (house choice)."""
MOST_REPEATS = 3
"""Most repeats of a kind kept for a part (house choice: what fits the study time)."""


def chords_of(part: PartColumns) -> Ints:
    """For each note of a part's line a number for all that is struck with it: 0 where nothing else is."""
    line = part.line
    if len(line) == np.count_nonzero(part.struck):
        return np.zeros(len(line), dtype=np.int64)
    onset, pitch = part.onset[part.struck], part.written[part.struck]
    at = np.clip(np.searchsorted(line.onset, onset), 0, len(line) - 1)
    known = (line.onset[at] == onset) & ~np.isnan(pitch)
    under = np.rint(line.written[at[known]] - pitch[known])
    return np.bincount(at[known], weights=under * (1000.0 + under), minlength=len(line)).astype(np.int64)


def note_symbols(line: Line, gap: Ints, chords: Ints) -> Ints:
    """One number for each note: the same for the same chord, spelling, length and time to the next."""
    table = np.stack([line.written.astype(np.int64), line.diatonic, gap, line.duration, chords])
    return np.asarray(np.unique(table, axis=1, return_inverse=True)[1].reshape(-1), dtype=np.int64)


def find_repeats(columns: Columns, line: Line, gap: Ints, taken: Bools, chords: Ints) -> list[Pattern]:
    """Exact repeats, then shapes that come again higher or lower; their notes are marked in ``taken``.

    Those that save most reading come first; a stretch already taken is not taken again.
    """
    offset = line.onset - columns.measure_start[line.measure]
    exact = _chosen(
        line,
        offset,
        chords,
        maximal_repeats(note_symbols(line, gap, chords), least=LEAST_NOTES - 1),
        LEAST_NOTES,
        taken,
    )
    shapes = _chosen(line, offset, chords, _moved_shapes(line, gap), LEAST_SHAPE, taken)
    return [*(_pattern(line, repeat) for repeat in exact), *(_shape(line, repeat) for repeat in shapes)]


def _chosen(
    line: Line, offset: Ints, chords: Ints, found: tuple[Repeat, ...], least: int, taken: Bools
) -> list[Repeat]:
    in_step = [each for each in (_in_step(offset, each) for each in found) if len(each.starts) > 1]
    chosen: list[Repeat] = []
    for candidate in sorted(in_step, key=lambda r: (-r.length * (len(r.starts) - 1), r.starts))[:MOST_TRIED]:
        repeat = _with_last(line, candidate, chords) if least == LEAST_NOTES else candidate
        repeat = _framed(line, repeat, least)
        if repeat.length < least or not _varied(line, repeat):
            continue
        spots = np.concatenate([np.arange(s, s + repeat.length) for s in repeat.starts])
        if taken[spots].mean() < 0.4:
            chosen.append(repeat)
            taken[spots] = True
            if len(chosen) == MOST_REPEATS:
                break
    return sorted(chosen, key=lambda r: r.starts)


def _in_step(offset: Ints, repeat: Repeat) -> Repeat:
    """Only the appearances that stand in the bar as the first one does: others do not look the same."""
    first = offset[repeat.starts[0]]
    return Repeat(repeat.length, tuple(start for start in repeat.starts if offset[start] == first))


def _framed(line: Line, repeat: Repeat, least: int) -> Repeat:
    """The whole bars of a repeat where they hold enough notes, since people speak in bars; else the repeat.

    One that begins in the middle of a bar and has few notes is no figure: it comes back empty.
    """
    begin, end = _whole_bars(line, repeat)
    if end - begin >= least:
        return Repeat(end - begin, tuple(start + begin for start in repeat.starts))
    return repeat if _opens_bar(line, repeat.starts[0]) or repeat.length >= LEAST_SHAPE else Repeat(0, ())


def _opens_bar(line: Line, at: int) -> bool:
    return at in (0, len(line)) or bool(line.measure[at] != line.measure[at - 1])


def _whole_bars(line: Line, repeat: Repeat) -> tuple[int, int]:
    """First note and one past the last, counted in the repeat, of what are whole bars in all its places."""
    edges = [
        at for at in range(repeat.length + 1) if all(_opens_bar(line, start + at) for start in repeat.starts)
    ]
    if edges and edges[-1] == repeat.length and not _last_alike(line, repeat):
        edges.pop()
    return (edges[0], edges[-1]) if edges else (0, 0)


def _last_alike(line: Line, repeat: Repeat) -> bool:
    """True when the last notes of all places are equally long."""
    return len({int(line.duration[start + repeat.length - 1]) for start in repeat.starts}) == 1


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


def _with_last(line: Line, repeat: Repeat, chords: Ints) -> Repeat:
    """The repeat with one more note, where that note has the same pitch in every statement."""
    after = [start + repeat.length for start in repeat.starts]
    if after[-1] >= len(line) or any(a in repeat.starts for a in after):
        return repeat
    if len({(float(line.written[a]), int(line.diatonic[a]), int(chords[a])) for a in after}) > 1:
        return repeat
    return Repeat(repeat.length + 1, repeat.starts)


def _varied(line: Line, repeat: Repeat) -> bool:
    """True unless the stretch is one note over and over."""
    return len(set(line.written[repeat.starts[0] : repeat.starts[0] + repeat.length].tolist())) > 1


def _pattern(line: Line, repeat: Repeat) -> Pattern:
    """The repeat by bars."""
    places = tuple((int(line.measure[s]), int(line.measure[s + repeat.length - 1])) for s in repeat.starts)
    return Pattern(
        PatternKind.REPEAT,
        places,
        round(repeat.length * len(places) / len(line), 3),
        notes=repeat.length,
        fills_bars=_whole_bars(line, repeat) == (0, repeat.length),
    )


def _shape(line: Line, repeat: Repeat) -> Pattern:
    """The shape by bars, with how far each later place lies from the first."""
    heights = [int(line.diatonic[start]) for start in repeat.starts]
    return replace(_pattern(line, repeat), steps=tuple(height - heights[0] for height in heights[1:]))
