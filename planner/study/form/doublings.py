"""Who plays the same notes at the same time, and who has the tune."""

import numpy as np
from numpy.typing import NDArray

from planner.core.profile import Pattern, PatternKind
from planner.study.notes.columns import Bools, Columns, Ints, Line, PartColumns

LEAST_UNISON = 8
"""Fewest notes in unison or octaves worth a player's ear (house choice)."""
MOST_UNISONS = 3
"""Most stretches in unison kept for a part (house choice)."""
LEAST_TUNE_SHARE = 0.9
"""Share of a stretch on which a part must be the highest to have the tune (house choice)."""
LONGEST_REST = 1
"""Most whole bars of rest inside one stretch; a longer rest parts two stretches (house choice)."""
_LEAST_TUNE_NOTES = 4
"""Fewest different notes of a tune (house choice: a held or repeated note is none)."""

_Stretch = tuple[int, int]
"""First and last note of a stretch."""


def find_doublings(columns: Columns) -> list[tuple[Pattern, ...]]:
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
        shared = _shared_with(columns, own, lines, same)
        found[part.index] = tuple(
            _pattern(line, top, stretches, [lines[other][0] for other in others])
            for others, stretches in shared
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


def _shared_with(
    columns: Columns, own: int, lines: list[tuple[PartColumns, Line]], same: list[Bools]
) -> list[tuple[tuple[int, ...], list[_Stretch]]]:
    """The longest stretches shared with others, those with the same others together, in order."""
    line = lines[own][1]
    spans: dict[_Stretch, list[int]] = {}
    for other, (_, other_line) in enumerate(lines):
        if other != own:
            for stretch in _stretches_of(columns, line, other_line, same[own][:, other]):
                spans.setdefault(stretch, []).append(other)
    best = sorted(spans.items(), key=lambda item: (item[0][0] - item[0][1], item[0]))
    chosen: list[tuple[_Stretch, tuple[int, ...]]] = []
    for (first, last), others in best:
        if len(chosen) < MOST_UNISONS and all(last < f or first > e for (f, e), _ in chosen):
            chosen.append(((first, last), tuple(others)))
    joined: dict[tuple[int, ...], list[_Stretch]] = {}
    for stretch, together in sorted(chosen):
        joined.setdefault(together, []).append(stretch)
    return list(joined.items())


def _stretches_of(columns: Columns, line: Line, other: Line, shared: Bools) -> list[_Stretch]:
    """Stretches of whole bars in which two lines strike the same notes and nothing else."""
    place = np.searchsorted(other.onset, line.onset)
    found = []
    for first, last in _runs_of(shared, place):
        after = int(place[last]) + 1
        if after < len(other) and other.onset[after] < line.end[last]:
            last -= 1  # the other moves on while this part still holds its note
        for begin, end in _without_long_rests(columns, line, first, last):
            if end - begin + 1 < LEAST_UNISON:
                continue
            whole = _whole_bars(line, other, place, begin, end)
            if whole[1] - whole[0] + 1 >= LEAST_UNISON:
                found.append(whole)
    return found


def _without_long_rests(columns: Columns, line: Line, first: int, last: int) -> list[_Stretch]:
    """A stretch parted where the line rests for more than a bar or so."""
    until = np.searchsorted(columns.measure_start, line.end[first:last] - 1, side="right") - 1
    breaks = first + 1 + np.flatnonzero(line.measure[first + 1 : last + 1] - until > LONGEST_REST + 1)
    edges = [first, *breaks.tolist(), last + 1]
    return [(edges[at], edges[at + 1] - 1) for at in range(len(edges) - 1)]


def _whole_bars(line: Line, other: Line, place: Ints, first: int, last: int) -> _Stretch:
    """The stretch without a first or last bar in which either line has other notes too."""
    if _in_bar(line, first - 1, int(line.measure[first])) or _in_bar(
        other, int(place[first]) - 1, int(line.measure[first])
    ):
        first = int(np.searchsorted(line.measure, line.measure[first], side="right"))
    if last > first and (
        _in_bar(line, last + 1, int(line.measure[last]))
        or _in_bar(other, int(place[last]) + 1, int(line.measure[last]))
    ):
        last = int(np.searchsorted(line.measure, line.measure[last])) - 1
    return first, last


def _in_bar(line: Line, at: int, measure: int) -> bool:
    return 0 <= at < len(line) and int(line.measure[at]) == measure


def _runs_of(shared: Bools, place: Ints) -> list[tuple[int, int]]:
    """Stretches of enough shared notes between which the other part strikes nothing else.

    Args:
        shared: For each own note, whether the other strikes it too.
        place: Where that note stands in the other's line.
    """
    at = np.flatnonzero(shared)
    if not len(at):
        return []
    breaks = np.flatnonzero((np.diff(at) != 1) | (np.diff(place[at]) != 1)) + 1
    begins, ends = np.append(0, breaks), np.append(breaks, len(at))
    long = ends - begins >= LEAST_UNISON
    return list(zip(at[begins[long]].tolist(), at[ends[long] - 1].tolist(), strict=True))


def _top_pitch(lines: list[tuple[PartColumns, Line]]) -> tuple[Ints, NDArray[np.float64]]:
    """Onsets of the whole score, ascending, and the highest pitch class struck at each."""
    onset = np.concatenate([line.onset for _, line in lines])
    pitch = np.concatenate([line.sounding for _, line in lines])
    order = np.lexsort((-pitch, onset))
    first = np.append(True, onset[order][1:] != onset[order][:-1])
    return onset[order][first], pitch[order][first] % 12


def _pattern(
    line: Line,
    top: tuple[Ints, NDArray[np.float64]],
    stretches: list[_Stretch],
    others: list[PartColumns],
) -> Pattern:
    places = tuple((int(line.measure[first]), int(line.measure[last])) for first, last in stretches)
    names = tuple(part.part.name for part in others)
    inside = np.concatenate([np.arange(first, last + 1) for first, last in stretches])
    own = line.sounding[inside] % 12
    highest = top[1][np.searchsorted(top[0], line.onset[inside])]
    moving = len(set(own.tolist())) >= _LEAST_TUNE_NOTES
    is_tune = moving and bool(np.mean(highest == own) >= LEAST_TUNE_SHARE)
    covers = round(len(inside) / len(line), 3)
    return Pattern(PatternKind.UNISON, places, covers, names, has_top_line=is_tune)
