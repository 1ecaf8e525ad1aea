"""The rules behind sets of limits: each yields what breaks it or leaves it open, by part and measure."""

# ruff: noqa: ARG001 - every rule is called alike

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np

from planner.core.fact import named
from planner.core.limit import Doubt, Limit, LimitResult
from planner.core.pitch import Pitch
from planner.core.score import Note
from planner.core.units import METRONOME_MARKS
from planner.study.difficulty.rhythm_dimensions import plain_meter
from planner.study.facts import StudyFacts
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Ints, PartColumns, to_ticks
from planner.study.notes.ranges import family_of, instrument_of
from planner.study.page.signatures import ConcertSignature, concert_signatures, signature_key

Rule = Callable[[Any, Columns, StudyFacts], Iterator[LimitResult]]
"""From the value of a limit in its set, the score and its facts to what breaks it or leaves it open."""

MAJOR_FIFTHS = {
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
    return MAJOR_FIFTHS[tonic] - (3 if mode == "minor" else 0)


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


def _open(
    limit: Limit, doubt: Doubt, measures: tuple[int, ...] = (), part: PartColumns | None = None, **more: Any
) -> LimitResult:
    return replace(_broken(limit, measures, part, **more), doubt=doubt)


def _bars(measures: "np.ndarray[Any, Any] | Sequence[int]") -> tuple[int, ...]:
    return tuple(sorted({int(measure) for measure in measures}))


def measures(value: Sequence[int], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Number of written measures; a pickup and the second half of a split bar are none of their own."""
    every = columns.score.measures
    count = sum(not measure.implicit for measure in every) or len(every)
    if not value[0] <= count <= value[1]:
        yield _broken(Limit.MEASURES, numbers=named(measures=count, least=value[0], most=value[1]))


def minutes(value: float, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Playing time with the roadmap.

    Without a printed number it lies between the slowest and the fastest that the words allow, or that the
    metronome has.
    """
    tempo = facts.tempo
    lengths = columns.measure_length / TICKS_PER_QUARTER * 60.0 / np.array(facts.quarter_bpm)
    minutes = float(lengths[list(facts.roadmap.play_order)].sum()) / 60
    bpm = tempo.marked or tempo.reading
    slow, fast = _tempo_between(facts)
    slowest, fastest = minutes * bpm / slow, minutes * bpm / fast
    if fastest > value:
        yield _broken(Limit.MINUTES, numbers=named(minutes=fastest, most=value))
    elif slowest > value:
        doubt = Doubt.NO_TEMPO if tempo.marked is None else Doubt.TEMPO_IN_WORDS
        spread = named(slowest=slowest, fastest=fastest)
        yield _open(Limit.MINUTES, doubt, numbers=spread, terms=(tempo.words,) if tempo.words else ())
    if _free(facts):
        yield from _unmetered(Limit.MINUTES, columns, facts)


def _tempo_between(facts: StudyFacts) -> tuple[float, float]:
    """The slowest and the fastest the opening may be taken, in its beats a minute."""
    tempo = facts.tempo
    if tempo.marked is None:
        return float(METRONOME_MARKS[0]), float(METRONOME_MARKS[-1])
    if tempo.source == "words":
        return tempo.low or tempo.marked, tempo.high or tempo.marked
    return tempo.marked, tempo.marked


def bpm(value: Sequence[float], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """The tempo at the beginning, and every number printed later; each in the beats that it counts."""
    least, most = value
    for bar, number in _printed_numbers(columns, facts):
        if not least <= number <= most:
            yield _broken(Limit.BPM, (bar,) if bar else (), numbers=named(bpm=number, least=least, most=most))
    tempo = facts.tempo
    if tempo.marked is None:
        yield _open(Limit.BPM, Doubt.NO_TEMPO)
    elif tempo.source == "words":
        slow, fast = _tempo_between(facts)
        spread = named(slowest=slow, fastest=fast)
        if fast < least or slow > most:
            yield _broken(Limit.BPM, numbers=(*spread, *named(least=least, most=most)), terms=(tempo.words,))
        elif slow < least or fast > most:
            yield _open(Limit.BPM, Doubt.TEMPO_IN_WORDS, numbers=spread, terms=(tempo.words,))


def _printed_numbers(columns: Columns, facts: StudyFacts) -> Iterator[tuple[int, float]]:
    """Each number of a metronome mark with its measure, the opening's first."""
    tempo = facts.tempo
    if tempo.marked is not None and tempo.source != "words":
        yield 0, tempo.marked
    for mark in columns.score.tempos:
        for number in (mark.bpm, mark.bpm_high):
            if number is not None and (mark.measure, number) != (0, tempo.marked):
                yield mark.measure, number


FREE = "free"
"""The meter of bars that have none."""


def meters(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Time signatures."""
    yield from _unmetered(Limit.METERS, columns, facts)
    for span in facts.meters:
        if span.time != FREE and plain_meter(span.time) not in value:
            yield _broken(Limit.METERS, (span.measure,), terms=(span.time,))


def _unmetered(limit: Limit, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Doubt where bars have no meter, or none is printed at the beginning."""
    free = _free(facts)
    metered = [span for span in facts.meters if span.time != FREE]
    if not metered or not (free or metered[0].is_printed):
        yield _open(limit, Doubt.NO_METER)
    elif free:
        yield _open(limit, Doubt.NO_METER, free)


def _free(facts: StudyFacts) -> tuple[int, ...]:
    """Where bars without a meter begin."""
    return tuple(span.measure for span in facts.meters if span.time == FREE)


def meter_changes(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """How often the meter changes."""
    yield from _unmetered(Limit.METER_CHANGES, columns, facts)
    spans = facts.meters
    changes = [b.measure for a, b in pairwise(spans) if a.time != b.time]
    if len(changes) > value:
        counts = named(changes=len(changes), most=value)
        yield _broken(Limit.METER_CHANGES, tuple(changes[value:]), numbers=counts)


def concert_keys(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """The home key, and the signatures of all pitched parts along the way."""
    signatures, home = concert_signatures(columns), facts.home_key
    if not any(columns.pitched()):
        yield _open(Limit.CONCERT_KEYS, Doubt.NO_PITCHES)
        return
    allowed = {signature_of(key) for key in value}
    if home and home not in value:
        printed = signatures[0].fifths if signatures else signature_of(home)
        yield _broken(
            Limit.CONCERT_KEYS, (0,), numbers=named(home=1, fifths=printed), keys=(home,)
        )  # fmt: skip
        allowed.add(printed)
    outside = [each for each in signatures if each.fifths not in allowed]
    for each in outside:
        yield from _signature_broken(each, columns, facts)
    if not home and not outside:
        yield from _key_open(value, signatures)


def _signature_broken(
    signature: ConcertSignature, columns: Columns, facts: StudyFacts
) -> Iterator[LimitResult]:
    """A signature that no allowed key has: said of the piece when most parts print it, else of each part."""
    here = [span.key for span in facts.keys if span.measure <= signature.measure]
    minor = bool(here) and here[-1].endswith("minor") and signature_of(here[-1]) == signature.fifths
    name = signature_key(signature.fifths, "minor" if minor else "")
    numbers, keys = named(fifths=signature.fifths), (name,) if name else ()
    everyone = [part.part.name for part in columns.pitched() if part.part.keys]
    parts = [""] if len(signature.parts) > len(everyone) / 2 else signature.parts
    for part in parts:
        yield LimitResult(Limit.CONCERT_KEYS, False, (signature.measure,), part, numbers, keys=keys)


def _key_open(value: Sequence[str], signatures: tuple[ConcertSignature, ...]) -> Iterator[LimitResult]:
    """Doubt where no home key is sure, and the major and the minor of a signature are not both allowed."""
    for each in signatures[:1]:
        both = tuple(signature_key(each.fifths, mode) for mode in ("major", "minor"))
        if not set(both) <= set(value):
            yield _open(Limit.CONCERT_KEYS, Doubt.KEY_UNCLEAR, numbers=named(fifths=each.fifths), keys=both)
    if not signatures:
        yield _open(Limit.CONCERT_KEYS, Doubt.KEY_UNCLEAR)


def key_changes(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """How often the signature changes, in whichever part; parts that change in one bar change once."""
    if not any(columns.pitched()):
        yield _open(Limit.KEY_CHANGES, Doubt.NO_PITCHES)
        return
    changes = _bars([each.measure for each in concert_signatures(columns) if each.is_change])
    if len(changes) > value:
        counts = named(changes=len(changes), most=value)
        yield _broken(Limit.KEY_CHANGES, changes[value:], numbers=counts)


def concert_notes(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Sounding notes by name."""
    if not any(columns.pitched()):
        yield _open(Limit.CONCERT_NOTES, Doubt.NO_PITCHES)
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
    yield from _values(Limit.VALUES, value, [part for part in columns.parts if not _is_percussion(part)])


def percussion_values(value: Sequence[str], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Printed note values of percussion."""
    yield from _values(Limit.PERCUSSION_VALUES, value, _percussion(columns))


def _is_percussion(part: PartColumns) -> bool:
    """Whether a part is percussion; one of an unknown instrument is when it has no pitches."""
    family = family_of(part)
    return family == "percussion" or (not family and len(part) > 0 and not part.is_pitched)


def _percussion(columns: Columns) -> list[PartColumns]:
    return [part for part in columns.parts if _is_percussion(part)]


def _values(limit: Limit, allowed: Sequence[str], parts: list[PartColumns]) -> Iterator[LimitResult]:
    for part in parts:
        notes = [part.part.notes[at] for at in part.note.tolist()]
        printed = [(note, note.value or value_of_length(note.duration_quarters)) for note in notes]
        found = {value for _, value in printed if value and value not in allowed}
        bars = _bars([note.measure for note, value in printed if value in found])
        if found:
            yield _broken(limit, bars, part, terms=tuple(sorted(found)))
        unknown = [note for note, value in printed if not value]
        if unknown:
            count = named(notes=len(unknown))
            yield _open(limit, Doubt.VALUES_UNKNOWN, _measures_of(unknown), part, numbers=count)


def _measures_of(notes: Sequence[Note]) -> tuple[int, ...]:
    return _bars([note.measure for note in notes])


VALUES = {
    "breve": Fraction(8), "whole": Fraction(4), "half": Fraction(2), "quarter": Fraction(1),
    "eighth": Fraction(1, 2), "16th": Fraction(1, 4), "32nd": Fraction(1, 8), "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
}  # fmt: skip
"""Note values by their MusicXML names, in quarters."""


def value_of_length(quarters: Fraction) -> str:
    """The note value of a length, plain or with up to two dots; empty when it is none.

    Example:
        >>> value_of_length(Fraction(3, 4)), value_of_length(Fraction(1, 3))
        ('eighth', '')
    """
    for name, length in VALUES.items():
        if quarters in (length, length * Fraction(3, 2), length * Fraction(7, 4)):
            return name
    return ""


def eighths_in_repeated_pairs(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Eighths only as a beat of two on one pitch."""
    if not value:
        return
    upbeat = _upbeat_ticks(columns)
    free = _free_measures(columns)
    for part in (p for p in columns.pitched() if not _is_percussion(p)):
        line = part.line
        quick = line.duration == TICKS_PER_QUARTER // 2
        place = line.onset - columns.measure_start[line.measure] + upbeat[line.measure]
        start = place % TICKS_PER_QUARTER == 0
        first = quick & start
        pairs = np.zeros(len(line), dtype=np.bool_)
        both = first[:-1] & quick[1:] & (line.written[:-1] == line.written[1:]) & ~start[1:]
        pairs[:-1] |= both
        pairs[1:] |= both
        alone, loose = quick & ~pairs, free[line.measure]
        if (alone & ~loose).any():
            yield _broken(Limit.EIGHTHS_IN_REPEATED_PAIRS, _bars(line.measure[alone & ~loose]), part)
        if (alone & loose).any():
            bars = _bars(line.measure[alone & loose])
            yield _open(Limit.EIGHTHS_IN_REPEATED_PAIRS, Doubt.NO_METER, bars, part)


def _upbeat_ticks(columns: Columns) -> Ints:
    """For each measure how much is missing before its first note: a short bar is counted from its end."""
    missing = []
    for measure, length in zip(columns.score.measures, columns.measure_length.tolist(), strict=True):
        whole = to_ticks(measure.time.length_quarters)
        is_upbeat = (measure.implicit or measure.index == 0) and 0 < length < whole
        missing.append(whole - length if is_upbeat else 0)
    return np.array(missing, dtype=np.int64)


def _free_measures(columns: Columns) -> Bools:
    return np.array([not measure.time.groups for measure in columns.score.measures], dtype=np.bool_)


def tuplets(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Whether tuplets may stand."""
    if value:
        return
    for part in columns.parts:
        bars = _measures_of([n for n in part.part.notes if n.tuplet and not n.is_cue])
        if bars:
            yield _broken(Limit.TUPLETS, bars, part)


def rolls(value: bool, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Whether percussion may roll."""
    if value:
        return
    for part in _percussion(columns):
        bars = _measures_of([n for n in part.part.notes if any("tremolo" in o for o in n.ornaments)])
        if bars:
            yield _broken(Limit.ROLLS, bars, part)


def timpani_pitches(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """How many pitches the timpani play."""
    for part in (each for each in columns.parts if each.part.instrument == "timpani" and len(each)):
        if not part.is_pitched:
            yield _open(Limit.TIMPANI_PITCHES, Doubt.NO_PITCHES, part=part)
            continue
        used, where = np.unique(part.sounding[~np.isnan(part.sounding)], return_index=True)
        if len(used) > value:
            late = _bars(part.measure[np.sort(where)[value:]])
            counts = named(pitches=len(used), most=value)
            yield _broken(Limit.TIMPANI_PITCHES, late, part, numbers=counts)


def range_semitones(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Width of each wind part."""
    winds = [part for part in columns.pitched() if family_of(part) in ("woodwind", "brass")]
    unknown = _unknown(columns)
    if not winds and not unknown:
        yield _open(Limit.RANGE_SEMITONES, Doubt.NO_WINDS)
    for part in (*winds, *unknown):
        low = np.nanmin(part.written)
        width = int(np.nanmax(part.written) - low)
        if width <= value:
            continue
        if part in winds:
            ends = part.written >= low + value + 1
            counts = named(semitones=width, most=value)
            yield _broken(Limit.RANGE_SEMITONES, _bars(part.measure[ends]), part, numbers=counts)
        else:
            yield _open(Limit.RANGE_SEMITONES, Doubt.INSTRUMENT_UNKNOWN, part=part)


def _unknown(columns: Columns) -> list[PartColumns]:
    """Pitched parts of which it is not known what they are for."""
    return [part for part in columns.pitched() if not family_of(part)]


def written_flats(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Most flats in a part's signatures."""
    yield from _written(Limit.WRITTEN_FLATS, columns, -1, value)


def written_sharps(value: int, columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Most sharps in a part's signatures."""
    yield from _written(Limit.WRITTEN_SHARPS, columns, 1, value)


def _written(limit: Limit, columns: Columns, sign: int, most: int) -> Iterator[LimitResult]:
    if not any(columns.pitched()):
        yield _open(limit, Doubt.NO_PITCHES)
    for part in columns.pitched():
        over = [key for key in part.part.keys if sign * key.fifths > most]
        if over:
            worst = max(over, key=lambda key: sign * key.fifths)
            name = signature_key(worst.fifths, worst.mode)
            yield _broken(
                limit, _bars([key.measure for key in over]), part,
                numbers=named(most=most, fifths=worst.fifths), keys=(name,) if name else (),
            )  # fmt: skip


def ranges(value: dict[str, Sequence[str]], columns: Columns, facts: StudyFacts) -> Iterator[LimitResult]:
    """Lowest and highest written pitch of named instruments, as their players read them."""
    spans = {id_: tuple(float(Pitch.parse(name).midi) for name in span) for id_, span in value.items()}
    named_parts = [part for part in columns.pitched() if part.part.instrument in spans]
    unknown = _unknown(columns)
    if not named_parts and not unknown:
        yield _open(Limit.RANGES, Doubt.INSTRUMENTS_ABSENT, terms=tuple(value))
    for part in named_parts:
        instrument = instrument_of(part)
        assert instrument is not None
        low, high = spans[instrument.id]
        read = part.sounding - instrument.transposition.semitones
        outside = (read < low) | (read > high)
        if outside.any():
            yield _broken(
                Limit.RANGES, _bars(part.measure[outside]), part,
                numbers=named(notes=int(outside.sum())), terms=tuple(value[instrument.id]),
            )  # fmt: skip
    for part in unknown:
        yield _open(Limit.RANGES, Doubt.INSTRUMENT_UNKNOWN, part=part)


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

OF_NOTES = frozenset({
    Limit.CONCERT_NOTES, Limit.VALUES, Limit.PERCUSSION_VALUES, Limit.EIGHTHS_IN_REPEATED_PAIRS,
    Limit.TUPLETS, Limit.ROLLS, Limit.TIMPANI_PITCHES, Limit.RANGE_SEMITONES, Limit.RANGES,
})  # fmt: skip
"""Limits about notes: a score without any keeps and breaks none of them."""


def hold(limit: Limit, value: Any, columns: Columns, facts: StudyFacts) -> tuple[LimitResult, ...]:
    """One limit held against a score: what breaks it and what leaves it open, else that it is met."""
    if not columns.score.measures:
        return (_open(limit, Doubt.NO_BARS),)
    if limit in OF_NOTES and not any(len(part) for part in columns.parts):
        return (_open(limit, Doubt.NO_NOTES),)
    return tuple(RULES[limit](value, columns, facts)) or (LimitResult(limit, True),)
