"""A careful planner to hold the search against: the cheapest allowed piece day by day, then exchanges.

What a patient person would do with the rules and prices of ``scheduling.check`` on a table: fill the days in
order, each slot with the piece, skill and featured section that make the plan cheapest; then, as long as it
helps, exchange the pieces of two slots, or give a slot another piece from the shelf. It knows the problem and
the check, and nothing of the search.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from itertools import combinations
from typing import Any
from unittest.mock import patch

from planner.core.term import Slot
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE, Candidate, PlanProblem, Sitting
from tests.benchmarks.plan_measures import own_price

MOST_SWEEPS = 40
"""Far more than were ever needed; a plan gets cheaper with each exchange, so the end is certain anyway."""

Pair = tuple[str, int | None]
"""Skill and featured section of a slot."""


def careful_plan(
    problem: PlanProblem, *, with_shelf: bool = True, sweeps: int = MOST_SWEEPS
) -> tuple[Slot, ...]:
    """The careful planner's plan, settled slots included; what it cannot fill stays open.

    Args:
        problem: What to fill; slots may stay open whatever its limits say.
        with_shelf: After the days are filled, pieces from the shelf may take the place of planned ones, too.
            Without, only planned pieces change places.
        sweeps: How often at most all slots are gone through again; 0 leaves them as the days were filled.

    Raises:
        AssertionError: If its plan breaks a rule of the check.
    """
    relaxed = replace(problem, limits=replace(problem.limits, may_leave_open=True))
    with remembered():
        table = _Table(relaxed)
        table.place_pins()
        for at in table.places:
            table.refill(at)
        for _ in range(sweeps):
            before = table.total
            if with_shelf:
                for at in table.places:
                    table.refill(at)
            for one, other in combinations(table.places, 2):
                table.exchange(one, other)
            if table.total >= before:
                break
        slots = tuple(table.slots)
    broken = check.broken_rules(relaxed, slots)
    assert not broken, broken
    return slots


@contextmanager
def remembered() -> Iterator[None]:
    """While it lasts, the check works out only once what a piece asks, and what stands in a plan.

    No plan may be changed in place meanwhile.
    """

    def once(work_out: Callable[..., Any]) -> Callable[..., Any]:
        known: dict[tuple[int, int, int | None], Any] = {}

        def answer(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> Any:
            key = (piece.piece_id, sitting.day, sitting.station)
            if key not in known:
                known[key] = work_out(problem, piece, sitting)
            return known[key]

        return answer

    def lately(work_out: Callable[..., Any]) -> Callable[..., Any]:
        last: list[Any] = [None, None]

        def answer(problem: PlanProblem, slots: Sequence[Slot]) -> Any:
            if last[0] is not slots:
                last[:] = slots, work_out(problem, slots)
            return last[1]

        return answer

    asked = ("piece_cost", "is_hard", "is_readable", "has_forces", "may_stand")
    read = ("_chosen", "_focuses_by_day")
    known = {name: once(getattr(check, name)) for name in asked}
    known |= {name: lately(getattr(check, name)) for name in read}
    with patch.multiple(check, **known):
        yield


class _Table:
    """A plan in the making, always one that keeps the rules but for open slots."""

    def __init__(self, problem: PlanProblem) -> None:
        self.problem = problem
        self.slots = [*problem.settled]
        self.sitting: dict[int, Sitting] = {}
        for sitting in problem.sittings:
            for at in range(sitting.slots):
                self.sitting[len(self.slots)] = sitting
                on = problem.days[sitting.day].on
                self.slots.append(Slot(on, sitting.round + at, OPEN_PIECE, "", station=sitting.station))
        self.places = tuple(self.sitting)
        self.taught = {name for name, _, _ in problem.focuses}
        self.pinned = {pin.piece_id for pin in problem.pins}
        self.banned = {ban.piece_id for ban in problem.bans if ban.on is None}
        self.total = check.cost(problem, self.slots).total

    def place_pins(self) -> None:
        """Put every pinned piece where it is wanted, or where it is cheapest."""
        for pin in self.problem.pins:
            places = [at for at in self.places if self.slots[at].piece_id == OPEN_PIECE]
            if pin.on is not None:
                places = [at for at in places if self.slots[at].on == pin.on]
            piece = self.problem.piece_by_id[pin.piece_id]
            tried = [plan for at in places if (plan := self.best(self.slots, at, [piece])) is not None]
            if tried:
                self.take(min(tried, key=self.cost_of))

    def refill(self, at: int) -> None:
        """Give a slot the piece that makes the plan cheapest, from all that are not in the plan."""
        if self.slots[at].piece_id in self.pinned:
            return
        plan = self.best(self.opened(self.slots, at), at, self.shelf(at))
        if plan is not None and self.cost_of(plan) < self.total:
            self.take(plan)

    def exchange(self, one: int, other: int) -> None:
        """Exchange the pieces of two slots if that makes the plan cheaper."""
        first, second = (self.problem.piece_by_id.get(self.slots[at].piece_id) for at in (one, other))
        if first is second or first is None or second is None:
            return
        if {first.piece_id, second.piece_id} & self.pinned:
            return
        if not (self.may(second, one) and self.may(first, other)):
            return
        emptied = self.opened(self.opened(self.slots, one), other)
        alone = self.alone(second, one) + self.alone(first, other)
        if self.cost_without_open(emptied) + alone - self.most_gain(emptied, one, other) >= self.total:
            return
        half = self.best(emptied, one, [second])
        plan = None if half is None else self.best(half, other, [first])
        if plan is not None and self.cost_of(plan) < self.total:
            self.take(plan)

    def best(self, slots: Sequence[Slot], at: int, pieces: Sequence[Candidate]) -> list[Slot] | None:
        """The cheapest plan with one of these pieces in an open slot; None when none may stand there."""
        sitting = self.sitting[at]
        allowed = [piece for piece in pieces if self.may(piece, at)]
        skills, turns = self.skill_costs(slots, at, allowed), self.turn_costs(slots, at, allowed)
        standing = self.cost_of(slots) - self.open_cost(at)
        options = []
        for piece in allowed:
            known = [(skills[name, tier], name) for name, tier in piece.trains if name in self.taught]
            skill, focus = min(known)
            features = [(turns[s, tier], s) for s, tier in piece.features if (s, tier) in turns]
            turn, section = min([(turns[None, 0], 0), *features])
            options.append((self.reading(piece, at) + skill + turn, piece.piece_id, focus, section or None))
        found: tuple[int, list[Slot]] | None = None
        for least, piece_id, focus, section in sorted(options, key=lambda option: option[:2]):
            if found is not None and least + standing >= found[0]:
                break
            plan = self.with_piece(slots, at, piece_id, (focus, section))
            if self.keeps_rules(plan, sitting):
                cost = self.cost_of(plan)
                found = (cost, plan) if found is None or cost < found[0] else found
        return None if found is None else found[1]

    def skill_costs(
        self, slots: Sequence[Slot], at: int, pieces: Sequence[Candidate]
    ) -> dict[tuple[str, int], int]:
        """What each skill of the pieces, trained strongly (2) or somewhat (1), would add in an open slot."""
        before, found = check.cost(self.problem, slots).focus, {}
        for piece in pieces:
            for name, tier in piece.trains:
                if (name, tier) not in found and name in self.taught:
                    plan = self.with_piece(slots, at, piece.piece_id, (name, None), in_order=False)
                    found[name, tier] = check.cost(self.problem, plan).focus - before
        return found

    def turn_costs(
        self, slots: Sequence[Slot], at: int, pieces: Sequence[Candidate]
    ) -> dict[tuple[int | None, int], int]:
        """What each section, featured for long (2) or a while (1), or none (0), would add in an open slot."""
        before, found = check.cost(self.problem, slots).turns, {}
        sitting, turning = self.sitting[at], {section for section, _, _ in self.problem.featured}
        today = {s.featured_section_id for s in slots if s.on == slots[at].on}
        for piece in pieces:
            focus = next(name for name, _ in piece.trains if name in self.taught)
            free = [(s, t) for s, t in piece.features if s in turning & sitting.sections and s not in today]
            for section, tier in (*free, (None, 0)):
                if (section, tier) not in found:
                    plan = self.with_piece(slots, at, piece.piece_id, (focus, section), in_order=False)
                    found[section, tier] = check.cost(self.problem, plan).turns - before
        return found

    def with_piece(
        self, slots: Sequence[Slot], at: int, piece_id: int, pair: Pair, *, in_order: bool = True
    ) -> list[Slot]:
        """The plan with a piece in a slot, the easier piece of a sitting first."""
        minutes = self.problem.piece_by_id[piece_id].minutes
        plan = [*slots]
        plan[at] = replace(
            plan[at], piece_id=piece_id, focus=pair[0], featured_section_id=pair[1], minutes=minutes
        )
        return self.in_order(plan, at) if in_order else plan

    def in_order(self, plan: list[Slot], at: int) -> list[Slot]:
        """The plan with the pieces of a slot's sitting by level, open slots last."""
        mates = self.mates(at)
        if len(mates) == 1:
            return plan
        pieces = self.problem.piece_by_id

        def level(slot: Slot) -> tuple[bool, int]:
            is_open = slot.piece_id == OPEN_PIECE
            return is_open, 0 if is_open else check.hundredths(pieces[slot.piece_id].level)

        ranked = sorted((plan[mate] for mate in mates), key=level)
        for mate, slot in zip(mates, ranked, strict=True):
            plan[mate] = replace(slot, position=self.slots[mate].position)
        return plan

    def mates(self, at: int) -> list[int]:
        """The slots of the same sitting."""
        return [mate for mate in self.places if self.sitting[mate] is self.sitting[at]]

    def keeps_rules(self, plan: Sequence[Slot], sitting: Sitting) -> bool:
        """Whether a plan keeps the rules over several slots; a free minute is kept for slots still open."""
        on = self.problem.days[sitting.day].on
        today = [slot for slot in plan if slot.on == on]
        spared = sum(slot.piece_id == OPEN_PIECE and slot.station == sitting.station for slot in today)
        used = sum(slot.minutes for slot in today if (slot.station, slot.position) in self.keys(sitting))
        if spared and sitting.slots > 1 and used + spared * self.shortest > sitting.minutes:
            return False
        rules = (check.check_minutes, check.check_featured, check.check_easier_first, check.check_folders)
        return all(rule(self.problem, today) for rule in rules) and check.check_once(self.problem, plan)

    def keys(self, sitting: Sitting) -> set[tuple[int | None, int]]:
        """Station and position of a sitting's slots."""
        return {(sitting.station, sitting.round + at) for at in range(sitting.slots)}

    @property
    def shortest(self) -> float:
        """Minutes of a short piece of the library: one in ten is shorter."""
        minutes = sorted(piece.minutes for piece in self.problem.pieces)
        return minutes[len(minutes) // 10]

    def shelf(self, at: int) -> list[Candidate]:
        """Pieces that are not in the plan; where stations rotate, also those of that day."""
        day = self.slots[at].on
        is_rotating = self.sitting[at].station is not None
        planned = {s.piece_id for s in self.slots if not (is_rotating and s.on == day)}
        left_out = planned | self.banned
        return [piece for piece in self.problem.pieces if piece.piece_id not in left_out]

    def may(self, piece: Candidate, at: int) -> bool:
        """Whether a piece may be read there at all."""
        return check.may_stand(self.problem, piece, self.sitting[at])

    def reading(self, piece: Candidate, at: int) -> int:
        """What it costs for the reading alone."""
        return check.piece_cost(self.problem, piece, self.sitting[at])

    def opened(self, slots: Sequence[Slot], at: int) -> list[Slot]:
        """The plan with a slot open."""
        plan = [*slots]
        plan[at] = Slot(plan[at].on, plan[at].position, OPEN_PIECE, "", station=plan[at].station)
        return plan

    def alone(self, piece: Candidate, at: int) -> int:
        """The least a piece adds there, but for what it makes cheaper elsewhere."""
        return self.reading(piece, at) + own_price(self.problem, piece, self.sitting[at])

    def most_gain(self, slots: Sequence[Slot], *places: int) -> int:
        """By how much filling some open slots can at most make everything else cheaper."""
        runs = sum(self.sitting[at].day in run for run in self.problem.windows for at in places)
        missing = min(runs, check.count_missing_focus(self.problem, slots))
        short = min(len(places), check.count_short_focus(self.problem, slots))
        uneven = min(len(places), check.count_uneven_turns(self.problem, slots))
        changed = min(len(places), check.count_changed(self.problem, slots))
        return (
            check.MISSING_FOCUS_COST * missing
            + check.UNEVEN_FOCUS_COST * short
            + check.UNEVEN_TURN_COST * uneven
            + self.problem.limits.change_cost * changed
        )

    def open_cost(self, at: int) -> int:
        """What the slot costs as long as it is open."""
        return check.open_cost(self.problem, self.sitting[at].day)

    def cost_of(self, slots: Sequence[Slot]) -> int:
        """All a plan costs."""
        return check.cost(self.problem, slots).total

    def cost_without_open(self, slots: Sequence[Slot]) -> int:
        """The same without its open slots."""
        found = check.cost(self.problem, slots)
        return found.total - found.open

    def take(self, plan: Sequence[Slot]) -> None:
        """Go on with a plan."""
        self.slots, self.total = [*plan], self.cost_of(plan)
