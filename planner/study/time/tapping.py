"""The rhythm of a part that is most worth tapping before the first note."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from planner.core.fact import Fact, FactKind
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, PartColumns

Attacks = tuple[int, ...]
"""Ticks from the start of a bar at which its notes begin, ascending."""

IN_TWOS, IN_THREES = (1, 2, 3, 4), (1, 2, 3, 4, 6, 12)
"""Equal parts of a pulse, as of a quarter and as of a dotted quarter, that have counts of their own ("1 e &
a", "1 la li", the eighths of 6/8 by number); a bar with others is not chosen. Source: common practice."""
OFF_THE_PULSE = 1.0
"""What a note off the pulse weighs. Source: house choice."""
FINE = 0.5
"""Added for one in a pulse of three or more notes. Source: house choice."""
HELD_OVER = 1.5
"""Added for one that sounds across the next pulse: a syncopation is what players lose first. House choice."""
EVENLY = 0.25
"""Share of its weight that a note off the pulse keeps where all notes of its pulse are equally long: a reader
takes such a figure in at a glance. Source: house choice."""
COMES_AGAIN = 0.25
"""Share of its weight that a rhythm gains by each bar that has it again, up to four. House choice."""
MOST_AGAIN = 4


NO_HARD_BARS: Mapping[str, tuple[int, ...]] = {}


def tapping_facts(
    columns: Columns,
    pulses: Sequence[tuple[int, ...]],
    hard: Mapping[str, tuple[int, ...]] = NO_HARD_BARS,
) -> Iterator[Fact]:
    """For each part the bar whose rhythm is most worth tapping; none where every bar has one note a pulse.

    Where all notes fall on pulses it is the commonest bar of several notes that leave pulses out. After it
    come others that take counting: the next best rhythm, and those of the hard bars.
    Only full bars with one voice on one staff are looked at.

    Args:
        columns: The score.
        pulses: For each measure the ticks from its start at which a felt pulse falls.
        hard: By the name of a part its hard bars.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> list(tapping_facts(columns_of(Score("Empty", (), ())), ()))
        []
    """
    lengths = columns.measure_length.tolist()
    for part in columns.parts:
        if part.part.staves > 1:
            continue
        bars = _bars_by_rhythm(columns, part, pulses, lengths)
        weighed = [
            (_weight(attacks, pulses[where[0]], lengths[where[0]]), where, attacks)
            for attacks, where in bars.items()
            if len(attacks[1]) > 1 and attacks[0] != attacks[1]
        ]
        ranked = sorted(weighed, key=lambda each: (-_worth(each[0], len(each[1])), -len(each[1]), each[1][0]))
        if not ranked:
            continue
        best, *others = ranked
        yield _fact(FactKind.RHYTHM_TO_TAP, part.part.name, best, best[1], pulses, lengths)
        wanted = set(hard.get(part.part.name, ()))
        for at, each in enumerate(other for other in others if other[0] > 0):
            bars_to_count = [bar for bar in each[1] if bar in wanted]
            if not at:
                bars_to_count = bars_to_count or each[1][:1]
            for bar in bars_to_count[:1]:
                yield _fact(FactKind.RHYTHM_TO_COUNT, part.part.name, each, [bar], pulses, lengths)


_Weighed = tuple[float, list[int], tuple[tuple[int, ...], Attacks]]
"""A rhythm: its weight, its bars, and its pulses with its attacks."""


def _fact(
    kind: FactKind,
    part: str,
    weighed: _Weighed,
    where: Sequence[int],
    pulses: Sequence[tuple[int, ...]],
    lengths: Sequence[int],
) -> Fact:
    weight, _, (_, attacks) = weighed
    onsets = (("onset_quarters", at / TICKS_PER_QUARTER) for at in attacks)
    beats = (("pulse_quarters", at / TICKS_PER_QUARTER) for at in pulses[where[0]])
    return Fact(
        kind,
        part,
        places=tuple((bar, bar) for bar in where),
        numbers=(*onsets, *beats, ("bar_quarters", lengths[where[0]] / TICKS_PER_QUARTER)),
        weight=min(1.0, 0.4 + 0.05 * weight),
    )


def _bars_by_rhythm(
    columns: Columns, part: PartColumns, pulses: Sequence[tuple[int, ...]], lengths: Sequence[int]
) -> dict[tuple[tuple[int, ...], Attacks], list[int]]:
    """By pulses and attacks, the bars that have this rhythm; those that cannot be counted are left out."""
    found: dict[tuple[tuple[int, ...], Attacks], list[int]] = {}
    onset = (part.onset - columns.measure_start[part.measure])[part.struck].tolist()
    by_bar: dict[int, set[int]] = {}
    for bar, at in zip(part.measure[part.struck].tolist(), onset, strict=True):
        by_bar.setdefault(bar, set()).add(at)
    for bar in sorted(by_bar.keys() - _unlike_bars(columns, part)):
        attacks = tuple(sorted(by_bar[bar]))
        if _can_be_counted(attacks, pulses[bar], lengths[bar]):
            found.setdefault((pulses[bar], attacks), []).append(bar)
    return found


def _unlike_bars(columns: Columns, part: PartColumns) -> set[int]:
    """Bars that are no one line to tap: short ones, and those of several voices."""
    voices: dict[int, set[str]] = {}
    for note in part.part.notes:
        if not note.is_cue:
            voices.setdefault(note.measure, set()).add(note.voice)
    short = {bar.index for bar in columns.score.measures if bar.implicit}
    return short | {bar for bar, names in voices.items() if len(names) > 1}


def _can_be_counted(attacks: Attacks, pulses: tuple[int, ...], length: int) -> bool:
    if not pulses or not attacks:
        return False
    for pulse, end in _spans(pulses, (*pulses[1:], length)):
        inside = [at - pulse for at in attacks if pulse <= at < end]
        divisions = IN_THREES if (end - pulse) % (3 * TICKS_PER_QUARTER // 8) == 0 else IN_TWOS
        if not any(all(at * parts % (end - pulse) == 0 for at in inside) for parts in divisions):
            return False
    return True


def _spans(pulses: Sequence[int], ends: Sequence[int]) -> list[tuple[int, int]]:
    return list(zip(pulses, ends, strict=True))


def _weight(rhythm: tuple[tuple[int, ...], Attacks], pulses: Sequence[int], length: int) -> float:
    """How much there is to tap in a bar: notes off the pulse, in fine divisions, and held over a pulse."""
    _, attacks = rhythm
    total = 0.0
    for pulse, end in _spans(pulses, (*pulses[1:], length)):
        inside = [at for at in attacks if pulse <= at < end]
        gaps = {later - at for at, later in pairwise((*inside, end))}
        is_even = bool(inside) and inside[0] == pulse and len(gaps) == 1
        for at in inside:
            if at == pulse:
                continue
            own = OFF_THE_PULSE + FINE * (len(inside) > 2)
            total += own * EVENLY if is_even else own
            following = next((other for other in attacks if other > at), length)
            total += HELD_OVER * any(at < other < following for other in pulses)
    return total


def _worth(weight: float, bars: int) -> float:
    return weight * (1 + COMES_AGAIN * min(bars - 1, MOST_AGAIN))
