"""Who plays the same notes at the same time, and who has the tune."""

import numpy as np
from numpy.typing import NDArray

from planner.analysis.columns import Bools, Columns, Ints, Line, PartColumns
from planner.analysis.talk import bars, listed
from planner.core.profile import Pattern

LEAST_UNISON = 8
"""Fewest notes in unison or octaves worth telling (house choice)."""
MOST_UNISONS = 3
"""Most stretches in unison told for a part (house choice)."""
LEAST_TUNE_SHARE = 0.9
"""Share of a stretch on which a part must be the highest to have the tune (house choice)."""


_LEAST_TUNE_NOTES = 4
"""Fewest different notes of a tune (house choice: a held or repeated note is none)."""


def find_partners(columns: Columns) -> list[tuple[Pattern, ...]]:
    """For each part, the longest stretches in which other parts strike exactly the same notes.

    The same notes in another octave count as the same.
    """
    found: list[tuple[Pattern, ...]] = [() for _ in columns.parts]
    lines = [(part, part.line) for part in columns.pitched() if len(part.line) >= LEAST_UNISON]
    if len(lines) < 2:
        return found
    same = _same_places(lines)
    top = _top_pitch(lines)
    for own, (part, line) in enumerate(lines):
        stretches = _stretches_of(own, lines, same)
        found[part.index] = tuple(_pattern(columns, line, top, *stretch) for stretch in stretches)
    return found


def _same_places(lines: list[tuple[PartColumns, Line]]) -> list[Bools]:
    """For each line, which of its notes each other line strikes too: shape ``(n_notes, n_lines)``."""
    keys = [line.onset * 12 + np.rint(line.sounding).astype(np.int64) % 12 for _, line in lines]
    every, inverse = np.unique(np.concatenate(keys), return_inverse=True)
    has = np.zeros((len(every), len(lines)), dtype=bool)
    begin = np.cumsum([0, *(len(key) for key in keys)])
    places = [inverse[begin[at] : begin[at + 1]] for at in range(len(lines))]
    for at, place in enumerate(places):
        has[place, at] = True
    return [has[place] for place in places]


def _stretches_of(
    own: int, lines: list[tuple[PartColumns, Line]], same: list[Bools]
) -> list[tuple[int, int, tuple[str, ...]]]:
    """First and last note of the longest stretches shared with others, and the names of those others."""
    line = lines[own][1]
    spans: dict[tuple[int, int], list[str]] = {}
    for other, (part, other_line) in enumerate(lines):
        if other == own:
            continue
        for first, last in _runs_of(same[own][:, other]):
            if last - first + 1 < LEAST_UNISON:
                continue
            inside = np.searchsorted(other_line.onset, [line.onset[first], line.onset[last] + 1])
            if inside[1] - inside[0] == last - first + 1:
                spans.setdefault((first, last), []).append(part.part.name)
    best = sorted(spans.items(), key=lambda item: (item[0][0] - item[0][1], item[0]))
    chosen: list[tuple[int, int, tuple[str, ...]]] = []
    for (first, last), names in best:
        if len(chosen) < MOST_UNISONS and all(last < f or first > e for f, e, _ in chosen):
            chosen.append((first, last, tuple(names)))
    return sorted(chosen)


def _runs_of(flags: Bools) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [(int(begin), int(end) - 1) for begin, end in edges.reshape(-1, 2)]


def _top_pitch(lines: list[tuple[PartColumns, Line]]) -> tuple[Ints, NDArray[np.float64]]:
    """Onsets of the whole score, ascending, and the highest pitch class struck at each."""
    onset = np.concatenate([line.onset for _, line in lines])
    pitch = np.concatenate([line.sounding for _, line in lines])
    order = np.lexsort((-pitch, onset))
    first = np.append(True, onset[order][1:] != onset[order][:-1])
    return onset[order][first], pitch[order][first] % 12


def _pattern(
    columns: Columns,
    line: Line,
    top: tuple[Ints, NDArray[np.float64]],
    first: int,
    last: int,
    names: tuple[str, ...],
) -> Pattern:
    place = (int(line.measure[first]), int(line.measure[last]))
    highest = top[1][np.searchsorted(top[0], line.onset[first : last + 1])]
    moving = len(set((line.sounding[first : last + 1] % 12).tolist())) >= _LEAST_TUNE_NOTES
    is_tune = moving and bool(np.mean(highest == line.sounding[first : last + 1] % 12) >= LEAST_TUNE_SHARE)
    start = "You have the top line with" if is_tune else "You have the same notes as"
    why = f"{start} {listed(names)} in {bars(columns, *place)}{_whole_bars(line, first, last)}."
    return Pattern("unison", (place,), why, round((last - first + 1) / len(line), 3), names)


def _whole_bars(line: Line, first: int, last: int) -> str:
    """A word of caution where the stretch leaves out notes of its first or last bar."""
    starts = first > 0 and line.measure[first - 1] == line.measure[first]
    ends = last + 1 < len(line) and line.measure[last + 1] == line.measure[last]
    return " (not the whole of the outer bars)" if starts or ends else ""
