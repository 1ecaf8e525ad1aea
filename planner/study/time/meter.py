"""Which meters a piece is in, and how their pulses group."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import MeterSpan
from planner.core.score import Measure, Part, Score, TimeSignature
from planner.study.notes.columns import Columns, to_ticks
from planner.study.time.grouping import infer_grouping, unit_of
from planner.study.time.hemiola import find_against

MOST_OWN_METERS = 4
"""Passages in another meter than the score that a part is told of. House choice."""


@dataclass(frozen=True, slots=True)
class MeterStudy:
    """Meters by where each begins, the felt pulses of every measure in ticks, and facts for readers."""

    spans: tuple[MeterSpan, ...]
    pulses: tuple[tuple[int, ...], ...]
    facts: tuple[Fact, ...] = ()


def find_meters(columns: Columns) -> MeterStudy:
    """Every meter with its pulse grouping.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_meters(columns_of(Score("Empty", (), ()))).spans
        ()
    """
    measures = columns.score.measures
    spans = tuple(_spans(columns))
    pulses: list[tuple[int, ...]] = []
    at = -1
    for measure in measures:
        while at + 1 < len(spans) and spans[at + 1].measure <= measure.index:
            at += 1
        pulses.append(pulses_of(measure, spans[at].grouping if at >= 0 else ()))
    return MeterStudy(spans, tuple(pulses), (*_facts(columns, spans), *find_against(columns)))


def _spans(columns: Columns) -> list[MeterSpan]:
    found: list[MeterSpan] = []
    measures = columns.score.measures
    starts = [m.index for m in measures if m.index == 0 or m.time.groups != measures[m.index - 1].time.groups]
    for start, stop in itertools.pairwise([*starts, len(measures)]):
        time = measures[start].time
        if time.groups and time.beats > 0:
            first, *turns = infer_grouping(columns, start, stop, time)
        else:
            first, turns = MeterSpan(start, "free", (), 1.0, "printed"), []
        found += [replace(first, is_printed=measures[start].time_changes), *turns]
    return found


def pulses_of(measure: Measure, grouping: tuple[int, ...]) -> tuple[int, ...]:
    """Ticks from the start of a measure at which a felt pulse falls.

    Slow units (a quarter or longer) are pulses themselves, even where 5/4 is
    grouped 3+2; shorter units are felt in their groups. A short measure at the beginning, or one
    that does not count (the second half of a split bar), is counted back from its end.
    """
    length = to_ticks(measure.length_quarters)
    is_upbeat = measure.implicit or measure.index == 0
    if not grouping or length <= 0:
        return (0,)
    lower = unit_of(measure.time)
    unit = to_ticks(Fraction(4, lower))
    ends = [0]
    for step in [1] * sum(grouping) if lower <= 4 else grouping:
        ends.append(ends[-1] + step * unit)
    shift = length - ends[-1] if is_upbeat and length < ends[-1] else 0
    inside = [end + shift for end in ends[:-1] if 0 <= end + shift < length]
    return tuple(inside) or (0,)


def beat_of(time: TimeSignature, grouping: tuple[int, ...]) -> tuple[int, Fraction]:
    """How many beats a bar has, and the length of one in quarters.

    Source: common theory: compound meters beat in dotted values, irregular fast ones in their groups.

    Example:
        >>> beat_of(TimeSignature((((6,), 8),)), (3, 3)), beat_of(TimeSignature((((4,), 4),)), (1, 1, 1, 1))
        ((2, Fraction(3, 2)), (4, Fraction(1, 1)))
    """
    unit = Fraction(4, unit_of(time))
    if time.symbol == "cut" and time.length_quarters == 4:
        return 2, Fraction(2)
    if grouping and set(grouping) == {3} and len(time.groups[0][0]) == 1:
        return len(grouping), 3 * unit
    return sum(grouping), unit


def _facts(columns: Columns, spans: tuple[MeterSpan, ...]) -> list[Fact]:
    if not spans:
        return []
    first = columns.score.measures[0]
    found = [_opening(first, spans[0])]
    if 0 < first.length_quarters < first.time.length_quarters:
        length = named(quarters=float(first.length_quarters))
        found.append(Fact(FactKind.PICKUP, places=((0, 0),), numbers=length, weight=0.6))
    changes = spans[1:]
    if changes:
        places = tuple((span.measure, span.measure) for span in changes)
        certainty = min(span.confidence for span in changes)
        found.append(Fact(FactKind.METER_CHANGES, places=places, certainty=certainty, weight=0.9))
    for part in columns.parts:
        found += _own_meter(columns.score, part.part)
    return found


def _own_meter(score: Score, part: Part) -> Iterator[Fact]:
    """Where a part's page has another signature than the score as a whole."""
    measures = score.measures
    turns = {measure.index for measure in measures if measure.time_changes}
    changes = {change.measure: change for change in part.times if change.is_printed}
    starts = sorted(turns | changes.keys())
    runs: list[tuple[int, int, str]] = []
    for start, stop in itertools.pairwise([*starts, len(measures)]):
        change = changes.get(start)
        if change is not None and start < stop and str(change.time) != str(measures[start].time):
            runs.append((start, stop - 1, str(change.time)))
    if runs:
        shown = runs[:MOST_OWN_METERS]
        places = tuple((first, last) for first, last, _ in shown)
        yield Fact(FactKind.OWN_METER, part.name, places, terms=tuple(t for *_, t in shown), weight=0.95)


def _opening(first: Measure, span: MeterSpan) -> Fact:
    numbers: tuple[tuple[str, float], ...] = ()
    if len(set(span.grouping)) == 1:
        beats, length = beat_of(first.time, span.grouping)
        numbers = named(beats=beats, quarters=float(length))
    terms = ("cut",) if first.time.symbol == "cut" else ()
    return Fact(
        FactKind.METER,
        places=((0, 0),),
        terms=terms,
        numbers=numbers,
        certainty=span.confidence,
        weight=0.8,
    )
