"""Hard places by rhythm: runs, dense bars, syncopation, ties over the bar, cross-rhythm."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import named
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.rhythm_dimensions import Beats
from planner.study.facts import StudyFacts
from planner.study.notes.arrays import borders_of, distinct
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Floats, Ints

RUN_NOTES = 6
"""Fewest notes of a run: more than one beat of sixteenths. House choice."""
RUN_RATE = 4.0
"""Notes a second from which even notes are quick.

House choice: four a second are sixteenths at 60. (A reader's most is in ``study/time/tempo.py``.)
"""
RUN_STEP = 4
"""Widest move inside a run in semitones: a major third. House choice."""
ARPEGGIO_STEP = 5
"""The same inside an arpeggio: a fourth, from the fifth of the chord to its root."""
RUN_COMPASS = 5
"""Fewest semitones from the lowest to the highest note of a run: less is a shake. House choice: a fourth."""
SCALE, ARPEGGIO = "scale", "arpeggio"
DENSE_RATE, DENSE_RATIO = 3.0, 1.5
"""A bar is dense from so many attacks a second, and so much above the part's middle bar. House choice."""


def rhythm_challenges(each: PartEvidence, columns: Columns, facts: StudyFacts) -> Iterator[Challenge]:
    """Every rhythm challenge of one part by itself."""
    for line, rhythm in zip(each.lines, each.rhythm, strict=True):
        yield from runs(each, line, facts)
        yield from syncopations(line, rhythm.off)
    yield from dense_bars(each.rates)
    yield from ties_over_the_bar(each, columns)


def runs(each: PartEvidence, line: AttackLine, facts: StudyFacts) -> Iterator[Challenge]:
    """At least ``RUN_NOTES`` quick notes of one value, without a rest, each a step or a third from the last.

    One that goes only up or only down is a scale where it goes by step, and an arpeggio where it leaps by
    thirds and fourths.
    """
    value, gap = _values(each, line), np.diff(line.onset)
    if len(line) < RUN_NOTES:
        return
    fast = np.array(facts.quarter_bpm)[line.measure[:-1]] / 60.0 * TICKS_PER_QUARTER
    even = (gap == value[:-1]) & (value[1:] == value[:-1]) & (gap * RUN_RATE <= fast)
    move = line.top[1:] - line.top[:-1]
    move[np.isnan(move)] = 0.0
    near = even & (move != 0) & (np.abs(move) <= RUN_STEP)
    broken = even & (np.abs(move) > 2) & (np.abs(move) <= ARPEGGIO_STEP)
    steps = np.diff(_staff_places(each, line))
    found = [*_stretches(near)]
    for way in (1, -1):
        found += [
            (start, stop)
            for start, stop in _stretches(broken & (np.sign(move) == way))
            if not any(first <= start and stop <= last for first, last in found)
        ]
    for start, stop in sorted(found):
        count, inside = stop - start + 1, move[start:stop]
        tops = line.top[start : stop + 1]
        if count < RUN_NOTES or float(tops.max() - tops.min()) < RUN_COMPASS:
            continue
        shape = _shape(inside, steps[start:stop])
        numbers = named(notes=count, quarters=round(float(value[start]) / TICKS_PER_QUARTER, 6))
        weight, last = 0.4 + 0.04 * min(count, 24), int(line.measure[stop])
        yield Challenge(
            int(line.measure[start]), ChallengeKind.RUN, weight, last, terms=shape, numbers=numbers
        )


def _values(each: PartEvidence, line: AttackLine) -> Ints:
    """The printed length of the highest head of each attack in ticks."""
    lengths = np.zeros(len(each.part.part.notes), dtype=np.int64)
    lengths[each.part.note] = each.part.duration
    return lengths[line.note]


def _staff_places(each: PartEvidence, line: AttackLine) -> Ints:
    """The staff step of the highest head of each attack."""
    places = np.zeros(len(each.part.part.notes), dtype=np.int64)
    places[each.part.note] = each.part.diatonic
    return places[line.note]


def _shape(move: Floats, step: Ints) -> tuple[str, ...]:
    """``scale`` or ``arpeggio`` with ``up`` or ``down`` for a run that never turns; else empty."""
    way = np.sign(move)
    if (way != way[0]).any():
        return ()
    direction = "up" if way[0] > 0 else "down"
    if (step == way[0]).all():
        return (SCALE, direction)
    return (ARPEGGIO, direction) if (np.abs(step) >= 2).all() else ()


def _stretches(claim: Bools) -> Iterator[tuple[int, int]]:
    """First index and index behind the last of each unbroken stretch of True."""
    edges = borders_of(claim)
    yield from zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)


def dense_bars(rates: Floats) -> Iterator[Challenge]:
    """Bars much busier than the part's middle one."""
    playing = rates[rates > 0]
    if not len(playing):
        return
    least = max(DENSE_RATE, DENSE_RATIO * float(np.median(playing)))
    for measure in np.flatnonzero(rates >= least).tolist():
        weight = 0.3 + 0.25 * (rates[measure] / least - 1.0)
        rate = named(notes_a_second=round(float(rates[measure]), 3))
        yield Challenge(measure, ChallengeKind.DENSE_PASSAGE, float(weight), numbers=rate)


def syncopations(line: AttackLine, off: Bools) -> Iterator[Challenge]:
    """Bars with notes that begin off the beat and are held over the next."""
    counts = np.bincount(line.measure[off]) if off.any() else np.zeros(0, dtype=np.int64)
    for measure in np.flatnonzero(counts).tolist():
        count = int(counts[measure])
        weight = 0.3 + 0.15 * count
        yield Challenge(measure, ChallengeKind.SYNCOPATION, weight, numbers=named(notes=count))


def ties_over_the_bar(each: PartEvidence, columns: Columns) -> Iterator[Challenge]:
    """Bars entered on a tied note and left off the beat."""
    part = each.part
    tied = ~part.struck & (part.onset == columns.measure_start[part.measure])
    for measure in distinct(part.measure[tied]).tolist():
        inside = np.flatnonzero((part.measure == measure) & part.struck)
        offset = int(part.onset[inside].min() - columns.measure_start[measure]) if inside.size else 0
        if offset % TICKS_PER_QUARTER:
            yield Challenge(measure, ChallengeKind.TIE_OVER_BAR_LINE, 0.5)


DIVISIONS: Mapping[str, tuple[int, ...]] = {"two": (2,), "four": (4, 8), "three": (3,), "six": (6,)}
"""Into how many parts a beat is divided, by how two ways go together: halves fall in with sixths, not with
thirds; fourths with neither."""


def divisions(parts: tuple[PartEvidence | None, ...], beats: Beats) -> dict[str, Bools]:
    """For each way the beats that each part divides so in simple time, shape ``(n_parts, n_beats)``."""
    found = {name: np.zeros((len(parts), len(beats.start)), dtype=np.bool_) for name in DIVISIONS}
    for row, each in enumerate(parts):
        for rhythm in each.rhythm if each else ():
            simple = ~beats.is_compound[rhythm.beat]
            for name, finest in DIVISIONS.items():
                divided = np.logical_or.reduce([rhythm.finest == parts_of_it for parts_of_it in finest])
                found[name][row, rhythm.beat[divided & simple]] = True
    return found


def others_of(claims: Bools, row: int) -> Bools:
    """The beats on which a claim holds of another part than that of a row."""
    return np.asarray(claims.sum(axis=0) > claims[row], dtype=np.bool_)


def _crosses(onsets: Sequence[Ints], row: int, beats: Beats, at: int) -> bool:
    """Whether in a beat another part attacks evenly between two attacks of a row, one of them at a third."""
    begin, length = int(beats.start[at]), int(beats.length[at])
    own = onsets[row]
    for other, moments in enumerate(onsets):
        if other == row:
            continue
        first, last = np.searchsorted(moments, (begin, begin + length))
        for moment in moments[first:last].tolist():
            place = int(np.searchsorted(own, moment))
            if 8 * (moment - begin) % length or (place < len(own) and own[place] == moment):
                continue
            around = own[max(0, place - 1) : place + 1].tolist()
            if any(begin < each < begin + length and 8 * (each - begin) % length for each in around):
                return True
    return False


def cross_rhythms(
    parts: tuple[PartEvidence | None, ...], beats: Beats, columns: Columns
) -> dict[int, list[Challenge]]:
    """By part: bars where it divides the beat in three while others divide it in two or four."""
    divided = divisions(parts, beats)
    measure = np.searchsorted(columns.measure_start, beats.start, side="right") - 1
    silent = np.zeros(0, dtype=np.int64)
    onsets = [
        distinct(np.concatenate([line.onset for line in each.lines])) if each else silent for each in parts
    ]
    found: dict[int, list[Challenge]] = {}
    for row in range(len(parts)):
        two, four = (others_of(divided[each], row) for each in ("two", "four"))
        crossed = (divided["three"][row] & (two | four)) | (divided["six"][row] & four)
        places = [at for at in np.flatnonzero(crossed).tolist() if _crosses(onsets, row, beats, at)]
        for bar in distinct(measure[places]).tolist():
            found.setdefault(row, []).append(Challenge(int(bar), ChallengeKind.CROSS_RHYTHM, 0.7))
    return found
