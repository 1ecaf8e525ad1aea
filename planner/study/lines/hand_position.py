"""How high the left hand must go on a bowed instrument, where no lower position can stop the note."""

from collections.abc import Iterator

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.core.score import Note, Part, Score
from planner.study.lines.strings import positions_needed

GROUPS = frozenset({"violin", "viola", "cello"})
"""Instruments whose positions are counted alike everywhere; those of the bass have several names."""
LEAST_POSITION = 3
"""Least position that is stated. House choice: below it a stretched fourth finger may do instead."""
MOST_BARS = 4
"""Most bars with the note: one that comes oftener is part of the usual range. House choice."""
HIGHEST_POSITION = 7
"""Highest position that is counted; of a higher one this is stated. House choice."""
_NOT_STOPPED = frozenset({"harmonic", "open-string"})


def position_facts(score: Score) -> Iterator[Fact]:
    """For each bowed part the lowest position in which its highest note can be stopped.

    A position is lowered by what a stretched fourth finger gains, a semitone, but never below the third where
    the note belongs to that hand.

    Example:
        >>> list(position_facts(Score("Empty", (), ())))
        []
    """
    for part in score.parts:
        if part.instrument not in GROUPS:
            continue
        heads = [note for note in part.notes if note.is_struck and note.pitch]
        if not heads or any(map(_is_special, heads)):
            continue
        yield from _highest(part, heads)


def _highest(part: Part, heads: list[Note]) -> Iterator[Fact]:
    top = max(int(note.pitch.midi) for note in heads if note.pitch)
    there = [note for note in heads if note.pitch and int(note.pitch.midi) == top]
    measures = sorted({note.measure for note in there})
    own, stretched = positions_needed(part.instrument, np.array([top, top - 1])).tolist()
    lowest = min(own, max(LEAST_POSITION, stretched)) if part.instrument != "cello" else stretched
    if lowest >= LEAST_POSITION and len(measures) <= MOST_BARS:
        yield Fact(
            FactKind.HIGH_POSITION,
            part.name,
            places=tuple((measure, measure) for measure in measures),
            notes=(str(there[0].pitch),),
            numbers=(("position", min(lowest, HIGHEST_POSITION)),),
            weight=0.7,
        )


def _is_special(note: Note) -> bool:
    """Whether a head may be fingered elsewhere than it is written."""
    return bool(_NOT_STOPPED & set(note.technical)) or note.notehead not in ("normal", "")
