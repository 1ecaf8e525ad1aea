"""The rules behind sets of limits: each yields what breaks it, by part, with the measures."""

# ruff: noqa: ARG001 - every rule is called alike

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import Any

import numpy as np

from planner.core.fact import named
from planner.core.limit import Limit, LimitResult
from planner.core.pitch import Pitch
from planner.study.difficulty.grade_charts import sounding_fifths
from planner.study.difficulty.rhythm_dimensions import plain_meter
from planner.study.facts import StudyFacts
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, PartColumns
from planner.study.notes.ranges import family_of

Rule = Callable[[Any, Columns, StudyFacts], Iterator[LimitResult]]
"""From the value of a limit in its set, the score and its facts to what breaks it."""

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


def _broken(
    limit: Limit,
    measures: tuple[int, ...] = (),
    part: PartColumns | None = None,
    *,
    numbers: tuple[tuple[str, float], ...] = (),
    terms: tuple[str, ...] = (),
    keys: tuple[str, ...] = (),
) -> LimitResult:
    return LimitResult(limit, False, measures, part.part.name if part else "", numbers, terms, keys)


def _bars(measures: "np.ndarray[Any, Any] | Sequence[int]") -> tuple[int, ...]:
    return tuple(sorted({int(measure) for measure in measures}))


def measures(value: Sequence[int], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Number of written measures."""
    count = len(columns.score.measures)
    if not value[0] <= count <= value[1]:
        yield _broken(Limit.MEASURES, numbers=named(measures=count, least=value[0], most=value[1]))


def minutes(value: float, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Playing time with the roadmap."""
    lengths = columns.measure_length / TICKS_PER_QUARTER * 60.0 / np.array(facts.quarter_bpm)
    seconds = float(lengths[list(facts.roadmap.play_order)].sum())
    if seconds > value * 60:
        yield _broken(Limit.MINUTES, numbers=named(minutes=seconds / 60, most=value))


def bpm(value: Sequence[float], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """The marked tempo."""
    marked = facts.tempo.marked
    if marked is not None and not value[0] <= marked <= value[1]:
        yield _broken(Limit.BPM, numbers=named(bpm=marked, least=value[0], most=value[1]))


def meters(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Time signatures."""
    for span in facts.meters:
        if plain_meter(span.time) not in value:
            yield _broken(Limit.METERS, (span.measure,), terms=(span.time,))


def meter_changes(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """How often the meter changes."""
    spans = facts.meters
    changes = [b.measure for a, b in pairwise(spans) if a.time != b.time]
    if len(changes) > value:
        counts = named(changes=len(changes), most=value)
        yield _broken(Limit.METER_CHANGES, tuple(changes[value:]), numbers=counts)


def concert_keys(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """The home key, and the signatures along the way."""
    if facts.home_key and facts.home_key not in value:
        yield _broken(Limit.CONCERT_KEYS, (0,) if columns.score.measures else (), keys=(facts.home_key,))
        return
    allowed = {signature_of(key) for key in value}
    for measure, fifths in _signatures(columns):
        if fifths not in allowed:
            yield _broken(Limit.CONCERT_KEYS, (measure,))


def key_changes(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """How often the signature changes."""
    changes = [measure for measure, _ in _signatures(columns)][1:]
    if len(changes) > value:
        counts = named(changes=len(changes), most=value)
        yield _broken(Limit.KEY_CHANGES, tuple(changes[value:]), numbers=counts)


def _signatures(columns: Columns) -> list[tuple[int, int]]:
    """Sounding signatures of the first pitched part: measure and fifths at each change."""
    for part in columns.pitched():
        shift = part.part.transposition.semitones
        found: list[tuple[int, int]] = []
        for key in part.part.keys_of(staff=1):
            fifths = sounding_fifths(key.fifths, shift)
            if not found or found[-1][1] != fifths:
                found.append((key.measure, fifths))
        return found
    return []


def concert_notes(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Sounding notes by name."""
    allowed = np.array([int(Pitch.parse(f"{name}4").midi) % 12 for name in value])
    for part in columns.pitched():
        outside = ~np.isnan(part.sounding) & ~np.isin(part.sounding % 12, allowed)
        if outside.any():
            yield _broken(
                Limit.CONCERT_NOTES, _bars(part.measure[outside]), part,
                numbers=named(notes=int(outside.sum())), terms=tuple(value),
            )  # fmt: skip


def values(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Printed note values of everyone but percussion."""
    others = [part for part in columns.parts if family_of(part) != "percussion"]
    yield from _values(Limit.VALUES, value, others)


def percussion_values(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Printed note values of percussion."""
    drums = [part for part in columns.parts if family_of(part) == "percussion"]
    yield from _values(Limit.PERCUSSION_VALUES, value, drums)


def _values(limit: Limit, allowed: Sequence[str], parts: list[PartColumns]) -> Iterator[LimitResult]:
    for part in parts:
        notes = [part.part.notes[at] for at in part.note.tolist()]
        found = {note.value for note in notes if note.value and note.value not in allowed}
        bars = _bars([note.measure for note in notes if note.value in found])
        if found:
            yield _broken(limit, bars, part, terms=tuple(sorted(found)))


def eighths_in_repeated_pairs(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
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
            yield _broken(Limit.EIGHTHS_IN_REPEATED_PAIRS, _bars(line.measure[alone]), part)


def tuplets(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Whether tuplets may stand."""
    if value:
        return
    for part in columns.parts:
        bars = _bars([n.measure for n in part.part.notes if n.tuplet and not n.is_cue])
        if bars:
            yield _broken(Limit.TUPLETS, bars, part)


def rolls(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Whether percussion may roll."""
    if value:
        return
    for part in (p for p in columns.parts if family_of(p) == "percussion"):
        bars = _bars([n.measure for n in part.part.notes if any("tremolo" in o for o in n.ornaments)])
        if bars:
            yield _broken(Limit.ROLLS, bars, part)


def timpani_pitches(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """How many pitches the timpani play."""
    for part in columns.pitched():
        if part.part.instrument == "timpani":
            used, where = np.unique(part.sounding, return_index=True)
            if len(used) > value:
                late = _bars(part.measure[np.sort(where)[value:]])
                counts = named(pitches=len(used), most=value)
                yield _broken(Limit.TIMPANI_PITCHES, late, part, numbers=counts)


def range_semitones(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Width of each wind part."""
    for part in (p for p in columns.pitched() if family_of(p) in ("woodwind", "brass")):
        width = int(np.nanmax(part.written) - np.nanmin(part.written))
        if width > value:
            ends = part.written >= np.nanmin(part.written) + value + 1
            counts = named(semitones=width, most=value)
            yield _broken(Limit.RANGE_SEMITONES, _bars(part.measure[ends]), part, numbers=counts)


def written_flats(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Most flats in a part's signatures."""
    yield from _written(Limit.WRITTEN_FLATS, columns, lambda fifths: -fifths, value)


def written_sharps(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Most sharps in a part's signatures."""
    yield from _written(Limit.WRITTEN_SHARPS, columns, lambda fifths: fifths, value)


def _written(limit: Limit, columns: Columns, signs: Callable[[int], int], most: int) -> Iterator[LimitResult]:
    for part in columns.pitched():
        bars = _bars([key.measure for key in part.part.keys if signs(key.fifths) > most])
        if bars:
            yield _broken(limit, bars, part, numbers=named(most=most))


def ranges(value: dict[str, Sequence[str]], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Lowest and highest written pitch of named instruments."""
    for part in columns.pitched():
        span = value.get(part.part.instrument)
        if span:
            low, high = (float(Pitch.parse(name).midi) for name in span)
            outside = (part.written < low) | (part.written > high)
            if outside.any():
                yield _broken(
                    Limit.RANGES, _bars(part.measure[outside]), part,
                    numbers=named(notes=int(outside.sum())), terms=(span[0], span[1]),
                )  # fmt: skip


RULES: dict[Limit, Rule] = {
    Limit.MEASURES: measures,
    Limit.MINUTES: minutes,
    Limit.BPM: bpm,
    Limit.METERS: meters,
    Limit.METER_CHANGES: meter_changes,
    Limit.CONCERT_KEYS: concert_keys,
    Limit.KEY_CHANGES: key_changes,
    Limit.CONCERT_NOTES: concert_notes,
    Limit.VALUES: values,
    Limit.PERCUSSION_VALUES: percussion_values,
    Limit.EIGHTHS_IN_REPEATED_PAIRS: eighths_in_repeated_pairs,
    Limit.TUPLETS: tuplets,
    Limit.ROLLS: rolls,
    Limit.TIMPANI_PITCHES: timpani_pitches,
    Limit.RANGE_SEMITONES: range_semitones,
    Limit.WRITTEN_FLATS: written_flats,
    Limit.WRITTEN_SHARPS: written_sharps,
    Limit.RANGES: ranges,
}
"""For each limit its rule."""
