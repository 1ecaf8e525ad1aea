"""How the bars of a part begin and what it counts: ties over the bar line, rests, the beats it plays on."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.core.profile import MeterSpan
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, PartColumns

LEAST_BARS = 3
"""Fewest bars in a row on the same beats that make a passage of them. House choice."""
LONGEST_REST = 1
"""Most bars of rest inside such a passage. House choice."""
LEAST_REST = 2
"""Fewest whole bars of rest that are counted before an entrance. House choice."""
LEAST_HELD = 1
"""Fewest whole bars that a note is held to be counted. House choice."""
NO_BEAT = 0.0
"""The beat of an entrance that falls on none."""


@dataclass(frozen=True)
class _Bar:
    """One bar of a part: ticks from its start of each attack, and what sounds in it."""

    attacks: tuple[int, ...]
    is_held_into: bool
    is_heard: bool

    @property
    def begins_silent(self) -> bool:
        """Whether the part rests first and plays later."""
        return bool(self.attacks) and self.attacks[0] > 0 and not self.is_held_into


def bar_beginning_facts(columns: Columns, pulses: Sequence[tuple[int, ...]]) -> Iterator[Fact]:
    """For each part of one staff how its bars begin, which rests it counts, and what it holds.

    Args:
        columns: The score.
        pulses: For each measure the ticks from its start at which a felt pulse falls.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> list(bar_beginning_facts(columns_of(Score("Empty", (), ())), ()))
        []
    """
    for part in columns.parts:
        if part.part.staves == 1 and len(part):
            bars = _bars_of(columns, part)
            yield from _tied(part, bars)
            yield from _silent(columns, part, bars, pulses)
            yield from _rests(columns, part, bars, pulses)
            yield from _end(columns, part, bars)
            yield from _same_beats(columns, part, bars, pulses)
            yield from _held(columns, part, bars, pulses)


def beat_at(at: int, pulses: Sequence[int], length: int) -> float:
    """On which felt beat a moment of a bar falls, from 1; half a beat more for the half of one.

    0 where it is on neither, or where the beats of the bar are not equally long; a beat of three has no half.

    Args:
        at: Ticks from the start of the bar.
        pulses: Where its felt pulses fall.
        length: Its ticks.

    Example:
        >>> beat_at(15, (0, 10, 20), 30), beat_at(20, (0, 10, 20), 30), beat_at(12, (0, 10, 20), 30)
        (2.5, 3.0, 0.0)
    """
    count = len(pulses)
    if count < 2 or length % count or list(pulses) != [length // count * each for each in range(count)]:
        return NO_BEAT
    whole, rest = divmod(at, length // count)
    is_in_threes = Fraction(length // count, TICKS_PER_QUARTER).numerator == 3
    is_half = 2 * rest == length // count and not is_in_threes
    return whole + 1.0 + 0.5 * is_half if is_half or not rest else NO_BEAT


def printed_pulses(
    meters: Sequence[MeterSpan], pulses: Sequence[tuple[int, ...]]
) -> tuple[tuple[int, ...], ...]:
    """The pulses of the bars whose signature is on the page; none for others, which nobody counts by beats.

    Example:
        >>> meters = (MeterSpan(0, "4/4", (1,) * 4), MeterSpan(1, "3/4", (1,) * 3, is_printed=False))
        >>> printed_pulses(meters, ((0, 1, 2, 3), (0, 1, 2)))
        ((0, 1, 2, 3), ())
    """
    found: list[tuple[int, ...]] = []
    for measure, each in enumerate(pulses):
        meter = next((span for span in reversed(meters) if span.measure <= measure), None)
        found.append(each if meter is not None and meter.is_printed else ())
    return tuple(found)


def _bars_of(columns: Columns, part: PartColumns) -> list[_Bar]:
    starts = columns.measure_start
    attacks: list[set[int]] = [set() for _ in starts]
    moments = (part.onset - starts[part.measure])[part.struck].tolist()
    for bar, at in zip(part.measure[part.struck].tolist(), moments, strict=True):
        attacks[bar].add(at)
    tied = set(part.measure[~part.struck & (part.onset == starts[part.measure])].tolist())
    heard = set(part.measure.tolist())
    return [_Bar(tuple(sorted(each)), bar in tied, bar in heard) for bar, each in enumerate(attacks)]


def _tied(part: PartColumns, bars: Sequence[_Bar]) -> Iterator[Fact]:
    """The bars that begin on a note held over, and go on."""
    places = tuple((at, at) for at, bar in enumerate(bars) if bar.is_held_into and bar.attacks)
    in_all = sum(bar.is_held_into for bar in bars)
    if places and part.is_pitched:
        numbers = (("in_all", in_all),)
        yield Fact(FactKind.BARS_BEGIN_TIED, part.part.name, places=places, numbers=numbers, weight=0.4)


def _silent(
    columns: Columns, part: PartColumns, bars: Sequence[_Bar], pulses: Sequence[tuple[int, ...]]
) -> Iterator[Fact]:
    """The bars that begin with a rest, those in which the part comes in on the same beat together."""
    lengths = columns.measure_length.tolist()
    found: dict[float, list[int]] = {}
    for at, bar in enumerate(bars):
        if columns.score.measures[at].implicit or not bar.begins_silent:
            continue
        beat = beat_at(bar.attacks[0], pulses[at], lengths[at])
        if beat != NO_BEAT:
            found.setdefault(beat, []).append(at)
    for beat, where in found.items():
        places = tuple((at, at) for at in where)
        yield Fact(
            FactKind.BARS_BEGIN_SILENT, part.part.name, places=places, numbers=(("beat", beat),), weight=0.45
        )


def _rests(
    columns: Columns, part: PartColumns, bars: Sequence[_Bar], pulses: Sequence[tuple[int, ...]]
) -> Iterator[Fact]:
    """Every entrance after so many whole bars of rest, with the beat on which it comes."""
    lengths = columns.measure_length.tolist()
    measures = columns.score.measures
    places, numbers, rest = [], [], 0
    for at, bar in enumerate(bars):
        if bar.attacks:
            if rest >= LEAST_REST and not measures[at].implicit:
                places.append((at, at))
                numbers += [("bars", rest), ("beat", beat_at(bar.attacks[0], pulses[at], lengths[at]))]
            rest = 0
        elif bar.is_heard:
            rest = 0
        elif not measures[at].implicit:
            rest += 1
    if places:
        yield Fact(
            FactKind.COUNTED_RESTS, part.part.name, places=tuple(places), numbers=tuple(numbers), weight=0.5
        )


def _end(columns: Columns, part: PartColumns, bars: Sequence[_Bar]) -> Iterator[Fact]:
    """Where the part has played its last, if it is silent as long as a rest that is counted."""
    last = max((at for at, bar in enumerate(bars) if bar.is_heard), default=len(bars))
    rest = len(bars) - 1 - last
    goes_on = any(int(other.measure[-1]) > last for other in columns.parts if len(other))
    if rest >= LEAST_REST and goes_on:
        where, numbers = ((last, last),), (("bars", rest),)
        yield Fact(FactKind.STOPS_EARLY, part.part.name, places=where, numbers=numbers, weight=0.5)


def _same_beats(
    columns: Columns, part: PartColumns, bars: Sequence[_Bar], pulses: Sequence[tuple[int, ...]]
) -> Iterator[Fact]:
    """The longest passage in which a part plays on the same beats in every bar, and never on the first."""
    lengths = columns.measure_length.tolist()
    best: tuple[int, int, int, tuple[float, ...]] = (0, 0, 0, ())
    run: list[int] = []
    beats: tuple[float, ...] = ()
    for at, bar in enumerate(bars):
        if not bar.attacks and not bar.is_held_into:
            continue
        own = tuple(beat_at(attack, pulses[at], lengths[at]) for attack in bar.attacks)
        is_off_one = bool(own) and min(own) >= 2 and all(beat == int(beat) for beat in own)
        if not is_off_one or bar.is_held_into:
            run = []
        elif run and own == beats and at - run[-1] <= LONGEST_REST + 1:
            run.append(at)
        else:
            run, beats = [at], own
        if len(run) > best[0]:
            best = (len(run), run[0], run[-1], beats)
    count, first, last, beats = best
    if count >= LEAST_BARS:
        numbers = tuple(("beat", beat) for beat in beats)
        yield Fact(FactKind.SAME_BEATS, part.part.name, places=((first, last),), numbers=numbers, weight=0.55)


def _held(
    columns: Columns, part: PartColumns, bars: Sequence[_Bar], pulses: Sequence[tuple[int, ...]]
) -> Iterator[Fact]:
    """The longest note, where its bar has no other, and how many felt beats it is held."""
    line, lengths = part.line, columns.measure_length.tolist()
    has_chords = len(line) != int(part.struck.sum())
    if not part.is_pitched or not len(line) or has_chords:
        return
    at = int(np.argmax(line.duration))
    measure, held = int(line.measure[at]), int(line.duration[at])
    last = int(np.searchsorted(columns.measure_start, line.end[at] - 1, side="right")) - 1
    beat = lengths[measure] // max(1, len(pulses[measure]))
    is_even = all(
        beat_at(0, pulses[bar], lengths[bar]) and lengths[bar] == len(pulses[bar]) * beat
        for bar in range(measure, last + 1)
    )
    is_one = len(bars[measure].attacks) == 1 and not bars[measure].is_held_into
    if is_even and is_one and held >= LEAST_HELD * lengths[measure] and held % beat == 0:
        yield Fact(
            FactKind.HELD_NOTE, part.part.name, places=((measure, last),),
            numbers=(("beats", held // beat), ("beat_quarters", beat / TICKS_PER_QUARTER)), weight=0.35,
        )  # fmt: skip
