"""Each rule on its own: a term it allows, a term it forbids, and the names in the refusal."""

from dataclasses import replace

import pytest

from planner.core.term import Slot
from planner.errors import InfeasiblePlanError, PlanTimeoutError
from planner.scheduling import check
from planner.scheduling.problem import PlanSection, PlanWish, turn_bounds
from planner.scheduling.rules import RULES
from planner.scheduling.solve import solve
from tests.scheduling.small_problems import FIRST, LIMIT_S, LOOSE, day, make_problem, piece


def plan(problem):
    solution = solve(problem, LIMIT_S, gap=0.0)
    assert not check.broken_rules(problem, solution.slots)
    return solution.slots


def pieces_of(problem):
    return [slot.piece_id for slot in plan(problem)]


def conflict(problem) -> set[str]:
    with pytest.raises(InfeasiblePlanError) as caught:
        solve(problem, LIMIT_S)
    return set(caught.value.rules)


def test_every_rule_has_both_a_check_and_constraints():
    assert list(RULES) == list(check.CHECKS)


def test_too_few_pieces_are_refused_for_filling_without_repeating():
    assert sorted(pieces_of(make_problem(days=3, pieces=3))) == [1, 2, 3]
    assert conflict(make_problem(days=3, pieces=2)) == {check.FILLED, check.ONCE}


def test_slots_stay_open_only_where_that_is_allowed():
    problem = make_problem(days=3, pieces=2, limits=replace(LOOSE, may_leave_open=True))
    assert sorted(pieces_of(problem)) == [0, 1, 2]


def test_a_piece_of_a_past_day_is_used_up_and_the_past_day_stays():
    days = (day(0, is_past=True), day(1))
    past = (Slot(FIRST, 0, 1, "rhythm"),)
    assert pieces_of(replace(make_problem(pieces=2), days=days, past=past)) == [1, 2]
    alone = replace(make_problem(pieces=1), days=days, past=past)
    assert conflict(alone) == {check.FILLED, check.ONCE}
    moved = (Slot(FIRST, 0, 2, "rhythm"), Slot(day(1).on, 0, 1, "key"))
    assert check.PAST in check.broken_rules(replace(make_problem(pieces=2), days=days, past=past), moved)


def test_only_fresh_pieces_are_planned():
    met = replace(make_problem(days=1), pieces=(piece(1, is_fresh=False), piece(2)))
    assert pieces_of(met) == [2]
    assert conflict(replace(met, pieces=met.pieces[:1])) == {check.FILLED, check.FRESH}


def test_a_day_keeps_within_its_minutes():
    long = replace(make_problem(days=1), pieces=(piece(1, minutes=10.1), piece(2, minutes=10.0)))
    assert pieces_of(long) == [2]
    assert conflict(replace(long, pieces=long.pieces[:1])) == {check.FILLED, check.MINUTES}


def test_the_pieces_of_a_day_share_its_minutes():
    two = replace(make_problem(), days=(day(0, slots=2),))
    fits = replace(two, pieces=(piece(1, minutes=6.0), piece(2, minutes=4.0), piece(3, minutes=4.1)))
    assert pieces_of(fits) == [1, 2]
    assert conflict(replace(fits, pieces=(fits.pieces[0], fits.pieces[2]))) == {check.FILLED, check.MINUTES}


def test_levels_keep_to_the_corridor_round_the_target():
    tight = replace(make_problem(days=1), limits=replace(LOOSE, corridor=0.5))
    assert pieces_of(replace(tight, pieces=(piece(1, 2.51), piece(2, 2.5)))) == [2]
    assert conflict(replace(tight, pieces=(piece(1, 2.51),))) == {check.FILLED, check.GENTLE}


def test_levels_do_not_jump_from_day_to_day():
    steep = replace(make_problem(days=2), limits=replace(LOOSE, step=0.4))
    assert pieces_of(replace(steep, pieces=(piece(1, 2.4), piece(2, 2.0)), bans=(PlanWish(1, FIRST),))) == [
        2,
        1,
    ]
    banned = replace(steep, pieces=(piece(1, 2.5), piece(2, 2.0)), bans=(PlanWish(1, FIRST),))
    assert conflict(banned) == {check.FILLED, check.ONCE, check.GENTLE, check.BANS}


def test_a_day_of_two_begins_with_the_easier():
    two = replace(
        make_problem(),
        days=(day(0, slots=2),),
        pieces=(piece(1, 2.4, minutes=4.0), piece(2, 2.0, minutes=4.0)),
    )
    assert pieces_of(two) == [2, 1]
    turned = tuple(replace(s, position=1 - s.position) for s in plan(two))
    assert check.broken_rules(two, turned) == (check.GENTLE,)


def test_no_section_gets_a_part_beyond_its_reach():
    hard = replace(make_problem(days=1), limits=replace(LOOSE, reach=1.3))
    hard = replace(hard, pieces=(piece(1, parts=((2, 3.31),)), piece(2, parts=((2, 3.3),))))
    assert pieces_of(hard) == [2]
    assert conflict(replace(hard, pieces=hard.pieces[:1])) == {check.FILLED, check.READABLE}
    grown = replace(hard, pieces=hard.pieces[:1], days=(day(0, growth=0.1),))
    assert pieces_of(grown) == [1]


def test_the_focus_changes_from_day_to_day():
    same = replace(
        make_problem(days=2), pieces=(piece(1, trains=(("rhythm", 2),)), piece(2, trains=(("rhythm", 2),)))
    )
    assert conflict(same) == {check.FILLED, check.ROTATE}
    assert {s.focus for s in plan(make_problem(days=2))} == {"rhythm", "key"}


def test_no_focus_is_left_out_of_a_window():
    focuses = (("rhythm", 0), ("key", 0), ("meter", 9))
    only = [piece(n + 1) for n in range(4)]
    windowed = make_problem(days=4, focuses=focuses, limits=replace(LOOSE, focus_window=3), pieces=4)
    assert conflict(replace(windowed, pieces=tuple(only))) == {check.ROTATE}
    only[1] = replace(only[1], trains=(("meter", 1),))
    meter_on = [s.position for s in plan(replace(windowed, pieces=tuple(only))) if s.focus == "meter"]
    assert len(meter_on) == 1


def test_sections_take_turns_at_being_featured():
    flute_only = tuple(piece(n + 1, features=((1, 2),)) for n in range(4))
    bounds = turn_bounds((1, 2), {}, 4, {1: 4, 2: 4})
    assert bounds == ((1, 2, 2), (2, 2, 2))
    turning = replace(make_problem(days=4), featured=bounds)
    assert conflict(replace(turning, pieces=flute_only)) == {check.TURNS}
    both = tuple(piece(n + 1, features=((1, 2), (2, 2))) for n in range(4))
    featured = [s.featured_section_id for s in plan(replace(turning, pieces=both))]
    assert sorted(featured) == [1, 1, 2, 2]
    assert featured[0] != featured[1] != featured[2] != featured[3], "the gap is kept when it costs nothing"


def test_turns_come_out_even_with_what_was_featured_before():
    days = (day(0, is_past=True), day(1), day(2), day(3))
    both = tuple(piece(n + 2, features=((1, 2), (2, 2))) for n in range(3))
    past = (Slot(FIRST, 0, 1, "rhythm", 1),)
    bounds = turn_bounds((1, 2), {1: 1}, 3, {1: 3, 2: 3})
    problem = replace(make_problem(), days=days, pieces=both, past=past, featured=bounds)
    assert [s.featured_section_id for s in plan(problem)].count(2) == 2


def test_a_pinned_piece_keeps_its_day_and_the_rest_moves_round_it():
    second = day(1).on
    pinned = make_problem(days=3, pins=(PlanWish(4, second),))
    slots = plan(pinned)
    assert [(s.on, s.is_pinned) for s in slots if s.piece_id == 4] == [(second, True)]
    both = replace(pinned, pins=(PlanWish(4, second), PlanWish(3, second)))
    assert conflict(both) == {check.PINS}


def test_a_pin_without_a_day_finds_one():
    dear = (piece(1), piece(2), piece(3), piece(4, 5.0))
    assert 4 in pieces_of(replace(make_problem(days=3), pieces=dear, pins=(PlanWish(4),)))


def test_a_pin_on_its_day_is_not_judged_by_level_but_by_freshness():
    strict = replace(
        make_problem(days=1), limits=replace(LOOSE, corridor=0.5, reach=0.5), pins=(PlanWish(1, FIRST),)
    )
    assert pieces_of(replace(strict, pieces=(piece(1, 4.0, parts=((1, 4.0),)),))) == [1]
    assert conflict(replace(strict, pieces=(piece(1, is_fresh=False), piece(2)))) == {check.FRESH, check.PINS}


def test_a_banned_piece_stays_out_of_its_day_or_of_the_term():
    assert pieces_of(make_problem(days=1, pieces=2, bans=(PlanWish(1, FIRST),))) == [2]
    assert conflict(make_problem(days=1, pieces=1, bans=(PlanWish(1),))) == {check.FILLED, check.BANS}
    against = make_problem(days=1, pieces=2, bans=(PlanWish(1, FIRST),), pins=(PlanWish(1, FIRST),))
    assert conflict(against) == {check.PINS, check.BANS}


def test_out_of_time_is_another_answer_than_impossible():
    with pytest.raises(PlanTimeoutError) as caught:
        solve(make_problem(days=30, pieces=60), 0.0)
    assert caught.value.limit_s == 0.0


def test_a_plan_with_a_hole_or_an_unknown_piece_is_not_filled():
    problem = make_problem(days=2)
    slots = plan(problem)
    assert check.broken_rules(problem, slots[:1]) == (check.FILLED,)
    assert check.broken_rules(problem, (slots[0], replace(slots[1], piece_id=99))) == (check.FILLED,)


def test_a_focus_the_piece_does_not_train_is_noticed():
    problem = make_problem(days=1)
    slot = plan(problem)[0]
    assert check.broken_rules(problem, (replace(slot, focus="meter"),)) == (check.ROTATE,)


def test_too_hard_costs_more_than_too_easy():
    problem = replace(make_problem(days=1), sections=(PlanSection(1, "Flute", 2.0),))
    hard, easy = piece(1, parts=((1, 2.5),)), piece(2, parts=((1, 1.5),))
    assert check.place_cost(problem, hard, 0) == 4 * check.place_cost(problem, easy, 0) + 1


def test_a_term_far_too_long_for_its_pieces_is_explained_as_one_just_too_long():
    """Twenty-one pieces for twenty-seven days: easy to see, hard to prove without the relaxation."""
    many = tuple(piece(n + 1, 1.5 + 0.05 * n, features=((1, 1 + n % 2), (2, 2))) for n in range(21))
    days = tuple(day(n, target=1.5 + 0.04 * n) for n in range(27))
    problem = make_problem(days=27, featured=turn_bounds((1, 2), {}, 27, {1: 21, 2: 21}))
    assert conflict(replace(problem, days=days, pieces=many)) == {check.FILLED, check.ONCE}


def test_one_guilty_wish_is_found_among_many_innocent_rules():
    many = tuple(piece(n + 1, 1.5 + 0.05 * n) for n in range(30))
    days = tuple(day(n, target=1.5 + 0.04 * n) for n in range(20))
    pins = (PlanWish(3, days[4].on), PlanWish(7, days[9].on))
    bans = (PlanWish(5, days[1].on), PlanWish(7))
    problem = replace(make_problem(days=20), days=days, pieces=many, pins=pins, bans=bans)
    assert conflict(problem) == {check.PINS, check.BANS}
