"""Pins judged in plain Python, against the solver and by hand."""

from dataclasses import replace

import pytest

from planner.core.term import Station
from planner.scheduling import check
from planner.scheduling.answer import Cause, ConflictKind, MendKind
from planner.scheduling.explanation.causes import every_cause
from planner.scheduling.explanation.pairs import Pairs
from planner.scheduling.explanation.pins import pin_conflict, pins_hold
from planner.scheduling.problem import PlanWish
from tests.checks import some
from tests.scheduling.milp_model import by_name, has_plan
from tests.scheduling.small_problems import FIRST, day, make_problem, piece, random_problem

SECOND = day(1).on
ROOMS = (Station("High", (1,)), Station("Low", (2,)))


def hold(problem, steps=20_000):
    causes = frozenset(cause for each in every_cause(problem).values() for cause in each)
    return pins_hold(Pairs(problem), causes, steps)


class TestHold:
    def test_pins_without_a_day_go_where_there_is_room(self):
        pins = (PlanWish(1), PlanWish(2, FIRST), PlanWish(3))
        assert hold(make_problem(days=3, pins=pins))
        assert hold(make_problem(days=2, pins=pins)) is False

    def test_one_pin_is_moved_for_another(self):
        stale = frozenset({1})
        pins = (PlanWish(1), PlanWish(2))
        problem = make_problem(days=2, pins=pins)
        pieces = (piece(1), piece(2, stale_on=stale))
        assert hold(replace(problem, pieces=pieces))
        assert hold(replace(problem, pieces=(piece(1, stale_on=stale), piece(2, stale_on=stale)))) is False

    def test_in_rooms_a_piece_needs_one_of_them(self):
        pins = tuple(PlanWish(n, FIRST) for n in (1, 2, 3, 4))
        problem = replace(make_problem(pins=pins), days=(day(0, slots=2, minutes=20.0, stations=ROOMS),))
        assert hold(problem)
        five = replace(problem, pieces=(*problem.pieces, piece(5)), pins=(*pins, PlanWish(5, FIRST)))
        assert hold(five) is False

    def test_when_the_steps_run_out_nothing_is_claimed(self):
        problem = make_problem(days=3, pins=(PlanWish(1), PlanWish(2)))
        # the first day for the first pin; for the second that day, which is full, and the next
        assert hold(problem, steps=2) is None
        assert hold(problem, steps=3) is True

    def test_another_solver_agrees_on_random_terms(self):
        rules = set(every_cause(random_problem(0))) - {check.FILLED}
        problems = [random_problem(seed, most_slots=8, most_pieces=8) for seed in range(150)]
        pinned = [problem for problem in problems if problem.pins]
        answers = [hold(problem) for problem in pinned]
        assert answers == [has_plan(problem, by_name(rules)) for problem in some(pinned)]
        assert {True, False} <= set(answers)


class TestConflict:
    def test_a_pin_that_can_hold_has_none(self):
        assert pin_conflict(make_problem(days=2), PlanWish(1, FIRST)) is None
        assert pin_conflict(make_problem(days=2, pins=(PlanWish(1, FIRST),)), PlanWish(1, FIRST)) is None

    @pytest.mark.parametrize("days", [1, 2])
    def test_whether_every_slot_can_be_filled_is_not_asked(self, days):
        assert pin_conflict(make_problem(days=days, pieces=1), PlanWish(1, FIRST)) is None

    def test_a_day_that_another_pin_has(self):
        conflict = pin_conflict(make_problem(days=2, pins=(PlanWish(2, FIRST),)), PlanWish(1, FIRST))
        assert conflict.kind is ConflictKind.PIN
        assert conflict.causes == (Cause(check.PINS, FIRST, (1, 2)),)
        assert [mend.kind for mend in conflict.mends] == [MendKind.UNPIN, MendKind.UNPIN]

    def test_of_several_other_pins_only_those_in_the_way_are_named(self):
        pins = (PlanWish(2, FIRST), PlanWish(3, SECOND))
        conflict = pin_conflict(make_problem(days=2, pins=pins), PlanWish(1, SECOND))
        assert conflict.causes == (Cause(check.PINS, SECOND, (1, 3)),)

    def test_what_is_wrong_with_other_pins_already_is_not_its_fault(self):
        broken = make_problem(days=2, pins=(PlanWish(77),))
        assert pin_conflict(broken, PlanWish(1, FIRST)) is None
        assert pin_conflict(broken, PlanWish(1, day(9).on)).rules == (check.PINS,)

    def test_minutes_that_two_pins_share(self):
        problem = replace(
            make_problem(pins=(PlanWish(2, FIRST),)), days=(day(0, slots=2, minutes=15.0), day(1))
        )
        conflict = pin_conflict(problem, PlanWish(1, FIRST))
        assert conflict.rules == (check.MINUTES, check.PINS)
        assert [m.minutes for m in conflict.mends if m.kind is MendKind.ADD_MINUTES] == [1.0]
