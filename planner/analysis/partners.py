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
        found[part.index] = tuple(
            _pattern(columns, line, top, first, last, [lines[other] for other in others])
            for first, last, others in stretches
        )
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
) -> list[tuple[int, int, tuple[int, ...]]]:
    """First and last note of the longest stretches shared with others, and those others."""
    line = lines[own][1]
    spans: dict[tuple[int, int], list[int]] = {}
    for other, (_, other_line) in enumerate(lines):
        if other == own:
            continue
        place = np.searchsorted(other_line.onset, line.onset)
        for first, last in _runs_of(same[own][:, other], place):
            after = int(place[last]) + 1
            if after < len(other_line) and other_line.onset[after] < line.end[last]:
                last -= 1  # the other moves on while this part still holds its note
            if last - first + 1 >= LEAST_UNISON:
                spans.setdefault((first, last), []).append(other)
    best = sorted(spans.items(), key=lambda item: (item[0][0] - item[0][1], item[0]))
    chosen: list[tuple[int, int, tuple[int, ...]]] = []
    for (first, last), others in best:
        if len(chosen) < MOST_UNISONS and all(last < f or first > e for f, e, _ in chosen):
            chosen.append((first, last, tuple(others)))
    return sorted(chosen)


def _runs_of(shared: Bools, place: Ints) -> list[tuple[int, int]]:
    """Stretches of shared notes between which the other part strikes nothing else.

    Args:
        shared: For each own note, whether the other strikes it too.
        place: Where that note stands in the other's line.
    """
    at = np.flatnonzero(shared)
    if not len(at):
        return []
    breaks = np.flatnonzero((np.diff(at) != 1) | (np.diff(place[at]) != 1)) + 1
    begins, ends = np.append(0, breaks), np.append(breaks, len(at))
    return [(int(at[begin]), int(at[end - 1])) for begin, end in zip(begins, ends, strict=True)]


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
    others: list[tuple[PartColumns, Line]],
) -> Pattern:
    place = (int(line.measure[first]), int(line.measure[last]))
    names = tuple(part.part.name for part, _ in others)
    span = (int(line.onset[first]), int(line.onset[last]))
    inside = any(_goes_on(each, span, place) for each in (line, *(other for _, other in others)))
    caution = " (not the whole of the outer bars)" if inside else ""
    highest = top[1][np.searchsorted(top[0], line.onset[first : last + 1])]
    moving = len(set((line.sounding[first : last + 1] % 12).tolist())) >= _LEAST_TUNE_NOTES
    is_tune = moving and bool(np.mean(highest == line.sounding[first : last + 1] % 12) >= LEAST_TUNE_SHARE)
    start = "You have the top line with" if is_tune else "You have the same notes as"
    why = f"{start} {listed(names)} in {bars(columns, *place)}{caution}."
    return Pattern("unison", (place,), why, round((last - first + 1) / len(line), 3), names)


def _goes_on(line: Line, span: tuple[int, int], place: tuple[int, int]) -> bool:
    """True where a line has notes in the first bar before the stretch, or in the last bar after it."""
    before = int(np.searchsorted(line.onset, span[0])) - 1
    after = int(np.searchsorted(line.onset, span[1], side="right"))
    return (before >= 0 and int(line.measure[before]) == place[0]) or (
        after < len(line) and int(line.measure[after]) == place[1]
    )
