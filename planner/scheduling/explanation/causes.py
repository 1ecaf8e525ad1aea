"""What the rules say of one piece in one sitting, rule by rule and place by place.

Plain Python without a solver, so that a page can ask why a piece does not stand on a
day. A cause is a rule at one place: for rules about pairs of piece and sitting it is
the day (and the section that would be lost), for pins and bans the piece; skills and
repeats have one for the whole term.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from itertools import groupby

from planner.scheduling import check
from planner.scheduling.answer import Cause
from planner.scheduling.problem import Candidate, PlanProblem, Sitting

BINDING_RULES = (
    check.FILLED,
    check.PINS,
    check.SETTLED,
    check.BANS,
    check.FOLDERS,
    check.FORCES,
    check.MINUTES,
    check.READABLE,
    check.FOCUSED,
    check.FRESH,
    check.ONCE,
)
"""Rules that can be in conflict, in the order in which an explanation tries to do without them, so that what
the director set and what was estimated is blamed only where bare numbers do not explain it.

The others never are: nobody has to be featured, and the pieces of a day can always be ordered. Without the
rule that every slot has a piece slots may stay open; without the one that settled days stay, a pin to such a
day holds.
"""

_BY_DAY = (check.FOLDERS, check.FORCES, check.MINUTES, check.FRESH)


def every_cause(problem: PlanProblem) -> dict[str, tuple[Cause, ...]]:
    """Each binding rule at each of its places."""
    dates = [problem.days[day].on for day in problem.free_days]
    held = {(s.piece_id, s.on) for s in problem.settled} | {(s.piece_id, None) for s in problem.settled}
    found = {rule: tuple(Cause(rule, on) for on in dates) for rule in _BY_DAY}
    found[check.FILLED] = (
        () if problem.limits.may_leave_open else tuple(Cause(check.FILLED, d) for d in dates)
    )
    found[check.READABLE] = tuple(
        Cause(check.READABLE, on, (), (section.id,)) for on in dates for section in problem.sections
    )
    found[check.FOCUSED] = (Cause(check.FOCUSED),)
    found[check.ONCE] = (Cause(check.ONCE),)
    found[check.BANS] = tuple(
        dict.fromkeys(Cause(check.BANS, ban.on, (ban.piece_id,)) for ban in problem.bans)
    )
    found[check.PINS] = tuple(
        dict.fromkeys(
            Cause(check.PINS, pin.on, (pin.piece_id,))
            for pin in problem.pins
            if (pin.piece_id, pin.on) not in held
        )
    )
    pinned_to = {cause.on for cause in found[check.PINS]}
    found[check.SETTLED] = tuple(
        Cause(check.SETTLED, day.on) for day in problem.days if day.is_settled and day.on in pinned_to
    )
    return {rule: found[rule] for rule in BINDING_RULES}


def lost_sections(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> tuple[int, ...]:
    """Sections there that are likely to be lost in a piece."""
    return tuple(
        section
        for section, ask in check.asks(problem, piece, sitting)
        if ask.lost > problem.limits.lost + check.ROUNDING
    )


def forbidding(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> tuple[Cause, ...]:
    """Every cause that keeps a piece out of a sitting, as far as the two alone can tell.

    None is left exactly when ``check.may_stand`` holds.

    Args:
        problem: The problem.
        piece: A candidate.
        sitting: One of its sittings.
    """
    on = problem.days[sitting.day].on
    found = []
    if any(slot.piece_id == piece.piece_id for slot in problem.settled):
        found.append(Cause(check.ONCE))
    if sitting.day in piece.stale_on:
        found.append(Cause(check.FRESH, on))
    if sitting.day in piece.away_on or piece.sets < 1:
        found.append(Cause(check.FOLDERS, on))
    if check.whole_minutes(piece.minutes) > check.whole_minutes(sitting.minutes):
        found.append(Cause(check.MINUTES, on))
    found += [
        Cause(check.BANS, ban.on, (ban.piece_id,))
        for ban in problem.bans
        if ban.piece_id == piece.piece_id and ban.on in (None, on)
    ]
    if not any(name in dict(piece.trains) for name, _, _ in problem.focuses):
        found.append(Cause(check.FOCUSED))
    if not problem.is_pinned(piece.piece_id, sitting.day):
        if not check.has_forces(problem, piece, sitting):
            found.append(Cause(check.FORCES, on))
        lost = lost_sections(problem, piece, sitting)
        found += [Cause(check.READABLE, on, (), (section,)) for section in lost]
    return tuple(dict.fromkeys(found))


def why_not(problem: PlanProblem, piece_id: int, on: date) -> tuple[Cause, ...]:
    """What keeps one piece off one day, one cause a rule; empty when it may stand there.

    Of a day's sittings the one with the fewest obstacles is looked at. Asked of the two alone: what other
    pieces take up is ``pins.pin_conflict``'s to say.

    Args:
        problem: With the piece among its candidates.
        piece_id: The piece.
        on: A reading day of the term.

    Raises:
        KeyError: If the piece is no candidate or the day no reading day.
    """
    piece, day = problem.piece_by_id[piece_id], problem.day_by_date[on]
    if problem.days[day].is_settled:
        stands = any(slot.piece_id == piece_id and slot.on == on for slot in problem.settled)
        return () if stands else (Cause(check.SETTLED, on, (piece_id,)),)
    sittings = [sitting for sitting in problem.sittings if sitting.day == day]
    if not sittings:
        return (Cause(check.FORCES, on, (piece_id,)),)
    found = [(forbidding(problem, piece, sitting), sitting) for sitting in sittings]
    causes, sitting = min(found, key=lambda each: len(each[0]))
    wanting = (check.whole_minutes(piece.minutes) - check.whole_minutes(sitting.minutes)) / 10
    return tuple(
        replace(cause, piece_ids=(piece_id,), minutes=wanting if cause.rule == check.MINUTES else 0.0)
        for cause in merged(causes)
    )


def merged(causes: Iterable[Cause]) -> tuple[Cause, ...]:
    """Causes of one rule on one day as one, with the pieces and sections of all."""

    def place(cause: Cause) -> tuple[int, date]:
        return BINDING_RULES.index(cause.rule), cause.on or date.min

    found = []
    for _, group in groupby(sorted(causes, key=place), key=place):
        same = list(group)
        pieces = tuple(sorted({piece for cause in same for piece in cause.piece_ids}))
        sections = tuple(sorted({section for cause in same for section in cause.section_ids}))
        found.append(replace(same[0], piece_ids=pieces, section_ids=sections))
    return tuple(found)
