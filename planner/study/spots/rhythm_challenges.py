"""Hard places by rhythm: runs, dense bars, syncopation, ties over the bar, cross-rhythm."""

from collections.abc import Iterator

import numpy as np

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import named
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.rhythm_dimensions import Beats
from planner.study.facts import StudyFacts
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Floats

RUN_NOTES = 6
RUN_RATE = 4.0
"""Notes a second from which neighbouring notes make a run.

House choice: four a second are sixteenths at 60. (A reader's most is in ``study/time/tempo.py``.)
"""
RUN_STEP = 4.0
DENSE_RATE, DENSE_RATIO = 3.0, 1.5
"""A bar is dense from so many attacks a second, and so much above the part's middle bar. House choice."""


def rhythm_challenges(each: PartEvidence, columns: Columns, facts: StudyFacts) -> Iterator[Challenge]:
    """Every rhythm challenge of one part by itself."""
    for line, rhythm in zip(each.lines, each.rhythm, strict=True):
        yield from runs(line, facts)
        yield from syncopations(line, rhythm.off)
    yield from dense_bars(each.rates)
    yield from ties_over_the_bar(each, columns)


def runs(line: AttackLine, facts: StudyFacts) -> Iterator[Challenge]:
    """At least ``RUN_NOTES`` quick notes in a row, moving mostly by step."""
    gaps = np.diff(line.onset)
    if not len(gaps):
        return
    quick = np.array(facts.quarter_bpm)[line.measure[:-1]] / 60.0 * TICKS_PER_QUARTER
    with np.errstate(invalid="ignore"):
        near = ~(np.abs(np.diff(line.top)) > RUN_STEP)
    for start, stop in _stretches((gaps * RUN_RATE <= quick) & near):
        count = stop - start + 1
        if count >= RUN_NOTES:
            last = int(line.measure[stop])
            weight, notes = 0.4 + 0.04 * min(count, 24), named(notes=count)
            yield Challenge(int(line.measure[start]), ChallengeKind.RUN, weight, last, numbers=notes)


def _stretches(claim: Bools) -> Iterator[tuple[int, int]]:
    """First index and index behind the last of each unbroken stretch of True."""
    edges = np.flatnonzero(np.diff(np.r_[False, claim, False].astype(np.int8)))
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
    for measure in np.unique(part.measure[tied]).tolist():
        inside = np.flatnonzero((part.measure == measure) & part.struck)
        offset = int(part.onset[inside].min() - columns.measure_start[measure]) if inside.size else 0
        if offset % TICKS_PER_QUARTER:
            yield Challenge(measure, ChallengeKind.TIE_OVER_BAR_LINE, 0.5)


def cross_rhythms(
    parts: tuple[PartEvidence | None, ...], beats: Beats, columns: Columns
) -> dict[int, list[Challenge]]:
    """By part: bars where it divides the beat in three while others divide it in two or four."""
    three, two = (np.zeros((len(parts), len(beats.start)), dtype=np.bool_) for _ in range(2))
    for row, each in enumerate(parts):
        for rhythm in each.rhythm if each else ():
            uneven = np.isin(rhythm.finest, (3, 6)) & ~beats.is_compound[rhythm.beat]
            even = np.isin(rhythm.finest, (2, 4, 8)) & ~beats.is_compound[rhythm.beat]
            three[row, rhythm.beat[uneven]] = True
            two[row, rhythm.beat[even]] = True
    measure = np.searchsorted(columns.measure_start, beats.start, side="right") - 1
    against = two.sum(axis=0)
    found: dict[int, list[Challenge]] = {}
    for row in np.flatnonzero(three.any(axis=1)).tolist():
        crossed = three[row] & (against - two[row] > 0)
        for bar in np.unique(measure[crossed]).tolist():
            found.setdefault(row, []).append(Challenge(int(bar), ChallengeKind.CROSS_RHYTHM, 0.7))
    return found
