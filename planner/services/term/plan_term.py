"""Fill a term with reading days: plan, pin, ban, and plan again."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from planner.core.ensemble import Ensemble
from planner.core.piece import Piece
from planner.core.term import Plan, Slot, Term, Wish
from planner.errors import ConflictError, InfeasiblePlanError, InputError, NotFoundError, PlanError
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE, Limits, PlanProblem
from planner.services.levels.section_term import forecast_levels
from planner.services.ports import OpenWork, UnitOfWork
from planner.services.term.outlook import read_outlooks
from planner.services.term.slot_reasons import reasons_for
from planner.services.term.term_problem import TermFacts, TermProblem, build_problem
from planner.services.toolbox import changing
from planner.wording.director.plan import NOT_PROVEN, open_slots_note

if TYPE_CHECKING:
    from planner.scheduling.solve import Solution


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
        plan: As stored.
        slots: In order of date and position.
        open_dates: Dates with a slot left open.
        notes: What the director should know, in sentences.
        candidates: Fresh pieces that were looked at.
        met: Pieces left out because someone in the room can know them.
        seconds: Time the search took.
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


def plan_term(
    open_work: OpenWork,
    term_id: int,
    today: date,
    *,
    limit_s: float = 20.0,
    seed: int = 1,
    workers: int = 1,
    leave_open: bool = False,
    limits: Limits | None = None,
) -> PlanView:
    """Plan what is still to come of a term; past and logged days stay as they are.

    Args:
        open_work: Opens a transaction; none is open while the search runs.
        term_id: The term.
        today: Days before it are past.
        limit_s: Wall seconds for the search.
        seed: Random seed.
        workers: Threads; with one the same library gives the same plan.
        leave_open: Leave days open when there are too few fresh pieces, instead of refusing.
        limits: How strict the rules are; the usual ones when None.

    Raises:
        NotFoundError: If the term does not exist.
        InputError: If the term has no reading day left.
        InfeasiblePlanError: If no plan keeps all rules, with their names.
        PlanTimeoutError: If time ran out before a plan or a proof was found.
        ConflictError: If the term was changed while the search ran; the plan from before stays.
    """
    from planner.scheduling.solve import solve  # the solver's library takes a second to load

    with open_work() as work:
        facts, met = _facts(work, term_id, today)
    wanted = replace(limits or Limits(), may_leave_open=leave_open)
    term_problem = build_problem(facts, wanted)
    if not term_problem.problem.free_days:
        raise InputError(f"{facts.term.name} has no reading day left to plan.", hint="Lengthen the term.")
    _refuse_too_few(term_problem.problem)
    before = facts.plan.slots if facts.plan else ()
    solution = solve(term_problem.problem, limit_s, seed=seed, workers=workers, hint=before)
    slots = reasons_for(facts, term_problem, solution.slots)
    plan = _as_plan(term_id, solution, slots)
    with changing(open_work) as work:
        _refuse_changed(work, facts)
        save_checked(work, term_problem, plan, solution.slots)
        shown = _planned_slots(work, facts, plan)
    return _view(facts, term_problem, plan, solution, met, shown)


def _refuse_too_few(problem: PlanProblem) -> None:
    """Say the plainest reason first: more places to fill than fresh pieces to fill them with.

    Raises:
        InfeasiblePlanError: If so, and no place may stay open.
    """
    banned = {ban.piece_id for ban in problem.bans if ban.on is None}
    fresh = sum(1 for piece in problem.pieces if piece.is_fresh and piece.piece_id not in banned)
    pinned = sum(1 for pin in problem.pins if not problem.piece_by_id[pin.piece_id].is_fresh)
    readings = sum(day.slots for day in problem.days if not day.is_past)
    if not problem.limits.may_leave_open and fresh + pinned < readings:
        raise InfeasiblePlanError(
            (check.FILLED, check.ONCE),
            hint=f"{readings} readings need a piece and {fresh} fresh ones suit the ensemble: "
            "add scores, shorten the term, or let days stay open.",
        )


def _facts(work: UnitOfWork, term_id: int, today: date) -> tuple[TermFacts, int]:
    term = work.terms.get(term_id)
    ensemble = work.ensembles.get(term.ensemble_id)
    wishes = tuple(work.terms.wishes(term_id))
    pinned = [wish.piece_id for wish in wishes if wish.kind == "pinned"]
    outlooks, met = read_outlooks(work, ensemble, max(today, term.first), also=pinned)
    taken = _planned_elsewhere(work, term, today)
    facts = TermFacts(
        term=term,
        ensemble=ensemble,
        outlooks=tuple(
            o for o in outlooks if o.piece.id not in taken and (o.can_be_cast or o.piece.id in pinned)
        ),
        plan=work.terms.plan(term_id),
        wishes=wishes,
        results=tuple(r for r in work.results.list_results(ensemble.id) if r.on <= term.last),
        today=today,
        forecasts=forecast_levels(work, ensemble, term.reading_dates(), today),
    )
    return facts, len(met)


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


def _planned_elsewhere(work: UnitOfWork, term: Term, today: date) -> set[int]:
    """Pieces that another term of the same ensemble still means to read."""
    others = [t for t in work.terms.list_terms(term.ensemble_id) if t.id != term.id]
    plans = work.terms.plans([t.id for t in others])
    return {slot.piece_id for plan in plans.values() for slot in plan.slots if slot.on >= today}


def _as_plan(term_id: int, solution: "Solution", slots: Sequence[Slot]) -> Plan:
    return Plan(
        term_id=term_id,
        slots=tuple(slot for slot in slots if slot.piece_id != OPEN_PIECE),
        cost=float(solution.cost),
        bound=solution.bound,
        is_proven=solution.status == "optimal",
    )


def save_checked(work: UnitOfWork, term_problem: TermProblem, plan: Plan, slots: Sequence[Slot]) -> None:
    """Store a plan that keeps every rule.

    Raises:
        PlanError: If it breaks one; nothing is stored.
    """
    broken = check.broken_rules(term_problem.problem, slots)
    if broken:
        raise PlanError(f"This plan breaks a rule and was not saved: {'; '.join(broken)}.")
    work.terms.save_plan(plan)


def _view(
    facts: TermFacts,
    term_problem: TermProblem,
    plan: Plan,
    solution: "Solution",
    met: int,
    slots: tuple[PlannedSlot, ...],
) -> PlanView:
    open_dates = tuple(slot.on for slot in solution.slots if slot.piece_id == OPEN_PIECE)
    notes = list(term_problem.notes)
    if open_dates:
        notes.append(open_slots_note(len(open_dates)))
    if not plan.is_proven:
        notes.append(NOT_PROVEN)
    return PlanView(
        term=facts.term,
        ensemble=facts.ensemble,
        plan=plan,
        slots=slots,
        open_dates=open_dates,
        notes=tuple(notes),
        candidates=sum(1 for outlook in facts.outlooks if outlook.met is None),
        met=met,
        seconds=solution.seconds,
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


def pin(work: UnitOfWork, term_id: int, piece_id: int, on: date | None, today: date) -> tuple[Wish, ...]:
    """Fix a piece to a day (or, without one, to the term); takes effect when the term is planned again.

    Raises:
        NotFoundError: If term, piece or reading day does not exist.
        ConflictError: If the day is past, or as many pieces are pinned to it as it has slots.
    """
    term = _checked_day(work, term_id, piece_id, on, today)
    wishes = [
        w
        for w in work.terms.wishes(term_id)
        if not (w.piece_id == piece_id and (w.kind == "pinned" or w.on in (on, None)))
    ]
    if on is not None and sum(1 for w in wishes if w.kind == "pinned" and w.on == on) >= term.slots:
        raise ConflictError(f"{on} already has its pinned piece.", hint="Take that pin off first.")
    return _store(work, term_id, [*wishes, Wish("pinned", piece_id, on)])


def ban(work: UnitOfWork, term_id: int, piece_id: int, on: date | None, today: date) -> tuple[Wish, ...]:
    """Keep a piece off a day (or, without one, out of the term); takes effect when planned again.

    Raises:
        NotFoundError: If term, piece or reading day does not exist.
        ConflictError: If the day is past.
    """
    _checked_day(work, term_id, piece_id, on, today)
    wishes = [
        w
        for w in work.terms.wishes(term_id)
        if not (w.piece_id == piece_id and w.on == on)
        and not (w.piece_id == piece_id and w.kind == "pinned" and on is None)
    ]
    return _store(work, term_id, [*wishes, Wish("banned", piece_id, on)])


def withdraw_wish(work: UnitOfWork, term_id: int, piece_id: int, on: date | None) -> tuple[Wish, ...]:
    """Take back a pin or a ban of a piece on a day."""
    work.terms.get(term_id)
    kept = [w for w in work.terms.wishes(term_id) if not (w.piece_id == piece_id and w.on == on)]
    return _store(work, term_id, kept)


def _checked_day(work: UnitOfWork, term_id: int, piece_id: int, on: date | None, today: date) -> Term:
    term = work.terms.get(term_id)
    work.pieces.get(piece_id)
    if on is not None:
        if on not in term.reading_dates():
            raise NotFoundError("reading day", f"{on} in {term.name}", hint="Look at the term for its days.")
        if on < today:
            raise ConflictError(f"{on} is past and stays as it was.", hint="Choose a day to come.")
    return term


def _store(work: UnitOfWork, term_id: int, wishes: Sequence[Wish]) -> tuple[Wish, ...]:
    work.terms.set_wishes(term_id, wishes)
    return tuple(wishes)
