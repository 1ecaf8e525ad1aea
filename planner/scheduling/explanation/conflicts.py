"""From a proven conflict to what the director is shown of it: the rules, where they bite, what would help."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

import numpy as np

from planner.scheduling import check
from planner.scheduling.answer import Cause, Conflict, ConflictKind
from planner.scheduling.explanation.causes import BINDING_RULES, every_cause, merged
from planner.scheduling.explanation.mends import mended, possible_mends
from planner.scheduling.explanation.narrow import Causes, HasPlan, Narrowing
from planner.scheduling.explanation.pairs import Pairs
from planner.scheduling.problem import PlanProblem

Settles = Callable[[PlanProblem, Causes | None], bool | None]
"""Whether a problem has a plan that keeps just these causes, or, without any given, all of its own."""


def narrowed(
    problem: PlanProblem, causes: Causes, has_plan: HasPlan, keep: Causes = frozenset()
) -> tuple[Narrowing, bool]:
    """First the rules, then their places, until none can be left out.

    Args:
        problem: A problem.
        causes: Causes that no plan keeps together.
        has_plan: Asked of subsets.
        keep: Causes that are not in question.

    Returns:
        What is left, and whether it was proven that no rule can be left out.
    """
    narrowing = Narrowing(has_plan, causes)
    every = {rule: frozenset(each) - keep for rule, each in every_cause(problem).items()}
    narrowing.leave_out(list(every.values()))
    is_minimal = narrowing.is_exact
    dates = [problem.days[day].on for day in reversed(problem.free_days)]
    narrowing.leave_out([frozenset({Cause(check.FILLED, on)}) for on in dates])
    for rule in (check.PINS, check.BANS):
        narrowing.leave_out([frozenset({cause}) for cause in sorted(every[rule], key=_place)])
    for section in problem.sections:
        mine = frozenset(cause for cause in every[check.READABLE] if cause.section_ids == (section.id,))
        narrowing.leave_out([mine])
    for rule in BINDING_RULES:
        if rule not in (check.FILLED, check.PINS, check.BANS):  # their places were tried above
            narrowing.leave_out([frozenset({cause}) for cause in sorted(every[rule], key=_place)])
    return narrowing, is_minimal


def _place(cause: Cause) -> tuple[str, tuple[int, ...], tuple[int, ...]]:
    return str(cause.on or ""), cause.piece_ids, cause.section_ids


def conflict_of(pairs: Pairs, narrowing: Narrowing, settles: Settles, *, is_minimal: bool) -> Conflict:
    """What a narrowed conflict comes to.

    Args:
        pairs: Pieces and sittings of the problem.
        narrowing: The causes that are left.
        settles: Asked of the problem after a mend.
        is_minimal: Whether no rule can be left out.
    """
    problem, causes = pairs.problem, narrowing.causes
    rules = tuple(rule for rule in check.CHECKS if any(cause.rule == rule for cause in causes))
    mends = tuple(
        replace(mend, is_enough=settles(mended(problem, mend), None) is True)
        for mend in dict.fromkeys(possible_mends(pairs, causes, settles))
    )
    placed = [_with_slots(problem, cause) for cause in causes]
    shown = merged([*placed, *_by_piece(pairs, causes), *_repeats(problem, causes)])
    left = _left(pairs, causes) if check.FILLED in rules else ()
    return Conflict(
        kind=_kind(rules),
        rules=rules,
        causes=shown,
        mends=mends,
        is_minimal=is_minimal,
        is_exact=narrowing.is_exact,
        left=left,
        titles=_titles(problem, [left, *(c.piece_ids for c in shown), *(m.piece_ids for m in mends)]),
        sections=tuple(
            (section.id, section.name)
            for section in problem.sections
            if any(section.id in cause.section_ids for cause in shown)
        ),
    )


def _kind(rules: tuple[str, ...]) -> ConflictKind:
    if check.FILLED not in rules:
        return ConflictKind.PIN
    if set(rules) <= {check.FILLED, check.ONCE, check.FRESH}:
        return ConflictKind.TOO_FEW
    return ConflictKind.RULES


def _titles(problem: PlanProblem, ids: Iterable[tuple[int, ...]]) -> tuple[tuple[int, str], ...]:
    known = problem.piece_by_id
    named = sorted({piece for each in ids for piece in each})
    return tuple((piece, known[piece].title) for piece in named if piece in known)


def _by_piece(pairs: Pairs, causes: Causes) -> Iterator[Cause]:
    """The causes about a day, by the pieces that they alone keep off it: of a pin only the pinned ones."""
    problem = pairs.problem
    dates = {cause.on for cause in causes if cause.on}
    is_filled = any(cause.rule == check.FILLED for cause in causes)
    pins = [cause for cause in causes if cause.rule == check.PINS]
    pinned = {piece for pin in pins for piece in pin.piece_ids}
    is_anywhere = any(pin.on is None for pin in pins)
    for at, sitting in enumerate(problem.sittings):
        if is_anywhere or problem.days[sitting.day].on in dates:
            for cause in pairs.alone(at, causes):
                ids = tuple(piece for piece in cause.piece_ids if is_filled or piece in pinned)
                if ids:
                    yield replace(cause, piece_ids=ids)


def _with_slots(problem: PlanProblem, cause: Cause) -> Cause:
    """A day that has to be filled, with how many slots it has."""
    if cause.rule != check.FILLED:
        return cause
    here = [sitting for sitting in problem.sittings if problem.days[sitting.day].on == cause.on]
    return replace(cause, slots=sum(sitting.slots for sitting in here))


def _repeats(problem: PlanProblem, causes: Causes) -> Iterator[Cause]:
    """The pinned pieces that would be read twice."""
    settled = {slot.piece_id for slot in problem.settled}
    pins = Counter(piece for cause in causes if cause.rule == check.PINS for piece in cause.piece_ids)
    for cause in causes:
        if cause.rule == check.ONCE:
            twice = tuple(piece for piece, times in pins.items() if times > 1 or piece in settled)
            yield replace(cause, piece_ids=twice)


def _left(pairs: Pairs, causes: Causes) -> tuple[int, ...]:
    """Pieces that may stand on a day that has to be filled."""
    problem = pairs.problem
    to_fill = {cause.on for cause in causes if cause.rule == check.FILLED}
    here = [at for at, s in enumerate(problem.sittings) if problem.days[s.day].on in to_fill]
    able = pairs.allowed(causes)[:, here].any(axis=1)
    return tuple(problem.pieces[at].piece_id for at in np.flatnonzero(able).tolist())
