"""What is proposed in place of the plan in force: what it changes and why, what it gains; take or drop it."""

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from datetime import date
from enum import StrEnum

from planner.core.change import Author, ChangeKind
from planner.core.profile import from_plain
from planner.core.term import Plan, Slot
from planner.errors import ConflictError, InputError, NotFoundError
from planner.scheduling import check
from planner.scheduling.check import PlanCost
from planner.scheduling.problem import OPEN_PIECE, Limits
from planner.services.changes.journal import recorded
from planner.services.changes.term_record import term_subject
from planner.services.plan.slot_reasons import reasons_for
from planner.services.plan.term_facts import fingerprint_of, read_facts
from planner.services.plan.term_problem import Breach, TermProblem, breaches_on, build_problem
from planner.services.ports.work import UnitOfWork
from planner.wording.director.proposal import cannot_take_sentence


class ChangeWhy(StrEnum):
    """What a change of a day, with those it goes together with, is for."""

    RULE = "rule"
    """What stands there breaks a rule now."""
    OPEN = "open"
    """It fills open slots."""
    READING = "reading"
    """The parts suit the sections better."""
    FOCUS = "focus"
    """The skills come out more evenly."""
    TURNS = "turns"
    """The sections are featured more evenly."""
    VARIETY = "variety"
    """Neighboring days have less in common, or hard days lie further apart."""


@dataclass(frozen=True, slots=True)
class DayChange:
    """What a proposal changes on one day.

    Attributes:
        on: The day.
        before, after: What stands there, and what would.
        together: Other days that have to change with it, as pieces move between them.
        saved: What the change and those it goes together with save, the price of changing taken off; None
            where what stands there breaks a rule, so that there is nothing to compare.
        why: What it is for.
        rule: The rule that is broken now, by its name; empty where none is.
        piece_id: The piece that breaks it; None where it is not one piece alone.
    """

    on: date
    before: tuple[Slot, ...]
    after: tuple[Slot, ...]
    together: tuple[date, ...] = ()
    saved: PlanCost | None = None
    why: ChangeWhy = ChangeWhy.READING
    rule: str = ""
    piece_id: int | None = None

    @property
    def keeps_pieces(self) -> bool:
        """Whether the same pieces stay where they are, only for other skills or sections."""
        return _seats(self.before) == _seats(self.after)


def _seats(slots: Sequence[Slot]) -> list[tuple[int, int, int]]:
    return sorted((slot.position, slot.station or 0, slot.piece_id) for slot in slots)


@dataclass(frozen=True, slots=True)
class Proposal:
    """A plan proposed in place of the one in force.

    Attributes:
        term_id: For which term.
        made_on: When.
        slots: The whole plan, open slots left out.
        cost: What it would cost, changes included.
        against: What the plan in force costs as things are now; None where it breaks a rule.
        changes: The days on which they differ.
        bound: No plan with as many readings has readings that cost less.
        is_proven: It is proven best within the solver's tolerance.
        made_from: Fingerprint of what it was made from.
        breaches: Days that should have stayed and cannot.
    """

    term_id: int
    made_on: date
    slots: tuple[Slot, ...]
    cost: PlanCost
    against: PlanCost | None
    changes: tuple[DayChange, ...]
    bound: float = 0.0
    is_proven: bool = False
    made_from: str = ""
    breaches: tuple[Breach, ...] = ()

    @property
    def gain(self) -> int | None:
        """How much less the whole costs, changes included; None where there is nothing to compare."""
        return None if self.against is None else self.against.total - self.cost.total

    @property
    def filled(self) -> int:
        """How many more places hold a piece than in the plan in force; negative where fewer do."""
        return sum(len(change.after) - len(change.before) for change in self.changes)


def proposal_view(work: UnitOfWork, term_id: int) -> Proposal | None:
    """What is proposed for a term, less what stands in its plan already; None when nothing is.

    Raises:
        NotFoundError: If there is no such term.
    """
    work.terms.get(term_id)
    values = work.terms.proposal(term_id)
    if values is None:
        return None
    try:
        proposal: Proposal = from_plain(Proposal, values)
    except (TypeError, ValueError, KeyError, AttributeError):
        return None  # an earlier version of the program wrote it
    plan = work.terms.plan(term_id)
    standing = plan.slots if plan else ()
    left = tuple(
        replace(change, before=on_day(standing, change.on))
        for change in proposal.changes
        if places(on_day(standing, change.on)) != places(change.after)
    )
    return replace(proposal, changes=left) if left else None


def store_proposal(work: UnitOfWork, proposal: Proposal) -> None:
    """Keep a proposal until it is taken or dropped, in place of the one before."""
    work.terms.save_proposal(proposal.term_id, json.loads(json.dumps(asdict(proposal), default=str)))


def take_proposal(
    work: UnitOfWork, term_id: int, days: Collection[date] | None, today: date, *, by: Author
) -> Plan:
    """Put what is proposed in place of the plan in force, on all days or on some.

    Days that have to change together are not taken apart: a subset that breaks a rule is refused.

    Args:
        work: The transaction.
        term_id: Which term.
        days: Which days of the proposal; None takes all.
        today: Days before it are past.
        by: Who takes it, and when.

    Raises:
        NotFoundError: If nothing is proposed.
        InputError: If a day is not one of the proposal.
        ConflictError: If the plan would break a rule, with the sentence that says which.
    """
    proposal = _needed(work, term_id)
    changed = {change.on for change in proposal.changes}
    taken = changed if days is None else set(days)
    if not taken or taken - changed:
        raise InputError("Choose days that the proposal changes.", hint="Look at the proposal for its days.")
    plan = work.terms.plan(term_id)
    standing = plan.slots if plan else ()
    after = {change.on: change.after for change in proposal.changes}
    slots = tuple(
        sorted(
            [*(s for s in standing if s.on not in taken), *(s for on in taken for s in after[on])],
            key=lambda s: (s.on, s.position, s.station or 0),
        )
    )
    facts, limits = read_facts(work, term_id, today), Limits(may_leave_open=True)
    term_problem = build_problem(facts, limits, opened=taken)
    _refuse_broken(term_problem, slots, taken, proposal)
    is_whole = taken == changed
    every_day = build_problem(facts, limits, opened=facts.term.reading_dates())
    taken_plan = Plan(
        term_id,
        reasons_for(every_day, slots),
        cost=float(proposal.cost.filled + proposal.cost.change) if is_whole or plan is None else plan.cost,
        bound=proposal.bound if is_whole or plan is None else 0.0,
        is_proven=proposal.is_proven and is_whole,
        made_from=fingerprint_of(term_problem, slots),
    )
    with recorded(work, ChangeKind.TERM, term_subject(work.terms.get(term_id)), by):
        work.terms.save_plan(taken_plan)
        if is_whole:
            work.terms.remove_proposal(term_id)
    return taken_plan


def drop_proposal(work: UnitOfWork, term_id: int, *, by: Author) -> None:
    """Keep the plan in force. The same is not proposed again before something changes.

    Raises:
        NotFoundError: If nothing is proposed.
    """
    proposal = _needed(work, term_id)
    plan = work.terms.plan(term_id)
    with recorded(work, ChangeKind.TERM, term_subject(work.terms.get(term_id)), by):
        work.terms.remove_proposal(term_id)
        if plan is not None:
            work.terms.save_plan(replace(plan, made_from=proposal.made_from))


def _needed(work: UnitOfWork, term_id: int) -> Proposal:
    proposal = proposal_view(work, term_id)
    if proposal is None:
        raise NotFoundError("proposal", f"for {work.terms.get(term_id).name}", hint="Plan the term again.")
    return proposal


def _refuse_broken(
    term_problem: TermProblem, slots: Sequence[Slot], taken: Collection[date], proposal: Proposal
) -> None:
    """Refuse to store a plan whose changed days break a rule.

    Raises:
        ConflictError: If they do.
    """
    problem = term_problem.problem
    over = {day.on for day in problem.days if day.is_settled}
    if over & set(taken):
        raise ConflictError(
            "A day of this proposal is past, or something is logged for it.", hint="Plan the term again."
        )
    # What a day that stays as it is owes the director is not asked of the others.
    standing = {slot.piece_id for slot in problem.settled} | {slot.piece_id for slot in problem.stands}
    pins = tuple(pin for pin in problem.pins if pin.on in taken or (not pin.on and pin.piece_id in standing))
    filled = term_problem.filled_up(term_problem.without_again(slots))
    broken = check.broken_rules(replace(problem, pins=pins), filled)
    if broken:
        others = sorted(
            {on for change in proposal.changes if change.on in taken for on in change.together} - set(taken)
        )
        raise ConflictError(
            cannot_take_sentence(broken, others), hint="Take these days together, or plan again."
        )


def changes_between(
    term_problem: TermProblem, before: Sequence[Slot], after: Sequence[Slot]
) -> tuple[DayChange, ...]:
    """The days on which two plans differ, with what each change saves and is for.

    Args:
        term_problem: The problem as it is now.
        before: The plan in force, without open slots.
        after: The proposed plan, without open slots.
    """
    found = []
    breaches = breaches_of(term_problem, before)
    for group in groups_of(before, after):
        saved = _saved(term_problem, before, after, group)
        broken = {breach.on: breach for breach in breaches if breach.on in group}
        why = _why(term_problem, before, group, saved, is_broken=bool(broken))
        for on in sorted(group):
            breach = broken.get(on)
            found.append(
                DayChange(
                    on, on_day(before, on), on_day(after, on), tuple(sorted(group - {on})), saved, why,
                    breach.rule if breach else "", breach.piece_id if breach else None,
                )
            )  # fmt: skip
    return tuple(sorted(found, key=lambda change: change.on))


def breaches_of(term_problem: TermProblem, slots: Sequence[Slot]) -> tuple[Breach, ...]:
    """Days of a plan that break a rule now, frozen ones and others."""
    found = list(term_problem.breaches)
    named = {breach.on for breach in found}
    for index in term_problem.problem.free_days:
        on = term_problem.problem.days[index].on
        own = term_problem.without_again(on_day(slots, on))
        if own and on not in named:
            found += breaches_on(term_problem.problem, on, own)
    return tuple(found)


def groups_of(before: Sequence[Slot], after: Sequence[Slot]) -> list[set[date]]:
    """Days that differ, together where a piece moves from one to the other."""
    days = {slot.on for slot in (*before, *after)}
    changed = sorted(on for on in days if places(on_day(before, on)) != places(on_day(after, on)))
    groups: list[set[date]] = []
    for on in changed:
        pieces = {slot.piece_id for slot in (*on_day(before, on), *on_day(after, on))}
        linked = [g for g in groups if any(s.piece_id in pieces for s in (*before, *after) if s.on in g)]
        groups = [g for g in groups if g not in linked] + [{on}.union(*linked)]
    return groups


def places(slots: Sequence[Slot]) -> frozenset[tuple[int, int | None, int, str, int | None]]:
    """What makes the slots of a day the same: which piece where, for which skill, featuring whom."""
    return frozenset(
        (s.position, s.station, s.piece_id, s.focus, s.featured_section_id)
        for s in slots
        if s.piece_id != OPEN_PIECE
    )


def on_day(slots: Sequence[Slot], on: date) -> tuple[Slot, ...]:
    """The slots of one day."""
    return tuple(slot for slot in slots if slot.on == on)


def cost_if_kept(term_problem: TermProblem, slots: Sequence[Slot]) -> PlanCost | None:
    """What a plan costs as things are now; None where it breaks a rule."""
    filled = term_problem.filled_up(term_problem.without_again(slots))
    problem = term_problem.problem
    if not problem.limits.may_leave_open:
        problem = replace(problem, limits=replace(problem.limits, may_leave_open=True))
    return None if check.broken_rules(problem, filled) else check.cost(problem, filled)


def _saved(
    term_problem: TermProblem, before: Sequence[Slot], after: Sequence[Slot], group: Collection[date]
) -> PlanCost | None:
    """What some days save: the mean of what they save as the first to change and as the last.

    So the savings of all add up to the gain where days touch each other only two by two.
    """
    first = (before, (*(s for s in before if s.on not in group), *(s for s in after if s.on in group)))
    last = ((*(s for s in after if s.on not in group), *(s for s in before if s.on in group)), after)
    found = []
    for old, new in (first, last):
        costs = [cost_if_kept(term_problem, slots) for slots in (old, new)]
        if costs[0] is not None and costs[1] is not None:
            found.append(costs_less(costs[0], costs[1]))
    if not found:
        return None
    names = [each.name for each in fields(PlanCost)]
    return PlanCost(**{name: round(sum(getattr(c, name) for c in found) / len(found)) for name in names})


def costs_less(old: PlanCost, new: PlanCost) -> PlanCost:
    """By how much one plan costs less than another, by what it costs for.

    Example:
        >>> costs_less(PlanCost(9, 5, 0, 0, 0, 0), PlanCost(4, 6, 0, 0, 1, 0)).total
        3
    """
    names = [each.name for each in fields(PlanCost)]
    return PlanCost(**{name: getattr(old, name) - getattr(new, name) for name in names})


def _why(
    term_problem: TermProblem,
    before: Sequence[Slot],
    group: Collection[date],
    saved: PlanCost | None,
    *,
    is_broken: bool,
) -> ChangeWhy:
    if is_broken:
        return ChangeWhy.RULE
    if saved is None or saved.open > 0:
        return ChangeWhy.OPEN if _has_open(term_problem, before, group) else ChangeWhy.RULE
    names: Mapping[ChangeWhy, int] = {
        ChangeWhy.READING: saved.reading,
        ChangeWhy.FOCUS: saved.focus,
        ChangeWhy.TURNS: saved.turns,
        ChangeWhy.VARIETY: saved.variety,
    }
    return max(names, key=lambda why: names[why])


def _has_open(term_problem: TermProblem, before: Sequence[Slot], group: Collection[date]) -> bool:
    return any(
        slot.on in group and slot.piece_id == OPEN_PIECE
        for slot in term_problem.filled_up(term_problem.without_again(before))
    )
