"""The desk as page and command show it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.ensemble import Ensemble
from planner.core.term import Plan, Result, Slot, Term
from planner.scheduling.problem import OPEN_PIECE
from planner.services.day.read_day import DayView, day_to_come
from planner.services.desk.waiting import (
    NOTHING_WAITS,
    Waiting,
    days_without_results,
    own_results,
    waiting_for_director,
)
from planner.services.desk.watch import Watched, sections_to_watch
from planner.services.desk.week import WeekDay, week_of
from planner.services.levels.in_force import outlines_in_force
from planner.services.levels.section_levels import section_evidence
from planner.services.ports.records import JobLocks
from planner.services.ports.work import UnitOfWork
from planner.services.read_once import read_once

AFTER_NEXT = 3
"""Days shown beyond the next one (house choice)."""


@dataclass(frozen=True, slots=True)
class DayAhead:
    """A day beyond the next one, with the titles planned for it."""

    on: date
    titles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Desk:
    """What a director sees first in the morning, or a section leader of their own.

    Attributes:
        term: In view; None before there is one.
        today: The day it is looked at.
        next_day: The next day with a planned piece, today until its results are in; None without one.
        week: The days of this week; empty without a term.
        ahead: The days after the next one.
        watch: Sections to look at.
        waiting: What waits.
    """

    term: Term | None
    today: date
    next_day: DayView | None = None
    week: tuple[WeekDay, ...] = ()
    ahead: tuple[DayAhead, ...] = ()
    watch: tuple[Watched, ...] = ()
    waiting: Waiting = NOTHING_WAITS


def read_desk(
    work: UnitOfWork,
    locks: JobLocks,
    ensemble: Ensemble | None,
    term: Term | None,
    today: date,
    *,
    only: Collection[int] | None = None,
) -> Desk:
    """The desk of an ensemble.

    Args:
        work: An open unit of work; nothing is changed.
        locks: Which long work is in hand.
        ensemble: In view; None before there is one.
        term: In view; None before there is one.
        today: Days before it are past.
        only: The sections of whoever asks, who then sees nothing of the others; None is the director, who
            sees all. With no section at all it is somebody who only looks: no results, no levels.
    """
    work = read_once(work)
    plan = work.terms.plan(term.id) if term is not None else None
    if term is None or ensemble is None:
        waiting = waiting_for_director(work, locks, None, None, (), today) if only is None else NOTHING_WAITS
        return Desk(term, today, waiting=waiting)
    results = work.results.list_results(ensemble.id)
    own, sees_results = own_results(results, only or None), only is None or bool(only)
    read_on = {result.on for result in own}
    reading = set(term.reading_dates())
    planned = sorted({slot.on for slot in _filled(plan)} & reading)
    ahead = [on for on in planned if on >= today and on not in read_on]
    titles = _read_at_once(work, plan, results if sees_results else (), today, ahead)
    without = days_without_results(term, plan, own, today) if sees_results else ()
    evidence = section_evidence(work, ensemble, today=today) if sees_results else {}
    return Desk(
        term,
        today,
        next_day=day_to_come(work, term, ensemble, plan, ahead[0]) if plan and ahead else None,
        week=week_of(term, plan, titles, read_on, today),
        ahead=tuple(
            DayAhead(on, tuple(titles[piece] for piece in _pieces_on(plan, on) if piece in titles))
            for on in ahead[1 : 1 + AFTER_NEXT]
        ),
        watch=sections_to_watch(evidence.values(), today, only),
        waiting=(
            waiting_for_director(work, locks, term, plan, without, today)
            if only is None
            else Waiting(results=without)
        ),
    )


def _read_at_once(
    work: UnitOfWork, plan: Plan | None, results: Sequence[Result], today: date, ahead: Sequence[date]
) -> dict[int, str]:
    """Read all pieces and studies that the desk needs in one go, and give the titles of the pieces."""
    read = {result.piece_id for result in results}
    pieces = work.pieces.get_all(read | _pieces_near(plan, today, ahead))
    studied = read | set(_pieces_on(plan, ahead[0]) if ahead else ())
    outlines_in_force(work, [piece for piece in pieces.values() if piece.id in studied])
    return {piece.id: piece.title for piece in pieces.values()}


def _filled(plan: Plan | None) -> list[Slot]:
    return [slot for slot in (plan.slots if plan else ()) if slot.piece_id != OPEN_PIECE]


def _pieces_on(plan: Plan | None, on: date) -> list[int]:
    return list(dict.fromkeys(slot.piece_id for slot in _filled(plan) if slot.on == on))


def _pieces_near(plan: Plan | None, today: date, ahead: Sequence[date]) -> set[int]:
    """Pieces of this week and of the days that are shown after it."""
    monday = today - timedelta(days=today.weekday())
    shown = {monday + timedelta(days=n) for n in range(7)} | set(ahead[: 1 + AFTER_NEXT])
    return {slot.piece_id for slot in _filled(plan) if slot.on in shown}
