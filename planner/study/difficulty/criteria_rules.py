"""The rules behind sets of limits: each yields what breaks it, by part, with the measures."""

# ruff: noqa: ARG001 - every rule is called alike

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from planner.core.pitch import Pitch
from planner.study.difficulty.grade_charts import sounding_fifths
from planner.study.difficulty.rhythm_dimensions import plain_meter
from planner.study.difficulty.scales import count_of
from planner.study.facts import StudyFacts
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, PartColumns
from planner.study.notes.ranges import family_of

Finding = tuple[str, str, tuple[int, ...]]
"""Part (empty for the piece), words, measures."""
Rule = Callable[[Any, Columns, StudyFacts], Iterator[Finding]]

_MAJOR_FIFTHS = {
    "Cb": -7, "Gb": -6, "Db": -5, "Ab": -4, "Eb": -3, "Bb": -2, "F": -1, "C": 0, "G": 1, "D": 2, "A": 3,
    "E": 4, "B": 5, "F#": 6, "C#": 7, "G#": 8, "D#": 9, "A#": 10,
}  # fmt: skip


def signature_of(key: str) -> int:
    """Fifths of a key's signature.

    Example:
        >>> signature_of("Bb major"), signature_of("G minor")
        (-2, -2)
    """
    tonic, _, mode = key.partition(" ")
    return _MAJOR_FIFTHS[tonic] - (3 if mode == "minor" else 0)


def _bars(measures: "np.ndarray[Any, Any] | Sequence[int]") -> tuple[int, ...]:
    return tuple(sorted({int(measure) for measure in measures}))


def measures(value: Sequence[int], columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Number of written measures."""
    count = len(columns.score.measures)
    if not value[0] <= count <= value[1]:
        yield "", f"{count} measures, {value[0]} to {value[1]} are allowed", ()


def minutes(value: float, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Playing time with the roadmap."""
    lengths = columns.measure_length / TICKS_PER_QUARTER * 60.0 / np.array(facts.quarter_bpm)
    seconds = float(lengths[list(facts.roadmap.play_order)].sum())
    if seconds > value * 60:
        yield "", f"it lasts {seconds / 60:.1f} minutes, at most {value:g} are allowed", ()


def bpm(value: Sequence[float], columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """The marked tempo."""
    marked = facts.tempo.marked
    if marked is not None and not value[0] <= marked <= value[1]:
        yield "", f"the tempo is {marked:g}, {value[0]:g} to {value[1]:g} is allowed", ()


def meters(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Time signatures."""
    for span in facts.meters:
        if plain_meter(span.time) not in value:
            yield "", f"the meter {span.time} is not allowed", (span.measure,)


def meter_changes(value: int, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """How often the meter changes."""
    spans = facts.meters
    changes = [b.measure for a, b in pairwise(spans) if a.time != b.time]
    if len(changes) > value:
        yield (
            "",
            f"{count_of(len(changes), 'change')} of meter, at most {value} allowed",
            tuple(changes[value:]),
        )


def concert_keys(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """The home key, and the signatures along the way."""
    if facts.home_key and facts.home_key not in value:
        yield "", f"the piece is in {facts.home_key}", (0,) if columns.score.measures else ()
        return
    allowed = {signature_of(key) for key in value}
    for measure, fifths in _signatures(columns):
        if fifths not in allowed:
            yield "", "the signature belongs to no key that is allowed", (measure,)


def key_changes(value: int, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """How often the signature changes."""
    changes = [measure for measure, _ in _signatures(columns)][1:]
    if len(changes) > value:
        yield (
            "",
            f"{count_of(len(changes), 'change')} of key, at most {value} allowed",
            tuple(changes[value:]),
        )


def _signatures(columns: Columns) -> list[tuple[int, int]]:
    """Sounding signatures of the first pitched part: measure and fifths at each change."""
    for part in columns.pitched():
        shift = part.part.transposition.semitones
        found: list[tuple[int, int]] = []
        for key in part.part.keys:
            fifths = sounding_fifths(key.fifths, shift)
            if not found or found[-1][1] != fifths:
                found.append((key.measure, fifths))
        return found
    return []


def concert_notes(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Sounding notes by name."""
    allowed = np.array([int(Pitch.parse(f"{name}4").midi) % 12 for name in value])
    for part in columns.pitched():
        outside = ~np.isnan(part.sounding) & ~np.isin(part.sounding % 12, allowed)
        if outside.any():
            words = f"{count_of(int(outside.sum()), 'note')} outside {' '.join(value)}"
            yield part.part.name, words, _bars(part.measure[outside])


def values(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Printed note values of everyone but percussion."""
    yield from _values(value, [p for p in columns.parts if family_of(p) != "percussion"])


def percussion_values(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Printed note values of percussion."""
    yield from _values(value, [p for p in columns.parts if family_of(p) == "percussion"])


def _values(allowed: Sequence[str], parts: list[PartColumns]) -> Iterator[Finding]:
    for part in parts:
        notes = [part.part.notes[at] for at in part.note.tolist()]
        found = {note.value for note in notes if note.value and note.value not in allowed}
        bars = _bars([note.measure for note in notes if note.value in found])
        if found:
            yield part.part.name, f"{', '.join(sorted(found))} notes are not allowed", bars


def eighths_in_repeated_pairs(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Eighths only as a beat of two on one pitch."""
    if not value:
        return
    for part in (p for p in columns.pitched() if family_of(p) != "percussion"):
        line = part.line
        quick = line.duration == TICKS_PER_QUARTER // 2
        start = (line.onset - columns.measure_start[line.measure]) % TICKS_PER_QUARTER == 0
        first = quick & start
        pairs = np.zeros(len(line), dtype=np.bool_)
        both = first[:-1] & quick[1:] & (line.written[:-1] == line.written[1:]) & ~start[1:]
        pairs[:-1] |= both
        pairs[1:] |= both
        alone = quick & ~pairs
        if alone.any():
            yield part.part.name, "eighths that are not a repeated pair", _bars(line.measure[alone])


def tuplets(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Whether tuplets may stand."""
    if value:
        return
    for part in columns.parts:
        bars = _bars([n.measure for n in part.part.notes if n.tuplet and not n.is_cue])
        if bars:
            yield part.part.name, "tuplets are not allowed", bars


def rolls(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Whether percussion may roll."""
    if value:
        return
    for part in (p for p in columns.parts if family_of(p) == "percussion"):
        bars = _bars([n.measure for n in part.part.notes if any("tremolo" in o for o in n.ornaments)])
        if bars:
            yield part.part.name, "rolls are not allowed", bars


def timpani_pitches(value: int, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """How many pitches the timpani play."""
    for part in columns.pitched():
        if part.part.instrument == "timpani":
            used, where = np.unique(part.sounding, return_index=True)
            if len(used) > value:
                late = _bars(part.measure[np.sort(where)[value:]])
                yield part.part.name, f"{len(used)} pitches, at most {value} allowed", late


def range_semitones(value: int, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Width of each wind part."""
    for part in (p for p in columns.pitched() if family_of(p) in ("woodwind", "brass")):
        width = int(np.nanmax(part.written) - np.nanmin(part.written))
        if width > value:
            ends = part.written >= np.nanmin(part.written) + value + 1
            words = f"a range of {width} semitones, at most {value} allowed"
            yield part.part.name, words, _bars(part.measure[ends])


def written_flats(value: int, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Most flats in a part's signatures."""
    yield from _written(columns, lambda fifths: -fifths > value, f"more than {count_of(value, 'flat')}")


def written_sharps(value: int, columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Most sharps in a part's signatures."""
    yield from _written(columns, lambda fifths: fifths > value, f"more than {count_of(value, 'sharp')}")


def _written(columns: Columns, breaks: Callable[[int], bool], words: str) -> Iterator[Finding]:
    for part in columns.pitched():
        bars = _bars([key.measure for key in part.part.keys if breaks(key.fifths)])
        if bars:
            yield part.part.name, words, bars


def ranges(value: dict[str, Sequence[str]], columns: Columns, facts: StudyFacts) -> Iterator[Finding]:
    """Lowest and highest written pitch of named instruments."""
    for part in columns.pitched():
        span = value.get(part.part.instrument)
        if span:
            low, high = (float(Pitch.parse(name).midi) for name in span)
            outside = (part.written < low) | (part.written > high)
            if outside.any():
                words = f"{count_of(int(outside.sum()), 'note')} outside {span[0]} to {span[1]}"
                yield part.part.name, words, _bars(part.measure[outside])


RULES: dict[str, Rule] = {
    rule.__name__: rule
    for rule in (
        measures, minutes, bpm, meters, meter_changes, concert_keys, key_changes, concert_notes, values,
        percussion_values, eighths_in_repeated_pairs, tuplets, rolls, timpani_pitches, range_semitones,
        written_flats, written_sharps, ranges,
    )
}  # fmt: skip
"""Every rule by its key in a criteria file."""
