"""What comes again in a part: repeats, sequences, ostinati, rhythms, and who plays the same line."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import Pattern, PatternKind
from planner.study.form.doublings import find_doublings
from planner.study.form.printed import printed
from planner.study.form.repeats import find_repeats, find_shapes, note_symbols
from planner.study.form.sequences import find_runs
from planner.study.notes.arrays import differences, distinct, first_places, is_among
from planner.study.notes.columns import Bools, Columns, Ints, Line, PartColumns

LEAST_LINE = 6
"""Fewest notes of a line that is searched at all."""
LEAST_BARS = 3
"""Fewest bars with the same rhythm that make a rhythm pattern (house choice)."""
MOST_RHYTHMS = 3
"""Most rhythms kept for a part (house choice: what fits the study time)."""
LEAST_COVERED = 0.25
"""Share of a part's notes in repeats, sequences and ostinati from which it is a fact (house choice)."""
MOST_FACTS = 4
"""Most patterns of a part that become facts (house choice: what can be looked up in the study time)."""
MANY_BARS = 6
"""Bars that a second rhythm must fill to be worth a fact (house choice)."""
MOST_OF_A_KIND: Mapping[PatternKind, int] = {
    PatternKind.UNISON: 2,
    PatternKind.REPEAT: 2,
    PatternKind.SEQUENCE: 2,
    PatternKind.OSTINATO: 1,
    PatternKind.RHYTHM: 2,
}
"""Most patterns of each kind that become facts, the most useful kind first (house choice)."""
WEIGHTS: Mapping[PatternKind, float] = {
    PatternKind.UNISON: 0.6,
    PatternKind.REPEAT: 0.5,
    PatternKind.SEQUENCE: 0.5,
    PatternKind.OSTINATO: 0.4,
    PatternKind.RHYTHM: 0.2,
}
"""How much a pattern matters to a reader before its size is looked at (house choice)."""
WEIGHT_OF_COVER = 0.3
"""What is added for a pattern that covers the whole part (house choice)."""


@dataclass(frozen=True, slots=True)
class PatternStudy:
    """Patterns of each part, in score order, and the facts a reader may want of them."""

    by_part: tuple[tuple[Pattern, ...], ...]
    facts: tuple[Fact, ...] = ()


def find_patterns(columns: Columns) -> PatternStudy:
    """Repeats, sequences, ostinati, rhythm patterns and doublings of each part.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_patterns(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    doublings = find_doublings(columns)
    by_part: list[tuple[Pattern, ...]] = []
    facts: list[Fact] = []
    for part in columns.parts:
        own, covered = _own_patterns(columns, part) if part.is_pitched else ([], 0.0)
        by_part.append((*own, *doublings[part.index]))
        facts += _facts(part.part.name, by_part[-1], covered)
    return PatternStudy(tuple(by_part), tuple(facts))


def _facts(name: str, patterns: tuple[Pattern, ...], covered: float) -> Iterator[Fact]:
    """The most useful patterns by first bar, and how much of the part stands in patterns."""
    for at in _most_useful(patterns):
        pattern = patterns[at]
        weight = WEIGHTS[pattern.kind] + WEIGHT_OF_COVER * pattern.covers
        yield Fact(
            FactKind.PATTERN, name, pattern.places[:1], numbers=named(pattern=at), weight=round(weight, 3)
        )
    if covered >= LEAST_COVERED:
        end = patterns[-1].places[-1][1]
        share = named(share=round(covered, 6))
        yield Fact(FactKind.IN_PATTERNS, name, ((end, end),), numbers=share, weight=0.3)


def _most_useful(patterns: tuple[Pattern, ...]) -> list[int]:
    """Which patterns become facts, by first bar: doublings, repeats and sequences before rhythms."""
    room = dict(MOST_OF_A_KIND)
    kinds = list(room)
    chosen: list[int] = []

    def order(at: int) -> tuple[int, float, tuple[tuple[int, int], ...]]:
        return kinds.index(patterns[at].kind), -patterns[at].covers, patterns[at].places

    for at in sorted(range(len(patterns)), key=order):
        kind = patterns[at].kind
        is_further_rhythm = kind is PatternKind.RHYTHM and room[kind] < MOST_OF_A_KIND[kind]
        if is_further_rhythm and _bars_of(patterns[at]) < MANY_BARS:
            continue
        if room[kind] and len(chosen) < MOST_FACTS:
            room[kind] -= 1
            chosen.append(at)
    return sorted(chosen, key=lambda at: patterns[at].places)


def _bars_of(pattern: Pattern) -> int:
    return sum(last - first + 1 for first, last in pattern.places)


def _own_patterns(columns: Columns, part: PartColumns) -> tuple[list[Pattern], float]:
    """Patterns inside one part, and the share of its moments in repeats, sequences and ostinati.

    A repeat is of the whole part; a shape is seen on one staff.
    """
    line = part.line
    if len(line) < LEAST_LINE:
        return [], 0.0
    page = printed(columns, part)
    symbols = note_symbols(line, _gaps(line), page.moments)
    taken = np.zeros(len(line), dtype=bool)
    staves = [(at, one) for at, one in _staves(part) if len(one.line) >= LEAST_LINE]
    runs: list[Pattern] = []
    for staff, one in staves:
        own = _taken_on(one.line, line, taken)
        theirs = symbols
        if one is not part:
            theirs = note_symbols(one.line, _gaps(one.line), printed(columns, one).moments)
        runs += _on(staff, find_runs(columns, one.line, theirs, own))
        taken |= _taken_on(line, one.line, own)
    repeats = find_repeats(columns, line, symbols, taken, page)
    for staff, one in staves:
        own = _taken_on(one.line, line, taken)
        repeats += _on(staff, find_shapes(columns, one.line, _gaps(one.line), own))
        taken |= _taken_on(line, one.line, own)
    rhythms = [found for staff, one in staves for found in _on(staff, _rhythms(columns, one.line))]
    return [*repeats, *runs, *rhythms], float(taken.mean())


def _gaps(line: Line) -> Ints:
    """Ticks from each note to the next; of the last how long it is."""
    return differences(line.onset, int(line.end[-1]))


def _staves(part: PartColumns) -> list[tuple[int, PartColumns]]:
    """The staves of a part, each with its number; 0 for a part of one staff."""
    if part.part.staves <= 1:
        return [(0, part)]
    return [(int(at), part.on_staff(int(at))) for at in distinct(part.staff)]


def _on(staff: int, found: list[Pattern]) -> list[Pattern]:
    return [replace(each, staff=staff) for each in found] if staff else found


def _taken_on(line: Line, other: Line, taken: Bools) -> Bools:
    """Which moments of one line are taken in another."""
    if line is other:
        return taken.copy()
    return is_among(line.onset, other.onset[taken])


def _rhythms(columns: Columns, line: Line) -> list[Pattern]:
    """The one-bar rhythms of at least three notes that fill most bars, even values aside."""
    measures, first = first_places(line.measure)
    counts = differences(first, len(line))
    rhythms: dict[tuple[int, ...], list[int]] = {}
    offset = (line.onset - columns.measure_start[line.measure]).tolist()
    length = line.duration.tolist()
    for measure, begin, count in zip(measures.tolist(), first.tolist(), counts.tolist(), strict=True):
        if count >= LEAST_BARS:
            figure = tuple(x for at in range(begin, begin + count) for x in (offset[at], length[at]))
            rhythms.setdefault(figure, []).append(measure)
    uneven = [
        (found, len(figure) // 2)
        for figure, found in rhythms.items()
        if len(found) >= LEAST_BARS and len(set(figure[1::2])) > 1
    ]
    best = sorted(uneven, key=lambda item: (-len(item[0]) * item[1], item[0]))[:MOST_RHYTHMS]
    return [_rhythm(line, found, notes) for found, notes in best]


def _rhythm(line: Line, found: list[int], notes: int) -> Pattern:
    covers = round(len(found) * notes / len(line), 3)
    return Pattern(PatternKind.RHYTHM, tuple(_joined(found)), covers, notes=notes)


def _joined(measures: list[int]) -> list[tuple[int, int]]:
    """Measures as stretches."""
    places: list[tuple[int, int]] = []
    for measure in measures:
        if places and measure == places[-1][1] + 1:
            places[-1] = (places[-1][0], measure)
        else:
            places.append((measure, measure))
    return places
