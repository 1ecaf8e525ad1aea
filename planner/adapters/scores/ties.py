"""Which tie ends are real: a head is a continuation only if the same pitch is held up to it.

A file can mark the end of a tie on a head that stands after a rest, or whose
beginning was deleted; such a head is struck again. Across repeats and jumps the
page cannot show what sounded before, so there the mark is believed.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from planner.adapters.scores.draft import PartDraft
from planner.core.score import Measure

_BREAKS_BEFORE = frozenset({"repeat-start", "ending-start", "segno", "coda"})
_BREAKS_AFTER = frozenset({"repeat-end", "ending-stop", "da-capo", "dal-segno", "to-coda", "fine"})


def mend_ties(draft: PartDraft, measures: Sequence[Measure]) -> None:
    """Strike again every head of the draft whose tie comes from nowhere, and say so once."""
    ends = {
        (note.pitch, _start(measures, note.measure, note.onset_quarters) + note.duration_quarters)
        for note in draft.notes
        if note.tie_to_next
    }
    breaks = {mark.measure for mark in draft.marks if mark.kind in _BREAKS_BEFORE}
    breaks |= {mark.measure + 1 for mark in draft.marks if mark.kind in _BREAKS_AFTER}
    for at, note in enumerate(draft.notes):
        if not note.tie_from_previous or (note.onset_quarters == 0 and note.measure in breaks):
            continue
        if (note.pitch, _start(measures, note.measure, note.onset_quarters)) in ends:
            continue
        draft.notes[at] = replace(note, tie_from_previous=False)
        number = measures[note.measure].number
        draft.tell(
            "tie-from-nowhere",
            f"A tie ends in bar {number} where nothing is held; the note is struck again.",
            note.measure,
        )


def _start(measures: Sequence[Measure], measure: int, onset: Fraction) -> Fraction:
    return measures[measure].start_quarters + onset
