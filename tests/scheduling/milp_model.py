"""Whether a plan exists, asked of another solver in another form: a 0-1 variable for each piece and slot.

The rules come from ``director``, not from the planner's own check or constraints.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

from planner.scheduling import check
from planner.scheduling.answer import Conflict
from planner.scheduling.problem import PlanProblem
from tests.scheduling.director import Group, against, groups_of

InForce = Callable[[str, date | None, int | None, int | None], bool]
"""Whether a rule is to be kept: its name, and of what it says the date, the piece, the section."""


def by_name(rules: set[str]) -> InForce:
    """Rules kept everywhere or nowhere."""
    return lambda rule, on, piece, section: rule in rules


def by_cause(conflict: Conflict, without: object = None) -> InForce:
    """Just what a conflict names, one cause left out."""
    causes = [cause for cause in conflict.causes if cause != without]

    def is_kept(rule: str, on: date | None, piece: int | None, section: int | None) -> bool:
        return any(
            cause.rule == rule
            and cause.on in (None, on)
            and (rule not in (check.PINS, check.BANS) or (piece in cause.piece_ids and cause.on == on))
            and (rule != check.READABLE or section in cause.section_ids)
            for cause in causes
        )

    return is_kept


@dataclass
class _Model:
    count: int = 0
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def variable(self) -> int:
        self.count += 1
        return self.count - 1

    def add(self, terms: dict[int, float], low: float, high: float) -> None:
        self.rows.append((terms, low, high))

    def is_feasible(self) -> bool:
        if any(not terms and (low > 0 or high < 0) for terms, low, high in self.rows):
            return False
        rows = [row for row in self.rows if row[0]]
        if not self.count or not rows:
            return True
        entries = [(r, c, v) for r, (terms, _, _) in enumerate(rows) for c, v in terms.items()]
        at_rows, at_columns, values = zip(*entries, strict=True)
        matrix = csr_matrix((values, (at_rows, at_columns)), shape=(len(rows), self.count))
        constraint = LinearConstraint(matrix, [r[1] for r in rows], [r[2] for r in rows])
        result = milp(
            np.zeros(self.count),
            integrality=np.ones(self.count),
            bounds=Bounds(0, 1),
            constraints=[constraint],
        )
        assert result.status in (0, 2), result.message
        return bool(result.status == 0)


def has_plan(problem: PlanProblem, is_kept: InForce) -> bool:
    """Whether slots can be given pieces so that the rules in force are kept.

    Where slots need not be filled they may stay open. Settled days always are as they are; where they need
    not stay, a pin to one holds.
    """
    model, groups = _Model(), groups_of(problem)
    x: dict[tuple[int, int, int], int] = {}
    for g, group in enumerate(groups):
        for position in group.positions:
            for i in _allowed(problem, group, is_kept):
                x[i, g, position] = model.variable()
            here = {v: 1.0 for (_, g2, p2), v in x.items() if (g2, p2) == (g, position)}
            must = is_kept(check.FILLED, group.day.on, None, None) and not problem.limits.may_leave_open
            model.add(here, 1.0 if must else 0.0, 1.0)
        if is_kept(check.MINUTES, group.day.on, None, None):
            minutes = {v: round(10 * problem.pieces[i].minutes) for (i, g2, _), v in x.items() if g2 == g}
            model.add(minutes, 0.0, round(10 * group.minutes))
    if is_kept(check.ONCE, None, None, None):
        _once(model, problem, groups, x)
    for i, piece in enumerate(problem.pieces):
        for day in {g.at for g in groups}:
            for turn in {g.round for g in groups if g.at == day and g.station is not None}:
                if is_kept(check.FOLDERS, problem.days[day].on, None, None):
                    rooms = [g for g, group in enumerate(groups) if (group.at, group.round) == (day, turn)]
                    model.add(
                        {v: 1.0 for (i2, g, _), v in x.items() if i2 == i and g in rooms}, 0.0, piece.sets
                    )
    _pins(model, problem, groups, x, is_kept)
    return model.is_feasible()


def _allowed(problem: PlanProblem, group: Group, is_kept: InForce) -> list[int]:
    on, found = group.day.on, []
    for i, piece in enumerate(problem.pieces):
        rules = against(problem, piece, group)
        lost = rules.pop(check.READABLE, set())
        is_banned = check.BANS in rules and any(
            ban.piece_id == piece.piece_id
            and ban.on in (None, on)
            and is_kept(check.BANS, ban.on, piece.piece_id, None)
            for ban in problem.bans
        )
        rules.pop(check.BANS, None)
        if is_banned or any(is_kept(rule, on, piece.piece_id, None) for rule in rules):
            continue
        if not any(is_kept(check.READABLE, on, piece.piece_id, section) for section in lost):
            found.append(i)
    return found


def _once(
    model: _Model, problem: PlanProblem, groups: list[Group], x: dict[tuple[int, int, int], int]
) -> None:
    for i in range(len(problem.pieces)):
        days: dict[int, int] = {}
        for (i2, g, _), v in x.items():
            if i2 == i:
                at = groups[g].at
                if at not in days:
                    days[at] = model.variable()
                model.add({v: 1.0, days[at]: -1.0}, -1.0, 0.0)
        model.add(dict.fromkeys(days.values(), 1.0), 0.0, 1.0)
        for section in (None, *(s.id for s in problem.sections)):
            readers = {
                v: 1.0
                for (i2, g, _), v in x.items()
                if i2 == i and (section in groups[g].sections or (section is None and not groups[g].sections))
            }
            model.add(readers, 0.0, 1.0)


def _pins(
    model: _Model,
    problem: PlanProblem,
    groups: list[Group],
    x: dict[tuple[int, int, int], int],
    is_kept: InForce,
) -> None:
    settled = {d.on for d in problem.days if d.is_settled}
    for pin in problem.pins:
        if not is_kept(check.PINS, pin.on, pin.piece_id, None):
            continue
        if any(s.piece_id == pin.piece_id and pin.on in (None, s.on) for s in problem.settled):
            continue
        if pin.on in settled and not is_kept(check.SETTLED, pin.on, None, None):
            continue
        places = {
            v: 1.0
            for (i, g, _), v in x.items()
            if problem.pieces[i].piece_id == pin.piece_id and pin.on in (None, groups[g].day.on)
        }
        model.add(places, 1.0, len(places))
