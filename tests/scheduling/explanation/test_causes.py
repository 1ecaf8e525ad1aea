"""What keeps one piece off one day, without a solver."""

import subprocess
import sys
from dataclasses import replace

import pytest

from planner.core.term import Slot, Station
from planner.scheduling import check
from planner.scheduling.answer import Cause
from planner.scheduling.explanation.causes import every_cause, merged, why_not
from planner.scheduling.problem import PartAsked, PlanWish
from tests.scheduling.small_problems import FIRST, day, make_problem, piece

SECOND = day(1).on


def one(candidate, days=2, **changes):
    """A term with one candidate, and why it does not stand on the second day."""
    problem = replace(make_problem(days=days), pieces=(candidate,), **changes)
    return why_not(problem, candidate.piece_id, SECOND)


class TestWhyNot:
    def test_a_piece_that_may_stand_has_no_obstacle(self):
        assert one(piece(1)) == ()

    @pytest.mark.parametrize(
        ("candidate", "cause"),
        [
            (piece(1, stale_on=frozenset({1})), Cause(check.FRESH, SECOND, (1,))),
            (piece(1, away_on=frozenset({1})), Cause(check.FOLDERS, SECOND, (1,))),
            (piece(1, sets=0), Cause(check.FOLDERS, SECOND, (1,))),
            (piece(1, minutes=12.5), Cause(check.MINUTES, SECOND, (1,), minutes=2.5)),
            (piece(1, trains=(("meter", 2),)), Cause(check.FOCUSED, None, (1,))),
            (piece(1, is_for_all=False), Cause(check.FORCES, SECOND, (1,))),
            (piece(1, 5.0), Cause(check.READABLE, SECOND, (1,), (1, 2))),
            (piece(1, parts=(PartAsked(2, 5.0),)), Cause(check.READABLE, SECOND, (1,), (2,))),
        ],
    )
    def test_each_rule_about_the_two_names_day_piece_sections_and_minutes(self, candidate, cause):
        assert one(candidate) == (cause,)

    def test_bans_repeats_and_settled_days(self):
        assert one(piece(1), bans=(PlanWish(1, SECOND),)) == (Cause(check.BANS, SECOND, (1,)),)
        assert one(piece(1), bans=(PlanWish(1),)) == (Cause(check.BANS, None, (1,)),)
        assert one(piece(1), bans=(PlanWish(1, FIRST),)) == ()
        settled = (Slot(FIRST, 0, 1, "rhythm"),)
        days = (day(0, is_settled=True), day(1))
        assert one(piece(1), days=2, settled=settled) == (Cause(check.ONCE, None, (1,)),)
        begun = replace(make_problem(), days=days, settled=settled)
        assert why_not(begun, 1, FIRST) == ()
        assert why_not(begun, 2, FIRST) == (Cause(check.SETTLED, FIRST, (2,)),)

    def test_several_obstacles_come_one_a_rule(self):
        found = one(piece(1, 5.0, minutes=11.0, stale_on=frozenset({1})))
        assert [cause.rule for cause in found] == [check.MINUTES, check.READABLE, check.FRESH]

    def test_of_the_rooms_of_a_day_the_one_with_the_fewest_obstacles_is_looked_at(self):
        rooms = (Station("High", (1,)), Station("Low", (2,)))
        problem = replace(make_problem(), days=(day(0, stations=rooms),))
        hard_for_low = piece(1, parts=(PartAsked(1, 2.0), PartAsked(2, 5.0)))
        assert why_not(replace(problem, pieces=(hard_for_low,)), 1, FIRST) == ()

    def test_what_is_pinned_to_the_day_is_not_judged_by_estimates(self):
        assert one(piece(1, 5.0, is_for_all=False), pins=(PlanWish(1, SECOND),)) == ()
        assert len(one(piece(1, 5.0, is_for_all=False), pins=(PlanWish(1),))) == 2

    def test_a_piece_or_a_day_that_is_none_is_refused(self):
        with pytest.raises(KeyError):
            why_not(make_problem(), 77, FIRST)
        with pytest.raises(KeyError):
            why_not(make_problem(), 1, day(8).on)


class TestPlaces:
    def test_every_rule_at_each_of_its_places(self):
        problem = make_problem(days=2, pins=(PlanWish(1, FIRST), PlanWish(1, FIRST)), bans=(PlanWish(2),))
        places = {rule: len(causes) for rule, causes in every_cause(problem).items()}
        assert places == {
            check.FILLED: 2, check.PINS: 1, check.SETTLED: 0, check.BANS: 1, check.FOLDERS: 2,
            check.FORCES: 2, check.MINUTES: 2, check.READABLE: 2 * 2, check.FOCUSED: 1, check.FRESH: 2,
            check.ONCE: 1,
        }  # fmt: skip

    def test_pins_that_settled_days_keep_are_no_causes(self):
        days, settled = (day(0, is_settled=True), day(1)), (Slot(FIRST, 0, 1, "rhythm"),)
        pins = (PlanWish(1, FIRST), PlanWish(1), PlanWish(2, FIRST))
        found = every_cause(replace(make_problem(pins=pins), days=days, settled=settled))
        assert found[check.PINS] == (Cause(check.PINS, FIRST, (2,)),)
        assert found[check.SETTLED] == (Cause(check.SETTLED, FIRST),)

    def test_causes_of_one_rule_and_day_come_together(self):
        apart = [Cause(check.READABLE, FIRST, (n,), (s,)) for n, s in ((2, 7), (1, 7), (1, 3))]
        assert merged([*apart, Cause(check.PINS, None, (5,))]) == (
            Cause(check.PINS, None, (5,)), Cause(check.READABLE, FIRST, (1, 2), (3, 7)),
        )  # fmt: skip


def test_a_page_asks_without_loading_the_solver():
    source = (
        "import sys, planner.scheduling.explanation.causes, planner.scheduling.explanation.pins\n"
        "import planner.wording.director.conflict\n"
        "sys.exit(any(name.split('.')[0] == 'ortools' for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", source], check=False).returncode == 0
