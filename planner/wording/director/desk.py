"""What the director's desk says: sections to look at, what waits."""

from collections.abc import Sequence
from datetime import date

from planner.levels.history import DayBelief, LevelBelief
from planner.wording.director.jobs import job_title
from planner.wording.director.sections import range_text
from planner.wording.words import count_of, listed_dates, long_day, short_day, some_of

NAMED_UNSURE = 6
"""Sections with an unsure level that are named one by one (house choice)."""


def out_of_band_text(section: str, day: DayBelief) -> str:
    """That the last day was far from what was expected.

    Example:
        >>> belief = LevelBelief(2.0, 0.3, 1.4, 2.6)
        >>> low = DayBelief(date(2026, 9, 1), belief, belief, 0.0, 0.1, 0.84, 0.4, -2.5, 1)
        >>> out_of_band_text("Flute", low)
        'Flute: far lower than expected on Sep 1, 40 of 100 bars right where 84 were expected.'
    """
    way = "lower" if day.surprise < 0 else "higher"
    right, expected = round(100 * day.observed), round(100 * day.expected)
    return (
        f"{section}: far {way} than expected on {short_day(day.on)}, "
        f"{right} of 100 bars right where {expected} were expected."
    )


def falling_text(section: str, before: LevelBelief, now: LevelBelief) -> str:
    """That a level has fallen within four weeks of results.

    Example:
        >>> falling_text("Horn", LevelBelief(2.5, 0.2, 2.1, 2.9), LevelBelief(2.2, 0.2, 1.8, 2.6))
        'Horn: its level fell from 2.5 to 2.2 within four weeks.'
    """
    return f"{section}: its level fell from {before.level:.1f} to {now.level:.1f} within four weeks."


def unsure_text(sections: Sequence[tuple[str, LevelBelief, int]]) -> str:
    """Which levels are still unsure, with the interval and the results behind each.

    Example:
        >>> unsure_text([("Tuba", LevelBelief(2.0, 0.7, 0.6, 3.4), 0)])
        'Level still unsure: Tuba (0.6 to 3.4, no results yet).'
        >>> unsure_text([("Tuba", LevelBelief(2.0, 0.6, 0.8, 3.2), 1)])
        'Level still unsure: Tuba (0.8 to 3.2, 1 result).'
    """
    named = [
        f"{name} ({range_text(belief)}, {count_of(count, 'result') if count else 'no results yet'})"
        for name, belief, count in sections
    ]
    return f"Level still unsure: {some_of(named, NAMED_UNSURE)}."


def no_results_text(days: Sequence[date]) -> str:
    """Which days have no results yet, the newest first, beyond those that are named one by one.

    Example:
        >>> no_results_text([date(2026, 9, 8), date(2026, 9, 1)])
        '2 more days without results: September 1, 2026; September 8, 2026.'
    """
    return f"{count_of(len(days), 'more day')} without results: {listed_dates(days)}."


def proposed_text(days: int) -> str:
    """That a plan is proposed.

    Example:
        >>> proposed_text(1), proposed_text(3)
        ('A new plan is proposed; it changes 1 day.', 'A new plan is proposed; it changes 3 days.')
    """
    return f"A new plan is proposed; it changes {count_of(days, 'day')}."


def wishes_text(count: int) -> str:
    """That the plan does not yet do what the director wants.

    Example:
        >>> wishes_text(1), wishes_text(2)
        ('1 wish of yours is not in the plan yet.', '2 wishes of yours are not in the plan yet.')
    """
    return (
        f"{count_of(count, 'wish', 'wishes')} of yours {'is' if count == 1 else 'are'} not in the plan yet."
    )


def stopped_text(kind: str, *, has_failed: bool) -> str:
    """That long work stands still.

    Example:
        >>> stopped_text("import", has_failed=True), stopped_text("plan", has_failed=False)
        ('Adding scores: it failed.', 'Planning a term: it was stopped.')
    """
    return f"{job_title(kind)}: it {'failed' if has_failed else 'was stopped'}."


def refused_text(on: date, count: int) -> str:
    """That an import refused files.

    Example:
        >>> refused_text(date(2026, 9, 1), 2)
        'Scores added on Tuesday, September 1: 2 files were refused.'
    """
    were = "was" if count == 1 else "were"
    return f"Scores added on {long_day(on)}: {count_of(count, 'file')} {were} refused."
