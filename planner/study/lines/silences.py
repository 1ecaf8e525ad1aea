"""How long a part is silent before each of its attacks, as the piece is played: the time for a change."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

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
    score: Score, heads: Sequence[Note], play_order: Sequence[int], quarter_bpm: Sequence[float]
) -> Mapping[Moment, float]:
    """For each attack the seconds of silence before it, the fewest where it is played again.

    What is only ever played first of all has none.

    Args:
        score: The score.
        heads: Of one part, or of one instrument of it; ties go on.
        play_order: Its measures as they are played.
        quarter_bpm: For each measure, quarters a minute, above 0.

    Example:
        >>> silences_before(Score("Empty", (), ()), (), (), ())
        {}
    """
    by_measure: dict[int, list[Note]] = {}
    for note in heads:
        by_measure.setdefault(note.measure, []).append(note)
    found = dict[Moment, float]()
    begins, until = 0.0, -1.0
    for measure in play_order:
        second = 60.0 / quarter_bpm[measure]
        for note in sorted(by_measure.get(measure, ()), key=moment_of):
            start = begins + float(note.onset_quarters) * second
            if not note.tie_from_previous and until >= 0:
                silence = max(0.0, start - until)
                found[moment_of(note)] = min(found.get(moment_of(note), silence), silence)
            until = max(until, start + float(note.duration_quarters) * second)
        begins += float(score.measures[measure].length_quarters) * second
    return found
