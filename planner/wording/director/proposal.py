"""Sentences about a new plan: what came of planning, what is proposed, what should be known beside it."""

from collections.abc import Sequence
from datetime import date

from planner.wording.words import count_of, short_day, some_of

UNCHANGED = "Nothing has changed since this plan was made."
KEPT = "The plan stays: no better one was found as things are now."
OUT_OF_TIME = "The search ran out of time: the plan keeps every rule, but a better one may exist."
STOPPED = "The search was stopped: this is the best plan found so far."
ALL_STAY = "Every day to come stays as it is: announced, printed or pinned."


def cannot_take_sentence(rules: Sequence[str], others: Sequence[date]) -> str:
    """Why some days of a proposal cannot be taken alone.

    Example:
        >>> cannot_take_sentence(("no section meets a piece twice",), [date(2026, 9, 8)])
        'These days alone would break a rule (no section meets a piece twice); they go with Sep 8.'
    """
    with_others = f"; they go with {some_of([short_day(on) for on in others])}" if others else ""
    return f"These days alone would break a rule ({'; '.join(rules)}){with_others}."


def proposed_note(days: int) -> str:
    """That a better plan waits to be looked at.

    Example:
        >>> proposed_note(3)
        'A better plan would change 3 days. The plan stays as it is until you take it.'
    """
    return f"A better plan would change {count_of(days, 'day')}. The plan stays as it is until you take it."


def needed_note(days: int) -> str:
    """That a plan must change, and what is proposed."""
    return (
        f"The plan cannot stay as it is; what is proposed would change {count_of(days, 'day')}. "
        "Nothing changes until you take it."
    )


def open_slots_note(count: int) -> str:
    """That slots stay open.

    Example:
        >>> open_slots_note(1)
        'One slot stays open: no fresh piece that suits is left for it. See the day for what would fill it.'
    """
    slots, them = ("One slot stays", "it") if count == 1 else (f"{count} slots stay", "them")
    return (
        f"{slots} open: no fresh piece that suits is left for {them}. See the day for what would fill it."
    )


def open_for_now_note(count: int) -> str:
    """That slots stay open because the search ended early."""
    slots = "One slot is" if count == 1 else f"{count} slots are"
    return f"{slots} open because the search ended early; plan again with more time."


def short_skill_note(skill: str, pieces: int, share: int) -> str:
    """That too few pieces train a skill for its share of the term.

    Example:
        >>> short_skill_note("key", 1, 4)
        'Only 1 fresh piece trains key; an even share of the term would be 4.'
        >>> short_skill_note("meter", 0, 0)
        'No fresh piece trains meter.'
    """
    if not pieces:
        return f"No fresh piece trains {skill}."
    train = "trains" if pieces == 1 else "train"
    return (
        f"Only {count_of(pieces, 'fresh piece')} {train} {skill}; an even share of the term would be {share}."
    )


def never_featured_note(section: str) -> str:
    """That no fresh piece gives a section the tune."""
    return f"{section} has the tune in no fresh piece and cannot be featured."


def unlogged_note(days: Sequence[date]) -> str:
    """That nobody logged whether past days were read as planned.

    Example:
        >>> unlogged_note([date(2026, 9, 8)])
        'Nothing is logged for Sep 8: was it read? Until you say so, its pieces count as read.'
    """
    shown = some_of([short_day(on) for on in days])
    was, its = ("was it", "its") if len(days) == 1 else ("were they", "their")
    return f"Nothing is logged for {shown}: {was} read? Until you say so, {its} pieces count as read."
