"""Which meters a piece is in, and how their pulses group."""

from dataclasses import dataclass
from fractions import Fraction

from planner.analysis.columns import Columns, to_ticks
from planner.analysis.grouping import infer_grouping
from planner.core.profile import MeterSpan, Statement
from planner.core.score import Measure, TimeSignature


@dataclass(frozen=True, slots=True)
class MeterStudy:
    """Meters by where each begins, the felt pulses of every measure in ticks, and what to say of them."""

    spans: tuple[MeterSpan, ...]
    pulses: tuple[tuple[int, ...], ...]
    statements: tuple[Statement, ...]


def find_meters(columns: Columns) -> MeterStudy:
    """Every meter with its pulse grouping.

    Example:
        >>> from planner.analysis.columns import columns_of
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
        grouping = spans[at].grouping if at >= 0 and measure.time.groups else ()
        pulses.append(pulses_of(measure, grouping))
    return MeterStudy(spans, tuple(pulses), tuple(_statements(columns, spans)))


def _spans(columns: Columns) -> list[MeterSpan]:
    found: list[MeterSpan] = []
    measures = columns.score.measures
    starts = [m.index for m in measures if m.index == 0 or str(m.time) != str(measures[m.index - 1].time)]
    for start, stop in zip(starts, [*starts[1:], len(measures)], strict=True):
        time = measures[start].time
        if not time.groups:
            found.append(MeterSpan(start, "free", (), 1.0, "printed"))
            continue
        found += infer_grouping(columns, start, stop, time)
    return found


def pulses_of(measure: Measure, grouping: tuple[int, ...]) -> tuple[int, ...]:
    """Ticks from the start of a measure at which a felt pulse falls.

    Slow units (a quarter or longer) are pulses themselves, even where 5/4 is
    grouped 3+2; shorter units are felt in their groups. A short measure at the
    start or before a split is counted back from its end.
    """
    length = to_ticks(measure.length_quarters)
    if not grouping or length <= 0:
        return (0,)
    unit = to_ticks(Fraction(4, measure.time.unit))
    steps = [1] * sum(grouping) if measure.time.unit <= 4 else list(grouping)
    ends = [0]
    for step in steps:
        ends.append(ends[-1] + step * unit)
    shift = length - ends[-1] if measure.implicit and length < ends[-1] else 0
    inside = [end + shift for end in ends[:-1] if 0 <= end + shift < length]
    return tuple(inside) or (0,)


def beat_name(time: TimeSignature, grouping: tuple[int, ...]) -> str:
    """The note that is felt as the beat, in words.

    Example:
        >>> beat_name(TimeSignature((((6,), 8),)), (3, 3))
        'dotted quarter'
    """
    names = {1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty-second"}
    if time.unit > 4 and grouping and set(grouping) == {3}:
        return f"dotted {names.get(time.unit // 2, 'beat')}"
    return names.get(time.unit, "beat")


def _statements(columns: Columns, spans: tuple[MeterSpan, ...]) -> list[Statement]:
    said = []
    for at, span in enumerate(spans):
        number = columns.score.measure_number(span.measure)
        end = spans[at + 1].measure - 1 if at + 1 < len(spans) else len(columns.score.measures) - 1
        felt = f", felt {'+'.join(map(str, span.grouping))}" if len(set(span.grouping)) > 1 else ""
        opening = f"{span.time}{felt}" if at == 0 else f"{span.time}{felt} from bar {number}"
        said.append(Statement("meter", f"{opening}.", measure=span.measure, end_measure=end))
    return said
