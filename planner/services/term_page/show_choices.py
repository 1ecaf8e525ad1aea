"""What else could stand in one place of a plan, with what each section should get right then."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.core.ensemble import Ensemble
from planner.core.term import Slot, Term
from planner.errors import ConflictError, NotFoundError
from planner.matching.library_fit import fit_library
from planner.scheduling import check
from planner.scheduling.check import PlanCost
from planner.scheduling.options import Option, Swap, difference, options, sound, swaps
from planner.scheduling.problem import OPEN_PIECE, Limits
from planner.services.levels.section_term import forecast_levels
from planner.services.plan.freshness import known_by_day
from planner.services.plan.open_days import OpenDay, open_day, why_left_out
from planner.services.plan.term_days import plan_days
from planner.services.plan.term_facts import Forecasts, bare_plan, read_facts
from planner.services.plan.term_problem import TermFacts, TermProblem, build_problem
from planner.services.ports.work import UnitOfWork
from planner.services.term_page.term_picture import SlotPicture, slot_picture

OFFERED = 3
"""Other pieces, and swaps, offered for a place (house choice)."""

WHOLE, LOOKED_AT = 300, 60
"""Of a library of more pieces than the first only so many are looked at that suit the sections best that day,
and as many of those that are short enough. Source: house choices, far more than are offered."""


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
class SwapChoice:
    """A piece of another day that could change places with the one that stands there.

    Attributes:
        comes: Its reading in the place, with its forecasts.
        goes: The reading of the piece that stands there now, on the other day.
        there: The slot of the other day as it is now.
        saved: What the plan would save; negative where it would cost more.
        aim: Share of bars right that the other day aims at, 0 to 1.
        is_announced: The plan of the other day is announced.
    """

    comes: SlotPicture
    goes: SlotPicture
    there: Slot
    saved: PlanCost
    aim: float
    is_announced: bool


@dataclass(frozen=True, slots=True)
class ChoicesView:
    """What could stand in one place.

    Attributes:
        now: What stands there; None where it is open.
        choices: The next best of the pieces that are not planned, the cheapest first.
        swaps: The best swaps with other days to come, the cheapest first.
        aim: Share of bars right that the day aims at, 0 to 1.
        wanted: What would fill the day; None where the place is not open.
        left_out: Of an open day by rule, the titles of the pieces that it keeps off the day.
    """

    now: SlotPicture | None
    choices: tuple[Choice, ...]
    swaps: tuple[SwapChoice, ...]
    aim: float
    wanted: OpenDay | None = None
    left_out: tuple[tuple[str, tuple[str, ...]], ...] = ()


def show_choices(
    work: UnitOfWork, term_id: int, on: date, position: int, station: int | None, today: date
) -> ChoicesView:
    """The pieces that could stand in one place of the plan in force, and the swaps with other days.

    All else of the plan stays as it is.

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
    facts = _read(work, term_id, (on, position, station), today)
    alone = build_problem(facts, Limits(may_leave_open=True), opened=[on])
    if alone.problem.days[alone.problem.day_by_date[on]].is_settled:
        raise ConflictError(f"{on} is over and stays as it was.", hint="Choose a day to come.")
    table = _Table(
        facts, build_problem(facts, Limits(may_leave_open=True), opened=facts.term.reading_dates())
    )
    slots = alone.filled_up(alone.without_again(facts.plan.slots if facts.plan else ()))
    try:
        found = options(alone.problem, slots, on, position, station, most=2 * OFFERED)
        others = swaps(table.whole.problem, table.slots, on, position, station, most=OFFERED)
    except LookupError:
        raise NotFoundError("place", f"{position + 1} on {on}", hint="Look at the day again.") from None
    choices = sorted((table.choice(each) for each in found), key=lambda each: -each.saved.total)
    now = next((s for s in slots if (s.on, s.position, s.station) == (on, position, station)), None)
    planned = facts.plan.slots if facts.plan else ()
    is_open = now is None or now.piece_id == OPEN_PIECE
    wanted = open_day(alone, planned, on) if is_open else None
    return ChoicesView(
        now=table.pictured(now) if now is not None and now.piece_id in table.outlooks else None,
        choices=tuple(choices[:OFFERED]),
        swaps=tuple(table.swap(each) for each in others),
        aim=alone.problem.days[alone.problem.day_by_date[on]].aim,
        wanted=wanted,
        left_out=_left_out(alone, planned, wanted) if wanted else (),
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


class _Table:
    """The plan with every day to come open: what a change of one day costs is seen over all of them.

    Attributes:
        facts: What is known of the term.
        whole: The problem with all days to come open.
        slots: The plan in force.
        outlooks: The pieces looked at, by id.
    """

    def __init__(self, facts: TermFacts, whole: TermProblem) -> None:
        self.facts, self.whole = facts, whole
        planned = facts.plan.slots if facts.plan else ()
        self.slots = sound(whole.problem, whole.filled_up(whole.without_again(planned)))
        self.outlooks = {outlook.piece.id: outlook for outlook in facts.outlooks}
        self._cost = check.cost(whole.problem, self.slots)

    def choice(self, option: Option) -> Choice:
        """Another piece, with what it costs over the whole term."""
        on = option.slot.on
        after = [
            *(slot for slot in self.slots if slot.on != on),
            *(slot for slot in option.slots if slot.on == on),
        ]
        return Choice(
            self.pictured(option.slot), difference(self._cost, check.cost(self.whole.problem, after))
        )

    def swap(self, swap: Swap) -> SwapChoice:
        """A swap with another day."""
        on = swap.goes.on
        there = next(s for s in self.slots if (s.on, s.piece_id) == (on, swap.comes.piece_id))
        is_announced = (on - self.facts.today).days < self.facts.term.announced_days
        problem = self.whole.problem
        return SwapChoice(
            comes=self.pictured(swap.comes),
            goes=self.pictured(swap.goes),
            there=there,
            saved=swap.saved,
            aim=problem.days[problem.day_by_date[on]].aim,
            is_announced=is_announced,
        )

    def pictured(self, slot: Slot) -> SlotPicture:
        """A reading with what the sections should get right of it."""
        outlook = self.outlooks[slot.piece_id]
        return slot_picture(self.whole, slot, outlook.piece, outlook.level)


def _read(work: UnitOfWork, term_id: int, place: tuple[date, int, int | None], today: date) -> TermFacts:
    """What is known of the term, in a large library of the pieces alone that are worth a look.

    For an open place all pieces are looked at: why each is left out is said there.

    Raises:
        NotFoundError: If there is no such term or reading day.
    """
    term, (on, _, _) = work.terms.get(term_id), place
    if on not in term.reading_dates():
        raise NotFoundError("reading day", f"{on} in {term.name}", hint="Look at the term for its days.")
    plan = bare_plan(work, term_id)
    is_filled = any(
        (slot.on, slot.position, slot.station) == place and slot.piece_id != OPEN_PIECE
        for slot in (plan.slots if plan else ())
    )
    if not is_filled or term.shape_on(on).stations or work.pieces.count() <= WHOLE:
        return read_facts(work, term_id, today, asks_what_stays=False)
    ensemble = work.ensembles.get(term.ensemble_id)
    forecasts = forecast_levels(work, ensemble, term.reading_dates(), today)
    only = _worth_a_look(work, term, ensemble, forecasts, on, today)
    return read_facts(work, term_id, today, asks_what_stays=False, only=only, forecasts=forecasts)


def _worth_a_look(
    work: UnitOfWork, term: Term, ensemble: Ensemble, forecasts: Forecasts, on: date, today: date
) -> Collection[int]:
    """Of a large library the planned pieces and those that suit a day best."""
    asked = work.pieces.asked(ensemble.id)
    at = term.reading_dates().index(on)
    here = tuple(
        replace(section, level=belief.level, level_error=belief.error)
        for section in ensemble.sections
        if section.id not in term.shape_on(on).absent
        for belief in (forecasts[section.id][at],)
    )
    aim = plan_days(term, ensemble, forecasts, ())[at].aim
    fit = fit_library(list(asked.values()), replace(ensemble, sections=here), aim)
    plan = bare_plan(work, term.id)
    planned = {slot.piece_id for slot in plan.slots} if plan else set()
    left_out = planned | known_by_day(work, ensemble, [on], term=term, today=today)[on].keys()
    ids, limit = list(asked), Limits().lost + check.ROUNDING
    able = (fit.is_read & (fit.lost <= limit)).nonzero()[0].tolist()
    costs = fit.cost.tolist()
    nearest = sorted((costs[row], ids[row]) for row in able if ids[row] not in left_out)
    share = term.minutes_on(on) / term.slots_on(on)
    short = [each for each in nearest if (asked[each[1]].minutes or 0.0) <= share]
    return planned | {piece for _, piece in (*nearest[:LOOKED_AT], *short[:LOOKED_AT])}
