"""What a plan in force changes for, and what not: through the services, on a library in a real database.

``python -m tests.benchmarks.plan_figures plan_stability`` prints the figures. A change is a day to which the
proposal would give another piece, skill or featured section; the plan in force changes only when it is taken.
"""

import random
import statistics
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, timedelta

from planner.core.ensemble import Section
from planner.core.term import Plan, Slot, Wish
from planner.errors import PlannerError
from planner.scheduling import check
from planner.scheduling.problem import Limits
from planner.services.people.roster import change_section
from planner.services.plan.plan_term import PlanView, plan_term
from planner.services.plan.proposals import drop_proposal, take_proposal
from planner.services.plan.term_facts import read_facts
from planner.services.plan.term_problem import TermProblem, build_problem
from planner.services.term.wishes import move_wish, pin, withdraw_wish
from planner.services.toolbox import changing
from tests.benchmarks.plan_measures import least_out, readings_of
from tests.benchmarks.plan_world import BY, FIRST, PlanWorld, plan_world
from tests.benchmarks.rows import Row

STEPS = 1500
"""Of each search for a new plan; the first plan has as many as suit its term."""

SLOWER = 10
"""How much less a slow machine does."""

PINS = 50
JUMP = 0.8
HOPE = 0.95
"""A plan that costs this much of the one in force, or less, has to be offered."""

WORSE_ROUNDS, WORSE_TRIALS = 8, 20
"""How a dearer plan is looked for: rounds, and exchanges that are tried in each."""

FAR_S = 600.0
"""A limit in seconds that no search here comes near."""


def rows() -> Iterator[Row]:
    """The figures."""
    yield from figures(PINS)


def figures(pins: int, *, pieces: int = 200, weeks: int = 16, sections: int = 10) -> Iterator[Row]:
    """The figures of one band's term.

    Args:
        pins: How many pins are moved.
        pieces, weeks: Size of library and term.
        sections: Of how many sections the level changes.
    """
    with planned_world(pieces, weeks) as town:
        yield from town.nothing_new()
        yield from town.pins_moved(pins)
        yield from town.levels_nudged(sections)
        yield from town.jumps(sections)
        yield from town.better_offered()
        yield from town.as_expected()


@contextmanager
def planned_world(pieces: int, weeks: int) -> Iterator["Town"]:
    """A band with a planned term that starts today."""
    with plan_world(pieces=pieces, weeks=weeks, bands={"Band": 2.5}) as world:
        town = Town(world)
        town.plan(steps=None)
        town.settle()
        yield town


class Town:
    """A band whose plan is in force, and the director who asks for it again."""

    def __init__(self, world: PlanWorld) -> None:
        self.world = world
        ((self.band_id, self.term),) = world.terms.items()
        self.chance = random.Random(11)

    def plan(self, today: date = FIRST, *, steps: int | None = STEPS, limit_s: float = FAR_S) -> PlanView:
        """Plan again."""
        return plan_term(
            self.world.open_work, self.term.id, today, by=BY, limit_s=limit_s, steps=steps, leave_open=True
        )

    def in_force(self) -> Plan:
        """The plan in force."""
        with self.world.open_work() as work:
            plan = work.terms.plan(self.term.id)
        assert plan is not None
        return plan

    def problem(self, today: date = FIRST) -> TermProblem:
        """What is to be planned today."""
        with self.world.open_work() as work:
            return build_problem(read_facts(work, self.term.id, today), Limits(may_leave_open=True))

    def settle(self) -> None:
        """Take what is proposed until nothing is: from here on only what is new can change the plan."""
        for _ in range(10):
            self.forget()
            if not changed(self.plan(steps=4 * STEPS)):
                return
            with changing(self.world.open_work) as work:
                take_proposal(work, self.term.id, None, FIRST, by=BY)

    def forget(self) -> None:
        """Let the plan in force not remember what it was made from, so that a search is made in any case."""
        plan = self.in_force()
        with changing(self.world.open_work) as work:
            work.terms.save_plan(replace(plan, made_from=""))

    def drop(self, view: PlanView) -> None:
        """Keep the plan in force."""
        if view.proposal is not None:
            with changing(self.world.open_work) as work:
                drop_proposal(work, self.term.id, by=BY)

    def ahead(self, today: date = FIRST) -> list[Slot]:
        """Slots beyond the announced days."""
        horizon = today + timedelta(days=self.term.announced_days)
        return [slot for slot in self.in_force().slots if slot.on >= horizon]

    def nothing_new(self) -> Iterator[Row]:
        """Plan again although nothing happened, at once and later, fast and slow."""
        weeks = [FIRST + timedelta(weeks=week) for week in range(4)]
        for name, steps, limit_s in (
            ("", STEPS, FAR_S),
            (", a tenth of the steps", STEPS // SLOWER, FAR_S),
            (", out of time at once", STEPS, 0.001),
        ):
            found = [len(changed(self.plan(on, steps=steps, limit_s=limit_s))) for on in weeks]
            yield Row(f"replan, nothing new{name}: most days changed", max(found), 0, "days", at_most=True)
        for name, steps in (("", STEPS), (", a tenth of the steps", STEPS // SLOWER)):
            self.forget()
            view = self.plan(steps=steps)
            found = len(changed(view))
            self.drop(view)
            yield Row(f"replan, nothing new, searched all the same{name}", found, 0, "days", at_most=True)

    def pins_moved(self, count: int) -> Iterator[Row]:
        """Pin a piece where it stands, then move the pin to another day; the two days themselves aside."""
        where_it_stands, others, refused = [], [], 0
        while len(others) < count:
            one, other = self.chance.sample(self.ahead(), 2)
            with changing(self.world.open_work) as work:
                pin(work, self.term.id, one.piece_id, one.on, FIRST, by=BY)
            view = self.plan()
            where_it_stands.append(len(changed(view)))
            self.drop(view)
            wish = Wish("pinned", one.piece_id, one.on)
            try:
                with changing(self.world.open_work) as work:
                    move_wish(work, self.term.id, wish, other.on, FIRST, by=BY)
            except PlannerError:
                refused += 1
                self.unpin(one.piece_id, one.on)
                continue
            view = self.plan()
            others.append(len(changed(view) - {one.on, other.on}))
            self.drop(view)
            self.unpin(one.piece_id, other.on)
        note = f"{count} pins, {max(where_it_stands)} at most"
        name = "replan, a piece pinned where it stands: days changed, mean"
        yield Row(name, statistics.mean(where_it_stands), 0, "days", at_most=True, note=note)
        note = f"mean {statistics.mean(others):.1f}, at most {max(others)}; {refused} pins refused"
        name = f"replan, a pin moved: other days changed, median of {count}"
        yield Row(name, statistics.median(others), 3, "days", at_most=True, note=note)

    def unpin(self, piece_id: int, on: date) -> None:
        """Take a pin back."""
        with changing(self.world.open_work) as work:
            withdraw_wish(work, self.term.id, piece_id, on, by=BY)

    @contextmanager
    def moved(self, section: Section, by: float) -> Iterator[None]:
        """A section whose level is changed by hand while it lasts."""
        with changing(self.world.open_work) as work:
            change_section(work, replace(section, level=section.level + by), by=BY)
        yield
        with changing(self.world.open_work) as work:
            change_section(work, section, by=BY)

    def sections(self, count: int) -> Sequence[Section]:
        """So many sections."""
        with self.world.open_work() as work:
            return work.ensembles.get(self.band_id).sections[:count]

    def levels_nudged(self, count: int) -> Iterator[Row]:
        """One section a tenth of a level higher, then the next."""
        found = []
        for section in self.sections(count):
            with self.moved(section, 0.1):
                view = self.plan()
                found.append(len(changed(view)))
                self.drop(view)
        note = ", ".join(map(str, found))
        yield Row(
            "replan, a level 0.1 higher: most days changed", max(found), 2, "days", at_most=True, note=note
        )

    def jumps(self, count: int) -> Iterator[Row]:
        """One section far better or worse: what is read too hard or too easy beyond the announced days."""
        before, after, least = [], [], []
        for at, section in enumerate(self.sections(count)):
            with self.moved(section, JUMP if at % 2 else -JUMP):
                problem = self.problem()
                before.append(out_of_band(problem, self.in_force().slots))
                view = self.plan(steps=None)
                slots = self.in_force().slots if view.proposal is None else view.proposal.slots
                after.append(out_of_band(problem, slots))
                least.append(least_out(problem.problem))
                self.drop(view)
        note = (
            f"{statistics.mean(before):.3f} before; no plan below {max(least):.3f}; at most {max(after):.3f}"
        )
        name = "replan, a level 0.8 off: readings out of band, days ahead"
        yield Row(name, statistics.mean(after), 0.10, "share", at_most=True, note=note)

    def better_offered(self, trials: int = 8) -> Iterator[Row]:
        """Put a plan in force that costs 5 % more or worse still: is a better one offered, with its days?"""
        plan, offered, gains = self.in_force(), 0, []
        for _ in range(trials):
            problem = self.problem()
            worse = self.worse(problem, plan)
            with changing(self.world.open_work) as work:
                work.terms.save_plan(replace(worse, made_from=""))
            view = self.plan(steps=None)
            if view.proposal is not None and view.proposal.changes and view.proposal.against is not None:
                offered += 1
                gains.append((view.proposal.gain or 0) / view.proposal.against.total)
            self.drop(view)
        with changing(self.world.open_work) as work:
            work.terms.save_plan(plan)
        yield Row("replan, a plan 5 % cheaper is there: one offered", offered / trials, 1.0, "share")
        note = f"{trials} plans, changes included; at least {min(gains or [0.0]):.3f}"
        saved = statistics.mean(gains or [0.0])
        yield Row("replan, a plan 5 % cheaper is there: saved by the offer", saved, 1 - HOPE, note=note)

    def worse(self, found: TermProblem, plan: Plan) -> Plan:
        """The plan with a few days exchanged so that the way back costs 5 % less, changes included.

        Raises:
            AssertionError: If no such plan is found.
        """
        problem = found.problem
        best = check.cost(problem, found.filled_up(plan.slots)).filled
        slots: Sequence[Slot] = plan.slots
        for _ in range(WORSE_ROUNDS):
            tried = [exchange(slots, self.ahead(), self.chance) for _ in range(WORSE_TRIALS)]
            kept = [each for each in tried if not check.broken_rules(problem, found.filled_up(each))]
            if not kept:
                continue
            slots = max(kept, key=lambda each: check.cost(problem, found.filled_up(each)).filled)
            standing = {(s.on, s.piece_id) for s in slots}
            moved = sum((s.on, s.piece_id) not in standing for s in plan.slots)
            back = best + problem.limits.change_cost * moved
            if back <= HOPE * check.cost(problem, found.filled_up(slots)).filled:
                return replace(plan, slots=tuple(slots))
        raise AssertionError("no plan that is 5 % dearer was found")

    def as_expected(self, days: int = 4) -> Iterator[Row]:
        """Read one day after another just as expected, and plan again each time."""
        found = []
        for on in self.term.reading_dates()[:days]:
            self.world.read_as_expected(self.band_id, self.in_force().on(on))
            view = self.plan(on + timedelta(days=1))
            found.append(len(changed(view)))
            self.drop(view)
        note = ", ".join(map(str, found))
        yield Row(
            "replan, a result as expected: most days changed", max(found), 0, "days", at_most=True, note=note
        )


def changed(view: PlanView) -> set[date]:
    """The days that a proposal changes; none where nothing is proposed."""
    return set() if view.proposal is None else {change.on for change in view.proposal.changes}


def out_of_band(found: TermProblem, slots: Sequence[Slot]) -> float:
    """Share of the readings of the days that may still change for which the part is too hard or too easy."""
    each = [reading.is_out for reading in readings_of(found.problem, slots)]
    return sum(each) / max(1, len(each))


def exchange(slots: Sequence[Slot], among: Sequence[Slot], chance: random.Random) -> list[Slot]:
    """The plan with what two days hold exchanged."""
    one, other = chance.sample([slot.on for slot in among], 2)
    to = {one: other, other: one}
    moved = (replace(slot, on=to.get(slot.on, slot.on)) for slot in slots)
    return sorted(moved, key=lambda slot: (slot.on, slot.position))
