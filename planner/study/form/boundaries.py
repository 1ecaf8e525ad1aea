"""Where sections begin: what the page shows, the return of what opened one, and tunes stated twice."""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from planner.study.form.headings import printed_names
from planner.study.form.leading_line import leading_line, sung_part
from planner.study.form.likeness import FIRST_BAR, SAME, bar_likeness, from_full_bar, tunes_of
from planner.study.form.phrases import full_bars
from planner.study.notes.columns import Columns, Floats, Ints, Line, PartColumns, asked_once

LEAST_SECTION = 4
"""Fewest measures of a section (house choice: a phrase)."""
LONG = 8
"""Fewest measures of a strain stated twice, and of a meter that makes a section (house choice)."""
UNDIVIDED = 16
"""Most measures of a printed section that is one though it begins again as it began (two periods)."""
SHORT = 12
"""Most bars of a printed section in which no other beginning is looked for (house choice)."""
MOST_PARTS = 12
"""Into how many parts a printed section is parted at most (house choice: more is no map)."""
LEAST_RETURN = 6
"""Fewest measures of a return that makes a section by itself (house choice: more than a phrase)."""
OPENING_BARS = 4
"""Measures that make up the opening when looking for its return (house choice: a phrase)."""
ALIKE = 0.8
"""Likeness of two measures of the leading line in a return (house choice: a note or two may differ)."""
PERIOD = 0.75
"""The same as the mean of a period, of which some bars may differ more (house choice)."""
LONGEST_STUDIED = 4000
"""Most measures in which unprinted returns are looked for: their pairs are all compared."""


@asked_once
def boundaries_of(columns: Columns) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """First measures of the sections, and measures at which the opening returns note for note.

    Both are empty for a score without pitches.
    """
    if not len(columns.score.measures) or leading_line(columns) is None:
        return (), ()
    returns = _returns(columns)
    return tuple(_section_starts(columns, returns)), tuple(returns)


def _opening_part(columns: Columns) -> PartColumns | None:
    """The part that has the tune at the beginning: the one that is sung, or most like the leading line."""
    sung, leading = sung_part(columns), leading_line(columns)
    if sung is not None or leading is None:
        return sung
    first = int(leading.measure[0])
    own = leading.measure < first + OPENING_BARS
    places = set(zip(leading.onset[own].tolist(), leading.sounding[own].tolist(), strict=True))

    def shared(part: PartColumns) -> int:
        early = part.line.measure < first + OPENING_BARS
        return sum(
            place in places
            for place in zip(part.line.onset[early].tolist(), part.line.sounding[early].tolist(), strict=True)
        )

    return max(columns.pitched(), key=shared)


def _bar_symbols(columns: Columns, line: Line) -> Ints:
    """One number a measure: the same where the line has the same notes; silent measures differ."""
    measures = len(columns.measure_start)
    seen: dict[tuple[float, ...], int] = {}
    edges = np.searchsorted(line.measure, np.arange(measures + 1)).tolist()
    offset = (line.onset - columns.measure_start[line.measure]).tolist()
    pitch, length = line.sounding.tolist(), line.duration.tolist()
    symbols = []
    for measure in range(measures):
        inside = range(edges[measure], edges[measure + 1])
        figure = tuple(x for at in inside for x in (offset[at], pitch[at], length[at]))
        symbols.append(seen.setdefault(figure or (-1.0, measure), len(seen)))
    return np.array(symbols, dtype=np.int64)


def _returns(columns: Columns) -> list[int]:
    """Measures at which the opening of the part with the tune comes again, note for note, for four bars."""
    part = _opening_part(columns)
    if part is None or not len(part.line):
        return []
    symbols = _bar_symbols(columns, part.line)
    first = 0
    while first + OPENING_BARS < len(symbols) and (
        not full_bars(columns)[first] or len(set(symbols[first : first + OPENING_BARS].tolist())) < 2
    ):
        first += 1
    opening = symbols[first : first + OPENING_BARS]
    if len(opening) < OPENING_BARS:
        return []
    found, at = [], first + OPENING_BARS
    while at + OPENING_BARS <= len(symbols):
        if np.array_equal(symbols[at : at + OPENING_BARS], opening):
            found.append(at)
            at += OPENING_BARS
        else:
            at += 1
    return found


def _section_starts(columns: Columns, returns: Sequence[int]) -> list[int]:
    """First measures of sections: what the page shows, then what returns inside long sections."""
    count = len(columns.score.measures)
    bars = np.append(0, np.cumsum(full_bars(columns))).tolist()
    printed: list[int] = []
    for start in sorted((printed_starts(columns) | {0}) & set(range(count))):
        if not printed or bars[start] - bars[printed[-1]] >= LEAST_SECTION:
            printed.append(start)
    weak = [
        (at, LONG if at - before >= LONG else OPENING_BARS) for before, at in pairwise([0, *returns])
    ]  # what returns after a period makes a section, what is said again at once does not
    if count <= LONGEST_STUDIED:
        weak += _return_starts(columns, printed)
    return _divided(columns, _with_weak(printed, weak, bars), count)


def _with_weak(printed: Sequence[int], weak: Sequence[tuple[int, int]], bars: Sequence[int]) -> list[int]:
    """The printed starts, and others in long sections, the surest first, where there is room."""
    kept = list(printed)
    ends = [*printed[1:], len(bars) - 1]
    for start, length in weak:
        if not 0 < start < len(bars) - 1:
            continue
        place = bisect_right(printed, start) - 1
        begin, end = printed[place], ends[place]
        size = bars[end] - bars[begin]
        least = max(LEAST_SECTION, size / MOST_PARTS)
        near = [other for other in kept if begin <= other < end] + [end]
        whole = bars[end] - bars[start] >= LONG
        least_size = SHORT if length >= LONG and whole else UNDIVIDED - (length >= LONG)
        if size > least_size and all(abs(bars[start] - bars[other]) >= least for other in near):
            kept.append(start)
    return sorted(kept)


def _spans(starts: Sequence[int], count: int) -> Iterator[tuple[int, int]]:
    return zip(starts, [*starts[1:], count], strict=True)


def _return_starts(columns: Columns, printed: Sequence[int]) -> list[tuple[int, int]]:
    """Where the leading line brings earlier measures again and for how long, the surest first.

    Those that open a printed section, for a phrase at least, then other long stretches and where they end. A
    section of two periods is not parted where it only begins again as it began.
    """
    table = tunes_of(columns).pitches[0]
    alike = table @ table.T
    spans = list(_spans(printed, len(table)))
    opens = {from_full_bar(columns, span)[0]: span for span in spans}
    heads: list[tuple[int, int]] = []
    for at, (first, last) in opens.items():
        for later in _comes_again(alike, at, OPENING_BARS, ALIKE):
            if later >= last or last - first > UNDIVIDED:
                heads += [(-OPENING_BARS, later)]
        if last - first <= SHORT:
            for later in _comes_again(alike, at, LONG, PERIOD):
                if later >= last and later + LONG <= spans[bisect_right(printed, later) - 1][1]:
                    heads += [(-LONG, later)]
    others: list[tuple[int, int]] = []
    for lag in range(LEAST_RETURN, len(table)):
        same = np.diagonal(alike, lag) >= ALIKE
        borders = np.flatnonzero(np.diff(np.concatenate([[False], same, [False]])))
        for begin, end in zip(borders[::2].tolist(), borders[1::2].tolist(), strict=True):
            if LEAST_RETURN <= end - begin <= lag and not any(at in opens for at in range(begin, end)):
                ends = [end + lag] if end - begin >= LONG else []
                others += [(max(begin - end, 1 - LONG), at) for at in (begin, begin + lag, *ends)]
    return [(at, -size) for size, at in (*sorted(heads), *sorted(others))]


def comes_from(columns: Columns, span: tuple[int, int]) -> int | None:
    """The measure of an earlier passage that makes up most of a stretch, where that is not new.

    The leading line has the same bars there, one after another, as in more than half of the stretch. None
    where it has not, and in very long scores.
    """
    begin, end = from_full_bar(columns, span)
    table = tunes_of(columns).pitches[0]
    if not begin or len(table) > LONGEST_STUDIED:
        return None
    alike = table[begin:end] @ table[:begin].T >= ALIKE
    run = np.zeros(begin, dtype=np.int64)  # bars up to a measure that are those up to the one of this row
    longest, source = 0, None
    for row, same in enumerate(alike):
        run = np.where(same, np.append(0, run[:-1]) + 1, 0)
        apart = run[: max(begin + row - LEAST_RETURN + 1, 0)]
        if len(apart) and int(apart.max()) > longest:
            longest = int(apart.max())
            source = int(apart.argmax()) - longest + 1
    return source if longest >= LEAST_RETURN and 2 * longest > end - begin else None


def _comes_again(alike: Floats, at: int, bars: int, least: float) -> list[int]:
    """Where some bars come again: a phrase bar by bar, or a period as a whole."""
    later = np.arange(at + bars, len(alike) - bars + 1)
    if not len(later):
        return []
    each = np.stack([alike[at + bar, later + bar] for bar in range(bars)])
    fits = each.min(axis=0) >= least if bars < LONG else each.mean(axis=0) >= least
    return [int(place) for place in later[fits & (each[0] >= FIRST_BAR)]]


def _divided(columns: Columns, starts: list[int], count: int) -> list[int]:
    """The starts, with those inside a section that states a strain twice or goes on after a return."""
    divided: list[int] = []
    for begin, end in _spans(starts, count):
        divided += _statements(columns, begin, end)
    spans = list(_spans(divided, count))
    after = _after_return(columns, spans[-1], spans[:-1])
    return divided if after is None else [*divided, after]


def _statements(columns: Columns, begin: int, end: int) -> list[int]:
    """The beginnings of a strain stated two, three or four times over; of the section, where it is not."""
    first, _ = from_full_bar(columns, (begin, end))
    for times in (4, 3, 2):
        size, rest = divmod(end - first, times)
        if rest or size < LONG:
            continue
        parts = [(first + at * size, first + (at + 1) * size) for at in range(times)]
        if all(
            bar_likeness(columns, parts[0], part).min() >= FEW_NOTES
            and bar_likeness(columns, parts[0], part).mean() >= SAME
            for part in parts[1:]
        ):
            return [begin, *(part[0] for part in parts[1:])]
    return [begin]


FEW_NOTES = 0.5
"""Least likeness of any bar of a strain stated twice (house choice: an ending may turn)."""


def _after_return(columns: Columns, last: tuple[int, int], earlier: Sequence[tuple[int, int]]) -> int | None:
    """Where the last section goes on after bringing an earlier one, or its second half, to the end again."""
    first, end = from_full_bar(columns, last)
    found: list[int] = []
    for one in earlier:
        start, stop = from_full_bar(columns, one)
        size = stop - start - _other_endings(columns, start, stop)
        halves = [(start, size)] + ([(start + size // 2, size - size // 2)] if size >= 2 * LONG else [])
        for source, length in halves:
            length = min(length, end - first)
            alike = bar_likeness(columns, (source, source + length), (first, first + length))
            differs = np.flatnonzero(alike < FEW_NOTES)
            run = int(differs[0]) if len(differs) else length
            run = length if run == length - 1 else run  # an ending may turn
            if run >= LONG and alike[:run].mean() >= SAME - 0.05:
                found.append(first + run)
    longest = max(found, default=end)
    return longest if end - longest >= LEAST_SECTION else None


def _other_endings(columns: Columns, begin: int, end: int) -> int:
    """Measures of all endings but the first between two measures: they are played in its place."""
    marks = columns.score.marks
    begins = sorted(
        {mark.measure for mark in marks if mark.kind == "ending-start" and begin <= mark.measure < end}
    )
    return end - begins[1] if len(begins) > 1 else 0


def printed_starts(columns: Columns) -> set[int]:
    """Measures at which the page shows a new section."""
    starts = set(printed_names(columns))
    for measure in columns.score.measures:
        if measure.right_bar in ("light-light", "light-heavy"):
            starts.add(measure.index + 1)
    for mark in columns.score.marks:
        if mark.kind in ("repeat-start", "coda"):
            starts.add(mark.measure)
        elif mark.kind == "repeat-end":
            starts.add(mark.measure + 1)
    return _after_endings(columns, starts) | _meter_starts(columns)


def _after_endings(columns: Columns, starts: set[int]) -> set[int]:
    """The starts, one at a second or later ending moved behind it: an ending belongs to what it ends."""
    endings = {mark.measure for mark in columns.score.marks if mark.kind == "ending-start"}
    stops = sorted({mark.measure for mark in columns.score.marks if mark.kind == "ending-stop"})
    moved = set()
    for start in starts:
        while start in endings and any(stop >= start for stop in stops):
            start = next(stop for stop in stops if stop >= start) + 1
        moved.add(start)
    return moved


def _meter_starts(columns: Columns) -> set[int]:
    """Where a meter of some length turns to another of some length: bars that alternate are no sections."""
    measures = columns.score.measures
    changes = [0, *(m.index for m in measures if m.time_changes and m.index), len(measures)]
    return {
        at
        for before, at, after in zip(changes, changes[1:], changes[2:], strict=False)
        if at - before >= LONG and after - at >= LONG
    }
