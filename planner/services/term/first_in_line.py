"""Pieces that wait for a place: the first day on which each may stand when the term is planned again."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date

from planner.scheduling.explanation.causes import why_not
from planner.scheduling.explanation.pins import pin_conflict
from planner.scheduling.problem import Limits, PlanProblem, PlanWish
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import build_problem
from planner.services.ports.work import UnitOfWork
from planner.services.term.wishes import INSISTED


def first_places(
    work: UnitOfWork,
    term_id: int,
    pieces: Sequence[int],
    after: date,
    today: date,
    *,
    insisted: Collection[int] = (),
) -> dict[int, date]:
    """For each piece the first day after another on which planning may put it, beside what is pinned there.

    Days that stay as they are planned are none, unless a place of theirs is empty.

    Args:
        work: An open unit of work; nothing is changed.
        term_id: The term as it is stored, the pieces in no place of its plan.
        pieces: Those that wait, the first in line first.
        after: They come on a later day.
        today: Days before it are past.
        insisted: Pieces that were pinned: estimates do not keep them off a day.

    Returns:
        By piece its day; one for which no day is left is not in it.
    """
    facts = read_facts(work, term_id, today, only=pieces)
    problem = build_problem(facts, Limits(may_leave_open=True)).problem
    waiting = {*pieces}
    problem = replace(problem, pins=tuple(p for p in problem.pins if p.on or p.piece_id not in waiting))
    dates = [problem.days[day].on for day in problem.free_days if problem.days[day].on > after]
    found: dict[int, date] = {}
    for piece in (piece for piece in pieces if piece in problem.piece_by_id):
        day = next((on for on in dates if _may_come(problem, piece, on, piece in insisted)), None)
        if day is not None:
            found[piece] = day
            problem = replace(problem, pins=(*problem.pins, PlanWish(piece, day)))
    return found


def _may_come(problem: PlanProblem, piece: int, on: date, is_insisted: bool) -> bool:
    """Whether nothing keeps a piece off a day, and there is room beside what is pinned to it."""
    causes = why_not(problem, piece, on)
    if any(not (is_insisted and cause.rule in INSISTED) for cause in causes):
        return False
    return pin_conflict(problem, PlanWish(piece, on)) is None
