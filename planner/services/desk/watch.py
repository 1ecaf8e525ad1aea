"""Which sections to look at, and why: results otherwise than expected, levels that fall or are unsure."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from planner.core.ensemble import Section
from planner.levels.history import DayBelief, LevelBelief, Misfit
from planner.services.levels.section_levels import SectionEvidence

OUT_OF_BAND = 2.0
"""Standard errors by which the last day is away from what was expected: one day in twenty (house choice)."""

RECENT = timedelta(days=21)
"""A single surprising day, and a fall, are shown so long (house choice: three weekly readings)."""

LOOK_BACK = timedelta(days=28)
"""A fall of the level is looked for over so long (house choice: a month of four weeks)."""

FALLS_BY = 0.2
"""Levels lost in that time that are worth a word (house choice: two steps of what is shown)."""

FALL_DAYS = 2
"""Days with results within that time behind a fall, so that one day alone is none (house choice)."""

UNSURE_FROM = 0.5
"""Standard error of a level that is still unsure (house choice: the band is then two levels wide)."""


class WatchKind(StrEnum):
    """Why a section is to be looked at, the most pressing first."""

    MISFIT = "misfit"
    """Several days in a row were otherwise than expected."""
    OUT_OF_BAND = "out-of-band"
    """The last day was far from what was expected."""
    FALLING = "falling"
    UNSURE = "unsure"


@dataclass(frozen=True, slots=True)
class Watched:
    """A section to look at, with the values that say why.

    Attributes:
        section: Which.
        kind: Why.
        now: What is believed of its level today; of ``FALLING`` after its last result.
        misfit: The run of surprising days, of ``MISFIT``.
        day: The surprising day, of ``OUT_OF_BAND``.
        before: What was believed of its level a month before its last result, of ``FALLING``.
        results: How many results that count stand behind its level.
    """

    section: Section
    kind: WatchKind
    now: LevelBelief
    misfit: Misfit | None = None
    day: DayBelief | None = None
    before: LevelBelief | None = None
    results: int = 0


def sections_to_watch(
    evidence: Iterable[SectionEvidence], today: date, only: Collection[int] | None = None
) -> tuple[Watched, ...]:
    """The sections worth a look, each once with what presses most; the most pressing kind first.

    Args:
        evidence: What is known of every section's level.
        today: Levels are carried forward to this day.
        only: Of these sections alone; None takes all.
    """
    found = (_watched(each, today) for each in evidence if only is None or each.section.id in only)
    order = list(WatchKind)
    return tuple(sorted(filter(None, found), key=lambda each: order.index(each.kind)))


def _watched(each: SectionEvidence, today: date) -> Watched | None:
    trace = each.trace
    now, count = trace.forecast(today), sum(day.results for day in trace.days)
    if trace.misfit is not None:
        return Watched(each.section, WatchKind.MISFIT, now, misfit=trace.misfit, results=count)
    last = trace.days[-1] if trace.days else None
    if last is not None and today - last.on <= RECENT and abs(last.surprise) >= OUT_OF_BAND:
        return Watched(each.section, WatchKind.OUT_OF_BAND, now, day=last, results=count)
    before = _fallen_from(each, today)
    if before is not None:
        return Watched(each.section, WatchKind.FALLING, trace.now, before=before, results=count)
    if now.error >= UNSURE_FROM:
        return Watched(each.section, WatchKind.UNSURE, now, results=count)
    return None


def _fallen_from(each: SectionEvidence, today: date) -> LevelBelief | None:
    """What was believed a month before the last result, where the level fell until then; else None."""
    trace = each.trace
    if not trace.days or today - trace.days[-1].on > RECENT:
        return None
    since = trace.days[-1].on - LOOK_BACK
    recent = [day for day in trace.days if day.on > since]
    if len(recent) < FALL_DAYS:
        return None
    earlier = [day for day in trace.days if day.on <= since]
    if not earlier:
        return None  # the first results correct a start; that is no fall
    before = earlier[-1].after
    return before if before.level - trace.now.level >= FALLS_BY else None
