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
    asked = ((part, _question(part)) for part in score.parts if any(note.is_struck for note in part.notes))
    return tuple(Issue(UNSURE, "note", question, part.name) for part, question in asked if question)


def _question(part: Part) -> str:
    """What to ask about a part that was taken for an instrument without much ground; empty when sure.

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
    return found.question if found.instrument and found.instrument == part.instrument else ""
