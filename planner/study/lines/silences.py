"""How long a part is silent before each of its attacks, as the piece is played: the time for a change."""

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from planner.core.score import Note, Part, Score

Moment = tuple[int, Fraction]
"""Written measure, and onset in it in quarters."""


def moment_of(note: Note) -> Moment:
    """Where a head begins."""
    return note.measure, note.onset_quarters


def sounding_heads(part: Part) -> list[Note]:
    """What the player of a part plays, in order: no rests and no cue notes."""
    return [note for note in part.notes if not (note.is_rest or note.is_cue)]


def rounded_down(seconds: float) -> float:
    """Seconds in tenths, never more than there are.

    Example:
        >>> rounded_down(0.98), rounded_down(6.0)
        (0.9, 6.0)
    """
    return math.floor(round(10 * seconds, 6)) / 10


def silences_before(
    score: Score,
    part: Part,
    heads: Sequence[Note],
    play_order: Sequence[int],
    quarter_bpm: Sequence[float],
) -> Mapping[Moment, float]:
    """For each attack the seconds of silence before it, the fewest where it is played again.

    What is only ever played first of all has none, nor what follows a fermata or the end of a movement:
    nobody knows how long those last.

    Args:
        score: The score.
        part: The part.
        heads: What it plays, or one instrument of it; ties go on.
        play_order: Its measures as they are played.
        quarter_bpm: For each measure, quarters a minute, above 0.

    Example:
        >>> silences_before(Score("Empty", (), ()), Part("P1", "Flute"), (), (), ())
        {}
    """
    moments = _moments(part, heads)
    starts = _movement_starts(score)
    found = dict[Moment, float]()
    begins, until, before = 0.0, UNKNOWN, -1
    for measure in play_order:
        if any(before < start <= measure for start in starts):
            until = UNKNOWN
        before = measure
        second = 60.0 / quarter_bpm[measure]
        for onset, notes in moments.get(measure, {}).items():
            start = begins + float(onset) * second
            if until != UNKNOWN and any(not (note.tie_from_previous or note.is_rest) for note in notes):
                silence = max(0.0, start - until)
                found[measure, onset] = min(found.get((measure, onset), silence), silence)
            end = start + float(max(note.duration_quarters for note in notes)) * second
            until = UNKNOWN if any(note.has_fermata for note in notes) else max(until, end)
        begins += float(score.measures[measure].length_quarters) * second
    return found


def _moments(part: Part, heads: Sequence[Note]) -> Mapping[int, Mapping[Fraction, list[Note]]]:
    """By measure and onset, in order, what begins there; rests with a fermata among them."""
    held_rests = [note for note in part.notes if note.is_rest and note.has_fermata]
    found: dict[int, dict[Fraction, list[Note]]] = {}
    for note in sorted((*heads, *held_rests), key=moment_of):
        found.setdefault(note.measure, {}).setdefault(note.onset_quarters, []).append(note)
    return found


UNKNOWN = -1.0
"""Stands for the end of what was played before where there is none, or none that is known."""


def _movement_starts(score: Score) -> set[int]:
    """Measures with which a movement begins: after a closing double bar, or numbered anew."""
    steering = {mark.measure for mark in score.marks}
    return {
        after.index
        for before, after in pairwise(score.measures)
        if (before.right_bar == "light-heavy" and before.index not in steering)
        or (before.number.isdecimal() and after.number.isdecimal() and int(after.number) < int(before.number))
    }
