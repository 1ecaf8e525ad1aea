"""Filling a few days anew, exactly: all that the rules allow among promising pieces is weighed at once."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from planner.scheduling import check
from planner.scheduling.search.board import NEVER, Board
from planner.scheduling.search.draft import OPEN, Draft, Held

total = cp_model.LinearExpr.sum


@dataclass
class _Model:
    """The decisions for the opened days.

    Attributes:
        x: Sitting and piece: read there.
        y: Sitting, piece, focus: read there for it.
        g: Sitting, piece, turn: that section's there.
    """

    draft: Draft
    days: tuple[int, ...]
    model: Any = field(default_factory=cp_model.CpModel)
    x: dict[tuple[int, int], Any] = field(default_factory=dict)
    y: dict[tuple[int, int, int], Any] = field(default_factory=dict)
    g: dict[tuple[int, int, int], Any] = field(default_factory=dict)
    costs: list[tuple[Any, int]] = field(default_factory=list)

    @property
    def board(self) -> Board:
        """The problem."""
        return self.draft.board

    def bool(self, cost: int = 0) -> Any:
        """A new decision with a cost."""
        variable = self.model.new_bool_var("")
        if cost:
            self.costs.append((variable, cost))
        return variable

    def count(self, most: int, cost: int) -> Any:
        """A new whole number from 0, each of which costs."""
        variable = self.model.new_int_var(0, max(0, most), "")
        self.costs.append((variable, cost))
        return variable

    def sittings_on(self, day: int) -> list[int]:
        """Sittings of a day."""
        return sorted({self.board.sitting_of[place] for place in self.board.places_on[day]})


@dataclass(frozen=True, slots=True)
class Weighed:
    """What came out.

    Attributes:
        is_changed: Whether the plan was changed.
        least: No plan among these choices costs less, open places included; None when not known.
        work: How much the solver worked, in its own measure.
    """

    is_changed: bool
    least: float | None = None
    work: float = 0.0


def every_choice(board: Board) -> dict[int, list[int]]:
    """For each sitting all pieces that may stand there."""
    return {at: np.flatnonzero(suit.may_stand).tolist() for at, suit in enumerate(board.suits)}


def refill(
    draft: Draft,
    days: Collection[int],
    choices: Mapping[int, Sequence[int]],
    *,
    work: float,
    seed: int,
    limit_s: float,
    must: bool = False,
) -> Weighed:
    """Fill days anew among some pieces so that the plan costs least.

    Args:
        draft: The plan; changed only when it gets cheaper.
        days: Indices of the days.
        choices: For each sitting of these days the pieces to choose among; what it holds and what is pinned
            there is added.
        work: How much the solver may work, in its own measure.
        seed: Random seed.
        limit_s: Wall seconds.
        must: Change the plan even when it gets dearer, as one that keeps its pins does.
    """
    before, total_before = list(draft.held), draft.total
    places = [place for day in sorted(days) for place in draft.board.places_on[day]]
    for place in places:
        draft.take(place)
    made = _Model(draft, tuple(sorted(days)))
    _add_choices(made, choices, before)
    _add_once(made)
    _add_focus(made)
    _add_turns(made)
    _add_pairs(made)
    _say_what_stands(made, before, places)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.01, limit_s)
    solver.parameters.max_deterministic_time = work
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    status = solver.solve(made.model)
    done = float(solver.response_proto.deterministic_time)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        draft.restore(before, places, total_before)
        return Weighed(is_changed=False, work=done)
    _apply(made, solver)
    least = solver.best_objective_bound + draft.total - solver.objective_value
    if draft.total >= total_before and not must:
        draft.restore(before, places, total_before)
        return Weighed(is_changed=False, least=least, work=done)
    return Weighed(is_changed=True, least=least, work=done)


def _add_choices(made: _Model, choices: Mapping[int, Sequence[int]], before: list[Held]) -> None:
    draft, board = made.draft, made.board
    for day in made.days:
        for at in made.sittings_on(day):
            held = {before[place][0] for place in board.places_of[at]} - {OPEN}
            pinned = {piece for piece, days in board.pinned.items() if not days or day in days}
            wanted = sorted({*choices.get(at, ()), *held, *pinned})
            suit = board.suits[at]
            here = []
            for piece in wanted:
                if suit.may_stand[piece] and draft.is_unused[piece]:
                    x = made.bool(int(suit.cost[piece]) - board.open_cost[day])
                    made.x[at, piece] = x
                    here.append(piece)
                    _dress(made, at, piece, x)
            made.model.add(total([made.x[at, p] for p in here]) <= board.sittings[at].slots)
            if board.sittings[at].slots > 1:
                made.model.add(
                    cp_model.LinearExpr.weighted_sum(
                        [made.x[at, p] for p in here], [int(board.minutes[p]) for p in here]
                    )
                    <= board.room[at]
                )


def _dress(made: _Model, at: int, piece: int, x: Any) -> None:
    board = made.board
    focuses = [f for f in range(len(board.focus_cost)) if board.focus_cost[f, piece] < NEVER]
    for f in focuses:
        made.y[at, piece, f] = made.bool(int(board.focus_cost[f, piece]))
    made.model.add(total([made.y[at, piece, f] for f in focuses]) == x)
    if board.turns:
        turns = [
            t
            for t in range(len(board.turns))
            if board.feature_cost[t, piece] < NEVER and board.present[at, t]
        ]
        for t in turns:
            made.g[at, piece, t] = made.bool(int(board.feature_cost[t, piece]))
        nobody = made.bool(check.NO_FEATURE_COST)
        made.model.add(total([made.g[at, piece, t] for t in turns]) + nobody == x)


def _add_once(made: _Model) -> None:
    board = made.board
    by_piece: dict[int, list[int]] = {}
    for at, piece in made.x:
        by_piece.setdefault(piece, []).append(at)
    for piece, sittings in by_piece.items():
        here = [board.sittings[at] for at in sittings]
        if all(sitting.station is None for sitting in here):
            made.model.add_at_most_one([made.x[at, piece] for at in sittings])
        else:
            _add_once_in_rooms(made, piece, sittings)
        _keep_change(made, piece, sittings)
    for piece, day in board.pins:
        wanted = [
            made.x[at, piece] for at in by_piece.get(piece, ()) if day in (None, board.sittings[at].day)
        ]
        if wanted and not made.draft.where.get(piece):
            made.model.add_bool_or(wanted)


def _add_once_in_rooms(made: _Model, piece: int, sittings: list[int]) -> None:
    board = made.board
    for a, b in combinations(sittings, 2):
        one, other = board.sittings[a], board.sittings[b]
        may_share = one.day == other.day and one.sections and other.sections
        if not may_share or one.sections & other.sections:
            made.model.add_at_most_one([made.x[a, piece], made.x[b, piece]])
    rounds: dict[tuple[int, int], list[Any]] = {}
    for at in sittings:
        rounds.setdefault((board.sittings[at].day, board.sittings[at].round), []).append(made.x[at, piece])
    for rooms in rounds.values():
        if len(rooms) > board.sets[piece]:
            made.model.add(total(rooms) <= int(board.sets[piece]))


def _keep_change(made: _Model, piece: int, sittings: list[int]) -> None:
    board = made.board
    for day in made.days:
        if piece in board.keep[day]:
            here = [made.x[at, piece] for at in sittings if board.sittings[at].day == day]
            if here:
                stays = made.bool(-board.problem.limits.change_cost)
                made.model.add(stays <= total(here))


def _add_focus(made: _Model) -> None:
    draft, board, problem = made.draft, made.board, made.board.problem
    opened = set(made.days)
    used: dict[tuple[int, int], Any] = {}
    for f in range(len(problem.focuses)):
        mine: list[Any] = []
        for day in made.days:
            here = [y for (at, _, focus), y in made.y.items() if focus == f and board.sittings[at].day == day]
            mine += here
            used[day, f] = made.bool()
            if len(board.places_on[day]) == 1:
                made.model.add(total(here) == used[day, f])
            else:
                made.model.add_max_equality(used[day, f], [*here, 0]) if here else made.model.add(
                    used[day, f] == 0
                )
                made.model.add(total(here) <= len(board.places_on[day]) * used[day, f])
            if not problem.days[day].stations:
                made.costs += [(y, check.SAME_FOCUS_COST) for y in here]
                made.costs.append((used[day, f], -check.SAME_FOCUS_COST))
        fewest = problem.focuses[f][2] - draft.focuses.times[f]
        if fewest > 0:
            short = made.count(fewest, check.UNEVEN_FOCUS_COST)
            made.model.add(short + total(mine) >= fewest)
        for a, b in pairwise(range(len(problem.days))):
            if {a, b} & opened:
                _cost_both(
                    made, _use_of(draft, used, a, f), _use_of(draft, used, b, f), check.SAME_FOCUS_COST
                )
        for at, run in enumerate(problem.windows):
            inside = [used[day, f] for day in run if day in opened]
            if inside and not draft.focuses.run_times[at][f]:
                missing = made.bool(check.MISSING_FOCUS_COST)
                made.model.add_bool_or([*inside, missing])


def _use_of(draft: Draft, used: dict[tuple[int, int], Any], day: int, f: int) -> Any:
    return used[day, f] if (day, f) in used else int(draft.focuses.is_on(day, f))


def _cost_both(made: _Model, a: Any, b: Any, cost: int) -> None:
    """What costs when two things come together; each is a decision or settled."""
    if isinstance(a, int) and isinstance(b, int):
        return
    if isinstance(a, int) or isinstance(b, int):
        sure, open_one = (a, b) if isinstance(a, int) else (b, a)
        if sure:
            made.costs.append((open_one, cost))
        return
    both = made.bool(cost)
    made.model.add(both >= a + b - 1)


def _add_turns(made: _Model) -> None:
    draft, board, problem = made.draft, made.board, made.board.problem
    for t, (_, fewest, most) in enumerate(problem.featured):
        has: dict[int, Any] = {}
        for day in made.days:
            here = [g for (at, _, turn), g in made.g.items() if turn == t and board.sittings[at].day == day]
            has[day] = made.bool()
            made.model.add(total(here) == has[day])
        times = draft.turns.times[t]
        short = made.count(max(0, fewest - times), check.UNEVEN_TURN_COST)
        over = made.count(len(made.days) + max(0, times - most), check.UNEVEN_TURN_COST)
        made.model.add(short + total(list(has.values())) >= fewest - times)
        made.model.add(total(list(has.values())) - over <= most - times)
        _add_again(made, t, has)


def _add_again(made: _Model, t: int, has: dict[int, Any]) -> None:
    draft, problem = made.draft, made.board.problem
    gap = problem.turn_gap
    if not gap:
        return

    def turn(day: int) -> Any:
        return has[day] if day in has else int(draft.turns.is_on(day, t))

    again: dict[int, Any] = {}
    for day in problem.free_days:
        before = [turn(b) for b in range(max(0, day - gap), day)]
        now = turn(day)
        is_settled = isinstance(now, int) and all(isinstance(b, int) for b in before)
        if is_settled or (isinstance(now, int) and not now):
            continue
        again[day] = made.bool(check.AGAIN_COST)
        for b in before:
            if not isinstance(b, int):
                made.model.add(again[day] >= now + b - 1)
            elif b:
                made.model.add(again[day] >= now)
    for first in problem.free_days:
        days = [day for day in range(first, first + gap + 1) if day in has]
        if len(days) > 1:
            made.model.add(total([has[d] for d in days]) - total([again[d] for d in days]) <= 1)


def _add_pairs(made: _Model) -> None:
    draft, board, problem = made.draft, made.board, made.board.problem
    traits: dict[tuple[int, int], list[Any]] = {}
    hard: dict[int, list[Any]] = {}
    for (at, piece), x in made.x.items():
        day = board.sittings[at].day
        for trait in {int(k) for k in board.traits[:, piece]} - {board.trait_count}:
            traits.setdefault((day, trait), []).append(x)
        if board.suits[at].is_hard[piece]:
            hard.setdefault(day, []).append(x)
    opened = set(made.days)
    has = {key: _any_of(made, here, len(board.places_on[key[0]])) for key, here in traits.items()}
    is_hard = {day: _any_of(made, here, len(board.places_on[day])) for day, here in hard.items()}

    def shared(day: int, k: int) -> Any:
        return has.get((day, k), 0) if day in opened else int(draft.alike.is_on(day, k))

    def too_hard(day: int) -> Any:
        return is_hard.get(day, 0) if day in opened else int(draft.alike.is_hard(day))

    for a, b in pairwise(problem.free_days):
        if {a, b} & opened:
            _cost_both(made, too_hard(a), too_hard(b), check.TWO_HARD_COST)
            for k in range(board.trait_count):
                _cost_both(made, shared(a, k), shared(b, k), check.LIKE_COST)


def _any_of(made: _Model, here: list[Any], most: int) -> Any:
    """A decision that is 1 when any of these is."""
    if most == 1:
        if len(here) == 1:
            return here[0]
        any_one = made.bool()
        made.model.add(total(here) == any_one)
        return any_one
    any_one = made.bool()
    for x in here:
        made.model.add_implication(x, any_one)
    made.model.add(total(here) <= most * any_one)
    return any_one


def _say_what_stands(made: _Model, before: list[Held], places: list[int]) -> None:
    """The aim of the search, and the plan it begins from."""
    made.model.minimize(
        cp_model.LinearExpr.weighted_sum([v for v, _ in made.costs], [c for _, c in made.costs])
    )
    stands = {(made.board.sitting_of[place], *before[place]) for place in places}
    bare = {(at, piece) for at, piece, _, _ in stands}
    trained = {(at, piece, focus) for at, piece, focus, _ in stands}
    led = {(at, piece, turn) for at, piece, _, turn in stands}
    for decisions, true in ((made.x, bare), (made.y, trained), (made.g, led)):
        for key, decision in decisions.items():
            made.model.add_hint(decision, key in true)


def _apply(made: _Model, solver: cp_model.CpSolver) -> None:
    board, draft = made.board, made.draft
    focus = {(at, piece): f for (at, piece, f), y in made.y.items() if solver.boolean_value(y)}
    turn = {(at, piece): t for (at, piece, t), g in made.g.items() if solver.boolean_value(g)}
    for (at, piece), x in made.x.items():
        if solver.boolean_value(x):
            place = next(p for p in board.places_of[at] if draft.held[p][0] == OPEN)
            draft.put(place, (piece, focus[at, piece], turn.get((at, piece), len(board.turns))))
