"""Whether a section of some level can play a part on its instrument, and what would mend what it cannot."""

from collections.abc import Iterator

import numpy as np

from planner.core.fact import named
from planner.matching.breath import air_checks
from planner.matching.hands import hand_checks
from planner.matching.part_check import Check, CheckKind, Fix, Severity
from planner.study.difficulty.evidence import Evidence, PartEvidence
from planner.study.facts import StudyFacts
from planner.study.lines.technique import written_for
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Ints

HIGH_SHARE = 0.4
"""Share of the sounding time in the top fifth of the comfortable range that makes a high tessitura. House."""
HIGH_SECONDS = 20.0
"""Seconds in the top fifth without a rest that tire a player. House choice."""


def check_part(each: PartEvidence, facts: StudyFacts, evidence: Evidence, level: float) -> tuple[Check, ...]:
    """Every check of one part at the level of the section that reads it, what cannot be played first.

    Args:
        each: The part, on the section's own instrument.
        facts: What the study settled.
        evidence: What was measured of all parts.
        level: Of the section.
    """
    if each.instrument is None:
        return ()
    found = [
        *range_checks(each, evidence, level),
        *height_checks(each, facts, level),
        *air_checks(each, facts, level),
        *hand_checks(each, facts, level),
    ]
    rank = {severity: at for at, severity in enumerate(Severity)}
    return tuple(sorted(found, key=lambda check: (rank[check.severity], check.kind)))


def range_checks(each: PartEvidence, evidence: Evidence, level: float) -> Iterator[Check]:
    """Notes the instrument does not have, and notes outside comfort at a level."""
    instrument = each.instrument
    if instrument is None or instrument.full is None or not each.has_melody:
        return
    line = each.lines[0]
    notes = written_for(each, line)
    comfort = instrument.comfortable(level) or (0.0, 127.0)
    missing = (notes < instrument.full.low_midi) | (notes > instrument.full.high_midi)
    strained = ((notes < comfort[0]) | (notes > comfort[1])) & ~missing
    cases = (
        (missing, CheckKind.FULL_RANGE, Severity.ERROR),
        (strained, CheckKind.COMFORTABLE_RANGE, Severity.WARNING),
    )
    for outside, kind, severity in cases:
        if outside.any():
            fix, other = range_fix(each, evidence, outside, comfort)
            yield Check(
                kind, severity, fix,
                measures=tuple(np.unique(line.measure[outside]).tolist()),
                numbers=named(notes=int(outside.sum()), level=level),
                fix_part=other,
                instrument=instrument.id,
            )  # fmt: skip


def range_fix(
    each: PartEvidence, evidence: Evidence, outside: Bools, comfort: tuple[float, float]
) -> tuple[Fix, str]:
    """What would help with notes out of reach, an octave first; and the part that helps, if one does."""
    line = each.lines[0]
    notes = written_for(each, line)[outside]
    for octaves, fix in ((-12, Fix.OCTAVE_LOWER), (12, Fix.OCTAVE_HIGHER)):
        if ((notes + octaves >= comfort[0]) & (notes + octaves <= comfort[1])).all():
            return fix, ""
    places = set(zip(line.onset[outside].tolist(), (line.top[outside] % 12).tolist(), strict=True))
    for other in evidence.parts:
        if other is None or other is each or not other.has_melody:
            continue
        theirs = other.lines[0]
        if places <= set(zip(theirs.onset.tolist(), (theirs.top % 12).tolist(), strict=True)):
            return Fix.OTHER_SECTION, other.part.part.name
    measures = set(line.measure[outside].tolist())
    for other in evidence.parts:
        if other and any(note.is_cue and note.measure in measures for note in other.part.part.notes):
            return Fix.CUE, other.part.part.name
    return Fix.GIVE_AWAY, ""


def height_checks(each: PartEvidence, facts: StudyFacts, level: float) -> Iterator[Check]:
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
        yield Check(
            CheckKind.TIME_HIGH, Severity.WARNING, Fix.ALTERNATE_PLAYERS, (measure,), named(seconds=longest)
        )


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
