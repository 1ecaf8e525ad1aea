"""Whether a section of some level can play a part on its instrument, and what would mend what it cannot."""

from collections.abc import Iterator, Sequence

import numpy as np

from planner.matching.playability_breath import air_checks
from planner.matching.playability_findings import Check, Severity
from planner.matching.playability_hands import hand_checks
from planner.study.difficulty.evidence import Evidence, PartEvidence
from planner.study.difficulty.scales import count_of
from planner.study.facts import StudyFacts
from planner.study.lines.technique import written_for
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Ints
from planner.study.notes.ranges import bar_number

__all__ = ["Check", "check_part", "check_parts"]

HIGH_SHARE = 0.4
"""Share of the sounding time in the top fifth of the comfortable range that makes a high tessitura. House."""
HIGH_SECONDS = 20.0
"""Seconds in the top fifth without a rest that tire a player. House choice."""


def check_parts(
    columns: Columns, facts: StudyFacts, evidence: Evidence, levels: Sequence[float]
) -> tuple[tuple[Check, ...], ...]:
    """Every check of every part at the level of the section that reads it.

    Args:
        columns: The score.
        facts: What the study settled.
        evidence: What was measured of the parts.
        levels: Level of the section for each part in score order.
    """
    return tuple(
        check_part(each, columns, facts, evidence, level) if each else ()
        for each, level in zip(evidence.parts, levels, strict=True)
    )


def check_part(
    each: PartEvidence, columns: Columns, facts: StudyFacts, evidence: Evidence, level: float
) -> tuple[Check, ...]:
    """Every check of one part, errors first."""
    if each.instrument is None:
        return ()
    numbers = tuple(measure.number for measure in columns.score.measures)
    found = [
        *range_checks(each, evidence, level, numbers),
        *height_checks(each, facts, level),
        *air_checks(each, facts, level, numbers),
        *hand_checks(each, facts, level, numbers),
    ]
    rank = {"error": 0, "warning": 1, "note": 2}
    return tuple(sorted(found, key=lambda check: (rank[check.severity], check.name)))


def range_checks(
    each: PartEvidence, evidence: Evidence, level: float, numbers: tuple[str, ...]
) -> Iterator[Check]:
    """Notes the instrument does not have, and notes outside comfort at a level."""
    instrument = each.instrument
    if instrument is None or instrument.full is None or not each.has_melody:
        return
    line = each.lines[0]
    notes = written_for(each, line)
    comfort = instrument.comfortable(level) or (0.0, 127.0)
    missing = (notes < instrument.full.low_midi) | (notes > instrument.full.high_midi)
    strained = ((notes < comfort[0]) | (notes > comfort[1])) & ~missing
    comfortless = f"outside what a level {level:g} player reaches in comfort"
    cases: tuple[tuple[Bools, str, Severity, str], ...] = (
        (missing, "full range", "error", f"outside the {instrument.name}"),
        (strained, "comfortable range", "warning", comfortless),
    )
    for outside, name, severity, words in cases:
        if outside.any():
            bars = tuple(np.unique(line.measure[outside]).tolist())
            verb = "lies" if int(outside.sum()) == 1 else "lie"
            sentence = f"{count_of(int(outside.sum()), 'note')} {verb} {words}: {say_bars(bars, numbers)}."
            yield Check(name, severity, sentence, bars, mend(each, evidence, outside, comfort))


def say_bars(measures: tuple[int, ...], numbers: tuple[str, ...]) -> str:
    """Bars in words, the first six of them.

    Example:
        >>> say_bars((0, 2), ("1", "2", "3"))
        'bars 1 and 3'
    """
    shown = [bar_number(measure, numbers) for measure in measures[:6]]
    more = f" and {len(measures) - 6} more" if len(measures) > 6 else ""
    if len(shown) == 1:
        return f"bar {shown[0]}"
    if more:
        return f"bars {', '.join(shown)}{more}"
    return f"bars {', '.join(shown[:-1])} and {shown[-1]}"


def mend(each: PartEvidence, evidence: Evidence, outside: Bools, comfort: tuple[float, float]) -> str:
    """What would help with notes out of reach: an octave, a cue, a section that has them too."""
    line = each.lines[0]
    notes = written_for(each, line)[outside]
    for octaves, words in ((-12, "an octave lower"), (12, "an octave higher")):
        if ((notes + octaves >= comfort[0]) & (notes + octaves <= comfort[1])).all():
            return f"Play these bars {words}."
    places = set(zip(line.onset[outside].tolist(), (line.top[outside] % 12).tolist(), strict=True))
    for other in evidence.parts:
        if other is None or other is each or not other.has_melody:
            continue
        theirs = other.lines[0]
        if places <= set(zip(theirs.onset.tolist(), (theirs.top % 12).tolist(), strict=True)):
            return f"{other.part.part.name} has these notes too: leave them to that section."
    cued = [
        other.part.part.name
        for other in evidence.parts
        if other and any(note.is_cue and note.measure in set(line.measure[outside].tolist())
                         for note in other.part.part.notes)
    ]  # fmt: skip
    return f"{cued[0]} has a cue here that covers it." if cued else "Give these notes to another section."


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
        sentence = f"{share:.0%} of the playing time lies in the top fifth of what level {level:g} reaches."
        yield Check("tessitura", "warning", sentence, (), "Let players rest, or share the part out.")
    longest, measure = _longest_high(line.onset, line.end, high, line.measure, facts)
    if longest >= HIGH_SECONDS:
        sentence = f"{longest:.0f} seconds high without a rest."
        yield Check(
            "time spent high", "warning", sentence, (measure,), "Alternate players, or rest in the tutti."
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
