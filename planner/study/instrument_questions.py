"""Which instruments of a score are guesses that the director is asked about."""

from planner.core.instruments import recognise
from planner.core.issue import Issue
from planner.core.score import Part, Score

UNSURE = "instrument-unsure"
"""Slug of the issue that asks the director which instrument a part is for."""


def ask_instruments(score: Score) -> tuple[Issue, ...]:
    """A question for each part with notes whose instrument is a guess.

    Example:
        >>> ask_instruments(Score("Empty", (), ()))
        ()
    """
    asked = ((part, _doubts(part)) for part in score.parts if any(note.is_struck for note in part.notes))
    return tuple(
        Issue(UNSURE, "note", part.name, values=tuple(("instrument", each) for each in doubts))
        for part, doubts in asked
        if doubts
    )


def _doubts(part: Part) -> tuple[str, ...]:
    """The instruments that a part may be for, when it was taken for one without much ground; none when sure.

    A part without any instrument is left out: its range check says so already.
    """
    heads = [note for note in part.notes if not note.is_rest]
    found = recognise(
        part.name,
        part.abbreviation,
        part.sound,
        part.midi_program,
        part.transpositions[0][1] if part.transpositions else None,
        part.clefs[0] if part.clefs else None,
        bool(heads) and all(note.pitch is None for note in heads),
    )
    return found.doubts if found.instrument == part.instrument else ()
