"""Whether the lungs and the lip last: stretches without a place to breathe, and partials jumped over."""

from collections.abc import Iterator, Sequence

import numpy as np

from planner.core.fact import named
from planner.matching.part_check import Check, CheckKind, Fix, Severity
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.scales import on_scale
from planner.study.facts import StudyFacts
from planner.study.lines.breath_places import Stretch, stretches
from planner.study.lines.technique import joined, partials_skipped, written_for
from planner.study.lines.technique_tables import (
    BREATH_SECONDS,
    BREATH_SHARE,
    BREATH_WORTH,
    EASY_PARTIALS,
    FULL_INHALE_SECONDS,
    LEAST_FILL,
)


def air_checks(each: PartEvidence, facts: StudyFacts, level: float, players: int = 1) -> Iterator[Check]:
    """Breath of singers and wind players, partials of brass."""
    instrument = each.instrument
    if instrument is None or not each.has_melody:
        return
    if instrument.family in ("woodwind", "brass", "voice"):
        yield from breath_checks(each, facts, level, players)
    if instrument.family == "brass":
        yield from partial_checks(each, level)


def out_of_breath(line: Sequence[Stretch], breath_s: float) -> tuple[tuple[Stretch, float], ...]:
    """The stretches for which there is not air enough, if every place before them is used to breathe.

    Each with the seconds for which the air before it lasts: each second takes its share of a full breath of
    ``breath_s`` seconds; a place gives back what its pause is of a full inhale (Huron and Berec 2009), and
    fills up to ``LEAST_FILL`` at the least.

    Example:
        >>> long, short = Stretch(0, 3, 9.0, 1.3, (0, 3)), Stretch(4, 5, 5.0, 0.3, (4, 5))
        >>> out_of_breath((long, short), 8.0) == ((long, 8.0),), out_of_breath((short,), 8.0)
        (True, ())
    """
    found, air = list[tuple[Stretch, float]](), 1.0
    for stretch in line:
        air = min(1.0, max(LEAST_FILL, air + stretch.pause_s / FULL_INHALE_SECONDS))
        if stretch.seconds > air * breath_s:
            found.append((stretch, air * breath_s))
        air = max(0.0, air - stretch.seconds / breath_s)
    return tuple(found)


def breath_checks(each: PartEvidence, facts: StudyFacts, level: float, players: int = 1) -> Iterator[Check]:
    """The bars in which there is no place to breathe, where they are a fair share of the part."""
    assert each.instrument
    line = stretches(each.part, facts.quarter_bpm)
    breath_s = on_scale(level, BREATH_SECONDS) * BREATH_SHARE.get(each.instrument.id, 1.0)
    found = out_of_breath(line, breath_s)
    if not found:
        return
    share = sum(stretch.seconds for stretch, _ in found) / sum(stretch.seconds for stretch in line)
    if share >= BREATH_WORTH:
        longest, lasts = max(found, key=lambda pair: pair[0].seconds)
        bars = {at for stretch, _ in found for at in range(stretch.bars[0], stretch.bars[1] + 1)}
        fix = Fix.STAGGER_BREATHS if players > 1 else Fix.LEAVE_A_NOTE
        yield Check(
            CheckKind.BREATH, Severity.WARNING, fix,
            measures=tuple(sorted(bars)),
            numbers=named(share=share, level=level, seconds=longest.seconds, worst=longest.measure,
                          breath=lasts),
        )  # fmt: skip


def partial_checks(each: PartEvidence, level: float) -> Iterator[Check]:
    """Leaps that pass over more partials than players of a level take without a second thought."""
    assert each.instrument
    easy = round(on_scale(level, EASY_PARTIALS))
    line = each.lines[0]
    skipped = partials_skipped(each.instrument.group, written_for(each, line))
    wide = (skipped > easy) & joined(line)
    if wide.any():
        yield Check(
            CheckKind.PARTIALS, Severity.NOTE, Fix.BUZZ_FIRST,
            measures=tuple(np.unique(line.measure[1:][wide]).tolist()),
            numbers=named(leaps=int(wide.sum()), partials=easy),
        )  # fmt: skip
