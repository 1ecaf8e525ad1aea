"""The rules of a term plan as constraints for the solver, one function a rule.

``check.py`` says what each rule means; the tests hold the two against each other.
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model

from planner.scheduling import check
from planner.scheduling.problem import Candidate, PlanProblem

Constraint = cp_model.BoundedLinearExpression | bool


def total(terms: Iterable[Any]) -> Any:
    """The sum of literals and weighted literals. The solver's types do not say what a sum may be added to."""
    return cp_model.LinearExpr.sum(list(terms))


@dataclass
class Grid:
    """The decisions: which piece on which day, what it trains there, which section it features.

    Attributes:
        model: The solver's model.
        problem: What has to be filled.
        place: (piece index, day) to its literal; pairs that no rule allows are missing.
        train: (piece index, day, focus): the piece stands there and trains that.
        focus: (day, focus): how many pieces of the day train it.
        leads: (piece index, day, section): the piece features that section; on days with several pieces.
        featured: (day, section, tier).
        unfeatured: Day to how many of its pieces feature nobody.
        again: (day, section): featured again too soon.
        open: Day to how many slots stay open; empty unless the limits allow it.
    """

    model: cp_model.CpModel
    problem: PlanProblem
    place: dict[tuple[int, int], cp_model.IntVar] = field(default_factory=dict)
    train: dict[tuple[int, int, str], cp_model.IntVar] = field(default_factory=dict)
    focus: dict[tuple[int, str], cp_model.IntVar] = field(default_factory=dict)
    leads: dict[tuple[int, int, int], cp_model.IntVar] = field(default_factory=dict)
    featured: dict[tuple[int, int, int], cp_model.IntVar] = field(default_factory=dict)
    unfeatured: dict[int, cp_model.IntVar] = field(default_factory=dict)
    again: dict[tuple[int, int], cp_model.IntVar] = field(default_factory=dict)
    open: dict[int, cp_model.IntVar] = field(default_factory=dict)
    by_day: dict[int, list[tuple[int, cp_model.IntVar]]] = field(default_factory=dict)
    by_piece: dict[int, list[tuple[int, cp_model.IntVar]]] = field(default_factory=dict)

    def on(self, day: int) -> list[tuple[int, cp_model.IntVar]]:
        """Indices of the pieces that may stand on a day, with their literals."""
        return self.by_day.get(day, [])

    def of(self, i: int) -> list[tuple[int, cp_model.IntVar]]:
        """The days a piece may stand on, with their literals."""
        return self.by_piece.get(i, [])

    def open_on(self, *days: int) -> Any:
        """How many slots of some days stay open."""
        return total(self.open[day] for day in days if day in self.open)

    def level(self, day: int) -> Any:
        """Levels of the pieces of a day together, in hundredths."""
        return total(check.hundredths(self.problem.pieces[i].level) * x for i, x in self.on(day))


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
    for day in grid.problem.free_days:
        yield total(x for _, x in grid.on(day)) + grid.open_on(day) >= grid.problem.days[day].slots


def _met_in_past(problem: PlanProblem, piece: Candidate, _day: int) -> bool:
    return any(slot.piece_id == piece.piece_id for slot in problem.past)


def _once(grid: Grid) -> Constraints:
    for i in range(len(grid.problem.pieces)):
        days = grid.of(i)
        if len(days) > 1:
            yield total(x for _, x in days) <= 1


def _stale(_problem: PlanProblem, piece: Candidate, _day: int) -> bool:
    return not piece.is_fresh


def _too_long(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    return check.whole_minutes(piece.minutes) > check.whole_minutes(problem.days[day].minutes)


def _minutes(grid: Grid) -> Constraints:
    problem = grid.problem
    for day in problem.free_days:
        if problem.days[day].slots > 1:
            used = total(check.whole_minutes(problem.pieces[i].minutes) * x for i, x in grid.on(day))
            yield used <= check.whole_minutes(problem.days[day].minutes)


def _off_target(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    off = abs(check.hundredths(piece.level) - check.hundredths(problem.days[day].target))
    return off > check.hundredths(problem.limits.corridor) and not problem.is_pinned(piece.piece_id, day)


def _gentle(grid: Grid) -> Constraints:
    problem = grid.problem
    highest = max((check.hundredths(p.level) for p in problem.pieces), default=0)
    pinned = {day for _, day in problem.pinned_days}
    for day, following in pairwise(problem.free_days):
        if {day, following} & pinned:
            continue
        here, there = problem.days[day].slots, problem.days[following].slots
        step = check.hundredths(problem.limits.step) * here * there
        freely = highest * here * there * grid.open_on(day, following)
        yield here * grid.level(following) - there * grid.level(day) <= step + freely


def _out_of_reach(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    return not check.is_readable(problem, piece, day) and not problem.is_pinned(piece.piece_id, day)


def _rotate(grid: Grid) -> Constraints:
    problem = grid.problem
    for day in problem.free_days:
        yield total(grid.focus[day, n] for n, _ in problem.focuses) >= total(x for _, x in grid.on(day))
    for name, _ in problem.focuses:
        if check.must_differ_next_day(problem):
            for day, following in pairwise(problem.free_days):
                yield grid.focus[day, name] + grid.focus[following, name] <= 1
        if check.must_differ_in_day(problem) and problem.most_slots > 1:
            for day in problem.free_days:
                yield grid.focus[day, name] <= 1
        for run in problem.windows:
            yield total(grid.focus[day, name] for day in run) + grid.open_on(*run) >= 1


def _turns(grid: Grid) -> Constraints:
    past = [slot.featured_section_id for slot in grid.problem.past]
    any_open = grid.open_on(*grid.problem.free_days)
    for section, fewest, most in grid.problem.featured:
        times = total(g for (_, s, _), g in grid.featured.items() if s == section) + past.count(section)
        yield times <= most
        yield times + fewest * any_open >= fewest


def _pins(grid: Grid) -> Constraints:
    problem = grid.problem
    index = {piece.piece_id: i for i, piece in enumerate(problem.pieces)}
    stood = {(s.piece_id, s.on) for s in problem.past} | {(s.piece_id, None) for s in problem.past}
    for pin in problem.pins:
        if (pin.piece_id, pin.on) in stood:
            continue
        dates = ((problem.days[day].on, x) for day, x in grid.of(index.get(pin.piece_id, -1)))
        yield total(x for on, x in dates if pin.on in (None, on)) >= 1


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


def build_grid(problem: PlanProblem, forbidding: Collection[str] | None = None) -> Grid:
    """The decisions and what ties them together whatever the rules say.

    Args:
        problem: What has to be filled.
        forbidding: Names of the rules whose forbidden pairs of piece and day are left out; None for all.
    """
    grid = Grid(cp_model.CpModel(), problem)
    forbids = [
        r.forbid for name, r in RULES.items() if r.forbid and (forbidding is None or name in forbidding)
    ]
    for i, piece in enumerate(problem.pieces):
        for day in problem.free_days:
            if not any(forbid(problem, piece, day) for forbid in forbids):
                x = grid.model.new_bool_var(f"piece{i}_on{day}")
                grid.place[i, day] = x
                grid.by_day.setdefault(day, []).append((i, x))
                grid.by_piece.setdefault(i, []).append((day, x))
    for day in problem.free_days:
        slots = problem.days[day].slots
        if problem.limits.may_leave_open:
            grid.open[day] = grid.model.new_int_var(0, slots, f"open{day}")
        grid.model.add(total(x for _, x in grid.on(day)) + grid.open_on(day) <= slots)
        _tie_focus(grid, day)
    if problem.featured:
        _tie_features(grid)
        _mark_again(grid)
    return grid


def _tie_focus(grid: Grid, day: int) -> None:
    """A piece on a day trains at most one of its skills there.

    One literal for each piece, day and skill is more than the meaning needs, but it
    makes the linear relaxation tight, and with it the proof of how good a plan is.
    """
    model, names = grid.model, [name for name, _ in grid.problem.focuses]
    users: dict[str, list[cp_model.IntVar]] = {name: [] for name in names}
    for i, x in grid.on(day):
        own = []
        for name, _ in grid.problem.pieces[i].trains:
            if name in users:
                literal = model.new_bool_var(f"piece{i}_on{day}_{name}")
                grid.train[i, day, name] = literal
                own.append(literal)
                users[name].append(literal)
        model.add(total(own) <= x)
    for name in names:
        grid.focus[day, name] = model.new_int_var(0, grid.problem.days[day].slots, f"{name}_on{day}")
        model.add(grid.focus[day, name] == total(users[name]))


def _tie_features(grid: Grid) -> None:
    """A planned piece features at most one section, and a day each section at most once.

    Which piece features whom over the whole term follows from the days, but saying it
    tightens the relaxation.
    """
    model, problem = grid.model, grid.problem
    able: dict[tuple[int, int], list[int]] = {
        (s, tier): [] for s, _, _ in problem.featured for tier in (1, 2)
    }
    in_term: dict[tuple[int, int], list[cp_model.IntVar]] = {key: [] for key in able}
    nobody = []
    for i, piece in enumerate(problem.pieces):
        if not grid.of(i):
            continue
        own = [model.new_bool_var(f"piece{i}_nobody")]
        nobody.append(own[0])
        for key in piece.features:
            if key in able:
                own.append(model.new_bool_var(f"piece{i}_section{key[0]}"))
                able[key].append(i)
                in_term[key].append(own[-1])
        model.add(total(own) == total(x for _, x in grid.of(i)))
    for day in problem.free_days:
        _feature_day(grid, day, able)
    for (section, tier), literals in in_term.items():
        over_days = total(grid.featured[day, section, tier] for day in problem.free_days)
        model.add(over_days == total(literals))
    model.add(total(grid.unfeatured.values()) == total(nobody))


def _feature_day(grid: Grid, day: int, able: dict[tuple[int, int], list[int]]) -> None:
    model, here, slots = grid.model, dict(grid.on(day)), grid.problem.days[day].slots
    if slots > 1:
        _feature_each(grid, day, {section for section, _ in able})
    for (section, tier), pieces in able.items():
        literal = model.new_bool_var(f"section{section}_{tier}_on{day}")
        grid.featured[day, section, tier] = literal
        if slots > 1:
            model.add(literal == total(grid.leads[i, day, section] for i in pieces if i in here))
        else:
            model.add(literal <= total(here[i] for i in pieces if i in here))
    for section in {s for s, _ in able}:
        model.add(grid.featured[day, section, 1] + grid.featured[day, section, 2] <= 1)
    grid.unfeatured[day] = model.new_int_var(0, slots, f"nobody_on{day}")
    chosen = total(grid.featured[day, s, t] for s, t in able)
    model.add(chosen + grid.unfeatured[day] == total(here.values()))


def _feature_each(grid: Grid, day: int, turning: set[int]) -> None:
    """On a day with several pieces it must be said which of them features whom."""
    for i, x in grid.on(day):
        own = []
        for section, _ in grid.problem.pieces[i].features:
            if section in turning:
                grid.leads[i, day, section] = grid.model.new_bool_var(f"piece{i}_on{day}_section{section}")
                own.append(grid.leads[i, day, section])
        grid.model.add(total(own) <= x)


def _mark_again(grid: Grid) -> None:
    """Mark a section that is featured again before the others had time for theirs."""
    problem = grid.problem
    past = {(problem.day_by_date[s.on], s.featured_section_id) for s in problem.past}
    for day in problem.free_days if problem.turn_gap else ():
        for section, _, _ in problem.featured:
            now = grid.featured[day, section, 1] + grid.featured[day, section, 2]
            again = grid.model.new_bool_var(f"section{section}_again_on{day}")
            grid.again[day, section] = again
            for before in range(max(0, day - problem.turn_gap), day):
                if (before, section) in past:
                    grid.model.add(now <= again)
                elif (before, section, 1) in grid.featured:
                    then = grid.featured[before, section, 1] + grid.featured[before, section, 2]
                    grid.model.add(now + then <= 1 + again)
