"""Which meters a piece is in, and how their pulses group."""

import itertools
from dataclasses import dataclass
from fractions import Fraction

from planner.core.fact import Fact
from planner.core.profile import MeterSpan, Statement
from planner.core.score import Measure, Score, TimeSignature
from planner.study.notes.columns import Columns, to_ticks
from planner.study.statements import bars, listed, numbers
from planner.study.time.grouping import infer_grouping, unit_of
from planner.study.time.hemiola import find_against

_NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
_VALUES = {1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty-second"}
_SHOWN = {
    "words": "as the words say",
    "beams": "as the beams show",
    "accents": "as the accents show",
    "bass": "as the bass moves",
    "rhythm": "as the long notes fall",
}
LEAST_ALTERNATIONS = 4
"""One-bar changes to and fro that are told together. House choice."""

MOST_LISTED = 12
"""Meter changes listed one by one in a sentence; beyond that only counted. House choice."""


@dataclass(frozen=True, slots=True)
class MeterStudy:
    """Meters by where each begins, the felt pulses of every measure in ticks, and what to say of them."""

    spans: tuple[MeterSpan, ...]
    pulses: tuple[tuple[int, ...], ...]
    statements: tuple[Statement, ...]
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
    return MeterStudy(spans, tuple(pulses), tuple(_statements(columns, spans)), find_against(columns))


def _spans(columns: Columns) -> list[MeterSpan]:
    found: list[MeterSpan] = []
    measures = columns.score.measures
    starts = [m.index for m in measures if m.index == 0 or m.time.groups != measures[m.index - 1].time.groups]
    for start, stop in itertools.pairwise([*starts, len(measures)]):
        time = measures[start].time
        if time.groups and time.beats > 0:
            found += infer_grouping(columns, start, stop, time)
        else:
            found.append(MeterSpan(start, "free", (), 1.0, "printed"))
    return found


def pulses_of(measure: Measure, grouping: tuple[int, ...]) -> tuple[int, ...]:
    """Ticks from the start of a measure at which a felt pulse falls.

    Slow units (a quarter or longer) are pulses themselves, even where 5/4 is
    grouped 3+2; shorter units are felt in their groups. A short measure that
    does not count (a pickup, the second half of a split bar) is counted back from its end.
    """
    length = to_ticks(measure.length_quarters)
    if not grouping or length <= 0:
        return (0,)
    lower = unit_of(measure.time)
    unit = to_ticks(Fraction(4, lower))
    ends = [0]
    for step in [1] * sum(grouping) if lower <= 4 else grouping:
        ends.append(ends[-1] + step * unit)
    shift = length - ends[-1] if measure.implicit and length < ends[-1] else 0
    inside = [end + shift for end in ends[:-1] if 0 <= end + shift < length]
    return tuple(inside) or (0,)


def beat_of(time: TimeSignature, grouping: tuple[int, ...]) -> tuple[int, str]:
    """How many beats a bar has, and the note that is the beat.

    Source: common theory: compound meters beat in dotted values, irregular fast ones in their groups.

    Example:
        >>> beat_of(TimeSignature((((6,), 8),)), (3, 3)), beat_of(TimeSignature((((4,), 4),)), (1, 1, 1, 1))
        ((2, 'dotted quarter'), (4, 'quarter'))
    """
    lower = unit_of(time)
    if grouping and set(grouping) == {3} and len(time.groups[0][0]) == 1:
        return len(grouping), f"dotted {_VALUES.get(lower // 2, 'beat')}"
    return sum(grouping), _VALUES.get(lower, "beat")


def _statements(columns: Columns, spans: tuple[MeterSpan, ...]) -> list[Statement]:
    score = columns.score
    if not spans:
        return []
    said = [Statement("meter", _opening(score, spans[0]), measure=0)]
    first = score.measures[0]
    if first.implicit and 0 < first.length_quarters < first.time.length_quarters:
        said.append(Statement("meter", f"A pickup of {_pickup(first)} comes first.", measure=0))
    changes = spans[1:]
    if changes:
        said.append(Statement("meter", _changes(score, spans), measure=changes[0].measure))
    return said


def _opening(score: Score, span: MeterSpan) -> str:
    time = score.measures[span.measure].time
    if not span.grouping:
        return "Free time, without a meter." if not time.groups else f"{span.time}."
    if len(set(span.grouping)) > 1:
        return f"{_felt(span)}."
    count, value = beat_of(time, span.grouping)
    number = _NUMBERS[count] if count < len(_NUMBERS) else str(count)
    cut = " (cut time)" if time.symbol == "cut" else ""
    return f"{span.time}{cut}: {number} {value} beat{'s' if count != 1 else ''} a bar."


def _pickup(measure: Measure) -> str:
    """Length of a pickup in the largest value that fills it a whole number of times."""
    for lower, name in _VALUES.items():
        count = measure.length_quarters * Fraction(lower, 4)
        if count.denominator == 1 and lower >= 4:
            number = _NUMBERS[int(count)] if count < len(_NUMBERS) else str(count)
            return f"{number} {name}{'s' if count > 1 else ''}"
    return "part of a bar"


def _felt(span: MeterSpan) -> str:
    """A meter with its grouping where it is uneven, and how far it is known."""
    if len(set(span.grouping)) < 2:
        return span.time
    groups = "+".join(map(str, span.grouping))
    if span.source == "printed":
        return span.time if groups == span.time.split("/")[0] else f"{span.time}, felt {groups}"
    if span.source == "custom":
        return f"{span.time} (grouping not shown on the page; {groups} is usual)"
    return f"{span.time}, felt {groups} ({_SHOWN[span.source]})"


def _changes(score: Score, spans: tuple[MeterSpan, ...]) -> str:
    told: list[str] = []
    explained = {(spans[0].time, spans[0].grouping)}
    at = 1
    while at < len(spans):
        stop = _alternating(spans, at)
        if stop - at >= LEAST_ALTERNATIONS:
            pair = listed([spans[at].time, spans[at - 1].time])
            last = spans[stop].measure - 1 if stop < len(spans) else len(score.measures) - 1
            told.append(f"{pair} by turns in {bars(score, spans[at].measure, last)}")
            at = stop
            continue
        told.append(_change(score, spans[at - 1], spans[at], explained))
        at += 1
    if len(told) <= MOST_LISTED:
        return f"Then {listed(told)}."
    return f"The meter changes {len(spans) - 1} times: {_by_meter(score, spans)}."


def _by_meter(score: Score, spans: tuple[MeterSpan, ...]) -> str:
    """Where each meter holds; the opening one "elsewhere"."""
    places: dict[str, list[str]] = {}
    for at, span in enumerate(spans):
        last = spans[at + 1].measure - 1 if at + 1 < len(spans) else len(score.measures) - 1
        places.setdefault(_felt(span), []).append(numbers(score, span.measure, last))
    opening = _felt(spans[0])
    told = [
        f"{meter} in bars {listed(where) if len(where) <= MOST_LISTED else _and_more(where)}"
        for meter, where in places.items()
        if meter != opening
    ]
    return "; ".join([*told, f"{opening} elsewhere"])


def _and_more(places: list[str]) -> str:
    return f"{', '.join(places[:MOST_LISTED])} and {len(places) - MOST_LISTED} more places"


def _change(
    score: Score, before: MeterSpan, span: MeterSpan, explained: set[tuple[str, tuple[int, ...]]]
) -> str:
    """One change; a grouping told before is not explained again."""
    number = score.measure_number(span.measure)
    if span.time == before.time:
        return f"the grouping turns to {'+'.join(map(str, span.grouping))} in bar {number}"
    told = span.time if (span.time, span.grouping) in explained else _felt(span)
    explained.add((span.time, span.grouping))
    return f"{told} from bar {number}"


def _alternating(spans: tuple[MeterSpan, ...], at: int) -> int:
    """Where one-bar changes to and fro between the meter at ``at`` and the one before it come to an end."""
    here, before = spans[at], spans[at - 1]
    stop = at
    while stop < len(spans):
        expected = here if (stop - at) % 2 == 0 else before
        is_one_bar = stop + 1 < len(spans) and spans[stop + 1].measure == spans[stop].measure + 1
        if (spans[stop].time, spans[stop].grouping) != (expected.time, expected.grouping) or not is_one_bar:
            break
        stop += 1
    return stop
