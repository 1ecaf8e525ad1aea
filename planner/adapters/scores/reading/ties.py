"""Which tie ends are real: a head is a continuation only if the same sound is held up to it.

The name may change on the way: an E♭ tied to a D♯ goes on. A file can mark the
end of a tie on a head that stands after a rest, or whose beginning was deleted;
such a head is struck again. Across repeats and jumps the page cannot show what
sounded before, so there the mark is believed.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from planner.adapters.scores.reading.draft import PartDraft
from planner.core.score import Measure, Note

_SLOTS = 32
"""Slots of a quarter: neighbours count as touching, since files round the lengths of rare tuplets."""

_BREAKS_BEFORE = frozenset({"repeat-start", "ending-start", "segno", "coda"})
_BREAKS_AFTER = frozenset({"repeat-end", "ending-stop", "da-capo", "dal-segno", "to-coda", "fine"})


def mend_ties(draft: PartDraft, measures: Sequence[Measure]) -> None:
    """Strike again every head of the draft whose tie comes from nowhere, and say so once.

    A tie is real when a head of that sound, tied onward, ends there in any voice, or is what stands
    right before in the same voice (files exist whose lengths do not add up).
    """
    ends = _held_ends(draft, measures)
    breaks = {mark.measure for mark in draft.marks if mark.kind in _BREAKS_BEFORE}
    breaks |= {mark.measure + 1 for mark in draft.marks if mark.kind in _BREAKS_AFTER}
    before = _held_before(draft)
    for at, note in enumerate(draft.notes):
        if not note.tie_from_previous or (note.onset_quarters == 0 and note.measure in breaks):
            continue
        slot = _slot(measures[note.measure].start_quarters + note.onset_quarters)
        if at in before or any((_sound(note), near) in ends for near in (slot - 1, slot, slot + 1)):
            continue
        draft.notes[at] = replace(note, tie_from_previous=False)
        draft.add_issue("tie-from-nowhere", note.measure, bar=measures[note.measure].number)


def _held_before(draft: PartDraft) -> set[int]:
    """Places of the heads before which, in their voice, the same sound stands tied onward."""
    found = set()
    now: dict[str, tuple[int, Fraction]] = {}
    held: dict[str, set[Fraction | None]] = {}
    last: dict[str, set[Fraction | None]] = {}
    for at, note in enumerate(draft.notes):
        if note.is_grace:
            continue
        voice, place = note.voice, (note.measure, note.onset_quarters)
        if now.get(voice) != place:
            now[voice], last[voice], held[voice] = place, held.get(voice, set()), set()
        if note.tie_from_previous and _sound(note) in last[voice]:
            found.add(at)
        if note.tie_to_next:
            held[voice].add(_sound(note))
    return found


def _held_ends(draft: PartDraft, measures: Sequence[Measure]) -> set[tuple[Fraction | None, int]]:
    """Sound and time slot of every end of a head that is tied onward."""
    ends = set()
    for note in draft.notes:
        if not note.tie_to_next:
            continue
        start = measures[note.measure].start_quarters + note.onset_quarters
        ends.add((_sound(note), _slot(start + note.duration_quarters)))
    return ends


def _sound(note: Note) -> Fraction | None:
    """The written pitch without its name; None for unpitched heads."""
    return None if note.pitch is None else note.pitch.midi


def _slot(quarters: Fraction) -> int:
    return math.floor(quarters * _SLOTS)
