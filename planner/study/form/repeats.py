"""Stretches of a part that come again elsewhere: the same notes, or the same shape higher or lower."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from planner.core.profile import Pattern, PatternKind
from planner.study.form.exact_repeats import Repeat, longest_stretch, maximal_repeats
from planner.study.form.printed import Marks, Printed, mixed
from planner.study.notes.arrays import numbered
from planner.study.notes.columns import Bools, Columns, Ints, Line

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


@dataclass(frozen=True, slots=True)
class _Framed:
    """A repeat as it is spoken of: in whole bars or not."""

    repeat: Repeat
    fills_bars: bool = False


def note_symbols(line: Line, gap: Ints, moments: Marks) -> Ints:
    """One number for each note: the same for the same notes, lengths, grace notes and time to the next."""
    every = mixed(gap, line.duration, moments.view(np.int64))
    return numbered(every)[1]


def find_repeats(columns: Columns, line: Line, symbols: Ints, taken: Bools, page: Printed) -> list[Pattern]:
    """Exact repeats: every head, tied or struck, and every grace note the same; marked in ``taken``.

    Those that save most reading come first; a stretch already taken is not taken again. How a note is played
    (loud, short, slurred) does not count: *the same* is said of notes.
    """
    found = maximal_repeats(symbols, least=LEAST_NOTES - 1)

    def framed(repeat: Repeat) -> _Framed:
        return _same_bars(line, _with_last(line, repeat, page.chords), page.bars)

    chosen = _chosen(columns, line, found, framed, LEAST_NOTES, taken)
    return [_pattern(line, each) for each in chosen]


def find_shapes(columns: Columns, line: Line, gap: Ints, taken: Bools) -> list[Pattern]:
    """Shapes that come again higher or lower; their notes are marked in ``taken``."""

    def framed(repeat: Repeat) -> _Framed:
        begin, end = _whole_bars(line, repeat)
        return _cut(line, repeat, begin, end, LEAST_SHAPE)

    chosen = _chosen(columns, line, _moved_shapes(line, gap), framed, LEAST_SHAPE, taken)
    return [_shape(line, each) for each in chosen]


def _chosen(
    columns: Columns,
    line: Line,
    found: tuple[Repeat, ...],
    frame: Callable[[Repeat], _Framed],
    least: int,
    taken: Bools,
) -> list[_Framed]:
    offset = line.onset - columns.measure_start[line.measure]
    in_step = [each for each in (_in_step(offset, each) for each in found) if len(each.starts) > 1]
    chosen: list[_Framed] = []
    for candidate in sorted(in_step, key=lambda r: (-r.length * (len(r.starts) - 1), r.starts))[:MOST_TRIED]:
        framed = frame(candidate)
        repeat = framed.repeat
        if repeat.length < least or not _varied(line, repeat):
            continue
        spots = np.concatenate([np.arange(s, s + repeat.length) for s in repeat.starts])
        if taken[spots].mean() < 0.4:
            chosen.append(framed)
            taken[spots] = True
            if len(chosen) == MOST_REPEATS:
                break
    return sorted(chosen, key=lambda each: each.repeat.starts)


def _in_step(offset: Ints, repeat: Repeat) -> Repeat:
    """Only the appearances that stand in the bar as the first one does: others do not look the same."""
    first = offset[repeat.starts[0]]
    return Repeat(repeat.length, tuple(start for start in repeat.starts if offset[start] == first))


def _cut(line: Line, repeat: Repeat, begin: int, end: int, least: int) -> _Framed:
    """The whole bars of a repeat where they hold enough notes, since people speak in bars; else the repeat.

    One that begins in the middle of a bar and has few notes is no figure: it comes back empty.
    """
    if end - begin >= least:
        return _Framed(Repeat(end - begin, tuple(start + begin for start in repeat.starts)), fills_bars=True)
    is_figure = _opens_bar(line, repeat.starts[0]) or repeat.length >= LEAST_SHAPE
    return _Framed(repeat if is_figure else Repeat(0, ()))


def _same_bars(line: Line, repeat: Repeat, bars: Marks) -> _Framed:
    """The longest whole bars of a repeat that look the same in all its places; else the repeat."""
    begin, end = _whole_bars(line, repeat)
    if end <= begin:
        return _cut(line, repeat, begin, end, LEAST_NOTES)
    spans = [(int(line.measure[s + begin]), int(line.measure[s + end - 1])) for s in repeat.starts]
    if len({last - first for first, last in spans}) > 1:
        return _cut(line, repeat, 0, 0, LEAST_NOTES)
    pages = np.stack([bars[first : last + 1] for first, last in spans])
    first, last = longest_stretch((pages == pages[0]).all(axis=0))
    own = line.measure[repeat.starts[0] + begin : repeat.starts[0] + end] - spans[0][0]
    inside = np.flatnonzero((own >= first) & (own < last))
    if not inside.size:
        return _cut(line, repeat, 0, 0, LEAST_NOTES)
    return _cut(line, repeat, begin + int(inside[0]), begin + int(inside[-1]) + 1, LEAST_NOTES)


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
    symbols = numbered(mixed(np.diff(line.diatonic), gap[:-1], line.duration[:-1]))[1]
    found = maximal_repeats(symbols, least=LEAST_SHAPE - 1)
    notes = (Repeat(r.length + 1, _apart(r.starts, r.length + 1)) for r in found)
    return tuple(r for r in notes if len(r.starts) > 1 and len({int(line.diatonic[s]) for s in r.starts}) > 1)


def _apart(starts: tuple[int, ...], length: int) -> tuple[int, ...]:
    kept: list[int] = []
    for start in starts:
        if not kept or start >= kept[-1] + length:
            kept.append(start)
    return tuple(kept)


def _with_last(line: Line, repeat: Repeat, chords: Marks) -> Repeat:
    """The repeat with one more note, where the same is struck there in every statement, however long."""
    after = [start + repeat.length for start in repeat.starts]
    if after[-1] >= len(line) or any(a in repeat.starts for a in after):
        return repeat
    if len({int(chords[a]) for a in after}) > 1:
        return repeat
    return Repeat(repeat.length + 1, repeat.starts)


def _varied(line: Line, repeat: Repeat) -> bool:
    """True unless the stretch is one note over and over."""
    return len(set(line.written[repeat.starts[0] : repeat.starts[0] + repeat.length].tolist())) > 1


def _pattern(line: Line, framed: _Framed) -> Pattern:
    """The repeat by bars."""
    repeat = framed.repeat
    pitches = line.written[repeat.starts[0] : repeat.starts[0] + repeat.length]
    places = tuple((int(line.measure[s]), int(line.measure[s + repeat.length - 1])) for s in repeat.starts)
    return Pattern(
        PatternKind.REPEAT,
        places,
        round(repeat.length * len(places) / len(line), 3),
        notes=repeat.length,
        fills_bars=framed.fills_bars,
        moves=int(np.count_nonzero(np.diff(pitches))),
    )


def _shape(line: Line, framed: _Framed) -> Pattern:
    """The shape by bars, with how far each later place lies from the first."""
    heights = [int(line.diatonic[start]) for start in framed.repeat.starts]
    return replace(_pattern(line, framed), steps=tuple(height - heights[0] for height in heights[1:]))
