"""The meaning of a plan without any solver: costs reckoned by hand, and each rule at its border."""

from dataclasses import replace

import pytest

from planner.core.term import Slot
from planner.scheduling import check
from planner.scheduling.problem import Limits, PlanSection, PlanWish, turn_bounds
from tests.scheduling.small_problems import FIRST, LOOSE, day, make_problem, piece

SECTIONS = (PlanSection(1, "Flute", 2.0, 3), PlanSection(2, "Tuba", 2.5, 1))
BOTH = ((1, 2), (2, 1))


def slots_of(*rows):
    """Slots of ``(day, position, piece, focus, featured)``, the later fields with plain defaults."""
    plain = (0, 0, 0, "rhythm", None)
    full = [(*row, *plain[len(row) :]) for row in rows]
    return tuple(Slot(day(d).on, at, number, focus, who) for d, at, number, focus, who in full)


class TestCost:
    def test_a_level_off_the_target_costs_the_square_of_the_distance_in_tenths(self):
        problem = make_problem(days=1)
        levels = (2.0, 2.1, 2.3, 1.7, 3.0)
        assert [check.place_cost(problem, piece(1, level), 0) for level in levels] == [0, 1, 9, 9, 100]

    def test_a_part_off_its_section_costs_by_the_players_too_hard_four_times_too_easy(self):
        # flutes 3 of 4 players: 100 x 0.5 x 0.5 x 3/4 = 18.75; tuba 1 of 4: 25 x 0.8 x 0.8 / 4 = 4
        problem = make_problem(days=1, sections=SECTIONS)
        costs = [
            check.place_cost(problem, piece(1, parts=parts), 0)
            for parts in (((1, 2.5), (2, 1.7)), ((1, 2.5),), ((2, 1.7),), ((2, 3.5),), ((7, 6.0),))
        ]
        assert costs == [23, 25, 16, 100, 0]

    def test_growth_by_the_day_comes_off_the_gap(self):
        problem = make_problem(sections=SECTIONS, days=1)
        grown = replace(problem, days=(day(0, growth=0.4),))
        assert check.part_gaps(grown, piece(1, parts=((1, 2.5), (2, 2.5))), 0) == [
            (1, pytest.approx(0.1)), (2, pytest.approx(-0.4)),
        ]  # fmt: skip

    def test_every_kind_of_cost_is_in_the_sum(self):
        pieces = (
            piece(1, trains=(("rhythm", 2), ("key", 1)), features=BOTH),
            piece(2, 2.2, trains=(("rhythm", 2), ("key", 1)), features=BOTH),
            piece(3, trains=(("rhythm", 2),), features=BOTH),
        )
        problem = make_problem(
            days=4, focuses=(("rhythm", 3), ("key", 7)), sections=SECTIONS, pieces=0,
            limits=replace(LOOSE, may_leave_open=True),
        )  # fmt: skip
        problem = replace(problem, pieces=pieces, featured=((1, 0, 4), (2, 0, 4)))
        slots = slots_of(
            (0, 0, 1, "rhythm", 1), (1, 0, 2, "key", 1), (2, 0, 3, "rhythm", None), (3, 0, 0, "")
        )
        by_hand = 3 + (4 + 7 + 15 + 12) + (3 + 40) + 2000
        assert check.cost(problem, slots) == by_hand
        tuba = slots_of((0, 0, 1, "rhythm", 1), (1, 0, 2, "key", 2), (2, 0, 3, "rhythm", 1), (3, 0, 0, ""))
        assert check.cost(problem, tuba) == 3 + (4 + 7 + 15 + 10) + 3 + 2000

    def test_an_open_slot_costs_the_more_the_sooner_it_comes(self):
        problem = make_problem(days=3)
        assert [check.open_cost(problem, at) for at in (0, 1, 2)] == [2010, 2005, 2000]
        begun = replace(problem, days=(day(0, is_past=True), day(1), day(2)))
        assert [check.open_cost(begun, at) for at in (1, 2)] == [2005, 2000]

    def test_slots_that_no_piece_could_fill_are_no_ones_fault(self):
        limits = replace(LOOSE, may_leave_open=True)
        assert check.unavoidable_cost(make_problem(days=5, pieces=3, limits=limits)) == 4000
        assert check.unavoidable_cost(make_problem(days=3, pieces=5, limits=limits)) == 0
        assert check.unavoidable_cost(make_problem(days=5, pieces=3)) == 0

    def test_without_turns_nobody_has_to_be_featured(self):
        problem = make_problem(days=1)
        assert check.cost(problem, slots_of((0, 0, 1))) == 0

    def test_a_section_again_within_half_a_round_is_counted_the_past_included(self):
        turns = tuple((s, 0, 9) for s in range(1, 7))
        days = (day(0, is_past=True), *(day(n) for n in range(1, 7)))
        past = slots_of((0, 0, 90, "rhythm", 1))
        problem = replace(make_problem(), days=days, featured=turns, past=past)
        assert problem.turn_gap == 3

        def again(*sections):
            return check.count_again(
                problem, past + slots_of(*((n, 0, n, "rhythm", s) for n, s in enumerate(sections, start=1)))
            )

        assert again(2, 3, 1) == 1
        assert again(2, 3, 4, 1) == 0
        assert again(1, 1, 2) == 2
        assert again(None, None, None) == 0
        assert again(2, 3, 4, 2, 3, 4) == 3
        assert again(2, 3, 4, 5, 2, 3) == 0


class TestFilled:
    def test_each_position_of_each_free_day_is_taken_once(self):
        problem = replace(make_problem(), days=(day(0, slots=2), day(1)))
        assert check.check_filled(problem, slots_of((0, 0, 1), (0, 1, 2), (1, 0, 3)))
        assert not check.check_filled(problem, slots_of((0, 0, 1), (0, 0, 2), (1, 0, 3)))
        assert not check.check_filled(problem, slots_of((0, 0, 1), (0, 1, 2)))
        assert not check.check_filled(problem, slots_of((0, 0, 1), (0, 1, 2), (1, 0, 3), (2, 0, 4)))

    def test_an_open_slot_fills_only_where_it_may(self):
        assert not check.check_filled(make_problem(days=1), slots_of((0, 0, 0)))
        may = make_problem(days=1, limits=replace(LOOSE, may_leave_open=True))
        assert check.check_filled(may, slots_of((0, 0, 0)))
        assert not check.check_filled(may, slots_of((0, 0, 77)))

    def test_a_plan_that_is_not_filled_is_not_judged_further(self):
        problem = make_problem(days=2, bans=(PlanWish(1),))
        assert check.broken_rules(problem, slots_of((0, 0, 1))) == (check.FILLED,)
        assert check.broken_rules(problem, slots_of((0, 0, 1), (1, 0, 1, "key"))) == (check.ONCE, check.BANS)


class TestOnce:
    def test_a_piece_comes_once_and_never_after_the_past(self):
        past = slots_of((0, 0, 1))
        problem = replace(make_problem(), days=(day(0, is_past=True), day(1), day(2)), past=past)
        assert check.check_once(problem, past + slots_of((1, 0, 2), (2, 0, 3)))
        assert not check.check_once(problem, past + slots_of((1, 0, 2), (2, 0, 2)))
        assert not check.check_once(problem, past + slots_of((1, 0, 1), (2, 0, 3)))

    def test_open_slots_may_be_many(self):
        problem = make_problem(days=2, limits=replace(LOOSE, may_leave_open=True))
        assert check.check_once(problem, slots_of((0, 0, 0), (1, 0, 0)))


class TestMinutes:
    def test_the_pieces_of_a_day_share_its_minutes_to_the_tenth(self):
        problem = replace(make_problem(), days=(day(0, slots=2), day(1)))
        plan = slots_of((0, 0, 1), (0, 1, 2), (1, 0, 3))
        for minutes, fits in ((4.0, True), (4.1, False)):
            pieces = (piece(1, minutes=6.0), piece(2, minutes=minutes), piece(3, minutes=10.0))
            assert check.check_minutes(replace(problem, pieces=pieces), plan) is fits


class TestGentle:
    TIGHT = replace(LOOSE, corridor=0.5, step=0.4)

    def judged(self, levels, **changes):
        pieces = tuple(piece(n + 1, level) for n, level in enumerate(levels))
        problem = replace(make_problem(days=len(levels), limits=self.TIGHT), pieces=pieces, **changes)
        found = check.check_gentle(problem, slots_of(*((n, 0, n + 1) for n in range(len(levels)))))
        assert isinstance(found, bool)
        return found

    @pytest.mark.parametrize(("level", "is_right"), [(1.5, True), (1.49, False), (2.5, True), (2.51, False)])
    def test_the_corridor_reaches_as_far_below_the_target_as_above(self, level, is_right):
        assert self.judged([level]) is is_right

    @pytest.mark.parametrize(
        ("levels", "is_right"),
        [([2.0, 2.4], True), ([2.0, 2.41], False), ([2.4, 1.6], True), ([1.6, 2.0, 2.41], False)],
    )
    def test_levels_rise_by_no_more_than_the_step_and_may_fall(self, levels, is_right):
        assert self.judged(levels) is is_right

    def test_a_pin_on_its_day_frees_that_day_and_both_its_steps(self):
        def pin(number):
            return {"pins": (PlanWish(number, day(number - 1).on),)}

        assert self.judged([2.0, 4.0, 2.0, 2.1], **pin(2))
        assert not self.judged([2.0, 4.0, 2.0, 2.1], **pin(1))
        assert not self.judged([2.0, 4.0, 2.0, 2.5], **pin(2))

    @pytest.mark.parametrize(
        ("first", "second", "is_right"),
        [
            ((1.8, 2.2), (2.2, 2.6), True),
            ((1.8, 2.2), (2.2, 2.61), False),
            ((2.0,), (2.3, 2.5), True),
            ((2.0,), (2.3, 2.51), False),
            ((1.9, 2.1), (2.4,), True),
            ((1.9, 2.1), (2.41,), False),
            ((1.9, 2.0, 2.1), (2.3, 2.5), True),
            ((1.9, 2.0, 2.1), (2.3, 2.51), False),
        ],
    )
    def test_days_of_several_pieces_are_compared_by_their_mean(self, first, second, is_right):
        levels = (*first, *second)
        days = (day(0, slots=len(first)), day(1, slots=len(second)))
        limits = replace(self.TIGHT, corridor=9.0)
        pieces = tuple(piece(n + 1, level) for n, level in enumerate(levels))
        problem = replace(make_problem(limits=limits), days=days, pieces=pieces)
        places = [(0, n) for n in range(len(first))] + [(1, n) for n in range(len(second))]
        plan = slots_of(*((d, at, n + 1) for n, (d, at) in enumerate(places)))
        assert check.check_gentle(problem, plan) is is_right

    def test_the_step_to_a_day_with_an_open_slot_is_not_judged(self):
        limits = replace(self.TIGHT, corridor=9.0, may_leave_open=True)
        problem = replace(
            make_problem(limits=limits), days=(day(0, slots=2), day(1)), pieces=(piece(1, 2.0), piece(2, 4.0))
        )
        assert check.check_gentle(problem, slots_of((0, 0, 1), (0, 1, 0), (1, 0, 2)))
        full = replace(problem, pieces=(*problem.pieces, piece(3, 2.0)))
        assert not check.check_gentle(full, slots_of((0, 0, 1), (0, 1, 3), (1, 0, 2)))

    def test_a_day_begins_with_the_easier(self):
        problem = replace(make_problem(), days=(day(0, slots=2),), pieces=(piece(1, 2.0), piece(2, 2.1)))
        assert check.check_gentle(problem, slots_of((0, 0, 1), (0, 1, 2)))
        assert not check.check_gentle(problem, slots_of((0, 0, 2), (0, 1, 1)))


class TestReadable:
    def test_a_part_as_far_above_its_section_as_the_reach_can_be_read(self):
        problem = make_problem(days=1, sections=SECTIONS, limits=replace(LOOSE, reach=1.3))
        for level, is_right in ((3.3, True), (3.31, False)):
            here = replace(problem, pieces=(piece(1, parts=((1, level), (2, 1.0))),))
            assert check.check_readable(here, slots_of((0, 0, 1))) is is_right

    def test_a_pin_on_its_day_is_not_judged_but_a_pin_without_one_is(self):
        hard = replace(
            make_problem(days=1, sections=SECTIONS, limits=replace(LOOSE, reach=1.0)),
            pieces=(piece(1, parts=((1, 5.0),)),),
        )
        assert check.check_readable(replace(hard, pins=(PlanWish(1, FIRST),)), slots_of((0, 0, 1)))
        assert not check.check_readable(replace(hard, pins=(PlanWish(1),)), slots_of((0, 0, 1)))


class TestRotation:
    def judged(self, *focuses, slots=1, window=0, skills=("rhythm", "key", "meter"), **changes):
        days = tuple(day(n, slots=slots) for n in range(len(focuses) // slots))
        trains = tuple((name, 2) for name in ("rhythm", "key", "meter", "tempo"))
        problem = replace(
            make_problem(limits=replace(LOOSE, focus_window=window)), days=days,
            focuses=tuple((name, 0) for name in skills),
            pieces=tuple(piece(n + 1, trains=trains) for n in range(len(focuses))), **changes,
        )  # fmt: skip
        rows = [(n // slots, n % slots, n + 1, focus) for n, focus in enumerate(focuses)]
        found = check.check_rotation(problem, slots_of(*rows))
        assert isinstance(found, bool)
        return found

    def test_a_focus_does_not_come_on_two_days_in_a_row(self):
        assert self.judged("rhythm", "key", "rhythm")
        assert not self.judged("rhythm", "rhythm")
        assert not self.judged("key", "rhythm", "rhythm")
        assert self.judged("rhythm", "rhythm", skills=("rhythm",)), "with one skill there is no other way"

    def test_the_pieces_of_a_day_differ_when_there_are_skills_enough(self):
        assert not self.judged("rhythm", "rhythm", slots=2)
        assert self.judged("rhythm", "key", slots=2)
        assert not self.judged("rhythm", "rhythm", slots=2, skills=("rhythm", "key"))
        assert self.judged("rhythm", "rhythm", slots=2, skills=("rhythm",))

    def test_two_days_of_two_differ_only_with_four_skills(self):
        plan = ("rhythm", "key", "meter", "rhythm")
        assert self.judged(*plan, slots=2)
        assert not self.judged(*plan, slots=2, skills=("rhythm", "key", "meter", "tempo"))

    def test_a_focus_must_be_a_skill_of_the_term_that_the_piece_trains(self):
        assert not self.judged("tempo")
        assert not self.judged("style", skills=("rhythm", "style"))

    def test_every_focus_comes_up_in_every_window_even_the_last(self):
        plan = ["rhythm", "key", "meter", "rhythm", "key", "rhythm"]
        assert self.judged(*plan, window=5)
        assert not self.judged(*plan, window=3), "the last three days lack the meter"
        assert self.judged(*plan[:5], window=3)
        assert not self.judged(*plan[:2], window=2)
        assert self.judged(*plan[:2], window=3), "a term shorter than the window asks nothing"

    def test_a_window_with_an_open_slot_is_not_judged(self):
        problem = make_problem(
            days=3,
            focuses=(("rhythm", 0), ("key", 0)),
            limits=replace(LOOSE, focus_window=2, may_leave_open=True),
        )
        plan = slots_of((0, 0, 1, "rhythm"), (1, 0, 0, ""), (2, 0, 2, "rhythm"))
        assert check.check_rotation(problem, plan)


class TestTurns:
    def judged(
        self, *featured, bounds=((1, 1, 2), (2, 1, 2)), slots=1, past=(), features=BOTH, open_last=False
    ):
        gone = len(past)
        days = (*(day(n, is_past=True) for n in range(gone)),)
        days += tuple(day(gone + n, slots=slots) for n in range(len(featured) // slots))
        rows = [(gone + n // slots, n % slots, n + 1, "rhythm", who) for n, who in enumerate(featured)]
        if open_last:
            rows[-1] = (*rows[-1][:2], 0, "", None)
        before = slots_of(*((n, 0, 90 + n, "rhythm", who) for n, who in enumerate(past)))
        pieces = tuple(piece(n + 1, features=features) for n in range(len(featured)))
        limits = replace(LOOSE, may_leave_open=True)
        problem = replace(make_problem(limits=limits), days=days, pieces=pieces, featured=bounds, past=before)
        found = check.check_turns(problem, before + slots_of(*rows))
        assert isinstance(found, bool)
        return found

    def test_each_section_comes_up_between_its_bounds(self):
        assert self.judged(1, 2)
        assert self.judged(1, 2, 1, 2)
        assert not self.judged(1, 1), "the second never"
        assert not self.judged(1, 2, 1, 1), "the first too often"

    def test_the_past_counts(self):
        assert self.judged(2, past=(1,))
        assert not self.judged(1, 2, past=(1, 1))

    def test_a_section_is_featured_once_a_day_and_nobody_may_be_twice(self):
        assert not self.judged(1, 1, 2, None, slots=2)
        assert self.judged(1, 2, None, None, slots=2)

    def test_only_a_section_with_a_part_for_it_that_takes_turns_is_featured(self):
        assert not self.judged(1, 2, features=((2, 1),))
        assert not self.judged(1, 2, 3, features=((1, 1), (2, 1), (3, 1)))

    def test_with_an_open_slot_the_fewest_are_not_asked_for(self):
        assert self.judged(1, None, open_last=True)
        assert not self.judged(1, None)
        assert not self.judged(1, 2, 1, 1, None, open_last=True)


class TestWishesAndPast:
    def test_a_pin_is_kept_on_its_date_or_anywhere(self):
        problem = make_problem(days=2)
        plan = slots_of((0, 0, 1), (1, 0, 2, "key"))
        for pin, is_kept in ((PlanWish(1, FIRST), True), (PlanWish(2, FIRST), False), (PlanWish(2), True)):
            assert check.check_pins(replace(problem, pins=(pin,)), plan) is is_kept
        assert not check.check_pins(replace(problem, pins=(PlanWish(1), PlanWish(3))), plan)

    def test_a_ban_holds_on_its_date_or_for_the_term_but_not_for_the_past(self):
        problem = make_problem(days=2)
        plan = slots_of((0, 0, 1), (1, 0, 2, "key"))
        for ban, is_kept in ((PlanWish(1, FIRST), False), (PlanWish(2, FIRST), True), (PlanWish(2), False)):
            assert check.check_bans(replace(problem, bans=(ban,)), plan) is is_kept
        begun = replace(problem, days=(day(0, is_past=True), day(1)), bans=(PlanWish(1),))
        assert check.check_bans(begun, plan)

    def test_past_days_hold_what_they_held(self):
        past = slots_of((0, 0, 1), (0, 1, 2))
        problem = replace(make_problem(), days=(day(0, slots=2, is_past=True), day(1)), past=past)
        assert check.check_past(problem, past + slots_of((1, 0, 3)))
        assert not check.check_past(problem, past[:1] + slots_of((1, 0, 3)))
        assert not check.check_past(problem, slots_of((0, 1, 1), (0, 0, 2), (1, 0, 3)))


class TestProblem:
    def test_windows_are_runs_of_free_days_with_slots_enough(self):
        days = (day(0, is_past=True), day(1), day(2, slots=2), day(3), day(4, slots=3))
        problem = replace(make_problem(), days=days)
        runs = {n: replace(problem, limits=replace(LOOSE, focus_window=n)).windows for n in (0, 1, 3, 4, 8)}
        assert runs == {
            0: (),
            1: ((1,), (2,), (3,), (4,)),
            3: ((1, 2), (2, 3), (3, 4), (4,)),
            4: ((1, 2, 3), (2, 3, 4), (3, 4)),
            8: (),
        }
        assert (problem.free_days, problem.open_slots, problem.most_slots) == ((1, 2, 3, 4), 7, 3)

    def test_a_term_all_past_has_nothing_to_fill(self):
        problem = replace(make_problem(), days=(day(0, slots=4, is_past=True),))
        assert (problem.free_days, problem.open_slots, problem.most_slots, problem.windows) == ((), 0, 1, ())

    @pytest.mark.parametrize(
        ("sections", "slots", "gap"), [(1, 1, 0), (2, 1, 1), (7, 1, 3), (7, 2, 1), (12, 3, 2)]
    )
    def test_the_gap_between_turns_is_half_a_round(self, sections, slots, gap):
        problem = make_problem(featured=tuple((n, 0, 9) for n in range(sections)))
        assert replace(problem, days=(day(0, slots=slots),)).turn_gap == gap

    def test_a_pin_outside_the_term_pins_no_day(self):
        problem = make_problem(days=2, pins=(PlanWish(1, day(9).on), PlanWish(2, day(1).on), PlanWish(3)))
        assert problem.pinned_days == {(2, 1)}
        assert problem.is_pinned(2, 1)
        assert not problem.is_pinned(2, 0)

    def test_the_usual_limits_are_a_level_each_way_and_a_round_of_a_dozen(self):
        assert Limits() == Limits(1.0, 1.0, 1.0, 12, may_leave_open=False)

    @pytest.mark.parametrize(
        ("past", "slots", "able", "bounds"),
        [
            ({}, 4, {1: 9, 2: 9}, ((1, 2, 2), (2, 2, 2))),
            ({}, 5, {1: 9, 2: 9}, ((1, 2, 3), (2, 2, 3))),
            ({1: 2}, 2, {1: 9, 2: 9}, ((1, 2, 2), (2, 2, 2))),
            ({1: 3}, 1, {1: 9, 2: 9}, ((1, 3, 3), (2, 1, 1))),
            ({}, 4, {1: 9, 2: 1}, ((1, 2, 2), (2, 1, 2))),
            ({}, 0, {}, ((1, 0, 0), (2, 0, 0))),
        ],
    )
    def test_turns_come_out_as_even_as_slots_and_pieces_allow(self, past, slots, able, bounds):
        assert turn_bounds((1, 2), past, slots, able) == bounds

    def test_no_sections_take_no_turns(self):
        assert turn_bounds((), {}, 4, {}) == ()
