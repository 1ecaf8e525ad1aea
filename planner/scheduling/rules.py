"""The rules of a term plan as constraints for the solver, one function a rule.

``check.py`` says what each rule means; the tests hold the two against each other.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model

from planner.scheduling import check
from planner.scheduling.problem import Candidate, PlanProblem

Constraint = cp_model.BoundedLinearExpression | bool
Tiers = tuple[tuple[Any, int], ...]


def total(terms: Iterable[Any]) -> Any:
    """The sum of literals and weighted literals. The solver's types do not say what a sum may be added to."""
    return cp_model.LinearExpr.sum(list(terms))


@dataclass
class Grid:
    """The decisions: which piece in which place, which focus, which section is featured.

    Attributes:
        model: The solver's model.
        problem: What has to be filled.
        place: (piece index, place) to its literal; pairs that no rule allows are missing.
        open: Place to the literal that it stays open; empty unless the limits allow it.
        focus: (place, focus, tier).
        featured: (place, section, tier).
        unfeatured: Place to the literal that nobody is featured.
    """

    model: cp_model.CpModel
    problem: PlanProblem
    place: dict[tuple[int, int], cp_model.IntVar] = field(default_factory=dict)
    open: dict[int, cp_model.IntVar] = field(default_factory=dict)
    focus: dict[tuple[int, str, int], cp_model.IntVar] = field(default_factory=dict)
    featured: dict[tuple[int, int, int], cp_model.IntVar] = field(default_factory=dict)
    unfeatured: dict[int, cp_model.IntVar] = field(default_factory=dict)

    def at(self, k: int) -> list[tuple[Candidate, cp_model.IntVar]]:
        """The pieces that may stand in a place, with their literals."""
        return self._by_place.get(k, [])

    def of(self, piece_id: int) -> list[tuple[int, cp_model.IntVar]]:
        """The places a piece may stand in, with their literals."""
        return self._by_piece.get(piece_id, [])

    def index(self) -> None:
        """Group the placing literals by place and by piece; call once after filling ``place``."""
        self._by_place: dict[int, list[tuple[Candidate, cp_model.IntVar]]] = {}
        self._by_piece: dict[int, list[tuple[int, cp_model.IntVar]]] = {}
        for (i, k), literal in self.place.items():
            piece = self.problem.pieces[i]
            self._by_place.setdefault(k, []).append((piece, literal))
            self._by_piece.setdefault(piece.piece_id, []).append((k, literal))

    def is_open(self, k: int) -> Any:
        """1 where a place stays open."""
        return self.open.get(k, 0)

    def any_open(self) -> Any:
        """At least 1 when some place stays open."""
        return total(self.open.values())

    def level(self, k: int) -> Any:
        """Level of the piece in a place, in hundredths; 0 when open."""
        return total(check.hundredths(p.level) * x for p, x in self.at(k))


Constraints = Iterator[Constraint]
Forbid = Callable[[PlanProblem, Candidate, int], bool]
Constrain = Callable[[Grid], Constraints]


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: pairs of piece and day it forbids outright, and constraints on the whole."""

    forbid: Forbid | None = None
    constrain: Constrain | None = None


def _never(_grid: Grid) -> Constraints:
    """Past days are no decisions at all, so nothing needs to be said."""
    return iter(())


def _filled(grid: Grid) -> Constraints:
    for k in range(len(grid.problem.places)):
        yield total(x for _, x in grid.at(k)) + grid.is_open(k) >= 1


def _met_in_past(problem: PlanProblem, piece: Candidate, _day: int) -> bool:
    return any(slot.piece_id == piece.piece_id for slot in problem.past)


def _once(grid: Grid) -> Constraints:
    for piece in grid.problem.pieces:
        places = grid.of(piece.piece_id)
        if len(places) > 1:
            yield total(x for _, x in places) <= 1


def _stale(_problem: PlanProblem, piece: Candidate, _day: int) -> bool:
    return not piece.is_fresh


def _too_long(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    return check.whole_minutes(piece.minutes) > check.whole_minutes(problem.days[day].minutes)


def _minutes(grid: Grid) -> Constraints:
    for index, day in enumerate(grid.problem.days):
        places = [k for k, (d, _) in enumerate(grid.problem.places) if d == index]
        if len(places) > 1:
            used = total(check.whole_minutes(p.minutes) * x for k in places for p, x in grid.at(k))
            yield used <= check.whole_minutes(day.minutes)


def _off_target(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    off = abs(check.hundredths(piece.level) - check.hundredths(problem.days[day].target))
    return off > check.hundredths(problem.limits.corridor) and not problem.is_pinned(piece.piece_id, day)


def _gentle(grid: Grid) -> Constraints:
    problem = grid.problem
    step = check.hundredths(problem.limits.step)
    highest = max((check.hundredths(p.level) for p in problem.pieces), default=0)
    pinned = {day for _, day in problem.pinned_days}
    for k, ((day, _), (following, _)) in enumerate(pairwise(problem.places)):
        if {day, following} & pinned:
            continue
        low, high = grid.level(k), grid.level(k + 1)
        yield high - low <= step + highest * grid.is_open(k)
        if day == following:
            yield low - high <= highest * grid.is_open(k + 1)


def _out_of_reach(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    return not check.is_readable(problem, piece, day) and not problem.is_pinned(piece.piece_id, day)


def _rotate(grid: Grid) -> Constraints:
    problem, limits = grid.problem, grid.problem.limits
    places = range(len(problem.places))
    for k in places:
        chosen = total(y for (at, _, _), y in grid.focus.items() if at == k)
        yield chosen >= total(x for _, x in grid.at(k))
    used = {
        (k, name): [y for tier in (1, 2) if (y := grid.focus.get((k, name, tier))) is not None]
        for k in places
        for name, _ in problem.focuses
    }
    for name, _ in problem.focuses:
        if len(problem.focuses) > 1:
            for k in places[:-1]:
                yield total(used[k, name]) + total(used[k + 1, name]) <= 1
        window = limits.focus_window
        for at in range(len(places) - window + 1) if window else ():
            seen = total(y for k in range(at, at + window) for y in used[k, name])
            yield seen + grid.any_open() >= 1


def _turns(grid: Grid) -> Constraints:
    past = [slot.featured_section_id for slot in grid.problem.past]
    for section, fewest, most in grid.problem.featured:
        times = total(g for (_, s, _), g in grid.featured.items() if s == section) + past.count(section)
        yield times <= most
        yield times + fewest * grid.any_open() >= fewest


def _pins(grid: Grid) -> Constraints:
    problem = grid.problem
    stood = {(s.piece_id, s.on) for s in problem.past} | {(s.piece_id, None) for s in problem.past}
    for pin in problem.pins:
        if (pin.piece_id, pin.on) in stood:
            continue
        dates = ((k, problem.days[problem.places[k][0]].on, x) for k, x in grid.of(pin.piece_id))
        yield total(x for _, on, x in dates if pin.on in (None, on)) >= 1


def _banned(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    return any(
        ban.piece_id == piece.piece_id and ban.on in (None, problem.days[day].on) for ban in problem.bans
    )


RULES: dict[str, Rule] = {
    check.FILLED: Rule(constrain=_filled),
    check.PAST: Rule(constrain=_never),
    check.ONCE: Rule(_met_in_past, _once),
    check.FRESH: Rule(_stale),
    check.MINUTES: Rule(_too_long, _minutes),
    check.GENTLE: Rule(_off_target, _gentle),
    check.READABLE: Rule(_out_of_reach),
    check.ROTATE: Rule(constrain=_rotate),
    check.TURNS: Rule(constrain=_turns),
    check.PINS: Rule(constrain=_pins),
    check.BANS: Rule(_banned),
}
"""Every rule by the name the director sees; the same names as ``check.CHECKS``."""


def build_grid(problem: PlanProblem, *, with_forbidden: bool = False) -> Grid:
    """The decisions and what ties them together whatever the rules say.

    Args:
        problem: What has to be filled.
        with_forbidden: Keep pairs that some rule forbids, so that the rule can be switched off.
    """
    grid = Grid(cp_model.CpModel(), problem)
    forbids = [rule.forbid for rule in RULES.values() if rule.forbid]
    days = [day for day, _ in problem.places]
    for i, piece in enumerate(problem.pieces):
        allowed = {d for d in set(days) if with_forbidden or not any(f(problem, piece, d) for f in forbids)}
        for k, day in enumerate(days):
            if day in allowed:
                grid.place[i, k] = grid.model.new_bool_var(f"x{i}_{k}")
    grid.index()
    for k in range(len(days)):
        _tie(grid, k)
    return grid


def _tie(grid: Grid, k: int) -> None:
    """One piece, one focus it trains and one section it features in a place."""
    model, problem, here = grid.model, grid.problem, grid.at(k)
    if problem.limits.may_leave_open:
        grid.open[k] = model.new_bool_var(f"open{k}")
    model.add_at_most_one([*(x for _, x in here), *([grid.open[k]] if k in grid.open else [])])
    filled = total(x for _, x in here)
    _tie_choice(grid, grid.focus, k, [name for name, _ in problem.focuses], lambda p: p.trains)
    model.add(total(y for (at, _, _), y in grid.focus.items() if at == k) <= filled)
    if problem.featured:
        _tie_choice(
            grid, grid.featured, k, [section for section, _, _ in problem.featured], lambda p: p.features
        )
        grid.unfeatured[k] = model.new_bool_var(f"nobody{k}")
        chosen = total(g for (at, _, _), g in grid.featured.items() if at == k)
        model.add(chosen + grid.unfeatured[k] == filled)


def _tie_choice(
    grid: Grid,
    table: dict[Any, cp_model.IntVar],
    k: int,
    names: Iterable[Any],
    tiers_of: Callable[[Candidate], Tiers],
) -> None:
    by_choice: dict[tuple[Any, int], list[cp_model.IntVar]] = {}
    for piece, x in grid.at(k):
        for name, tier in tiers_of(piece):
            by_choice.setdefault((name, tier), []).append(x)
    for name in names:
        for tier in (1, 2):
            able = by_choice.get((name, tier))
            if able:
                literal = grid.model.new_bool_var(f"{name}_{tier}_at{k}")
                table[k, name, tier] = literal
                grid.model.add(literal <= total(able))
