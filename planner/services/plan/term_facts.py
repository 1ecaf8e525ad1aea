"""Everything a term is planned from, read in one go."""

import hashlib
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from datetime import date, timedelta
from enum import Enum

from planner.core.term import Plan, Slot, Term, Wish
from planner.levels.history import LevelBelief
from planner.scheduling.problem import OPEN_PIECE
from planner.services.levels.section_term import forecast_levels
from planner.services.match.outlook import read_outlooks
from planner.services.plan.demands import library_shares
from planner.services.plan.freshness import Knowing, known_by_day, linked_pieces
from planner.services.plan.term_problem import TermFacts, TermProblem
from planner.services.ports.work import UnitOfWork

Forecasts = Mapping[int, tuple[LevelBelief, ...]]
"""What is believed of each section on each reading day of a term, by section."""


def read_facts(
    work: UnitOfWork,
    term_id: int,
    today: date,
    *,
    asks_what_stays: bool = True,
    only: Collection[int] | None = None,
    forecasts: Forecasts | None = None,
) -> TermFacts:
    """What a term is planned from.

    Args:
        work: An open unit of work; nothing is changed.
        term_id: Which term.
        today: Days before it are past.
        asks_what_stays: Whether days with printed guides, and the reasons of the plan, have to be known.
        only: Pieces to look at, beside those that are wished for or stand on days that stay: whether they may
            stand somewhere, and beside what, needs no others; what they train is held against the whole
            library all the same. None for every piece.
        forecasts: As ``forecast_levels`` of the term's days, where they are known already.

    Raises:
        NotFoundError: If there is no such term.
    """
    term = work.terms.get(term_id)
    ensemble = work.ensembles.get(term.ensemble_id)
    dates = term.reading_dates()
    known = known_by_day(work, ensemble, dates, term=term, today=today)
    ahead = next((on for on in dates if on >= today), dates[-1])
    away = _read_elsewhere(work, term)
    plan = work.terms.plan(term_id) if asks_what_stays else bare_plan(work, term_id)
    wishes = tuple(work.terms.wishes(term_id))
    printed = work.terms.printed(term_id) if asks_what_stays else {}
    staying = _staying(term, plan, wishes, today) | printed.keys()
    wanted = None if only is None else frozenset({*only, *_spoken_of(plan, wishes, staying)})
    return TermFacts(
        term=term,
        ensemble=ensemble,
        outlooks=read_outlooks(work, ensemble, known[ahead], wanted),
        plan=plan,
        wishes=wishes,
        results=tuple(r for r in work.results.list_results(ensemble.id) if r.on <= term.last),
        today=today,
        forecasts=forecast_levels(work, ensemble, dates, today) if forecasts is None else forecasts,
        known=known,
        away=away,
        linked=linked_pieces(work),
        copies=work.pieces.copies(wanted),
        printed=printed,
        shares={} if wanted is None else library_shares(work, ensemble),
    )


def bare_plan(work: UnitOfWork, term_id: int) -> Plan | None:
    """The plan in force without its reasons: read with those of all terms, which freshness asks for too."""
    slots = work.terms.planned([term.id for term in work.terms.list_terms()]).get(term_id)
    return Plan(term_id, tuple(slots)) if slots else None


def _staying(term: Term, plan: Plan | None, wishes: Sequence[Wish], today: date) -> set[date]:
    """Days to come that stay as they are planned: announced, or with a pin."""
    until = today + timedelta(days=term.announced_days)
    planned = {slot.on for slot in plan.slots} if plan else set()
    return {on for on in planned if today <= on < until} | {wish.on for wish in wishes if wish.on is not None}


def _spoken_of(plan: Plan | None, wishes: Sequence[Wish], days: Collection[date]) -> set[int]:
    """Pieces that are planned for some days, or wished for."""
    planned = {slot.piece_id for slot in plan.slots if slot.on in days} if plan else set()
    return (planned | {wish.piece_id for wish in wishes}) - {OPEN_PIECE}


def _read_elsewhere(work: UnitOfWork, term: Term) -> dict[date, Counter[int]]:
    """By date, how often each piece is read by other ensembles."""
    terms = {each.id: each.ensemble_id for each in work.terms.list_terms()}
    found: dict[date, Counter[int]] = {}
    for term_id, planned in work.terms.planned(list(terms)).items():
        slots = planned if terms[term_id] != term.ensemble_id else ()
        for on, piece in {(slot.on, slot.piece_id) for slot in slots if slot.piece_id != OPEN_PIECE}:
            found.setdefault(on, Counter())[piece] += 1
    return found


def fingerprint_of(term_problem: TermProblem, slots: Sequence[Slot]) -> str:
    """What a plan is made from in one word: while it stays the same there is nothing new to plan for.

    The passing of days changes nothing: neither which days are over or announced, nor how far ahead a level
    is expected, nor that a planned day was not logged. Nor does a pin where the piece stands already.

    Args:
        term_problem: The problem as it is now.
        slots: The plan that is, or will be, in force.
    """
    facts, problem = term_problem.facts, term_problem.problem
    own, standing = {slot.piece_id for slot in slots}, {(slot.piece_id, slot.on) for slot in slots}
    known = tuple(
        (
            on,
            tuple(sorted(p for p, k in there.items() if k.how is not Knowing.UNLOGGED or p not in own)),
        )
        for on, there in sorted(facts.known.items())
    )
    pieces = tuple(
        (p.piece_id, p.level, p.minutes, p.trains, p.features, p.parts, p.cost, p.likeness, p.sets)
        for p in problem.pieces
    )
    wishes = tuple(w for w in facts.wishes if w.kind != "pinned" or (w.piece_id, w.on) not in standing)
    away = tuple((on, tuple(sorted(there.items()))) for on, there in sorted(facts.away.items()))
    limits = replace(problem.limits, may_leave_open=True)
    made_from = (facts.term, facts.ensemble, wishes, facts.results, known, pieces, away, limits)
    return hashlib.sha256(repr(_plain(made_from)).encode()).hexdigest()[:32]


def _plain(value: object) -> object:
    """A value in an order that does not depend on the run of the program."""
    if is_dataclass(value) and not isinstance(value, type):
        return tuple(_plain(getattr(value, each.name)) for each in fields(value))
    if isinstance(value, frozenset):
        return tuple(sorted(value))
    if isinstance(value, tuple):
        return tuple(_plain(each) for each in value)
    return str(value) if isinstance(value, Enum) else value
