"""Which instruments of a score are guesses that the director is asked about."""

from planner.core.instruments import page_of, recognise_together
from planner.core.issue import Issue
from planner.core.score import Score

UNSURE = "instrument-unsure"
"""Slug of the issue that asks the director which instrument a part is for."""


def ask_instruments(score: Score) -> tuple[Issue, ...]:
    """A question for each part with notes whose instrument is a guess.

    A part without any instrument is left out: its range check says so already.

    Example:
        >>> ask_instruments(Score("Empty", (), ()))
        ()
    """
    found = recognise_together(tuple(page_of(part) for part in score.parts))
    return tuple(
        Issue(UNSURE, "note", part.name, values=tuple(("instrument", each) for each in own.doubts))
        for part, own in zip(score.parts, found, strict=True)
        if own.doubts and own.instrument == part.instrument and any(note.is_struck for note in part.notes)
    )
