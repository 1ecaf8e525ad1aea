"""How long a part is silent before each of its attacks, as the piece is played: the time for a change."""

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
    by_measure: dict[int, list[Note]] = {}
    for note in heads:
        by_measure.setdefault(note.measure, []).append(note)
    for note in part.notes:
        if note.has_fermata and note.is_rest:
            by_measure.setdefault(note.measure, []).append(note)
    ends = _movement_ends(score)
    found = dict[Moment, float]()
    begins, until = 0.0, UNKNOWN
    for measure in play_order:
        second = 60.0 / quarter_bpm[measure]
        for note in sorted(by_measure.get(measure, ()), key=moment_of):
            start = begins + float(note.onset_quarters) * second
            if until != UNKNOWN and not note.tie_from_previous and not note.is_rest:
                silence = max(0.0, start - until)
                found[moment_of(note)] = min(found.get(moment_of(note), silence), silence)
            end = start + float(note.duration_quarters) * second
            until = UNKNOWN if note.has_fermata else end if until == UNKNOWN else max(until, end)
        begins += float(score.measures[measure].length_quarters) * second
        if measure in ends:
            until = UNKNOWN
    return found


UNKNOWN = -1.0
"""Stands for the end of what was played before where there is none, or none that is known."""


def _movement_ends(score: Score) -> set[int]:
    """Measures after which a movement is over: a closing double bar that repeats nothing, or new numbers."""
    steering = {mark.measure for mark in score.marks}
    return {
        before.index
        for before, after in pairwise(score.measures)
        if (before.right_bar == "light-heavy" and before.index not in steering)
        or (before.number.isdecimal() and after.number.isdecimal() and int(after.number) < int(before.number))
    }
