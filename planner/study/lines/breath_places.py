"""What must be played or sung in one breath: a line between the places where there is time to take one.

A place is a rest, a breath mark, a caesura or a fermata, and the end of any note that is long enough to be
cut short because the next one is begun anew: no slur, no word of the text leads over.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np

from planner.core.score import Note
from planner.study.lines.technique_tables import (
    CLIPPED_NOTE,
    CLIPPED_STACCATO,
    FULL_INHALE_SECONDS,
    LEAST_FILL,
    REFILL_SECONDS,
)
from planner.study.notes.attack_lines import upper_voice_line, upper_voices
from planner.study.notes.columns import TICKS_PER_QUARTER, Floats, Ints, PartColumns

BREATH_MARKS = frozenset({"breath-mark"})
PAUSES = frozenset({"caesura"})
STACCATO = frozenset({"staccato", "staccatissimo", "spiccato"})


@dataclass(frozen=True, slots=True)
class Stretch:
    """What is played between two places to breathe.

    Attributes:
        measure, end_measure: Written positions in which it begins and ends.
        seconds: How long it lasts.
        pause_s: Seconds for the breath before it; a full one at the start.
        bars: Of those the first and the last with no place inside; all of them where none is so.
    """

    measure: int
    end_measure: int
    seconds: float
    pause_s: float
    bars: tuple[int, int]


def stretches(part: PartColumns, quarter_bpm: Sequence[float]) -> tuple[Stretch, ...]:
    """What one player or singer has of a part, stretch by stretch; of several voices the first.

    Args:
        part: The part with its marks, slurs and text.
        quarter_bpm: For each measure, quarters a minute, above 0.
    """
    line = upper_voice_line(part)
    if line is None or not len(line):
        return ()
    per_tick = 60.0 / (np.array(quarter_bpm)[line.measure] * TICKS_PER_QUARTER)
    ends = np.minimum(line.end, np.append(line.onset[1:], line.end[-1]))
    heard, rest = (ends - line.onset) * per_tick, np.append(line.onset[1:] - ends[:-1], 0) * per_tick
    notes = [part.part.notes[at] for at in line.note.tolist()]
    pauses = _pauses(part, notes, heard[:-1], rest[:-1])
    starts = np.r_[0, np.flatnonzero(pauses > REFILL_SECONDS) + 1]
    lasts = np.r_[starts[1:] - 1, len(line) - 1]
    lengths = np.add.reduceat(heard + rest, starts) - rest[lasts]
    before = np.r_[FULL_INHALE_SECONDS, pauses[starts[1:] - 1]]
    heads = np.searchsorted(part.onset, line.end[lasts], side="left") - 1
    bars = zip(line.measure[starts].tolist(), part.measure[heads].tolist(), strict=True)
    opens = [notes[at].onset_quarters == 0 for at in starts.tolist()]
    closes = _fill_their_bar(part, heads, line.end[lasts])
    return tuple(
        Stretch(first, last, seconds, pause, _without_edges(first, last, opens[at], closes[at]))
        for at, ((first, last), seconds, pause) in enumerate(
            zip(bars, lengths.tolist(), before.tolist(), strict=True)
        )
    )


def _fill_their_bar(part: PartColumns, heads: Ints, ends: Ints) -> list[bool]:
    """For each stretch whether it ends where its bar ends."""
    lengths = dict[int, Fraction]()
    for note in part.part.notes:
        until = note.onset_quarters + note.duration_quarters
        lengths[note.measure] = max(until, lengths.get(note.measure, until))
    onsets = [part.part.notes[at].onset_quarters for at in part.note[heads].tolist()]
    inside = ((ends - part.onset[heads]) / TICKS_PER_QUARTER).tolist()
    measures = part.measure[heads].tolist()
    return [
        float(onset) + beyond >= float(lengths[measure]) - 1e-6
        for onset, beyond, measure in zip(onsets, inside, measures, strict=True)
    ]


def _without_edges(first: int, last: int, opens: bool, closes: bool) -> tuple[int, int]:
    """The bars of a stretch without the one in which it begins, or ends, part of the way."""
    begin, end = first + (not opens), last - (not closes)
    return (begin, end) if begin <= end else (first, last)


_Moment = tuple[int, Fraction]
"""Measure and onset."""


def _pauses(part: PartColumns, notes: Sequence[Note], heard_s: Floats, rest_s: Floats) -> Floats:
    """Seconds for a breath after each note but the last."""
    voices = upper_voices(part.part)
    own = [n for n in part.part.notes if not n.is_cue and voices.get(n.measure) == (n.staff, n.voice)]
    begins, ends = _slurs(own)
    syllables = {(n.measure, n.onset_quarters): n.lyric for n in own if n.lyric}
    found, word = rest_s.copy(), ""
    for at, (note, after) in enumerate(pairwise(notes)):
        here, there = (note.measure, note.onset_quarters), (after.measure, after.onset_quarters)
        word = syllables.get(here, word)
        goes_on = bisect_left(begins, there) > bisect_left(ends, there)
        if syllables:
            goes_on = word.endswith("-") or (goes_on and there not in syllables)
        if not goes_on:
            is_short = not STACCATO.isdisjoint(note.articulations)
            found[at] += heard_s[at] * (1 - (CLIPPED_STACCATO if is_short else CLIPPED_NOTE))
        if not BREATH_MARKS.isdisjoint(note.articulations):
            found[at] = max(found[at], LEAST_FILL * FULL_INHALE_SECONDS)
        if note.has_fermata or not PAUSES.isdisjoint(note.articulations):
            found[at] = FULL_INHALE_SECONDS
    return found


def _slurs(notes: Sequence[Note]) -> tuple[list[_Moment], list[_Moment]]:
    """Where slurs begin and where they end, each ascending; one that lacks an end is passed over."""
    opened, begins, ends = list[_Moment](), list[_Moment](), list[_Moment]()
    for note in notes:
        here = (note.measure, note.onset_quarters)
        for _ in range(min(note.slurs_stopped, len(opened))):
            if (begin := opened.pop()) < here:
                begins.append(begin)
                ends.append(here)
        opened += [here] * note.slurs_started
    return sorted(begins), sorted(ends)
