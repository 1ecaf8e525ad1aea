"""What else could stand in one place of a plan, with what each section should get right then."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.term import Slot
from planner.errors import ConflictError, NotFoundError
from planner.scheduling.check import PlanCost
from planner.scheduling.options import options
from planner.scheduling.problem import OPEN_PIECE, Limits
from planner.services.plan.open_days import OpenDay, open_day, why_left_out
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import TermProblem, build_problem
from planner.services.ports import UnitOfWork
from planner.services.term_page.term_picture import SlotPicture, slot_picture


@dataclass(frozen=True, slots=True)
class Choice:
    """One piece that could stand there.

    Attributes:
        picture: The reading, with its forecasts.
        saved: What the plan would save with it; negative where it would cost more.
    """

    picture: SlotPicture
    saved: PlanCost


@dataclass(frozen=True, slots=True)
class ChoicesView:
    """What could stand in one place.

    Attributes:
        now: What stands there; None where it is open.
        choices: The next best, the cheapest first.
        aim: Share of bars right that the day aims at, 0 to 1.
        wanted: What would fill the day; None where the place is not open.
        left_out: Of an open day by rule, the titles of the pieces that it keeps off the day.
    """

    now: SlotPicture | None
    choices: tuple[Choice, ...]
    aim: float
    wanted: OpenDay | None = None
    left_out: tuple[tuple[str, tuple[str, ...]], ...] = ()


def show_choices(
    work: UnitOfWork, term_id: int, on: date, position: int, station: int | None, today: date
) -> ChoicesView:
    """The pieces that could stand in one place of the plan in force, whose other days stay as they are.

    Args:
        work: An open unit of work; nothing is changed.
        term_id: Which term.
        on: The day.
        position: Which place of it.
        station: Which station; None where all read together.
        today: Days before it are past.

    Raises:
        NotFoundError: If there is no such term or place.
        ConflictError: If the day is past, or something is logged for it.
    """
    facts = read_facts(work, term_id, today, asks_what_stays=False)
    if on not in facts.term.reading_dates():
        place = f"{on} in {facts.term.name}"
        raise NotFoundError("reading day", place, hint="Look at the term for its days.")
    built = build_problem(facts, Limits(may_leave_open=True), opened=[on])
    if built.problem.days[built.problem.day_by_date[on]].is_settled:
        raise ConflictError(f"{on} is over and stays as it was.", hint="Choose a day to come.")
    slots = built.filled_up(built.without_again(facts.plan.slots if facts.plan else ()))
    try:
        found = options(built.problem, slots, on, position, station)
    except LookupError:
        raise NotFoundError("place", f"{position + 1} on {on}", hint="Look at the day again.") from None
    outlooks = {outlook.piece.id: outlook for outlook in facts.outlooks}

    def pictured(slot: Slot) -> SlotPicture:
        outlook = outlooks[slot.piece_id]
        return slot_picture(built, slot, outlook.piece, outlook.level)

    now = next((s for s in slots if (s.on, s.position, s.station) == (on, position, station)), None)
    planned = facts.plan.slots if facts.plan else ()
    is_open = now is None or now.piece_id == OPEN_PIECE
    wanted = open_day(built, planned, on) if is_open else None
    return ChoicesView(
        now=pictured(now) if now is not None and now.piece_id in outlooks else None,
        choices=tuple(Choice(pictured(each.slot), each.saved) for each in found),
        aim=built.problem.days[built.problem.day_by_date[on]].aim,
        wanted=wanted,
        left_out=_left_out(built, planned, wanted) if wanted else (),
    )


def _left_out(
    built: TermProblem, slots: Sequence[Slot], wanted: OpenDay
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The titles that each rule keeps off an open day, the rule that keeps off most first."""
    titles = {outlook.piece.id: outlook.piece.title for outlook in built.facts.outlooks}
    why = why_left_out(built, slots, wanted.on)
    return tuple(
        (rule, tuple(sorted(titles[piece] for piece, own in why.items() if own == rule)))
        for rule, _ in wanted.left_out
    )
