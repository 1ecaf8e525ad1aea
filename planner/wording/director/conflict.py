"""Why there is no plan, and what would help, in words; and why a piece does not stand on a day."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from math import ceil, floor

from planner.errors import InfeasiblePlanError, PlannerError
from planner.scheduling import check
from planner.scheduling.answer import Cause, Conflict, ConflictKind, Mend, MendKind
from planner.wording.words import capital, counted, day, listed, some_of

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
        'Air cannot be pinned to November 3.'
        >>> headline(Conflict(ConflictKind.TOO_FEW, (), (Cause(check.FILLED, date(2026, 11, 3)),)))
        'There are too few fresh pieces for November 3.'
    """
    titles, days = dict(conflict.titles), _days(_dates(conflict, check.FILLED))
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
    titles, sections = dict(conflict.titles), dict(conflict.sections)
    causes = [cause for cause in conflict.causes if cause.rule not in (check.FILLED, check.PINS)]
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
    titles = dict(conflict.titles)
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
        >>> obstacle_sentences(why, {7: "Air"}, {})
        ('Air is 2.5 minutes too long for November 3.',)
    """
    return tuple(
        _cause_sentence(cause, (cause.on,) if cause.on else (), titles, sections, ConflictKind.PIN)
        for cause in causes
    )


def _of(conflict: Conflict, rule: str) -> list[Cause]:
    return [cause for cause in conflict.causes if cause.rule == rule]


def _dates(conflict: Conflict, rule: str) -> list[date]:
    return [cause.on for cause in _of(conflict, rule) if cause.on]


def _days(dates: Sequence[date]) -> str:
    return some_of([day(on) for on in dates], MOST_DAYS)


def _named(ids: Iterable[int], names: Names, joined: str = "and") -> str:
    each = some_of([names[number] for number in ids if number in names])
    return each if joined == "and" else each.replace(" and ", f" {joined} ")


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
    on = pins[0].on
    return f"{pieces} cannot be pinned to {day(on)}." if on else f"{pieces} cannot be placed in this term."


def _pin(pin: Cause, titles: Names) -> str:
    pieces = _named(pin.piece_ids, titles) or "a piece that cannot be planned"
    return f"{pieces} on {day(pin.on)}" if pin.on else f"{pieces} on some day"


def _left(conflict: Conflict, titles: Names) -> str:
    days = _dates(conflict, check.FILLED)
    there = "that day" if len(days) == 1 else "these days"
    if not conflict.left:
        return f"No other piece is left for {there}."
    if len(conflict.left) > MOST_LEFT:
        return f"{len(conflict.left)} pieces are left for {there}."
    be = "is" if len(conflict.left) == 1 else "are"
    return f"Only {_named(conflict.left, titles)} {be} left for {there}."


def _bare_pins(conflict: Conflict, titles: Names) -> str:
    """A pin that fails although no other rule stands against it."""
    pins = _of(conflict, check.PINS)
    pieces = [piece for cause in pins for piece in cause.piece_ids]
    if any(piece not in titles for piece in pieces):
        return "That piece is not among those that this ensemble can be given."
    if len(pieces) > 1:
        return "There are more pinned pieces than slots."
    return "That is not a reading day of the term."


def _cause_sentence(
    cause: Cause, dates: Sequence[date], titles: Names, sections: Names, kind: ConflictKind
) -> str:
    pieces, days = _named(cause.piece_ids, titles), _days(dates)
    be = "is" if len(cause.piece_ids) < 2 else "are"
    match cause.rule:
        case check.ONCE if kind is ConflictKind.PIN:
            return f"No section reads {pieces} twice."
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
            return f"{lost} would probably be lost in {pieces} on {days}."
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
    days, pieces = _days(mend.on), _named(mend.piece_ids, titles, "or") or "that piece"
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
