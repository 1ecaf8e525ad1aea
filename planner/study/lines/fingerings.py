"""Which notes of a part its readers may not know how to finger, and whether the left hand stays."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.core.instruments import get_instrument
from planner.core.score import Note, Part, Score
from planner.study.lines.fingering_tables import (
    LEFT_HAND,
    LEFT_HAND_UP_TO,
    UNCOMMON,
    Way,
    left_hand_way,
)
from planner.study.lines.hand_position import GROUPS
from planner.study.lines.strings import positions_needed

MOST_NOTES = 3
"""Most notes that are named. House choice: what a player looks up in the study time."""
LEAST_RANGE = 6
"""Fewest different notes of a part of which it is worth saying that all lie in one position. House choice."""
FIRST_POSITION_FROM = 1.5
"""Level from which a part may leave the first position. Source: ``POSITION_LEVEL``."""


def fingering_facts(score: Score, levels: Sequence[float | None]) -> Iterator[Fact]:
    """For each part the notes that are learnt late, the latest first; none where no table has the instrument.

    Args:
        score: The score.
        levels: For each part its level; None when unknown.

    Example:
        >>> list(fingering_facts(Score("Empty", (), ()), ()))
        []
    """
    for part, level in zip(score.parts, levels, strict=True):
        heads = [note for note in part.notes if note.pitch and not (note.is_rest or note.is_cue)]
        if level is None or not heads or not _reads_as_fingered(part):
            continue
        if any(map(_is_fingered_on_page, heads)):
            continue
        found = _uncommon(part, heads, level)
        if found:
            yield _named(part, found)
        if level >= FIRST_POSITION_FROM and _stays_in_first_position(part, heads):
            yield Fact(FactKind.FIRST_POSITION, part.name, weight=0.4)


def _reads_as_fingered(part: Part) -> bool:
    """Whether the notes on the page are those that a player of the instrument fingers, all through."""
    instrument = get_instrument(part.instrument) if part.instrument else None
    return instrument is not None and all(
        each.semitones == instrument.transposition.semitones
        for each in (part.transposition, *(each for _, each in part.transpositions))
    )


@dataclass(frozen=True, slots=True)
class _Found:
    """A note that is learnt late.

    Attributes:
        note: Its first head.
        way: How it is played.
        up_to: The level up to which that is news.
        octave: Which of several octaves it is, as the fact has it.
    """

    note: Note
    way: Way
    up_to: float
    octave: int


def _uncommon(part: Part, heads: Sequence[Note], level: float) -> list[_Found]:
    """Such notes, the latest first; octaves that are played alike together."""
    by_name: dict[str, dict[int, Note]] = {}
    for note in heads:
        if note.pitch is not None:
            by_name.setdefault(note.pitch.pitch_class_name, {}).setdefault(note.pitch.octave, note)
    found = list[_Found]()
    for octaves in by_name.values():
        ways = {octave: _way(part, note, level) for octave, note in octaves.items()}
        if len(set(ways.values())) == 1:
            first = next(iter(octaves))
            found += [_Found(octaves[first], *way, 0) for way in (ways[first],) if way]
        else:
            ends = {min(octaves): -1, max(octaves): 1}
            found += [_Found(octaves[at], *way, ends[at]) for at, way in ways.items() if way and at in ends]
    return sorted(found, key=lambda each: (-each.up_to, each.note.measure))[:MOST_NOTES]


def _way(part: Part, note: Note, level: float) -> tuple[Way, float] | None:
    """How a note is played, and up to which level that is news, where it is for this part."""
    pitch = note.pitch
    if pitch is None:
        return None
    for one in UNCOMMON.get(part.instrument, ()):
        if one.note == pitch.midi and level <= one.up_to:
            return one.way, one.up_to
    if part.instrument in LEFT_HAND and level <= LEFT_HAND_UP_TO:
        way = left_hand_way(part.instrument, int(pitch.midi), pitch.diatonic)
        return (way, LEFT_HAND_UP_TO) if way else None
    return None


def _named(part: Part, found: Sequence[_Found]) -> Fact:
    return Fact(
        FactKind.FINGERINGS,
        part.name,
        places=tuple((each.note.measure, each.note.measure) for each in found),
        notes=tuple(str(each.note.pitch) for each in found),
        terms=tuple(each.way.value for each in found),
        numbers=tuple(("octave", each.octave) for each in found),
        weight=0.885,
    )


def _is_fingered_on_page(note: Note) -> bool:
    return not {"harmonic", "fingering", "string", "open-string"}.isdisjoint(note.technical)


def _stays_in_first_position(part: Part, heads: Sequence[Note]) -> bool:
    notes = np.array(sorted({int(note.pitch.midi) for note in heads if note.pitch}))
    return (
        part.instrument in GROUPS
        and not any(note.in_chord for note in heads)
        and len(notes) >= LEAST_RANGE
        and bool((positions_needed(part.instrument, notes) == 1).all())
    )
