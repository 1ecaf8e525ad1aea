"""What a line asks of fingers, slide, lip, bow and lungs on its instrument."""

from bisect import bisect_left
from collections.abc import Iterator
from itertools import pairwise
from typing import Protocol

import numpy as np

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import named
from planner.core.instruments import Instrument
from planner.study.facts import StudyFacts
from planner.study.lines.slide import SLIDE_MOVE, SLIDES, slide_moves
from planner.study.lines.strings import STRINGS, strings_skipped
from planner.study.lines.technique_tables import (
    BREAK,
    HORN_PARTIALS,
    LOWERED,
    OPEN_NOTES,
    READS_LIKE_TRUMPET,
    VALVE_COST,
    VALVES,
)
from planner.study.notes.arrays import counted
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Floats, Ints, PartColumns

LEGATO_GAP = TICKS_PER_QUARTER // 2
"""Notes less than half a quarter apart belong to one motion. Source: house choice."""
HARD_VALVE_COST = 6.0
"""A valve change of the hardest quarter of the published table: 14 of its 56. House choice of the quarter."""


class PlayedPart(Protocol):
    """What technique asks of a part that plays; ``PartEvidence`` answers it."""

    @property
    def part(self) -> PartColumns:
        """Its columns."""

    @property
    def instrument(self) -> Instrument | None:
        """Its row of the instrument table; None when not recognised."""

    @property
    def lines(self) -> tuple[AttackLine, ...]:
        """One line, or one for each staff of a keyboard."""

    @property
    def has_melody(self) -> bool:
        """Pitched, and not a drum tuned to a few pitches."""


def written_for(each: PlayedPart, line: AttackLine) -> Ints:
    """Written MIDI numbers as the instrument of the table reads them; -1 for unpitched attacks.

    Where a part changes its key on the way, a brass player keeps the instrument and reads on in another
    crook; a clarinet or a flute is exchanged for another, and its page is read as it stands.
    """
    instrument = each.instrument
    if instrument is not None and instrument.family == "brass":
        played = line.top - instrument.transposition.semitones
        return np.asarray(np.where(np.isnan(line.top), -1.0, played), dtype=np.int64)
    shift = 0
    if instrument is not None:
        shift = each.part.part.transposition.semitones - instrument.transposition.semitones
    numbers: Ints = np.where(np.isnan(line.written), -1.0, line.written + shift).astype(np.int64)
    return numbers


def joined(line: AttackLine) -> Bools:
    """True for each pair of neighbouring attacks that follow each other without a real rest."""
    close: Bools = line.onset[1:] - line.end[:-1] < LEGATO_GAP
    return close


def valves_for(trumpet_note: int) -> str:
    """Standard valves of a written trumpet note, ``"0"`` for open; empty outside F♯3 to E6.

    Example:
        >>> [valves_for(n) for n in (60, 62, 64, 66)]
        ['0', '13', '12', '2']
    """
    at = bisect_left(OPEN_NOTES, trumpet_note)
    if at == len(OPEN_NOTES):
        return ""
    below = OPEN_NOTES[at] - trumpet_note
    return LOWERED[below] if below < len(LOWERED) else ""


def _change(before: str, after: str) -> float:
    return VALVE_COST[VALVES.index(before)][VALVES.index(after)]


def breaks_crossed(group: str, notes: Ints, near: Bools) -> Bools:
    """Pairs of notes that cross the clarinet's break."""
    border = BREAK.get(group)
    if border is None:
        return np.zeros(len(near), dtype=np.bool_)
    above = notes >= border
    crossed: Bools = (above[1:] != above[:-1]) & near
    return crossed


def partials_skipped(group: str, notes: Ints) -> Ints:
    """Partials passed over between neighbouring notes of a brass instrument."""
    if group == "horn-f":
        series, shift = np.array(HORN_PARTIALS), 0
    elif group in READS_LIKE_TRUMPET:
        series, shift = np.array(OPEN_NOTES), READS_LIKE_TRUMPET[group]
    else:
        return np.zeros(max(0, len(notes) - 1), dtype=np.int64)
    places = np.searchsorted(series, notes + shift, side="left")
    skipped: Ints = np.maximum(0, np.abs(np.diff(places)) - 1)
    return skipped


def valve_costs(group: str, notes: Ints) -> Floats:
    """Published difficulty of each valve change."""
    shift = READS_LIKE_TRUMPET.get(group)
    if shift is None or group == "tuba":
        return np.zeros(max(0, len(notes) - 1))
    valves = [valves_for(int(n) + shift) for n in notes]
    return np.array([_change(a, b) if a and b else 0.0 for a, b in pairwise(valves)])


def _has_technique(group: str) -> bool:
    """Whether instruments of a group have a break, a slide, valves or strings that these tables know."""
    return any(group in table for table in (BREAK, SLIDES, READS_LIKE_TRUMPET, STRINGS))


def technique_challenges(each: PlayedPart, facts: StudyFacts) -> Iterator[Challenge]:
    """Technical places of a part: the break, long slide moves, awkward valves, skipped strings."""
    instrument = each.instrument
    if instrument is None or not _has_technique(instrument.group):
        return
    if not each.has_melody or len(each.lines[0]) < 2:
        return
    line = each.lines[0]
    notes, near = written_for(each, line), joined(line)
    quick = seconds_between(line, facts) < 0.5
    crossed = breaks_crossed(instrument.group, notes, near & quick)
    yield from _counted(line, crossed, ChallengeKind.BREAK_CROSSING, 0.35)
    far = (slide_moves(instrument.group, notes, near) >= SLIDE_MOVE) & near & quick
    yield from _counted(line, far, ChallengeKind.SLIDE_MOVE, 0.45, positions=SLIDE_MOVE)
    hard = (valve_costs(instrument.group, notes) >= HARD_VALVE_COST) & near & quick
    yield from _counted(line, hard, ChallengeKind.VALVE_CHANGE, 0.3)
    skips = (strings_skipped(instrument.group, notes, near) > 0) & near & quick
    yield from _counted(line, skips, ChallengeKind.STRING_CROSSING, 0.3)


def _counted(
    line: AttackLine, pairs: Bools, kind: ChallengeKind, weight: float, **numbers: float
) -> Iterator[Challenge]:
    """One challenge a measure for pairs of notes, at the measure of the second."""
    measures, counts = counted(line.measure[1:][pairs])
    for measure, count in zip(measures.tolist(), counts.tolist(), strict=True):
        heavier = weight * (0.75 + 0.25 * count)
        yield Challenge(measure, kind, heavier, numbers=named(times=count, **numbers))


def seconds_between(line: AttackLine, facts: StudyFacts) -> Floats:
    """Seconds from each attack to the next."""
    quarters = np.diff(line.onset) / TICKS_PER_QUARTER
    seconds: Floats = quarters * 60.0 / np.array(facts.quarter_bpm)[line.measure[:-1]]
    return seconds
