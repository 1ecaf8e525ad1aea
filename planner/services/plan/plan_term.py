"""Fill a term with reading days: plan, propose what would be better, and plan again."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Ensemble
from planner.core.piece import Piece
from planner.core.term import Plan, Slot, Term
from planner.errors import ConflictError, InputError, PlanError
from planner.scheduling import check
from planner.scheduling.answer import Ended
from planner.scheduling.problem import OPEN_PIECE, Limits, PlanProblem
from planner.services.changes.journal import recorded
from planner.services.changes.term_record import term_subject
from planner.services.plan.freshness import unlogged_slots
from planner.services.plan.open_days import OpenDay, open_days
from planner.services.plan.proposals import (
    Proposal,
    changes_between,
    cost_if_kept,
    groups_of,
    proposal_view,
    store_proposal,
)
from planner.services.plan.slot_reasons import reasons_for
from planner.services.plan.term_facts import fingerprint_of, read_facts
from planner.services.plan.term_problem import Breach, TermFacts, TermProblem, build_problem, filled_up
from planner.services.ports.work import OpenWork, UnitOfWork
from planner.services.toolbox import changing
from planner.wording.director import proposal as words

if TYPE_CHECKING:
    from planner.scheduling.answer import Solution

SearchProgress = Callable[[int, float, int], bool]
"""Called as ``progress(cost so far, bound, filled slots)`` while the search goes on; False ends it."""

RELABEL_COST = 15
"""What another skill, or another featured section, for a piece that stays on its day must at least save: the
day is printed and spoken of by it. Source: house choice."""


class Outcome(StrEnum):
    """What came of planning."""

    STORED = "stored"
    """There was no plan; this one is in force now."""
    PROPOSED = "proposed"
    """The plan in force stays until the director takes what is proposed."""
    KEPT = "kept"
    """Nothing better was found; the plan in force stays."""
    UNCHANGED = "unchanged"
    """Nothing has changed since the plan in force was made; nothing was searched."""


@dataclass(frozen=True, slots=True)
class PlannedSlot:
    """A slot with its piece, for pages and sheets; ``level`` is the piece's for the ensemble."""

    slot: Slot
    piece: Piece
    featured: str
    is_past: bool
    level: float | None


@dataclass(frozen=True, slots=True)
class PlanView:
    """A plan as it is shown.

    Attributes:
        term, ensemble: What was planned for whom.
        plan: The plan in force.
        slots: Its slots in order of date and position.
        open_dates: Dates with a slot left open, one for each slot.
        notes: What the director should know, in sentences.
        candidates: Pieces that are fresh on some day to come.
        met: Pieces left out because someone in the room can know them on all of these days.
        seconds: Time the search took.
        outcome: What came of planning.
        proposal: What is proposed in place of the plan; None when nothing is.
        breaches: Days that should have stayed as they are and cannot, and why.
        unlogged: Past slots of which nobody logged whether they were read.
        open_days: What would fill each day with an open slot.
    """

    term: Term
    ensemble: Ensemble
    plan: Plan
    slots: tuple[PlannedSlot, ...]
    open_dates: tuple[date, ...]
    notes: tuple[str, ...]
    candidates: int
    met: int
    seconds: float
    outcome: Outcome = Outcome.STORED
    proposal: Proposal | None = None
    breaches: tuple[Breach, ...] = ()
    unlogged: tuple[Slot, ...] = ()
    open_days: tuple[OpenDay, ...] = ()


def plan_term(
    open_work: OpenWork,
    term_id: int,
    today: date,
    *,
    by: Author,
    limit_s: float = 20.0,
    steps: int | None = None,
    seed: int = 1,
    leave_open: bool = False,
    limits: Limits | None = None,
    progress: SearchProgress | None = None,
) -> PlanView:
    """Plan what is still to come of a term.

    Past and logged days stay as they are; so do days that are announced, have printed guides or a pin that
    stands, unless they break a rule now. The first plan is stored; while one is in force a better one is only
    proposed (``services.term.proposals``). When nothing has changed since it was made nothing is searched.

    Args:
        open_work: Opens a transaction; none is open while the search runs.
        term_id: The term.
        today: Days before it are past.
        by: Who plans, and when.
        limit_s: Wall seconds for the search.
        steps: Steps of the search, the same on every machine; None for as many as suit the term.
        seed: Random seed.
        leave_open: Leave days open when there are too few fresh pieces, instead of refusing.
        limits: How strict the rules are; the usual ones when None.
        progress: Told of each better plan; can end the search, and the best so far is kept.

    Raises:
        NotFoundError: If the term does not exist.
        InputError: If the term has no reading day left.
        InfeasiblePlanError: If no plan keeps all rules, with their names.
        PlanTimeoutError: If slots may not stay open, and time ran out before a plan or a proof was found.
        ConflictError: If the term was changed while the search ran; the plan from before stays.
    """
    from planner.scheduling.solve import solve  # the solver's library takes a second to load

    with open_work() as work:
        facts = read_facts(work, term_id, today)
    term_problem = build_problem(facts, replace(limits or Limits(), may_leave_open=leave_open))
    has_plan = facts.plan is not None and bool(facts.plan.slots)
    if not any(on >= today for on in facts.term.reading_dates()):
        raise InputError(f"{facts.term.name} has no reading day left to plan.", hint="Lengthen the term.")
    if facts.plan is not None and has_plan:
        view = _nothing_new(open_work, term_problem, facts.plan)
        if view is not None:
            return view
    solution = solve(term_problem.problem, limit_s, steps=steps, seed=seed, progress=progress)
    slots = _settled_down(term_problem, solution)
    plan = _as_plan(term_problem, solution, slots)
    notes = _ended_notes(solution)
    if facts.plan is None or not has_plan:
        with changing(open_work) as work:
            _refuse_changed(work, facts)
            with recorded(work, ChangeKind.TERM, term_subject(facts.term), by):
                save_checked(work, term_problem, plan, slots)
        return _shown(open_work, term_problem, plan, Outcome.STORED, notes, solution)
    return _compared(open_work, term_problem, facts.plan, plan, slots, notes, solution)


def _nothing_new(open_work: OpenWork, term_problem: TermProblem, in_force: Plan) -> PlanView | None:
    """The plan in force where there is nothing to search for; None where there is."""
    made_from = fingerprint_of(term_problem, in_force.slots)
    has_open = any(
        slot.piece_id == OPEN_PIECE
        for slot in term_problem.filled_up(term_problem.without_again(in_force.slots))
    )
    if has_open and not term_problem.problem.limits.may_leave_open:
        return None
    if in_force.made_from == made_from:
        return _shown(open_work, term_problem, in_force, Outcome.UNCHANGED, [words.UNCHANGED])
    if not term_problem.problem.free_days and _has_again(term_problem, in_force):
        return _shown(open_work, term_problem, in_force, Outcome.KEPT, [words.ALL_STAY])
    with open_work() as work:
        proposal = proposal_view(work, in_force.term_id)
    if proposal is not None and proposal.made_from == made_from:
        return _shown(open_work, term_problem, in_force, Outcome.PROPOSED, [_proposed_note(proposal)])
    return None


def _proposed_note(proposal: Proposal) -> str:
    note = words.needed_note if proposal.against is None else words.proposed_note
    return note(len(proposal.changes))


def _compared(
    open_work: OpenWork,
    term_problem: TermProblem,
    in_force: Plan,
    plan: Plan,
    slots: tuple[Slot, ...],
    notes: list[str],
    solution: "Solution",
) -> PlanView:
    """Propose a new plan where it is better than the one in force, or where that cannot stay."""
    facts = term_problem.facts
    against = cost_if_kept(term_problem, in_force.slots) if _has_again(term_problem, in_force) else None
    cost = check.cost(term_problem.problem, slots)
    made_from = fingerprint_of(term_problem, in_force.slots)
    stays = against is not None and cost.total >= against.total
    proposal = None
    if not stays:
        changes = changes_between(term_problem, in_force.slots, plan.slots)
        stays = not changes
        proposal = Proposal(
            facts.term.id, facts.today, plan.slots, cost, against, changes, plan.bound, plan.is_proven,
            made_from, term_problem.breaches,
        )  # fmt: skip
    with changing(open_work) as work:
        _refuse_changed(work, facts)
        if proposal is None or stays:
            in_force = replace(in_force, made_from="" if _is_unfinished(solution) else made_from)
            work.terms.save_plan(in_force)
            work.terms.remove_proposal(facts.term.id)
        else:
            store_proposal(work, proposal)
    if proposal is None or stays:
        return _shown(open_work, term_problem, in_force, Outcome.KEPT, [words.KEPT, *notes], solution)
    notes = [_proposed_note(proposal), *notes]
    return _shown(open_work, term_problem, in_force, Outcome.PROPOSED, notes, solution)


def _has_again(term_problem: TermProblem, plan: Plan) -> bool:
    """Whether a plan holds every second reading the director asked for."""
    standing = {(slot.on, slot.piece_id) for slot in plan.slots}
    return all((slot.on, slot.piece_id) in standing for slot in term_problem.again)


def _settled_down(term_problem: TermProblem, solution: "Solution") -> tuple[Slot, ...]:
    """The slots of a solution with as little of the plan in force changed as it can do without.

    Where a piece stays on its day, so do its skill and whom it features, unless another saves enough; and
    days that change together go back to what they were where that costs nothing.
    """
    problem, facts = term_problem.problem, term_problem.facts
    slots = tuple(solution.slots)
    if facts.plan is None:
        return slots
    standing = {(s.on, s.position, s.station, s.piece_id): s for s in facts.plan.slots}
    labels = [standing.get((s.on, s.position, s.station, s.piece_id), s) for s in slots]
    kept = tuple(
        replace(s, focus=old.focus, featured_section_id=old.featured_section_id)
        for s, old in zip(slots, labels, strict=True)
    )
    slots = _labels_back(problem, slots, kept)
    return _gone_back(term_problem, slots)


def _labels_back(problem: PlanProblem, slots: tuple[Slot, ...], kept: tuple[Slot, ...]) -> tuple[Slot, ...]:
    """Slots with the skill and the featured section they had, but for those that save ``RELABEL_COST`` each.

    All go back where they save less together, so that labels that only changed places do not count.

    Args:
        problem: What is planned.
        slots: As the search has them.
        kept: The same pieces with the labels they had, in the same order.
    """
    total = check.cost(problem, slots).total
    if not check.broken_rules(problem, kept) and check.cost(problem, kept).total <= total + RELABEL_COST:
        return kept
    went_back = True
    while went_back:
        went_back = False
        for at, (one, other) in enumerate(zip(slots, kept, strict=True)):
            back = (*slots[:at], other, *slots[at + 1 :])
            if one != other and not check.broken_rules(problem, back):
                cost = check.cost(problem, back).total
                if cost <= total + RELABEL_COST:
                    slots, total, went_back = back, cost, True
    return slots


def _gone_back(term_problem: TermProblem, slots: tuple[Slot, ...]) -> tuple[Slot, ...]:
    problem = term_problem.problem
    before = filled_up(problem, problem.stands)
    total = check.cost(problem, slots).total
    for group in groups_of(before, slots):
        back = (*(s for s in slots if s.on not in group), *(s for s in before if s.on in group))
        if not check.broken_rules(problem, back):
            cost = check.cost(problem, back).total
            if cost <= total:
                slots, total = tuple(sorted(back, key=_order)), cost
    return slots


def _order(slot: Slot) -> tuple[date, int, int]:
    return slot.on, slot.position, slot.station or 0


def _refuse_changed(work: UnitOfWork, facts: TermFacts) -> None:
    """Store no plan for a term that is no longer the one it was made for.

    Raises:
        ConflictError: If its dates, sections, wishes, plan or results are others by now.
    """
    term_id, ensemble_id = facts.term.id, facts.ensemble.id
    results = tuple(r for r in work.results.list_results(ensemble_id) if r.on <= facts.term.last)
    now = (work.terms.get(term_id), work.ensembles.get(ensemble_id), tuple(work.terms.wishes(term_id)))
    before = (facts.term, facts.ensemble, facts.wishes)
    if now != before or (work.terms.plan(term_id), results) != (facts.plan, facts.results):
        raise ConflictError(
            f"{facts.term.name} was changed while its plan was being made.", hint="Plan it again."
        )


def _as_plan(term_problem: TermProblem, solution: "Solution", slots: Sequence[Slot]) -> Plan:
    """The slots as they are stored: with second readings, pins and reasons, without open slots."""
    facts = term_problem.facts
    pinned = {(wish.piece_id, wish.on) for wish in facts.wishes if wish.kind == "pinned"}
    over = {day.on for day in term_problem.problem.days if day.is_settled}
    filled = [
        s if s.on in over else replace(s, is_pinned=bool({(s.piece_id, s.on), (s.piece_id, None)} & pinned))
        for s in slots
        if s.piece_id != OPEN_PIECE
    ]
    cost = check.cost(term_problem.problem, slots)
    explained = reasons_for(term_problem, term_problem.whole_plan(filled))
    return Plan(
        term_id=facts.term.id,
        slots=explained,
        cost=float(cost.filled + cost.change),
        bound=min(float(cost.filled + cost.change), solution.bound),
        is_proven=solution.is_proven,
        made_from="" if _is_unfinished(solution) else fingerprint_of(term_problem, explained),
    )


def _is_unfinished(solution: "Solution") -> bool:
    """Whether planning again should search on although nothing changes: it was cut short before it was full.

    A full plan for which only time ran out stays, so that a slow machine changes nothing either.
    """
    is_open = any(slot.piece_id == OPEN_PIECE for slot in solution.slots)
    return solution.ended is Ended.ASKED or (solution.ended is Ended.TIME and is_open)


def save_checked(work: UnitOfWork, term_problem: TermProblem, plan: Plan, slots: Sequence[Slot]) -> None:
    """Store a plan that keeps every rule.

    Raises:
        PlanError: If it breaks one; nothing is stored.
    """
    broken = check.broken_rules(term_problem.problem, slots)
    if broken:
        raise PlanError(f"This plan breaks a rule and was not saved: {'; '.join(broken)}.")
    work.terms.save_plan(plan)


def _ended_notes(solution: "Solution") -> list[str]:
    """Why the search ended, where that is worth knowing."""
    match solution.ended:
        case Ended.TIME:
            return [words.OUT_OF_TIME]
        case Ended.ASKED:
            return [words.STOPPED]
    return []


def _shown(
    open_work: OpenWork,
    term_problem: TermProblem,
    plan: Plan,
    outcome: Outcome,
    notes: list[str],
    solution: "Solution | None" = None,
) -> PlanView:
    """The plan in force after planning, with what the director should know."""
    facts, problem = term_problem.facts, term_problem.problem
    with open_work() as work:
        shown = _planned_slots(work, facts, plan)
        proposal = proposal_view(work, facts.term.id)
        unlevelled = work.pieces.count(is_levelled=False)
    opened = open_days(term_problem, plan.slots, unlevelled)
    unlogged = unlogged_slots(plan.slots, facts.results, facts.today)
    free = set(problem.free_days)
    fresh = sum(1 for piece in problem.pieces if free - piece.stale_on)
    open_slots = sum(each.slots for each in opened)
    is_early = solution is not None and solution.ended in (Ended.TIME, Ended.ASKED)
    filled = proposal.filled if proposal is not None else 0
    if open_slots and filled > 0:
        notes = [*notes, words.filled_by_new_note(open_slots, filled)]
    elif open_slots:
        notes = [*notes, (words.open_for_now_note if is_early else words.open_slots_note)(open_slots)]
    notes += [words.short_skill_note(each.skill, each.pieces, each.share) for each in term_problem.short]
    notes += [words.never_featured_note(section.name) for section in term_problem.never_featured]
    if unlogged:
        notes.append(words.unlogged_note(sorted({slot.on for slot in unlogged})))
    return PlanView(
        term=facts.term,
        ensemble=facts.ensemble,
        plan=plan,
        slots=shown,
        open_dates=tuple(each.on for each in opened for _ in range(each.slots)),
        notes=tuple(notes),
        candidates=fresh,
        met=sum(1 for piece in problem.pieces if free and free <= piece.stale_on),
        seconds=solution.seconds if solution else 0.0,
        outcome=outcome,
        proposal=proposal,
        breaches=term_problem.breaches,
        unlogged=unlogged,
        open_days=opened,
    )


def _planned_slots(work: UnitOfWork, facts: TermFacts, plan: Plan) -> tuple[PlannedSlot, ...]:
    names = {section.id: section.name for section in facts.ensemble.sections}
    logged = {result.on for result in facts.results}
    pieces = work.pieces.get_all({slot.piece_id for slot in plan.slots})
    levels = work.pieces.levels_for(facts.ensemble.id, pieces)
    return tuple(
        PlannedSlot(
            slot=slot,
            piece=pieces[slot.piece_id],
            featured=names.get(slot.featured_section_id or 0, ""),
            is_past=slot.on < facts.today or slot.on in logged,
            level=levels[slot.piece_id],
        )
        for slot in plan.slots
    )
