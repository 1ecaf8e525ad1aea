"""Whether the lungs and the lip last: phrases against a breath, and partials jumped over."""

from collections.abc import Iterator

import numpy as np

from planner.core.fact import named
from planner.matching.part_check import Check, CheckKind, Fix, Severity
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.scales import on_scale
from planner.study.facts import StudyFacts
from planner.study.lines.technique import joined, partials_skipped, written_for
from planner.study.lines.technique_tables import (
    BREATH_SECONDS,
    BREATH_SHARE,
    EASY_PARTIALS,
    FULL_INHALE_SECONDS,
    REFILL_SECONDS,
)
from planner.study.notes.columns import TICKS_PER_QUARTER


def air_checks(each: PartEvidence, facts: StudyFacts, level: float) -> Iterator[Check]:
    """Breath and partials of a wind part; singers breathe with the words, which are not known here."""
    instrument = each.instrument
    if instrument is None or instrument.family not in ("woodwind", "brass") or not each.has_melody:
        return
    yield from breath_checks(each, facts, level)
    if instrument.family == "brass":
        yield from partial_checks(each)


def breaths(each: PartEvidence, facts: StudyFacts) -> tuple[tuple[float, int, float], ...]:
    """Each stretch between places to breathe: seconds, first measure, seconds of rest before it."""
    line = each.lines[0]
    if not len(line):
        return ()
    seconds_per_tick = 60.0 / (np.array(facts.quarter_bpm)[line.measure] * TICKS_PER_QUARTER)
    gaps = np.maximum(0, line.onset[1:] - line.end[:-1]) * seconds_per_tick[1:]
    starts = np.r_[0, np.flatnonzero(gaps > REFILL_SECONDS) + 1]
    stops = np.r_[starts[1:] - 1, len(line) - 1]
    rests = np.r_[FULL_INHALE_SECONDS, gaps[starts[1:] - 1]]
    lengths = (line.end[stops] - line.onset[starts]) * seconds_per_tick[starts]
    return tuple(zip(lengths.tolist(), line.measure[starts].tolist(), rests.tolist(), strict=True))


def breath_checks(each: PartEvidence, facts: StudyFacts, level: float) -> Iterator[Check]:
    """Stretches longer than the breath that was taken before them."""
    assert each.instrument
    capacity = on_scale(level, BREATH_SECONDS) * BREATH_SHARE.get(each.instrument.id, 1.0)
    found = []
    for seconds, measure, rest in breaths(each, facts):
        filled = min(1.0, rest / FULL_INHALE_SECONDS)
        if seconds > capacity * filled and seconds > capacity * 0.5:
            found.append((seconds, measure))
    if found:
        longest, measure = max(found)
        yield Check(
            CheckKind.BREATH, Severity.WARNING, Fix.MARK_BREATHS,
            measures=tuple(sorted({start for _, start in found})),
            numbers=named(stretches=len(found), level=level, seconds=longest, worst=measure),
        )  # fmt: skip


def partial_checks(each: PartEvidence) -> Iterator[Check]:
    """Leaps that pass over several partials."""
    assert each.instrument
    line = each.lines[0]
    skipped = partials_skipped(each.instrument.group, written_for(each, line))
    wide = (skipped > EASY_PARTIALS) & joined(line)
    if wide.any():
        yield Check(
            CheckKind.PARTIALS, Severity.NOTE, Fix.BUZZ_FIRST,
            measures=tuple(np.unique(line.measure[1:][wide]).tolist()),
            numbers=named(leaps=int(wide.sum()), partials=EASY_PARTIALS),
        )  # fmt: skip
