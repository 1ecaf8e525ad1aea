"""Whether a section of some level can play a part on its instrument, and what would mend what it cannot."""

from collections.abc import Iterator, Sequence

import numpy as np

from planner.core.fact import named
from planner.matching.breath import air_checks
from planner.matching.hands import hand_checks
from planner.matching.part_check import TOO_HIGH, TOO_LOW, Check, CheckKind, Fix, Severity
from planner.matching.remedies import Reader, range_remedy, written
from planner.study.difficulty.evidence import PartEvidence
from planner.study.facts import StudyFacts
from planner.study.lines.strings import STRINGS
from planner.study.lines.technique import written_for
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Ints

HIGH_SHARE = 0.4
"""Share of the sounding time in the top fifth of the comfortable range that makes a high tessitura. House."""
HIGH_SECONDS = 20.0
"""Seconds in the top fifth without a rest that tire a player. House choice."""


def check_part(
    each: PartEvidence,
    facts: StudyFacts,
    level: float,
    others: Sequence[Reader] = (),
    players: int = 1,
) -> tuple[Check, ...]:
    """Every check of one part at the level of the section that reads it, what cannot be played first.

    Args:
        each: The part, on the section's own instrument.
        facts: What the study settled.
        level: Of the section.
        others: The other sections, who may help.
        players: How many read the part together.
    """
    if each.instrument is None:
        return ()
    found = [
        *range_checks(each, level, others),
        *height_checks(each, facts, level, players),
        *air_checks(each, facts, level, players),
        *hand_checks(each, facts, level, players),
    ]
    rank = {severity: at for at, severity in enumerate(Severity)}
    return tuple(sorted(found, key=lambda check: (rank[check.severity], check.kind)))


def range_checks(each: PartEvidence, level: float, others: Sequence[Reader] = ()) -> Iterator[Check]:
    """Notes the instrument does not have, and notes outside comfort at a level: a check a remedy."""
    instrument = each.instrument
    if instrument is None or instrument.full is None or not each.has_melody:
        return
    own = written(each)
    missing = own.outside(instrument.full.low_midi, instrument.full.high_midi)
    strained = own.outside(*(instrument.comfortable(level) or (0.0, 127.0)))
    lacking = missing[0] | missing[1]
    cases = (
        (missing[0], CheckKind.FULL_RANGE, Severity.ERROR, TOO_HIGH),
        (missing[1], CheckKind.FULL_RANGE, Severity.ERROR, TOO_LOW),
        (strained[0] & ~lacking, CheckKind.COMFORTABLE_RANGE, Severity.WARNING, TOO_HIGH),
        (strained[1] & ~lacking, CheckKind.COMFORTABLE_RANGE, Severity.WARNING, TOO_LOW),
    )
    for outside, kind, severity, how in cases:
        remedies: dict[tuple[Fix, str], list[Bools]] = {}
        for passage in passages(own.line.measure, outside):
            fix, helper = range_remedy(each, passage, level, others)
            if fix is Fix.LEAVE_OUT and kind is CheckKind.COMFORTABLE_RANGE and instrument.group in STRINGS:
                fix = Fix.FINGERING  # up the string every note is there
            remedies.setdefault((fix, helper), []).append(passage)
        for (fix, helper), together in remedies.items():
            those = np.any(together, axis=0)
            yield Check(
                kind, severity, fix,
                measures=tuple(np.unique(own.line.measure[those]).tolist()),
                numbers=named(notes=int(those.sum()), level=level),
                helper=helper,
                instrument=instrument.id,
                terms=(how,),
            )  # fmt: skip


def passages(measures: Ints, outside: Bools) -> Iterator[Bools]:
    """The notes out of reach, those of bars that follow one another together."""
    bars = np.unique(measures[outside])
    for run in np.split(bars, np.flatnonzero(np.diff(bars) > 1) + 1) if len(bars) else ():
        yield np.asarray(outside & np.isin(measures, run))


def height_checks(each: PartEvidence, facts: StudyFacts, level: float, players: int = 1) -> Iterator[Check]:
    """Tessitura, and time spent high without a rest."""
    instrument = each.instrument
    comfort = instrument.comfortable(level) if instrument else None
    if comfort is None or not each.has_melody or instrument is None or instrument.family == "percussion":
        return
    line = each.lines[0]
    high = written_for(each, line) >= comfort[1] - 0.2 * (comfort[1] - comfort[0])
    lengths = line.end - line.onset
    share = float(lengths[high].sum() / max(1, lengths.sum()))
    if share >= HIGH_SHARE:
        yield Check(
            CheckKind.TESSITURA, Severity.WARNING, Fix.REST_OR_SHARE, numbers=named(share=share, level=level)
        )
    longest, measure = _longest_high(line.onset, line.end, high, line.measure, facts)
    if longest >= HIGH_SECONDS:
        fix = Fix.ALTERNATE_PLAYERS if players > 1 else Fix.REST_IN_TUTTI
        yield Check(CheckKind.TIME_HIGH, Severity.WARNING, fix, (measure,), named(seconds=longest))


def _longest_high(
    onset: Ints,
    end: Ints,
    high: Bools,
    measures: Ints,
    facts: StudyFacts,
) -> tuple[float, int]:
    best, where, total = 0.0, 0, 0.0
    for at in range(len(onset)):
        joined = at > 0 and onset[at] - end[at - 1] < TICKS_PER_QUARTER
        total = (total if joined else 0.0) if high[at] else 0.0
        if high[at]:
            total += (end[at] - onset[at]) / TICKS_PER_QUARTER * 60.0 / facts.quarter_bpm[int(measures[at])]
            if total > best:
                best, where = total, int(measures[at])
    return best, where
