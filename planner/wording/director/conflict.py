"""Why there is no plan, and what would help, in words; and why a piece does not stand on a day."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from math import ceil, floor

from planner.errors import InfeasiblePlanError, PlannerError
from planner.scheduling import check
from planner.scheduling.answer import Cause, Conflict, ConflictKind, Mend, MendKind
from planner.wording.words import capital, counted, listed, short_day, some_of

Names = Mapping[int, str]

MOST_LEFT = 12
"""Pieces up to which those that are left are called few and named."""
MOST_DAYS = 6
"""Days named in one sentence; of more the last are counted."""


def error_words(error: PlannerError) -> tuple[str, str]:
    """What an error says where people read it: the sentence, and what to do."""
    if not isinstance(error, InfeasiblePlanError):
        return error.message, error.hint
    conflict = error.conflict
    return " ".join((headline(conflict), *conflict_sentences(conflict))), " ".join(mend_sentences(conflict))


def headline(conflict: Conflict) -> str:
    """What a conflict comes to, in one sentence.

    Example:
        >>> pin = Cause(check.PINS, date(2026, 11, 3), (7,))
        >>> headline(Conflict(ConflictKind.PIN, (check.PINS,), (pin,), titles=((7, "Air"),)))
        '“Air” cannot be pinned to Nov 3.'
        >>> headline(Conflict(ConflictKind.TOO_FEW, (), (Cause(check.FILLED, date(2026, 11, 3)),)))
        'There are too few fresh pieces for Nov 3.'
    """
    titles, days = _quoted(conflict), _days(_dates(conflict, check.FILLED))
    match conflict.kind:
        case ConflictKind.PIN:
            return _pins_headline(_single(_of(conflict, check.PINS)), titles)
        case ConflictKind.TOO_FEW:
            return f"There are too few fresh pieces for {days}."
        case ConflictKind.RULES:
            pins = [_pin(cause, titles) for cause in _single(_of(conflict, check.PINS))]
            beside = f", with {listed(pins)} pinned" if pins else ""
            return f"The rules together leave too few pieces for {days}{beside}."


def conflict_sentences(conflict: Conflict) -> tuple[str, ...]:
    """Why, one sentence for each thing without which there would be a plan."""
    titles, sections = _quoted(conflict), dict(conflict.sections)
    causes = [cause for cause in conflict.causes if cause.rule not in _IN_HEADLINE]
    if conflict.kind is not ConflictKind.PIN:
        causes = [cause for cause in causes if cause.piece_ids or cause.rule not in _WITH_SLOTS]
    found = [
        _cause_sentence(cause, dates, titles, sections, conflict.kind) for cause, dates in _by_days(causes)
    ]
    if conflict.kind is ConflictKind.PIN and not causes:
        found = [_bare_pins(conflict, titles)]
    if conflict.kind is not ConflictKind.PIN:
        found.append(_left(conflict, titles))
    if not conflict.is_minimal:
        found.append("The search for the cause ran out of time: not all of this need be to blame.")
    return tuple(found)


def mend_sentences(conflict: Conflict) -> tuple[str, ...]:
    """What would help, each by itself: first what is enough, then what may not be."""
    titles = _quoted(conflict)
    enough = [_mend(mend, titles) for mend in conflict.mends if mend.is_enough]
    other = [_mend(mend, titles) for mend in conflict.mends if not mend.is_enough]
    found = []
    if enough:
        found.append(f"{capital('; or '.join(enough))}.")
    if other:
        also = "Also possible, though something else may" if enough else "This would help, though more may"
        found.append(f"{also} still stand in the way: {'; or '.join(other)}.")
    return tuple(found)


def obstacle_sentences(causes: Iterable[Cause], titles: Names, sections: Names) -> tuple[str, ...]:
    """Why one piece does not stand on one day (``causes.why_not``), a sentence a rule.

    Example:
        >>> why = (Cause(check.MINUTES, date(2026, 11, 3), (7,), minutes=2.5),)
        >>> obstacle_sentences(why, {7: "“Air”"}, {})
        ('“Air” is 2.5 minutes too long for Nov 3.',)
    """
    return tuple(
        _cause_sentence(cause, (cause.on,) if cause.on else (), titles, sections, ConflictKind.PIN)
        for cause in causes
    )


def _quoted(conflict: Conflict) -> Names:
    return {piece: f"“{title}”" for piece, title in conflict.titles}


_IN_HEADLINE = (check.FILLED, check.PINS)
_WITH_SLOTS = (check.MINUTES, check.FOLDERS)


def _of(conflict: Conflict, rule: str) -> list[Cause]:
    return [cause for cause in conflict.causes if cause.rule == rule]


def _dates(conflict: Conflict, rule: str) -> list[date]:
    return [cause.on for cause in _of(conflict, rule) if cause.on]


def _days(dates: Sequence[date]) -> str:
    return some_of([short_day(on) for on in dates], MOST_DAYS)


def _named(ids: Iterable[int], names: Names, most: int = 4) -> str:
    return some_of([names[number] for number in ids if number in names], most)


def _either(ids: Iterable[int], names: Names) -> str:
    *others, last = [names[number] for number in ids if number in names] or ["that piece"]
    return f"{', '.join(others)} or {last}" if others else last


def _by_days(causes: Sequence[Cause]) -> list[tuple[Cause, tuple[date, ...]]]:
    """Causes that differ only in their day as one, with the days."""
    groups: dict[object, tuple[Cause, tuple[date, ...]]] = {}
    for cause in causes:
        key = (cause.rule, cause.piece_ids, cause.section_ids, cause.minutes)
        first, dates = groups.get(key, (cause, ()))
        groups[key] = (first, (*dates, cause.on) if cause.on else dates)
    return list(groups.values())


def _single(causes: Sequence[Cause]) -> list[Cause]:
    """One cause for each piece."""
    return [replace(cause, piece_ids=(piece,)) for cause in causes for piece in cause.piece_ids]


def _pins_headline(pins: Sequence[Cause], titles: Names) -> str:
    if len(pins) > 1:
        return f"These pins cannot hold together: {'; '.join(_pin(pin, titles) for pin in pins)}."
    pieces = _named(pins[0].piece_ids, titles) or "The pinned piece"
    if pins[0].on is None:
        return f"{pieces} cannot be placed in this term."
    return f"{pieces} cannot be pinned to {short_day(pins[0].on)}."


def _pin(pin: Cause, titles: Names) -> str:
    pieces = _named(pin.piece_ids, titles) or "a piece that cannot be planned"
    return f"{pieces} on {short_day(pin.on)}" if pin.on else f"{pieces} on some day"


def _left(conflict: Conflict, titles: Names) -> str:
    """How many slots need a piece, and which pieces are left for them."""
    slots = sum(cause.slots for cause in conflict.causes)
    need = "One slot needs a piece" if slots == 1 else f"{capital(counted(slots))} slots need a piece"
    if not conflict.left:
        return f"{need}, and none is left."
    be = "is" if len(conflict.left) == 1 else "are"
    many = len(conflict.left) > MOST_LEFT
    left = f"{len(conflict.left)} pieces" if many else _named(conflict.left, titles, most=MOST_LEFT)
    if len(conflict.left) < slots:
        return f"{need}, and only {left} {be} left."
    return f"{need}; {left} {be} left, but {_in_the_way(conflict)}."


def _bare_pins(conflict: Conflict, titles: Names) -> str:
    """A pin that fails although no other rule stands against it."""
    pins = _single(_of(conflict, check.PINS))
    if any(pin.piece_ids[0] not in titles for pin in pins):
        return "That piece is not among those that this ensemble can be given."
    if len(pins) > 1:
        return "There are more pinned pieces than slots."
    return "That is not a reading day of the term."


def _in_the_way(conflict: Conflict) -> str:
    if check.MINUTES in conflict.rules:
        return "together they take more minutes than there are"
    if check.FOLDERS in conflict.rules:
        return "a set of folders is in one room at a time"
    return "they cannot be shared out so that every slot has one"


def _cause_sentence(
    cause: Cause, dates: Sequence[date], titles: Names, sections: Names, kind: ConflictKind
) -> str:
    pieces, days = _named(cause.piece_ids, titles), _days(dates)
    be = "is" if len(cause.piece_ids) < 2 else "are"
    match cause.rule:
        case check.ONCE if kind is ConflictKind.PIN:
            return f"{pieces} already has another day, and no section reads a piece twice."
        case check.ONCE:
            return "No section reads a piece twice."
        case check.SETTLED:
            return f"{days} {'is' if len(dates) == 1 else 'are'} past or announced and {_stays(dates)}."
        case check.BANS:
            return f"You keep {pieces} {f'off {days}' if dates else 'out of the term'}."
        case check.FOCUSED if pieces:
            return f"{pieces} {'trains' if be == 'is' else 'train'} none of the skills of the term."
        case check.FOCUSED:
            return "The other pieces train none of the skills of the term."
        case check.FRESH if pieces:
            return f"Somebody in the room knows {pieces} by {days}."
        case check.FORCES if pieces:
            return f"The players there on {days} cannot read {pieces} together."
        case check.FOLDERS if pieces:
            return f"The folders of {pieces} are elsewhere or in another room on {days}."
        case check.MINUTES if pieces and cause.minutes:
            return f"{pieces} {be} {_minutes(cause.minutes)} too long for {days}."
        case check.MINUTES if pieces:
            return f"{pieces} {be} too long for {days}."
        case check.READABLE if pieces:
            lost = _named(cause.section_ids, sections)
            return f"{lost} would likely be lost in {pieces} on {days}."
        case _:
            return _together(cause, days, sections)


def _together(cause: Cause, days: str, sections: Names) -> str:
    """A rule that bites only together with others: no piece is kept off by it alone."""
    match cause.rule:
        case check.MINUTES:
            return f"{days}: the pieces take more minutes together than there are."
        case check.READABLE:
            return f"{days}: {_named(cause.section_ids, sections)} must not be lost."
        case check.FRESH:
            return f"{days}: nobody in the room may know the piece."
        case check.FORCES:
            return f"{days}: the players there must be able to read the piece together."
        case _:
            return f"{days}: a set of folders is in one room at a time."


def _stays(dates: Sequence[date]) -> str:
    return "stays as it is" if len(dates) == 1 else "stay as they are"


def _minutes(minutes: float) -> str:
    return f"{minutes:g} {'minute' if minutes == 1 else 'minutes'}"


def _mend(mend: Mend, titles: Names) -> str:
    days, pieces = _days(mend.on), _either(mend.piece_ids, titles)
    match mend.kind:
        case MendKind.ADD_PIECES:
            level = "" if mend.level is None else f" of about level {mend.level:.1f}"
            each = "" if mend.count == 1 else " each"
            added = f"{counted(mend.count)} fresh {'piece' if mend.count == 1 else 'pieces'}"
            return f"add {added}{level}, at most {_minutes(floor(mend.minutes))}{each}, for {days}"
        case MendKind.LEAVE_OPEN:
            return f"let {counted(mend.count)} {'slot' if mend.count == 1 else 'slots'} stay open ({days})"
        case MendKind.UNPIN:
            return f"take back the pin of {pieces}{f' to {days}' if days else ''}"
        case MendKind.UNBAN:
            return f"take back the ban on {pieces}{f' for {days}' if days else ''}"
        case MendKind.ADD_MINUTES:
            more = ceil(mend.minutes)
            return f"give {days} {'one more minute' if more == 1 else f'another {more} minutes'}"
        case MendKind.PIN:
            return f"pin {pieces} to {days} all the same"
        case MendKind.ADD_SETS:
            return f"have the folders of {pieces} back, or a second set, on {days}"
        case MendKind.ADD_SKILL:
            return f"let the term train a skill of {pieces}"
