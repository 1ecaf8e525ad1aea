"""What would resolve a conflict, and the problem as it would be then."""

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from planner.scheduling import check
from planner.scheduling.answer import Cause, Mend, MendKind
from planner.scheduling.explanation.causes import BINDING_RULES
from planner.scheduling.explanation.narrow import Causes
from planner.scheduling.explanation.pairs import Pairs
from planner.scheduling.problem import Candidate, PartAsked, PlanProblem, PlanWish

MOST_PIECES = 3
"""Pieces named at most for one mend."""
MOST_DAYS = 3
"""Days for which one kind of mend is worked out at most, the soonest first."""
LONGEST_TENTHS = 1200
"""A day is never asked to be longer by more than this many tenths of a minute: two hours."""

TRIES = 12
"""Pieces tried at most for one mend on one day."""

Settles = Callable[[PlanProblem, Causes | None], bool | None]
"""Whether a problem has a plan that keeps just these causes, or, without any given, all of its own; None
when that could not be settled."""


def mended(problem: PlanProblem, mend: Mend) -> PlanProblem:
    """The problem as it would be if a mend were done; of several pieces to choose from the first."""
    pieces = mend.piece_ids[:1]
    wishes = {PlanWish(piece, on) for piece in pieces for on in mend.on or (None,)}
    match mend.kind:
        case MendKind.UNPIN:
            return replace(problem, pins=tuple(pin for pin in problem.pins if pin not in wishes))
        case MendKind.UNBAN:
            return replace(problem, bans=tuple(ban for ban in problem.bans if ban not in wishes))
        case MendKind.PIN:
            added = sorted(wishes, key=lambda wish: str(wish.on))
            return replace(problem, pins=(*problem.pins, *added))
        case MendKind.LEAVE_OPEN:
            return replace(problem, limits=replace(problem.limits, may_leave_open=True))
        case MendKind.ADD_MINUTES:
            days = tuple(
                replace(day, minutes=day.minutes + mend.minutes) if day.on in mend.on else day
                for day in problem.days
            )
            return replace(problem, days=days)
        case MendKind.ADD_SETS:
            return _changed(problem, pieces, lambda piece: _at_hand(problem, piece, mend))
        case MendKind.ADD_SKILL:
            skills = [name for piece in pieces for name, _ in problem.piece_by_id[piece].trains]
            return replace(problem, focuses=(*problem.focuses, *((name, 0, 0) for name in skills[:1])))
        case MendKind.ADD_PIECES:
            return replace(problem, pieces=(*problem.pieces, *_wanted_pieces(problem, mend)))


def _changed(
    problem: PlanProblem, ids: tuple[int, ...], change: Callable[[Candidate], Candidate]
) -> PlanProblem:
    pieces = tuple(change(piece) if piece.piece_id in ids else piece for piece in problem.pieces)
    return replace(problem, pieces=pieces)


def _at_hand(problem: PlanProblem, piece: Candidate, mend: Mend) -> Candidate:
    days = {problem.day_by_date[on] for on in mend.on}
    return replace(piece, sets=piece.sets + 1, away_on=piece.away_on - days)


def _wanted_pieces(problem: PlanProblem, mend: Mend) -> Iterator[Candidate]:
    """Pieces as asked for: every section has a part that suits it, every skill is trained."""
    days = [problem.day_by_date[on] for on in mend.on]
    trains = tuple((name, 2) for name, _, _ in problem.focuses)
    for number in range(mend.count):
        parts = tuple(
            PartAsked(section.id, min(section.levels[day] for day in days)) for section in problem.sections
        )
        yield Candidate(-1 - number, "", mend.level or 0.0, mend.minutes, trains, (), parts)


_LETTING_IN = (
    (MendKind.PIN, {check.READABLE, check.FORCES}),
    (MendKind.ADD_SETS, {check.FOLDERS}),
    (MendKind.ADD_SKILL, {check.FOCUSED}),
)
"""Mends that let a piece in, each with the rules that it overcomes."""


def possible_mends(pairs: Pairs, causes: Causes, settles: Settles) -> Iterator[Mend]:
    """What would resolve a minimal conflict, but for adding pieces and leaving slots open.

    Args:
        pairs: Pieces and sittings of the problem.
        causes: A minimal set of causes that have no plan.
        settles: Asked of the causes after a mend.
    """
    problem = pairs.problem
    for cause in sorted(causes, key=lambda c: (BINDING_RULES.index(c.rule), str(c.on), c.piece_ids)):
        on = () if cause.on is None else (cause.on,)
        if cause.rule == check.PINS:
            yield Mend(MendKind.UNPIN, on, cause.piece_ids)
        elif cause.rule == check.BANS:
            yield Mend(MendKind.UNBAN, on, cause.piece_ids)
    timed = sorted((c for c in causes if c.rule == check.MINUTES), key=lambda c: str(c.on))
    for cause in timed[:MOST_DAYS]:
        yield from _longer(problem, causes, cause, settles)
    for kind, rules in _LETTING_IN:
        if any(cause.rule in rules for cause in causes):
            yield from _by_piece(pairs, causes, kind, rules, settles)


def _longer(problem: PlanProblem, causes: Causes, cause: Cause, settles: Settles) -> Iterator[Mend]:
    """The fewest minutes by which a day has to be longer, by halving."""
    if cause.on is None:
        return

    def mend_of(tenths: int) -> Mend:
        return Mend(MendKind.ADD_MINUTES, (cause.on,) if cause.on else (), minutes=tenths / 10)

    low, high = 0, LONGEST_TENTHS
    if settles(mended(problem, mend_of(high)), causes) is not True:
        return
    while high - low > 1:
        middle = (low + high) // 2
        if settles(mended(problem, mend_of(middle)), causes) is True:
            high = middle
        else:
            low = middle
    yield mend_of(high)


def _by_piece(
    pairs: Pairs, causes: Causes, kind: MendKind, rules: set[str], settles: Settles
) -> Iterator[Mend]:
    """Mends that let in one of the pieces that only these rules keep off a day of the conflict."""
    problem = pairs.problem
    for day in _days_of(problem, causes)[:MOST_DAYS]:
        on, found = problem.days[day].on, []
        dates = () if kind is MendKind.ADD_SKILL else (on,)
        for piece in _kept_off(pairs, day, rules, kind)[:TRIES]:
            after = causes | {Cause(check.PINS, on, (piece,))} if kind is MendKind.PIN else causes
            if settles(mended(problem, Mend(kind, dates, (piece,))), after) is True:
                found.append(piece)
            if len(found) == MOST_PIECES:
                break
        if found:
            yield Mend(kind, dates, tuple(found))


def _days_of(problem: PlanProblem, causes: Causes) -> list[int]:
    """Free days that a conflict speaks of; all where a pin may stand anywhere."""
    if any(cause.on is None and cause.rule == check.PINS for cause in causes):
        return list(problem.free_days)
    dates = {cause.on for cause in causes}
    return [day for day in problem.free_days if problem.days[day].on in dates]


def _kept_off(pairs: Pairs, day: int, rules: set[str], kind: MendKind) -> list[int]:
    """Pieces that only these rules keep off a day, those first that they keep off for the fewest sections."""
    problem = pairs.problem
    here = [at for at, sitting in enumerate(problem.sittings) if sitting.day == day]
    if not here:
        return []
    counts = np.array([pairs.obstacles(at) for at in here])
    best = counts.argmin(axis=0)
    fewest = counts.min(axis=0)
    by_these = np.array([pairs.only(at, rules) for at in here])
    only_these = by_these[best, np.arange(len(best))] & (fewest > 0)
    if kind is MendKind.ADD_SETS and len(here) > 1:
        only_these |= fewest == 0
    found = [(int(fewest[at]), problem.pieces[at].piece_id) for at in np.flatnonzero(only_these).tolist()]
    return [piece for _, piece in sorted(found)]
