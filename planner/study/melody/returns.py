"""Where the melody of earlier bars comes again, whoever plays it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from planner.core.fact import Fact, FactKind, Place
from planner.core.profile import MelodySpan
from planner.study.notes.columns import Columns

ALIKE = 0.7
"""Share of the notes, each with its place in the bar, that the bars of a return share on the average with
those they bring again. House choice: a tune may close otherwise, or be dotted in a bar."""
ALIKE_AT_EDGES = 0.5
"""The same for its first and for its last bar. House choice."""
LEAST_BARS = 4
"""Fewest bars of a return: a phrase. House choice."""
LEAST_BARS_EXACT = 3
"""The same where every bar is note for note the same. House choice."""
LEAST_NOTES = 7
"""Fewest notes of the stretch that returns; fewer make no tune. House choice."""
MOST_RETURNS = 3
"""Most stretches that become facts, the longest. House choice."""

Bar = frozenset[tuple[int, int]]
"""The notes of a melody bar: ticks from its start, and pitch class as it sounds."""


@dataclass(frozen=True, slots=True)
class Return:
    """A stretch of the melody and the places at which it comes again, as written measures."""

    first: Place
    later: tuple[Place, ...]


def tune_return_facts(columns: Columns, melody: Sequence[MelodySpan]) -> Iterator[Fact]:
    """The longest stretches of the melody that come again.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> list(tune_return_facts(columns_of(Score("Empty", (), ())), ()))
        []
    """
    found = find_returns(melody_bars(columns, melody))
    longest = sorted(found, key=lambda each: (each.first[0] - each.first[1], each.first))[:MOST_RETURNS]
    for each in sorted(longest, key=lambda each: each.first):
        yield Fact(FactKind.TUNE_RETURNS, places=(each.first, *each.later), weight=0.6)


def melody_bars(columns: Columns, melody: Sequence[MelodySpan]) -> list[Bar]:
    """For each measure the notes of the part that has the melody there, the first one to have it."""
    holder: dict[int, str] = {}
    for span in melody:
        holder.setdefault(span.measure, span.part)
    notes: dict[str, list[set[tuple[int, int]]]] = {}
    for part in columns.pitched():
        if part.part.name in holder.values():
            bars: list[set[tuple[int, int]]] = [set() for _ in columns.measure_start]
            line = part.line
            offset = (line.onset - columns.measure_start[line.measure]).tolist()
            names = (np.rint(line.sounding).astype(np.int64) % 12).tolist()
            for measure, note in zip(line.measure.tolist(), zip(offset, names, strict=True), strict=True):
                bars[measure].add(note)
            notes[part.part.name] = bars
    found, name = [], ""
    for measure in range(len(columns.measure_start)):
        name = holder.get(measure, name)
        found.append(frozenset(notes[name][measure]) if name in notes else frozenset())
    return found


def find_returns(bars: Sequence[Bar]) -> list[Return]:
    """Stretches that come again; none overlaps with its return, or lies inside another or in its return.

    Every bar pair that is the same twice running starts one, at the first place that has it.
    """
    seen: dict[tuple[Bar, Bar], int] = {}
    by_first: dict[Place, list[Place]] = {}
    taken: set[tuple[int, int]] = set()
    for at in range(len(bars) - 1):
        pair = (bars[at], bars[at + 1])
        if not all(pair):
            continue
        first = seen.setdefault(pair, at)
        lag = at - first
        if lag and (first, lag) not in taken:
            start, end = _extended(bars, first, lag)
            taken |= {(each, lag) for each in range(start, end + 1)}
            if _is_return(bars, start, end, lag):
                by_first.setdefault((start, end), []).append((start + lag, end + lag))
    returns = [Return(first, tuple(sorted(later))) for first, later in by_first.items()]
    alone = [each for each in returns if not any(_is_inside(each, other) for other in returns)]
    return [each for each in alone if not any(_is_return_of_return(each, other) for other in alone)]


def _alike(one: Bar, other: Bar) -> float:
    """Share of the notes of two bars that are in both; two rests are alike."""
    return len(one & other) / len(one | other) if one or other else 1.0


def _extended(bars: Sequence[Bar], first: int, lag: int) -> Place:
    """The longest stretch around two bars that is alike enough on the average, its edges trimmed."""
    start, end = first, first + 1
    total = 2.0
    for step in (1, -1):
        sum_so_far, best, at = total, total, (end if step == 1 else start)
        while True:
            at += step
            length = at - start + 1 if step == 1 else end - at + 1
            if at < 0 or at + lag >= len(bars) or length > lag:
                break
            alike = _alike(bars[at], bars[at + lag])
            sum_so_far += alike
            if sum_so_far < ALIKE * length:
                break
            if alike >= ALIKE_AT_EDGES and (bars[at] or bars[at + lag]):
                start, end, best = (start, at, sum_so_far) if step == 1 else (at, end, sum_so_far)
        total = best
    return start, end


def _is_return(bars: Sequence[Bar], start: int, end: int, lag: int) -> bool:
    length = end - start + 1
    exact = all(bars[at] == bars[at + lag] for at in range(start, end + 1))
    notes = sum(len(bars[at]) for at in range(start, end + 1))
    different = len({bars[at] for at in range(start, end + 1)})
    long_enough = length >= (LEAST_BARS_EXACT if exact else LEAST_BARS)
    return long_enough and notes >= LEAST_NOTES and different > length // 2


def _is_inside(one: Return, other: Return) -> bool:
    """Whether a return says nothing beside another: each of its places lies in one of the other."""
    every, wider = (one.first, *one.later), (other.first, *other.later)
    return (
        one is not other
        and all(any(w[0] <= p[0] and p[1] <= w[1] for w in wider) for p in every)
        and (every != wider)
    )


def _is_return_of_return(one: Return, other: Return) -> bool:
    """Whether a return sets out from where a tune already came again: then its first place has been named."""
    return one is not other and any(
        place[0] <= one.first[0] and one.first[1] <= place[1] for place in other.later
    )
