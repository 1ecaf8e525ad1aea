"""What would fill the days that stay open, and why the pieces there are do not."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.term import Slot, again_minutes
from planner.levels.curve import clip_level
from planner.scheduling import check
from planner.scheduling.explanation.causes import forbidding
from planner.scheduling.problem import OPEN_PIECE, Candidate, Sitting
from planner.services.plan.term_problem import TermProblem, filled_up

LEVEL_REACH = 0.4
"""Levels above and below what a day aims at within which a piece would suit it (house choice)."""

AGAIN_AFTER = timedelta(weeks=3)
"""A piece is offered for a second reading when its first lies so far back (house choice: it is a new look at
something half remembered, not the next rehearsal)."""

AGAIN_OFFERED = 3
"""Second readings offered for a day (house choice)."""


@dataclass(frozen=True, slots=True)
class SecondReading:
    """A piece that could be read again on a day.

    Attributes:
        piece_id, title: Which.
        last_on: When it was, or will have been, read before.
        minutes: What it takes.
    """

    piece_id: int
    title: str
    last_on: date
    minutes: float


@dataclass(frozen=True, slots=True)
class OpenDay:
    """A day with open slots, and what would fill them.

    Attributes:
        on: The day.
        slots: How many are open: so many pieces would fill it.
        minutes: What all of them together may take.
        level_from, level_to: Levels of a piece for the ensemble that would suit.
        focus: The skill that is furthest from its share of the term.
        left_out: By rule, how many pieces it keeps off the day; each piece counts once, by its first reason.
        unlevelled: Pieces whose level is not known.
        again: Pieces that could be read a second time.
    """

    on: date
    slots: int
    minutes: float
    level_from: float
    level_to: float
    focus: str
    left_out: tuple[tuple[str, int], ...]
    unlevelled: int
    again: tuple[SecondReading, ...]


def open_days(term_problem: TermProblem, slots: Sequence[Slot], unlevelled: int = 0) -> tuple[OpenDay, ...]:
    """The days of a plan with open slots, what would fill them, and what stands in the way of what there is.

    Args:
        term_problem: The problem as it is now.
        slots: The plan in force.
        unlevelled: Pieces of the library whose level is not known.
    """
    filled = filled_up(term_problem.problem, term_problem.without_again(slots))
    open_slots = Counter(slot.on for slot in filled if slot.piece_id == OPEN_PIECE)
    return tuple(
        _open_day(term_problem, slots, filled, on, count, unlevelled)
        for on, count in sorted(open_slots.items())
    )


def open_day(term_problem: TermProblem, slots: Sequence[Slot], on: date) -> OpenDay | None:
    """What would fill one day; None when none of its slots is open. A piece needs a level to count."""
    filled = filled_up(term_problem.problem, term_problem.without_again(slots))
    count = sum(slot.on == on and slot.piece_id == OPEN_PIECE for slot in filled)
    return _open_day(term_problem, slots, filled, on, count, 0) if count else None


def _open_day(
    term_problem: TermProblem,
    slots: Sequence[Slot],
    filled: Sequence[Slot],
    on: date,
    count: int,
    unlevelled: int,
) -> OpenDay:
    problem = term_problem.problem
    times = Counter(slot.focus for slot in filled if slot.piece_id != OPEN_PIECE)
    short = max(problem.focuses, key=lambda each: each[2] - times[each[0]], default=("", 0, 0))[0]
    index = problem.day_by_date[on]
    day = problem.days[index]
    here = [section for section in problem.sections if section.id not in day.absent]
    middle = sum(s.levels[index] for s in here) / max(1, len(here)) + day.stretch
    used = sum(slot.minutes for slot in filled if slot.on == on and slot.piece_id != OPEN_PIECE)
    why = Counter(why_left_out(term_problem, slots, on).values())
    return OpenDay(
        on=on,
        slots=count,
        minutes=round(max(0.0, day.minutes - (0.0 if day.stations else used)), 1),
        level_from=round(clip_level(middle - LEVEL_REACH), 1),
        level_to=round(clip_level(middle + LEVEL_REACH), 1),
        focus=short,
        left_out=tuple(sorted(why.items(), key=lambda item: (-item[1], item[0]))),
        unlevelled=unlevelled,
        again=_again(term_problem, slots, on),
    )


def why_left_out(term_problem: TermProblem, slots: Sequence[Slot], on: date) -> Mapping[int, str]:
    """For each piece that is not read on a day, the first rule that keeps it off: by piece id.

    A piece that could stand there by itself is not in it.

    Args:
        term_problem: The problem as it is now.
        slots: The plan in force.
        on: The day.
    """
    problem = term_problem.problem
    index = problem.day_by_date[on]
    sittings = [sitting for sitting in problem.sittings if sitting.day == index]
    here = {slot.piece_id for slot in slots if slot.on == on}
    elsewhere = {slot.piece_id for slot in slots if slot.on != on} | {s.piece_id for s in problem.settled}
    room = {sitting: _room(term_problem, slots, sitting) for sitting in sittings}
    found = {}
    for piece in problem.pieces:
        if piece.piece_id in here:
            continue
        if piece.piece_id in elsewhere:
            found[piece.piece_id] = check.ONCE
            continue
        reasons = [_kept_off(term_problem, piece, sitting, room[sitting]) for sitting in sittings]
        if reasons and all(reasons):
            found[piece.piece_id] = reasons[0]
    known = {piece.piece_id for piece in problem.pieces}
    linked = term_problem.facts.linked
    for outlook in term_problem.facts.outlooks:
        if outlook.piece.id not in known:
            is_file = bool(linked.get(outlook.piece.id, frozenset()) & known)
            found[outlook.piece.id] = check.ONCE if is_file else check.FORCES
    return found


def _room(term_problem: TermProblem, slots: Sequence[Slot], sitting: Sitting) -> int:
    """Tenths of minutes that a sitting has left."""
    on = term_problem.problem.days[sitting.day].on
    own = (s for s in term_problem.without_again(slots) if s.on == on and s.station == sitting.station)
    used = sum(
        check.whole_minutes(s.minutes) for s in own if sitting.station is None or s.position == sitting.round
    )
    return check.whole_minutes(sitting.minutes) - used


def _kept_off(term_problem: TermProblem, piece: Candidate, sitting: Sitting, room: int) -> str:
    """The first rule that keeps a piece out of a sitting; empty where none does."""
    causes = forbidding(term_problem.problem, piece, sitting)
    if causes:
        return causes[0].rule
    return check.MINUTES if check.whole_minutes(piece.minutes) > room else ""


def _again(term_problem: TermProblem, slots: Sequence[Slot], on: date) -> tuple[SecondReading, ...]:
    """Pieces first read, or to be read, long enough before a day, those that suit it best first."""
    problem, facts = term_problem.problem, term_problem.facts
    index = problem.day_by_date[on]
    sitting = next((each for each in problem.sittings if each.day == index), None)
    last: dict[int, date] = {}
    for piece_id, day in (*((r.piece_id, r.on) for r in facts.results), *((s.piece_id, s.on) for s in slots)):
        last[piece_id] = max(day, last.get(piece_id, day))
    pieces = [
        (check.piece_cost(problem, piece, sitting), piece)
        for piece_id, day in last.items()
        if sitting is not None
        and day + AGAIN_AFTER <= on
        and (piece := problem.piece_by_id.get(piece_id)) is not None
        and piece.is_for_all
        and again_minutes(piece.minutes) <= sitting.minutes
    ]
    pieces.sort(key=lambda each: (each[0], each[1].piece_id))
    return tuple(
        SecondReading(piece.piece_id, piece.title, last[piece.piece_id], again_minutes(piece.minutes))
        for _, piece in pieces[:AGAIN_OFFERED]
    )
