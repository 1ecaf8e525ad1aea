"""Sentences about a new plan: what came of planning, what is proposed, what should be known beside it."""

from collections.abc import Sequence
from datetime import date

from planner.scheduling.check import (
    BANS,
    FILLED,
    FOLDERS,
    FORCES,
    FRESH,
    MINUTES,
    ONCE,
    PINS,
    READABLE,
    PlanCost,
)
from planner.wording.words import capital, count_of, listed, short_day, some_of

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
    return f"{slots} open: no fresh piece that suits is left for {them}. See the day for what would fill it."


def filled_by_new_note(count: int, filled: int) -> str:
    """That a new plan, not taken yet, fills open slots.

    Example:
        >>> filled_by_new_note(5, 4), filled_by_new_note(1, 1)
        ('The new plan would fill 4 of 5 open places.', 'The new plan would fill the open place.')
    """
    if filled < count:
        return f"The new plan would fill {filled} of {count} open places."
    return f"The new plan would fill {'the open place' if count == 1 else f'all {count} open places'}."


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


_WHY = {
    "rule": "Goes with days that cannot stay as they are",
    "open": "Fills an open place",
    "reading": "Suits the sections better",
    "focus": "Skills come up more evenly",
    "turns": "Sections have the tune more evenly",
    "variety": "More variety from day to day",
}


_WHY_THE_SAME = {
    "focus": "The same piece, so that skills come up more evenly",
    "turns": "The same piece, so that sections have the tune more evenly",
}


def change_why(why: str, rule: str, title: str, together: Sequence[date], *, is_same: bool = False) -> str:
    """Why a day would change, and which days go with it.

    Args:
        why: What the change is for.
        rule: The rule that is broken now; empty where none is.
        title: Of the piece that breaks it.
        together: Days that change with it.
        is_same: The pieces stay; only what they are read for changes.

    Example:
        >>> change_why("reading", "", "", [date(2026, 9, 8)])
        'Suits the sections better. Goes with Sep 8.'
        >>> change_why("rule", "only fresh pieces", "Rondo", [])
        'Somebody in the room knows “Rondo” by now.'
        >>> change_why("reading", "", "", [], is_same=True)
        'The same piece, for another skill or section.'
    """
    first = broken_rule(rule, title) if rule else f"{_WHY[why]}."
    if is_same and not rule:
        first = f"{_WHY_THE_SAME.get(why, 'The same piece, for another skill or section')}."
    with_others = f" Goes with {some_of([short_day(on) for on in together])}." if together else ""
    return f"{first}{with_others}"


def broken_days(count: int) -> str:
    """That planned days cannot stay as they are.

    Example:
        >>> broken_days(1), broken_days(2)
        ('1 planned day no longer holds.', '2 planned days no longer hold.')
    """
    return f"{count_of(count, 'planned day')} no longer {'holds' if count == 1 else 'hold'}."


def broken_rule(rule: str, title: str = "", lost: Sequence[str] = ()) -> str:
    """That what is planned breaks a rule as things are now; ``lost`` are sections that would be lost in it.

    Example:
        >>> broken_rule("no section is likely to be lost", "Rondo", ["Oboe"])
        '“Rondo” is too hard: Oboe would likely be lost.'
    """
    piece = f"“{title}”" if title else "What is planned"
    sentences = {
        FRESH: f"Somebody in the room knows {piece if title else 'a planned piece'} by now.",
        READABLE: f"{piece} is too hard: {some_of(lost) or 'a section'} would likely be lost.",
        FORCES: f"{piece} no longer suits who is there: too much would be missing.",
        MINUTES: f"{piece} no longer fits into the minutes of the day.",
        FOLDERS: f"The folders of {piece if title else 'a planned piece'} are in another room that day.",
        BANS: f"You keep {piece if title else 'a planned piece'} off this day.",
        PINS: "A piece you pinned to this day is not there yet.",
        FILLED: "The day has other places than the plan knows.",
        ONCE: f"{piece} is read on another day as well.",
    }
    return sentences.get(rule, f"It breaks a rule now: {rule}.")


def gain_words(saved: PlanCost) -> str:
    """What a change gains and what it loses, in points of the planning rules.

    A filled place is worth more than whatever its piece loses elsewhere, so that stands alone.

    Example:
        >>> gain_words(PlanCost(reading=180, focus=20, turns=0, variety=-6, change=-40, open=0))
        'Gains 180 points in fit and 20 in skills; loses 6 in variety and 40 for the change.'
        >>> gain_words(PlanCost(reading=-141, focus=-30, turns=0, variety=0, change=0, open=1))
        'Fills an open place.'
    """
    names = {
        "reading": "in fit", "focus": "in skills", "turns": "in turns at the tune",
        "variety": "in variety", "change": "for the change",
    }  # fmt: skip
    values = {name: int(getattr(saved, name)) for name in names}
    if saved.open > 0:
        return "Fills an open place."
    gains = [(value, names[name]) for name, value in values.items() if value > 0]
    losses = [(-value, names[name]) for name, value in values.items() if value < 0]
    parts = ["leaves a place open"] if saved.open < 0 else []
    parts += [f"gains {_points(gains, says_unit=True)}"] if gains else []
    parts += [f"loses {_points(losses, says_unit=not gains)}"] if losses else []
    return f"{capital('; '.join(parts))}." if parts else "Neither gains nor loses points."


def _points(each: Sequence[tuple[int, str]], *, says_unit: bool) -> str:
    (value, name), *rest = each
    unit = (" point" if value == 1 else " points") if says_unit else ""
    return listed([f"{value}{unit} {name}", *(f"{value} {name}" for value, name in rest)])


def whole_gain(gain: int | None, changed: int, ahead: int, filled: int = 0, same: int = 0) -> str:
    """What a proposal is worth as a whole.

    Args:
        gain: Points it gains, changes charged for; None where the plan in force cannot stay.
        changed: Days it changes.
        ahead: Reading days to come.
        filled: Open places it fills.
        same: Days of those it changes that keep their pieces.

    Example:
        >>> whole_gain(320, 4, 22)
        'It changes 4 of the 22 days ahead and gains 320 points, with each change charged for.'
        >>> whole_gain(15320, 4, 22, filled=3)
        'It changes 4 of the 22 days ahead and fills 3 open places.'
        >>> whole_gain(None, 1, 22)
        'It changes 1 of the 22 days ahead; the plan in force cannot stay as it is.'
        >>> whole_gain(20, 3, 22, same=2)
        'It changes 3 of the 22 days ahead (2 only in what the piece is for) and gains 20 points, with each \
change charged for.'
    """
    changes = f"It changes {changed} of the {count_of(ahead, 'day')} ahead"
    if same:
        changes += f" ({same} only in what the piece is for)"
    if gain is None:
        return f"{changes}; the plan in force cannot stay as it is."
    if filled > 0:
        return f"{changes} and fills {count_of(filled, 'open place')}."
    return f"{changes} and gains {count_of(gain, 'point')}, with each change charged for."


def known_how(how: str, met: str) -> str:
    """How somebody in the room comes to know a planned piece.

    Example:
        >>> known_how("met", "Oboe of Lantern Street Band read it on March 3, 2026.")
        'Oboe of Lantern Street Band read it on March 3, 2026.'
    """
    match how:
        case "unlogged":
            return f"It may be known: it was planned before, and nobody logged that day. {met}"
        case "planned":
            return "Another plan has it earlier for some of these players."
    return met


def known_words(count: int) -> str:
    """That planned pieces are not new to everybody.

    Example:
        >>> known_words(2)
        '2 planned pieces are not new to everyone in the room.'
    """
    if count == 1:
        return "A planned piece is not new to everyone in the room."
    return f"{count} planned pieces are not new to everyone in the room."
