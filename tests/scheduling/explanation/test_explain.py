"""Why no plan exists: the rules, the places and the mends, by hand and by another solver."""

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from planner.core.term import Station
from planner.errors import InfeasiblePlanError, PinFailsError, TooFewPiecesError
from planner.scheduling import check
from planner.scheduling.answer import Cause, ConflictKind, Mend, MendKind
from planner.scheduling.explanation import explain
from planner.scheduling.explanation.explain import find_conflict, impossible_plan
from planner.scheduling.explanation.mends import mended
from planner.scheduling.explanation.narrow import Narrowing
from planner.scheduling.problem import PartAsked, PlanWish
from tests.benchmarks.plan_rules import EVERYWHERE, faults, impossible_terms, possible_terms
from tests.scheduling.milp_model import by_name, has_plan
from tests.scheduling.small_problems import FIRST, LOOSE, day, make_problem, piece

ROOT = Path(__file__).resolve().parents[2]
SECOND, THIRD = day(1).on, day(2).on
ROOMS = (Station("High", (1,)), Station("Low", (2,)))


def kinds(conflict):
    return [(mend.kind, mend.on, mend.piece_ids) for mend in conflict.mends]


class TestByHand:
    def test_more_slots_than_pieces(self):
        conflict = find_conflict(make_problem(days=3, pieces=2))
        assert conflict.kind is ConflictKind.TOO_FEW
        assert conflict.rules == (check.FILLED, check.ONCE)
        assert [cause.on for cause in conflict.causes] == [FIRST, SECOND, THIRD, None]
        assert conflict.left == (1, 2)
        assert [(mend.kind, mend.count, mend.is_enough) for mend in conflict.mends] == [
            (MendKind.ADD_PIECES, 1, True), (MendKind.LEAVE_OPEN, 1, True),
        ]  # fmt: skip

    def test_no_fresh_piece_for_one_day(self):
        stale = frozenset({1})
        pieces = (piece(1, stale_on=stale), piece(2, stale_on=stale))
        conflict = find_conflict(replace(make_problem(days=2), pieces=pieces))
        assert conflict.kind is ConflictKind.TOO_FEW
        assert conflict.causes == (Cause(check.FILLED, SECOND, slots=1), Cause(check.FRESH, SECOND, (1, 2)))
        assert conflict.titles == ((1, "Piece 1"), (2, "Piece 2"))

    def test_a_day_too_short_by_two_minutes_and_a_half(self):
        problem = make_problem(days=3)
        problem = replace(problem, days=(*problem.days[:2], day(2, minutes=5.5)))
        conflict = find_conflict(problem)
        assert conflict.kind is ConflictKind.RULES
        assert conflict.causes == (
            Cause(check.FILLED, THIRD, slots=1),
            Cause(check.MINUTES, THIRD, (1, 2, 3, 4)),
        )
        assert Mend(MendKind.ADD_MINUTES, (THIRD,), minutes=2.5, is_enough=True) in conflict.mends

    def test_a_piece_to_add_suits_the_sections_of_the_day_in_level_and_minutes(self):
        pieces = tuple(piece(n, 5.0) for n in (1, 2))
        problem = replace(make_problem(days=1), pieces=pieces, days=(day(0, stretch=0.3, minutes=9.0),))
        first = find_conflict(problem).mends[0]
        assert first == Mend(MendKind.ADD_PIECES, (FIRST,), (), 1, 2.3, 9.0, is_enough=True)

    def test_a_section_that_would_be_lost_and_the_pin_that_overrides_it(self):
        parts = (PartAsked(1, 2.0), PartAsked(2, 5.0))
        problem = replace(make_problem(days=1), pieces=(piece(1, parts=parts),))
        conflict = find_conflict(problem)
        assert conflict.rules == (check.FILLED, check.READABLE)
        assert conflict.causes[-1] == Cause(check.READABLE, FIRST, (1,), (2,))
        assert conflict.sections == ((2, "Tuba"),)
        assert (MendKind.PIN, (FIRST,), (1,)) in kinds(conflict)

    def test_two_pins_that_are_too_long_together(self):
        pins = (PlanWish(1, FIRST), PlanWish(2, FIRST))
        problem = replace(make_problem(days=2, pins=pins), days=(day(0, slots=2, minutes=15.0), day(1)))
        conflict = find_conflict(problem)
        assert conflict.kind is ConflictKind.PIN
        assert conflict.rules == (check.MINUTES, check.PINS)
        assert conflict.causes[0] == Cause(check.PINS, FIRST, (1, 2))
        assert kinds(conflict) == [
            (MendKind.UNPIN, (FIRST,), (1,)), (MendKind.UNPIN, (FIRST,), (2,)),
            (MendKind.ADD_MINUTES, (FIRST,), ()),
        ]  # fmt: skip
        assert conflict.mends[-1].minutes == 1.0

    def test_a_pin_against_a_ban(self):
        pins, bans = (PlanWish(1, FIRST), PlanWish(2)), (PlanWish(1), PlanWish(3))
        conflict = find_conflict(make_problem(days=2, pins=pins, bans=bans))
        assert conflict.causes == (Cause(check.PINS, FIRST, (1,)), Cause(check.BANS, None, (1,)))
        assert kinds(conflict) == [(MendKind.UNPIN, (FIRST,), (1,)), (MendKind.UNBAN, (), (1,))]
        assert [mend.is_enough for mend in conflict.mends] == [True, True]

    def test_a_pin_to_a_settled_day_and_one_to_no_reading_day(self):
        problem = replace(make_problem(), days=(day(0, is_settled=True), day(1)))
        settled = find_conflict(replace(problem, pins=(PlanWish(1, FIRST),)))
        assert settled.rules == (check.SETTLED, check.PINS)
        nowhere = find_conflict(replace(problem, pins=(PlanWish(1, day(8).on),)))
        assert (nowhere.kind, nowhere.rules) == (ConflictKind.PIN, (check.PINS,))

    def test_one_piece_pinned_to_two_days(self):
        conflict = find_conflict(make_problem(days=2, pins=(PlanWish(1, FIRST), PlanWish(1, SECOND))))
        assert conflict.rules == (check.ONCE, check.PINS)
        assert Cause(check.ONCE, None, (1,)) in conflict.causes

    def test_one_set_of_folders_for_two_rooms_and_a_second_set(self):
        problem = replace(make_problem(pieces=1), days=(day(0, slots=1, minutes=20.0, stations=ROOMS),))
        conflict = find_conflict(problem)
        assert conflict.rules == (check.FILLED, check.FOLDERS)
        assert Mend(MendKind.ADD_SETS, (FIRST,), (1,), is_enough=True) in conflict.mends
        assert find_conflict(mended(problem, Mend(MendKind.ADD_SETS, (FIRST,), (1,)))) is None

    def test_pieces_that_train_nothing_the_term_asks_for(self):
        problem = replace(make_problem(days=1), pieces=(piece(1, trains=(("meter", 2),)),))
        conflict = find_conflict(problem)
        assert conflict.rules == (check.FILLED, check.FOCUSED)
        assert Mend(MendKind.ADD_SKILL, (), (1,), is_enough=True) in conflict.mends

    def test_bans_are_blamed_only_where_there_would_be_enough_without_them(self):
        few = make_problem(days=3, pieces=2, bans=(PlanWish(1),))
        assert find_conflict(few).rules == (check.FILLED, check.ONCE)
        enough = make_problem(days=2, pieces=2, bans=(PlanWish(1),))
        assert find_conflict(enough).rules == (check.FILLED, check.ONCE, check.BANS)

    def test_a_mend_that_is_not_enough_is_not_called_so(self):
        problem = make_problem(days=2)
        short = replace(problem, days=(day(0, minutes=5.0), day(1, minutes=5.0)))
        longer = [mend for mend in find_conflict(short).mends if mend.kind is MendKind.ADD_MINUTES]
        assert [mend.is_enough for mend in longer] == [False]

    def test_where_slots_may_stay_open_only_pins_can_fail(self):
        may = replace(LOOSE, may_leave_open=True)
        assert find_conflict(make_problem(days=3, pieces=1, limits=may)) is None
        assert find_conflict(make_problem(days=1, limits=may, pins=(PlanWish(77),))).kind is ConflictKind.PIN


class TestErrors:
    @pytest.mark.parametrize(
        ("problem", "kind", "slug"),
        [
            (make_problem(days=3, pieces=2), TooFewPiecesError, "plan-too-few-pieces"),
            (make_problem(days=1, pins=(PlanWish(77),)), PinFailsError, "plan-pin-fails"),
            (make_problem(days=2, pieces=2, bans=(PlanWish(1),)), InfeasiblePlanError, "plan-impossible"),
        ],
    )
    def test_each_kind_of_conflict_has_its_error(self, problem, kind, slug):
        error = impossible_plan(find_conflict(problem))
        assert (type(error), error.slug) == (kind, slug)


class TestLimits:
    def test_without_work_or_time_nothing_is_claimed(self):
        problem = replace(make_problem(days=3, pieces=2))
        assert find_conflict(problem, work=0.0) is None
        assert find_conflict(problem, limit_s=0.0) is None

    def test_work_that_runs_out_leaves_a_conflict_that_says_so(self, monkeypatch):
        problem = make_problem(days=3, pieces=2)
        proven = find_conflict(problem)
        answers = iter([False])
        has_plan_before = explain._Solver.has_plan
        monkeypatch.setattr(
            explain._Solver,
            "has_plan",
            lambda self, pairs, causes: next(answers, None) and has_plan_before(self, pairs, causes),
        )
        # the first question is answered: there is no plan; all others stay without an answer
        conflict = find_conflict(problem)
        assert not conflict.is_minimal
        assert not conflict.is_exact
        assert set(conflict.rules) > set(proven.rules)

    def test_the_same_problem_has_the_same_conflict_in_every_run_of_the_program(self):
        source = (
            "from tests.scheduling.small_problems import random_problem\n"
            "from planner.scheduling.explanation.explain import find_conflict\n"
            "print([find_conflict(random_problem(seed)) for seed in range(40)])"
        )
        printed = [
            subprocess.run(
                [sys.executable, "-c", source],
                env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
                capture_output=True, check=True,
            ).stdout
            for seed in ("1", "2")
        ]  # fmt: skip
        assert len(printed[0]) > 1000
        assert printed[0] == printed[1]


class TestNarrowing:
    def run(self, size, needed):
        """A narrowing of numbered causes that has no plan as long as all needed ones are kept."""
        causes = [Cause("rule", None, (n,)) for n in range(size)]
        asked = []

        def has_plan(some_causes):
            asked.append(some_causes)
            return not needed <= {cause.piece_ids[0] for cause in some_causes}

        narrowing = Narrowing(has_plan, frozenset(causes))
        narrowing.leave_out([frozenset({cause}) for cause in causes])
        return {cause.piece_ids[0] for cause in narrowing.causes}, narrowing.is_exact, len(asked)

    @pytest.mark.parametrize("needed", [{0}, {63}, {5, 40}, {0, 1, 2, 61, 62, 63}, set(range(64))])
    def test_what_is_needed_is_kept_and_nothing_else(self, needed):
        kept, is_exact, _ = self.run(64, needed)
        assert kept == needed
        assert is_exact

    def test_what_could_not_be_settled_is_kept_and_not_called_exact(self):
        causes = [Cause("rule", None, (n,)) for n in range(4)]

        def has_plan(some_causes):
            return True if len(some_causes) == 3 else None

        narrowing = Narrowing(has_plan, frozenset(causes))
        narrowing.leave_out([frozenset({cause}) for cause in causes])
        assert narrowing.causes == frozenset(causes)
        assert narrowing.is_exact, "each by itself was needed"
        unsure = Narrowing(lambda _: None, frozenset(causes))
        unsure.leave_out([frozenset({cause}) for cause in causes])
        assert (unsure.causes, unsure.is_exact) == (frozenset(causes), False)

    def test_a_half_that_went_proves_nothing_of_the_other_unless_both_together_had_a_plan(self):
        first, second = Cause("rule", None, (0,)), Cause("rule", None, (1,))
        answers = {frozenset(): None, frozenset({second}): False}
        narrowing = Narrowing(lambda some: answers[frozenset(some)], frozenset({first, second}))
        narrowing.leave_out([frozenset({first}), frozenset({second})])
        assert narrowing.causes == frozenset({second})
        assert not narrowing.is_exact

    def test_a_small_conflict_among_many_takes_few_questions(self):
        assert self.run(64, {40})[2] <= 2 * 6 + 1
        assert self.run(1024, {40, 900})[2] <= 4 * 10 + 1


def test_another_solver_confirms_each_conflict_its_rules_causes_and_mends():
    found = [faults(problem, conflict) for problem, conflict in impossible_terms(40)]
    assert found == [[]] * 40


def test_another_solver_finds_a_plan_where_no_conflict_is_named():
    found = [has_plan(problem, by_name(EVERYWHERE)) for problem in possible_terms(40)]
    assert found == [True] * 40


@pytest.mark.slow
def test_another_solver_confirms_many_more():
    """A part of the terms that ``python -m tests.benchmarks.plan_figures plan_rules`` tries."""
    found = [faults(problem, conflict) for problem, conflict in impossible_terms(120)]
    assert found == [[]] * 120


def test_a_rule_that_is_not_to_blame_would_be_noticed():
    problem = make_problem(days=3, pieces=2, bans=(PlanWish(1, FIRST),))
    conflict = find_conflict(problem)
    assert faults(problem, conflict) == []
    more = replace(conflict, rules=(*conflict.rules, check.BANS))
    assert faults(problem, more) == [f"not needed: {check.BANS}"]
    fewer = replace(conflict, rules=(check.FILLED,))
    assert "the rules named have a plan" in faults(problem, fewer)
