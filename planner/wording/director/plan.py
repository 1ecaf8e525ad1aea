"""A term plan in words: why a piece stands on its day, and how good the plan is known to be."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.core.ensemble import Section
from planner.core.profile import Contribution
from planner.core.term import Plan, Reason, ReasonKind, Slot
from planner.wording.study.difficulty import measured_words
from planner.wording.words import count_of, day, often, percent


def slot_reasons(slot: Slot, sections: Sequence[Section]) -> tuple[str, ...]:
    """Why a piece stands where it stands, one sentence a reason; sections that are gone are left out."""
    names = {section.id: section.name for section in sections}
    return tuple(
        _reason(reason, slot, names)
        for reason in slot.reasons
        if reason.section_id is None or reason.section_id in names
    )


ON_THE_WALL = frozenset({ReasonKind.EASIER, ReasonKind.TRAINS, ReasonKind.FEATURES, ReasonKind.PASSAGE})
"""Reasons that name no section that may fall short, and do not speak to the director."""


def wall_reasons(slot: Slot, sections: Sequence[Section]) -> tuple[str, ...]:
    """Of the reasons those that anybody may read on a wall."""
    shown = tuple(reason for reason in slot.reasons if reason.kind in ON_THE_WALL)
    again = any(reason.kind is ReasonKind.AGAIN for reason in slot.reasons)
    return (*(("A second reading.",) if again else ()), *slot_reasons(replace(slot, reasons=shown), sections))


def target_of(slot: Slot) -> str:
    """What the day aims at, in few words; empty where nothing says so.

    Example:
        >>> from datetime import date
        >>> aim = Reason(ReasonKind.AIM, (("aim", 0.84),))
        >>> target_of(Slot(date(2026, 9, 3), 0, 1, "key", reasons=(aim,)))
        'aim 84%'
    """
    for reason in slot.reasons:
        if reason.kind is ReasonKind.AIM:
            return f"aim {percent(reason.number('aim'))}"
        if reason.kind is ReasonKind.LEVEL:
            return f"aim {reason.number('target'):.1f}"
    return ""


AIM_NOTE = "Aim: of 100 bars, how many the sections should get right on the first reading."
"""What the aim of a day is, beneath the plan."""


def _reason(reason: Reason, slot: Slot, names: Mapping[int, str]) -> str:
    section = names.get(reason.section_id or 0, "")
    match reason.kind:
        case ReasonKind.PINNED:
            return "You put it on this day."
        case ReasonKind.AGAIN:
            before = f", first on {day(reason.last_on)}" if reason.last_on else ""
            return f"You wanted it read again{before}."
        case ReasonKind.AIM:
            share, aim = percent(reason.number("share")), percent(reason.number("aim"))
            return f"The sections should get about {share} of the bars right; the day aims at {aim}."
        case ReasonKind.EASIER:
            concert = reason.last_on
            when = (
                f"the last reading before the concert on {day(concert)}"
                if concert
                else "the first reading after a break"
            )
            return f"An easier day: {when}."
        case ReasonKind.LEVEL:
            level, target = reason.number("level"), reason.number("target")
            return f"Level {level:.1f}; the term should stand at {target:.1f} by then."
        case ReasonKind.TRAINS:
            return _trains(slot.focus, reason.evidence, int(reason.number("named")))
        case ReasonKind.FEATURES:
            last = reason.last_on
            since = f"last featured on {day(last)}" if last else "for the first time this term"
            return f"Features {section}, {since}."
        case ReasonKind.HARDEST:
            share = percent(reason.number("share"))
            return f"Hardest for {section}: about {share} of the bars right at first sight."
        case ReasonKind.TIME:
            return f"Takes {_minutes(reason)}."
        case ReasonKind.PASSAGE:
            first, last_bar = reason.bars
            return f"Bars {first} to {last_bar} take {_minutes(reason)}; the whole piece would not fit."


def _trains(focus: str, evidence: Contribution | None, named: int) -> str:
    why = f" ({measured_words(evidence.evidence)})" if evidence and evidence.evidence else ""
    lately = f" It was named as a problem {often(named)}." if named > 1 else ""
    return f"Trains {focus}{why}.{lately}"


def _minutes(reason: Reason) -> str:
    return f"{reason.number('minutes'):g} of the day's {reason.number('available'):g} minutes"


def proof_text(plan: Plan) -> str:
    """How good the plan is known to have been when it was made.

    Example:
        >>> proof_text(Plan(1, (), cost=100.0, bound=99.5, is_proven=True))
        'When it was made, no plan was more than 0.5% better by the planning rules.'
    """
    if plan.cost <= 0 or plan.cost - plan.bound <= 1e-9 * abs(plan.cost):
        best = "no plan was better by the planning rules" if plan.is_proven else "it met every planning rule"
        return f"When it was made, {best}."
    gap = 100 * (plan.cost - plan.bound) / abs(plan.cost)
    if plan.is_proven:
        return f"When it was made, no plan was more than {gap:.1f}% better by the planning rules."
    return f"When it was made, it met every planning rule; a better plan could cost at most {gap:.1f}% less."


DAY_OFF = "day off"
"""Why nothing is read on a day that the term leaves out."""


def open_day_reason(*, is_past: bool) -> str:
    """Why a reading day has no piece. Either may be so: a plan keeps only the pieces it has.

    Example:
        >>> open_day_reason(is_past=True)
        'nothing was planned'
    """
    if is_past:
        return "nothing was planned"
    return "left open: no fresh piece suits, or not planned yet"


def places_left(count: int) -> str:
    """How many places of a day hold no piece yet, beside those that do.

    Example:
        >>> places_left(1), places_left(2)
        ('1 more place is open', '2 more places are open')
    """
    return f"{count_of(count, 'more place')} {'is' if count == 1 else 'are'} open"


def room_words(number: int, station: str) -> str:
    """In which round and where a piece is read.

    Example:
        >>> room_words(2, "Brass")
        'round 2, Brass'
    """
    return f"round {number}, {station}"


def calendar_title(titles: Sequence[str]) -> str:
    """What a reading day is called in a calendar.

    Example:
        >>> calendar_title(["Rondo", "New Britain"])
        'Sight-reading: Rondo; New Britain'
    """
    return f"Sight-reading: {'; '.join(titles)}"


CANCELLED_TITLE = "No sight-reading"
"""What a day is called in a calendar when it has fallen away."""


def calendar_line(
    title: str,
    credit: str,
    *,
    level: float | None,
    focus: str,
    featured: str,
    minutes: float,
    tempo: tuple[str, int | None],
    room: str = "",
) -> str:
    """What a calendar says of a piece beside its title; ``tempo`` is the beat and how many a minute.

    Example:
        >>> calendar_line("Rondo", "Ada Weir", level=2.5, focus="rhythm", featured="", minutes=9.5,
        ...               tempo=("half", 66))
        'Rondo (Ada Weir): level 2.5, focus rhythm, 10 minutes, first reading half = 66'
    """
    beat, number = tempo
    facts = [
        room,
        f"level {level:.1f}" if level is not None else "",
        f"focus {focus}",
        f"featuring {featured}" if featured else "",
        count_of(round(minutes), "minute") if minutes else "",
        f"first reading {beat} = {number}" if number is not None else "",
    ]
    named = f"{title} ({credit})" if credit else title
    return f"{named}: {', '.join(fact for fact in facts if fact)}"
