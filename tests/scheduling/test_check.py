"""The meaning of a plan without any solver: each rule kept and broken, each cost reckoned by hand."""

from dataclasses import replace

import pytest

from planner.core.term import Slot, Station
from planner.levels import readable
from planner.levels.curve import TARGET_SHARE
from planner.scheduling import check
from planner.scheduling.check import PlanCost
from planner.scheduling.problem import Limits, PartAsked, PlanWish, turn_bounds
from tests.scheduling.small_problems import FIRST, LOOSE, day, make_problem, piece, section

OPEN = replace(LOOSE, may_leave_open=True)
BOTH = ((1, 2), (2, 1))
TWO_ROOMS = (Station("High", (1,)), Station("Low", (2,)))
SQUARES = readable.WORST_WEIGHT + readable.MEAN_WEIGHT + readable.MIDDLE_WEIGHT
"""With one section the worst, the mean and the middle are the same."""


def slots_of(*rows):
    """Slots of ``(day, position, piece, focus, featured, station)``, the later fields with plain defaults."""
    plain = (0, 0, 0, "rhythm", None, None)
    full = [(*row, *plain[len(row) :]) for row in rows]
    return tuple(
        Slot(day(d).on, at, number, focus, who, station=room) for d, at, number, focus, who, room in full
    )


def in_rooms(*pieces):
    """Slots of a first day with two rooms: the pieces of each round, high room first."""
    return slots_of(*((0, n // 2, number, "rhythm", None, n % 2) for n, number in enumerate(pieces)))


class TestFilled:
    def test_each_position_of_each_free_day_is_taken_once(self):
        problem = replace(make_problem(), days=(day(0, slots=2), day(1)))
        assert check.check_filled(problem, slots_of((0, 0, 1), (0, 1, 2), (1, 0, 3)))
        assert not check.check_filled(problem, slots_of((0, 0, 1), (0, 0, 2), (1, 0, 3)))
        assert not check.check_filled(problem, slots_of((0, 0, 1), (0, 1, 2)))
        assert not check.check_filled(problem, slots_of((0, 0, 1), (0, 1, 2), (1, 0, 3), (2, 0, 4)))

    def test_each_station_reads_in_each_round(self):
        problem = replace(make_problem(), days=(day(0, slots=2, stations=TWO_ROOMS),))
        assert check.check_filled(problem, in_rooms(1, 2, 2, 1))
        assert not check.check_filled(problem, in_rooms(1, 2, 2))
        assert not check.check_filled(problem, slots_of((0, 0, 1), (0, 1, 2)))

    def test_a_station_whose_sections_are_away_reads_nothing(self):
        days = (day(0, slots=2, stations=TWO_ROOMS, absent=frozenset({2})),)
        problem = replace(make_problem(), days=days)
        alone = slots_of((0, 0, 1, "rhythm", None, 0), (0, 1, 2, "rhythm", None, 0))
        assert check.check_filled(problem, alone)
        assert not check.check_filled(problem, in_rooms(1, 2, 2, 1))

    def test_an_open_slot_fills_only_where_it_may(self):
        assert not check.check_filled(make_problem(days=1), slots_of((0, 0, 0)))
        may = make_problem(days=1, limits=OPEN)
        assert check.check_filled(may, slots_of((0, 0, 0)))
        assert not check.check_filled(may, slots_of((0, 0, 77)))

    def test_a_plan_that_is_not_filled_is_not_judged_further(self):
        problem = make_problem(days=2, bans=(PlanWish(1),))
        assert check.broken_rules(problem, slots_of((0, 0, 1))) == (check.FILLED,)
        assert check.broken_rules(problem, slots_of((0, 0, 1), (1, 0, 1, "key"))) == (check.ONCE, check.BANS)


class TestOnce:
    def test_a_piece_comes_once_and_never_after_a_settled_day(self):
        settled = slots_of((0, 0, 1))
        days = (day(0, is_settled=True), day(1), day(2))
        problem = replace(make_problem(), days=days, settled=settled)
        assert check.check_once(problem, settled + slots_of((1, 0, 2), (2, 0, 3)))
        assert not check.check_once(problem, settled + slots_of((1, 0, 2), (2, 0, 2)))
        assert not check.check_once(problem, settled + slots_of((1, 0, 1), (2, 0, 3)))

    def test_groups_that_rotate_read_the_same_piece_each_once(self):
        problem = replace(make_problem(), days=(day(0, slots=2, stations=TWO_ROOMS), day(1)))
        assert check.check_once(problem, in_rooms(1, 2, 2, 1) + slots_of((1, 0, 3)))
        assert not check.check_once(problem, in_rooms(1, 2, 1, 3) + slots_of((1, 0, 4)))
        assert not check.check_once(problem, in_rooms(1, 2, 2, 1) + slots_of((1, 0, 1)))

    def test_without_sections_a_piece_comes_once_too(self):
        problem = make_problem(days=2, sections=())
        assert check.check_once(problem, slots_of((0, 0, 1), (1, 0, 2)))
        assert not check.check_once(problem, slots_of((0, 0, 1), (1, 0, 1)))
        one_day = replace(problem, days=(day(0, slots=2),))
        assert not check.check_once(one_day, slots_of((0, 0, 1), (0, 1, 1)))

    def test_open_slots_may_be_many(self):
        assert check.check_once(make_problem(days=2, limits=OPEN), slots_of((0, 0, 0), (1, 0, 0)))


class TestFresh:
    def test_a_piece_is_fresh_until_the_day_on_which_somebody_can_know_it(self):
        problem = make_problem(days=2, pieces=0)
        problem = replace(problem, pieces=(piece(1, stale_on=frozenset({1})), piece(2)))
        assert check.check_fresh(problem, slots_of((0, 0, 1), (1, 0, 2)))
        assert not check.check_fresh(problem, slots_of((0, 0, 2), (1, 0, 1)))


class TestForces:
    def test_what_the_whole_ensemble_cannot_read_is_for_stations_or_a_pin(self):
        problem = replace(make_problem(days=1), pieces=(piece(1, is_for_all=False), piece(2)))
        assert check.check_forces(problem, slots_of((0, 0, 2)))
        assert not check.check_forces(problem, slots_of((0, 0, 1)))
        assert check.check_forces(replace(problem, pins=(PlanWish(1, FIRST),)), slots_of((0, 0, 1)))
        assert not check.check_forces(replace(problem, pins=(PlanWish(1),)), slots_of((0, 0, 1)))

    @pytest.mark.parametrize(("tubas", "is_right"), [(2, True), (3, False)])
    def test_half_of_the_players_of_a_station_must_have_a_part(self, tubas, is_right):
        # only the two flutes have a part: 2 of 4 players are half, 2 of 5 are less
        room = (Station("All", (1, 2)),)
        problem = replace(
            make_problem(days=1), days=(day(0, stations=room),),
            pieces=(piece(1, parts=(PartAsked(1, 2.0),)),),
            sections=(section(1, 1), section(2, 1, size=tubas)),
        )  # fmt: skip
        assert check.check_forces(problem, slots_of((0, 0, 1, "rhythm", None, 0))) is is_right

    def test_a_station_without_any_part_cannot_read(self):
        problem = replace(
            make_problem(), days=(day(0, stations=TWO_ROOMS),), pieces=(piece(1, parts=(PartAsked(1, 2.0),)),)
        )
        assert check.check_forces(problem, slots_of((0, 0, 1, "rhythm", None, 0)))
        assert not check.check_forces(problem, slots_of((0, 0, 1, "rhythm", None, 1)))


class TestMinutes:
    def test_the_pieces_of_a_day_share_its_minutes_to_the_tenth(self):
        problem = replace(make_problem(), days=(day(0, slots=2), day(1)))
        plan = slots_of((0, 0, 1), (0, 1, 2), (1, 0, 3))
        for minutes, fits in ((4.0, True), (4.1, False)):
            pieces = (piece(1, minutes=6.0), piece(2, minutes=minutes), piece(3, minutes=10.0))
            assert check.check_minutes(replace(problem, pieces=pieces), plan) is fits

    def test_each_round_of_a_day_with_stations_has_its_share(self):
        # 20 minutes for two rounds: ten for each piece
        problem = replace(make_problem(), days=(day(0, slots=2, minutes=20.0, stations=TWO_ROOMS),))
        for minutes, fits in ((10.0, True), (10.1, False)):
            pieces = (piece(1, minutes=minutes), piece(2, minutes=3.0))
            assert check.check_minutes(replace(problem, pieces=pieces), in_rooms(1, 2, 2, 1)) is fits


class TestReadable:
    @pytest.mark.parametrize(("level", "is_right"), [(3.3, True), (3.31, False)])
    def test_a_section_of_known_level_is_lost_from_the_gap_on_at_which_it_gets_half(self, level, is_right):
        # ln(0.8413 / 0.1587) / (ln 19 - ln(0.8413 / 0.1587)) = 1.6679 / 1.2765 = 1.3066 levels
        problem = make_problem(days=1, sections=(section(1, 1, error=0.0),))
        problem = replace(problem, pieces=(piece(1, parts=(PartAsked(1, level), PartAsked(2, 6.0))),))
        assert check.check_readable(problem, slots_of((0, 0, 1))) is is_right

    @pytest.mark.parametrize(("level", "is_right"), [(2.96, True), (2.98, False)])
    def test_the_chance_of_being_lost_counts_both_errors(self, level, is_right):
        # errors 0.3 and 0.4 make 0.5; a chance of 1/4 is 0.6745 errors below 1.3066: a gap of 0.9694
        problem = make_problem(days=1, sections=(section(1, 1, error=0.3),))
        problem = replace(problem, pieces=(piece(1, parts=(PartAsked(1, level, 0.4),)),))
        assert check.check_readable(problem, slots_of((0, 0, 1))) is is_right

    def test_who_is_away_is_not_lost_and_a_pin_on_its_day_is_not_judged(self):
        hard = replace(make_problem(days=1), pieces=(piece(1, parts=(PartAsked(1, 5.0),)),))
        plan = slots_of((0, 0, 1))
        assert not check.check_readable(hard, plan)
        assert check.check_readable(replace(hard, days=(day(0, absent=frozenset({1})),)), plan)
        assert check.check_readable(replace(hard, pins=(PlanWish(1, FIRST),)), plan)
        assert not check.check_readable(replace(hard, pins=(PlanWish(1),)), plan)


class TestFolders:
    def test_one_set_is_in_one_room_in_a_round(self):
        problem = replace(make_problem(), days=(day(0, slots=2, stations=TWO_ROOMS),))
        assert check.check_folders(problem, in_rooms(1, 2, 2, 1))
        assert not check.check_folders(problem, in_rooms(1, 1, 2, 3))
        two = replace(problem, pieces=(piece(1, sets=2), piece(2), piece(3)))
        assert check.check_folders(two, in_rooms(1, 1, 2, 3))

    def test_folders_that_are_elsewhere_cannot_be_read(self):
        problem = replace(make_problem(days=2), pieces=(piece(1, away_on=frozenset({1})), piece(2)))
        assert check.check_folders(problem, slots_of((0, 0, 1), (1, 0, 2)))
        assert not check.check_folders(problem, slots_of((0, 0, 2), (1, 0, 1)))

    def test_the_same_piece_twice_in_one_room_is_one_room(self):
        problem = replace(make_problem(), days=(day(0, slots=2),))
        assert check.check_folders(problem, slots_of((0, 0, 1), (0, 1, 1)))


class TestEasierFirst:
    def test_a_day_begins_with_the_easier_piece_to_the_hundredth(self):
        pieces = (piece(1, 2.0), piece(2, 2.01), piece(3, 2.004))
        problem = replace(make_problem(), days=(day(0, slots=2),), pieces=pieces)
        assert check.check_easier_first(problem, slots_of((0, 0, 1), (0, 1, 2)))
        assert not check.check_easier_first(problem, slots_of((0, 0, 2), (0, 1, 1)))
        assert check.check_easier_first(problem, slots_of((0, 0, 3), (0, 1, 1)))

    def test_rounds_of_stations_have_no_order(self):
        pieces = (piece(1, 2.0), piece(2, 3.0))
        problem = replace(make_problem(), days=(day(0, slots=2, stations=TWO_ROOMS),), pieces=pieces)
        assert check.check_easier_first(problem, in_rooms(2, 1, 1, 2))


class TestFocused:
    def test_the_focus_is_a_skill_of_the_term_that_the_piece_trains(self):
        problem = replace(make_problem(days=1), pieces=(piece(1, trains=(("rhythm", 1), ("meter", 2))),))
        assert check.check_focused(problem, slots_of((0, 0, 1, "rhythm")))
        assert not check.check_focused(problem, slots_of((0, 0, 1, "key"))), "the piece does not train it"
        assert not check.check_focused(problem, slots_of((0, 0, 1, "meter"))), "the term does not"


class TestFeatured:
    def judged(self, *rows, **changes):
        pieces = (piece(1, features=BOTH), piece(2, features=BOTH), piece(3))
        problem = replace(make_problem(), days=(day(0, slots=2), day(1)), pieces=pieces)
        problem = replace(problem, **{"featured": ((1, 0, 9), (2, 0, 9)), **changes})
        found = check.check_featured(problem, slots_of(*rows))
        assert isinstance(found, bool)
        return found

    def test_a_section_is_featured_once_a_day_and_nobody_has_to_be(self):
        assert self.judged((0, 0, 1, "rhythm", 1), (0, 1, 2, "rhythm", 2), (1, 0, 3))
        assert not self.judged((0, 0, 1, "rhythm", 1), (0, 1, 2, "rhythm", 1), (1, 0, 3))
        assert self.judged((0, 0, 1, "rhythm", 1), (0, 1, 3), (1, 0, 2, "rhythm", 1))

    def test_it_takes_turns_has_the_tune_and_is_there(self):
        assert not self.judged((0, 0, 1, "rhythm", 1), featured=((2, 0, 9),))
        assert not self.judged((1, 0, 3, "rhythm", 1))
        away = (day(0, slots=2, absent=frozenset({1})), day(1))
        assert not self.judged((0, 0, 1, "rhythm", 1), days=away)
        assert self.judged((0, 0, 1, "rhythm", 2), days=away)


class TestWishesAndSettledDays:
    def test_a_pin_is_kept_on_its_date_or_anywhere(self):
        problem = make_problem(days=2)
        plan = slots_of((0, 0, 1), (1, 0, 2, "key"))
        for pin, is_kept in ((PlanWish(1, FIRST), True), (PlanWish(2, FIRST), False), (PlanWish(2), True)):
            assert check.check_pins(replace(problem, pins=(pin,)), plan) is is_kept
        assert not check.check_pins(replace(problem, pins=(PlanWish(1), PlanWish(3))), plan)

    def test_a_ban_holds_on_its_date_or_for_the_term_but_not_for_settled_days(self):
        problem = make_problem(days=2)
        plan = slots_of((0, 0, 1), (1, 0, 2, "key"))
        for ban, is_kept in ((PlanWish(1, FIRST), False), (PlanWish(2, FIRST), True), (PlanWish(2), False)):
            assert check.check_bans(replace(problem, bans=(ban,)), plan) is is_kept
        begun = replace(problem, days=(day(0, is_settled=True), day(1)), bans=(PlanWish(1),))
        assert check.check_bans(begun, plan)

    def test_settled_days_hold_what_they_held(self):
        settled = slots_of((0, 0, 1), (0, 1, 2))
        days = (day(0, slots=2, is_settled=True), day(1))
        problem = replace(make_problem(), days=days, settled=settled)
        assert check.check_settled(problem, settled + slots_of((1, 0, 3)))
        assert not check.check_settled(problem, settled[:1] + slots_of((1, 0, 3)))
        assert not check.check_settled(problem, slots_of((0, 1, 1), (0, 0, 2), (1, 0, 3)))


class TestReadingCost:
    def at(self, *levels, stretch=0.0, absent=frozenset(), **changes):
        """Cost of a piece with these parts for sections at level 2 whose levels are known."""
        parts = tuple(PartAsked(n + 1, level) for n, level in enumerate(levels))
        sections = tuple(section(n + 1, 1, error=0.0) for n in range(len(levels)))
        problem = make_problem(days=1, sections=sections)
        problem = replace(problem, days=(day(0, stretch=stretch, absent=absent),))
        return check.piece_cost(problem, piece(1, parts=parts, **changes), problem.sittings[0])

    def test_a_part_at_its_section_costs_nothing_but_what_the_piece_costs_on_any_day(self):
        assert self.at(2.0, 2.0) == 0
        assert self.at(2.0, 2.0, cost=7) == 7
        assert self.at(cost=7) == 7, "nobody reads"

    def test_a_part_one_level_below_costs_the_square_of_the_tens_of_bars(self):
        # 95 of 100 bars right, 10.87 more than the aim of 84.13
        assert self.at(1.0) == round(SQUARES * 1.087**2)

    def test_on_a_day_with_a_stretch_the_aim_lies_lower(self):
        # a stretch of one level: the aim is 1 / (1 + exp(1.2765 - 1.6679)) = 0.5966
        assert self.at(3.0, stretch=1.0) == readable.OUT_WEIGHT, "on the aim, though below 70 of 100 bars"
        assert self.at(2.0, stretch=1.0) == round(SQUARES * (10 * (TARGET_SHARE - 0.596626)) ** 2)

    def test_the_worst_section_counts_for_itself_and_who_is_away_does_not(self):
        # the second section is one level above its part: 1.087 tens of bars, the first is on the aim
        worst, mean = readable.WORST_WEIGHT * 1.087**2, readable.MEAN_WEIGHT * 1.087**2 / 2
        middle = readable.MIDDLE_WEIGHT * (1.087 / 2) ** 2
        assert self.at(2.0, 1.0) == round(worst + mean + middle)
        assert self.at(2.0, 1.0, absent=frozenset({2})) == 0

    def test_a_piece_is_hard_below_seventy_bars_of_a_hundred(self):
        # logit of 0.7 is 0.8473: (1.6679 - 0.8473) / 1.2765 = 0.643 levels above the section
        problem = make_problem(days=1, sections=(section(1, 1),))
        hard = [
            check.is_hard(problem, piece(1, parts=(PartAsked(1, level),)), problem.sittings[0])
            for level in (2.64, 2.65)
        ]
        assert hard == [False, True]


class TestFocusCost:
    def of(self, *focuses, slots=1, window=0, shares=(0, 0, 0), skills=("rhythm", "key", "meter"), **changes):
        """Focus costs of days that train these, with the skills for nothing unless ``own`` says more."""
        days = tuple(day(n, slots=slots) for n in range(len(focuses) // slots))
        trains = tuple((name, 2) for name in ("rhythm", "key", "meter"))
        problem = replace(
            make_problem(limits=replace(LOOSE, focus_window=window)), days=days,
            focuses=tuple((name, 0, share) for name, share in zip(skills, shares, strict=False)),
            pieces=tuple(piece(n + 1, trains=trains) for n in range(len(focuses))),
        )  # fmt: skip
        rows = [(n // slots, n % slots, n + 1, focus) for n, focus in enumerate(focuses)]
        return check.cost(replace(problem, **changes), slots_of(*rows)).focus

    def test_a_skill_costs_what_the_term_gives_and_more_when_trained_somewhat(self):
        problem = make_problem(days=2, pieces=0, focuses=(("rhythm", 3, 0), ("key", 5, 0)))
        problem = replace(problem, pieces=(piece(1), piece(2, trains=(("key", 1),))))
        # 3 for rhythm; 5 for key and 15 as it is trained only somewhat
        assert check.cost(problem, slots_of((0, 0, 1, "rhythm"), (1, 0, 2, "key"))).focus == 3 + 5 + 15

    def test_a_skill_again_on_the_same_or_the_next_day(self):
        assert self.of("rhythm", "key", "rhythm") == 0
        assert self.of("rhythm", "rhythm", "rhythm") == 2 * 20
        assert self.of("rhythm", "rhythm", "key", "rhythm", slots=2) == 20 + 20

    def test_a_settled_day_counts_for_the_next_but_not_for_another_settled_one(self):
        days = (day(0, is_settled=True), day(1, is_settled=True), day(2))
        settled = slots_of((0, 0, 1, "rhythm"), (1, 0, 2, "rhythm"))
        problem = replace(make_problem(), days=days, settled=settled)
        assert check.count_same_focus(problem, settled + slots_of((2, 0, 3, "rhythm"))) == 1

    def test_stations_of_one_day_are_not_held_against_each_other(self):
        problem = replace(make_problem(), days=(day(0, slots=2, stations=TWO_ROOMS), day(1)))
        assert check.count_same_focus(problem, in_rooms(1, 2, 2, 1) + slots_of((1, 0, 3, "key"))) == 0
        assert check.count_same_focus(problem, in_rooms(1, 2, 2, 1) + slots_of((1, 0, 3, "rhythm"))) == 1

    def test_a_run_of_days_without_a_skill(self):
        # runs of three slots: days 1-3 have all, days 2-4 lack the meter
        assert self.of("meter", "rhythm", "key", "rhythm", window=3) == 8
        assert self.of("meter", "rhythm", "key", "meter", window=3) == 0
        assert self.of("rhythm", "key", window=3) == 0, "a term shorter than the run asks nothing"

    def test_a_skill_that_falls_short_of_its_share_settled_days_included(self):
        # rhythm has 2 of 2, key 1 of 3
        assert self.of("rhythm", "key", "rhythm", shares=(2, 3)) == 2 * 12
        days = (day(0, is_settled=True), day(1))
        settled = slots_of((0, 0, 9, "key"))
        problem = replace(make_problem(focuses=(("key", 0, 2),)), days=days, settled=settled)
        assert check.count_short_focus(problem, settled + slots_of((1, 0, 1, "key"))) == 0
        assert check.count_short_focus(problem, settled + slots_of((1, 0, 1, "rhythm"))) == 1


class TestTurnsCost:
    def of(self, *featured, bounds, days=None, settled=()):
        """Turn costs of one slot a day that features these."""
        pieces = tuple(piece(n + 1, features=BOTH) for n in range(9))
        first = len(settled)
        days = days or tuple(day(n, is_settled=n < first) for n in range(first + len(featured)))
        problem = replace(make_problem(), days=days, pieces=pieces, featured=bounds, settled=settled)
        rows = [(first + n, 0, n + 1, "rhythm", who) for n, who in enumerate(featured)]
        return check.cost(problem, settled + slots_of(*rows)).turns

    def test_nobody_and_a_section_that_has_the_tune_for_a_while(self):
        bounds = ((1, 0, 9), (2, 0, 9))
        assert self.of(1, bounds=bounds) == 0
        assert self.of(2, bounds=bounds) == 10
        assert self.of(None, bounds=bounds) == 40
        assert self.of(None, bounds=()) == 0, "where nobody takes turns nobody is missed"

    def test_each_turn_short_or_over_settled_days_included(self):
        # section 1 has three of at most two, section 2 none of at least two: three turns, at 25 each,
        # and twice it comes right after itself, at 12
        assert self.of(1, 1, 1, bounds=((1, 2, 2), (2, 2, 2))) == 3 * 25 + 2 * 12
        settled = slots_of((0, 0, 90, "rhythm", 2))
        assert self.of(1, bounds=((1, 1, 1), (2, 1, 1)), settled=settled) == 0

    def test_again_within_half_a_round_the_settled_days_included(self):
        turns = tuple((s, 0, 9) for s in range(1, 7))
        days = (day(0, is_settled=True), *(day(n) for n in range(1, 7)))
        settled = slots_of((0, 0, 90, "rhythm", 1))
        problem = replace(make_problem(), days=days, featured=turns, settled=settled)
        assert problem.turn_gap == 3

        def again(*sections):
            rows = ((n, 0, n, "rhythm", s) for n, s in enumerate(sections, start=1))
            return check.count_again(problem, settled + slots_of(*rows))

        assert again(2, 3, 1) == 1
        assert again(2, 3, 4, 1) == 0
        assert again(1, 1, 2) == 2
        assert again(None, None, None) == 0
        assert again(2, 3, 4, 2, 3, 4) == 3
        assert again(2, 3, 4, 5, 2, 3) == 0


class TestVariety:
    def test_a_hard_day_after_a_hard_day(self):
        # level 2.9 for a section at 2: 62 of 100 bars; the hard days are 0, 1, 2 and 4
        pieces = tuple(piece(n + 1, 2.9 if n != 3 else 2.0) for n in range(5))
        problem = replace(make_problem(days=5), pieces=pieces)
        plan = slots_of(*((n, 0, n + 1) for n in range(5)))
        assert check.count_two_hard(problem, plan) == 2
        assert check.cost(problem, plan).variety == 2 * 30

    def test_what_pieces_share_with_those_of_the_day_before(self):
        likes = ({"by Sousa", "in D"}, {"by Sousa"}, {"in D"}, {"in D", "by Sousa"})
        pieces = tuple(piece(n + 1, likeness=frozenset(like)) for n, like in enumerate(likes))
        problem = replace(make_problem(days=4), pieces=pieces)
        plan = slots_of(*((n, 0, n + 1) for n in range(4)))
        # the composer between days 0 and 1, the key between days 2 and 3
        assert check.cost(problem, plan).variety == 2 * 6
        two = replace(problem, days=(day(0, slots=2), day(1, slots=2)))
        both = slots_of((0, 0, 1), (0, 1, 2), (1, 0, 3), (1, 1, 4))
        assert check.count_alike(two, both) == 2, "each trait counts once for a pair of days"


class TestChangeAndOpenSlots:
    def test_what_leaves_its_day_costs_unless_it_could_not_stay(self):
        problem = make_problem(days=3, limits=replace(LOOSE, change_cost=40))
        stands = slots_of((0, 0, 1), (1, 0, 2), (2, 0, 3))
        held = replace(problem, stands=stands)
        moved = slots_of((0, 0, 2), (1, 0, 1), (2, 0, 3))
        assert check.cost(held, stands).change == 0
        assert check.cost(held, moved).change == 2 * 40
        stale = replace(held, pieces=(piece(1, stale_on=frozenset({0})), *problem.pieces[1:]))
        assert check.cost(stale, moved).change == 40

    def test_a_change_of_the_skill_or_the_room_costs_nothing(self):
        problem = replace(make_problem(), days=(day(0, slots=2, minutes=16.0, stations=TWO_ROOMS),))
        held = replace(problem, stands=in_rooms(1, 2, 2, 1))
        assert check.count_changed(held, in_rooms(2, 1, 1, 2)) == 0
        assert check.count_changed(held, in_rooms(3, 1, 1, 3)) == 1

    def test_an_open_slot_costs_the_more_the_sooner_it_comes(self):
        problem = make_problem(days=3)
        assert [check.open_cost(problem, at) for at in (0, 1, 2)] == [4040, 4020, 4000]
        begun = replace(problem, days=(day(0, is_settled=True), day(1), day(2)))
        assert [check.open_cost(begun, at) for at in (1, 2)] == [4020, 4000]

    def test_every_kind_of_cost_is_in_the_sum(self):
        pieces = (
            piece(1, cost=9, trains=(("rhythm", 2), ("key", 1)), features=BOTH),
            piece(2, trains=(("rhythm", 2), ("key", 1)), features=BOTH, likeness=frozenset({"in D"})),
            piece(3, trains=(("rhythm", 2),), features=BOTH, likeness=frozenset({"in D"})),
        )
        problem = make_problem(
            days=4, focuses=(("rhythm", 3, 0), ("key", 7, 0)), limits=OPEN,
            sections=(section(1, 4, error=0.0), section(2, 4, error=0.0)),
        )  # fmt: skip
        problem = replace(problem, pieces=pieces, featured=((1, 0, 4), (2, 0, 4)), stands=slots_of((0, 0, 2)))
        slots = slots_of(
            (0, 0, 1, "rhythm", 1), (1, 0, 2, "key", 1), (2, 0, 3, "rhythm", None), (3, 0, 0, "")
        )
        by_hand = PlanCost(reading=9, focus=3 + 7 + 15 + 3, turns=40 + 12, variety=6, change=40, open=4000)
        assert check.cost(problem, slots) == by_hand
        assert by_hand.total == 9 + 28 + 52 + 6 + 40 + 4000
        assert by_hand.filled == 9 + 28 + 52 + 6


class TestMayStand:
    def test_a_pair_may_stand_when_every_rule_about_pairs_is_kept(self):
        problem = make_problem(days=2)
        sitting = problem.sittings[1]
        assert check.may_stand(problem, piece(1), sitting)
        spoilt = (
            piece(1, stale_on=frozenset({1})), piece(1, away_on=frozenset({1})), piece(1, minutes=10.1),
            piece(1, sets=0), piece(1, trains=(("meter", 2),)), piece(1, is_for_all=False), piece(1, 5.0),
        )  # fmt: skip
        assert [check.may_stand(problem, each, sitting) for each in spoilt] == [False] * 7
        assert not check.may_stand(replace(problem, bans=(PlanWish(1, day(1).on),)), piece(1), sitting)
        assert check.may_stand(replace(problem, bans=(PlanWish(1, day(0).on),)), piece(1), sitting)
        assert not check.may_stand(replace(problem, settled=slots_of((0, 0, 1))), piece(1), sitting)
        pinned = replace(problem, pins=(PlanWish(1, day(1).on),))
        assert [check.may_stand(pinned, each, sitting) for each in spoilt] == [False] * 5 + [True] * 2


class TestProblem:
    def test_windows_are_runs_of_days_with_slots_enough_that_reach_a_free_one(self):
        days = (day(0, is_settled=True), day(1), day(2, slots=2), day(3), day(4, slots=3))
        problem = replace(make_problem(), days=days)
        runs = {n: replace(problem, limits=replace(LOOSE, focus_window=n)).windows for n in (0, 1, 3, 4, 9)}
        assert runs == {
            0: (),
            1: ((1,), (2,), (3,), (4,)),
            3: ((0, 1, 2), (1, 2), (2, 3), (3, 4), (4,)),
            4: ((0, 1, 2), (1, 2, 3), (2, 3, 4), (3, 4)),
            9: (),
        }
        assert (problem.free_days, problem.open_slots) == ((1, 2, 3, 4), 7)

    def test_sittings_go_by_day_round_and_station_without_who_is_away(self):
        rooms = (Station("High", (1,)), Station("Low", (2,)))
        days = (day(0), day(1, slots=2, minutes=15.0, stations=rooms), day(2, absent=frozenset({2})))
        problem = replace(make_problem(), days=days)
        assert [(s.day, s.round, s.station, set(s.sections), s.minutes) for s in problem.sittings] == [
            (0, 0, None, {1, 2}, 10.0),
            (1, 0, 0, {1}, 7.5), (1, 0, 1, {2}, 7.5), (1, 1, 0, {1}, 7.5), (1, 1, 1, {2}, 7.5),
            (2, 0, None, {1}, 10.0),
        ]  # fmt: skip
        assert problem.open_slots == 6

    def test_a_term_all_settled_has_nothing_to_fill(self):
        problem = replace(make_problem(), days=(day(0, slots=4, is_settled=True),))
        assert (problem.free_days, problem.open_slots, problem.windows, problem.sittings) == ((), 0, (), ())

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

    def test_the_aim_is_lower_on_a_day_with_a_stretch(self):
        # 1 / (1 + exp(0.3 x 1.2765 - 1.6679)) = 0.7833
        assert day(0).aim == pytest.approx(TARGET_SHARE)
        assert day(0, stretch=0.3).aim == pytest.approx(0.7833, abs=5e-5)

    def test_the_usual_limits_are_a_chance_of_one_in_four_and_a_round_of_a_dozen(self):
        assert Limits() == Limits(lost=0.25, focus_window=12, may_leave_open=False, change_cost=40)

    @pytest.mark.parametrize(
        ("past", "slots", "able", "bounds"),
        [
            ({}, 4, {1: 9, 2: 9}, ((1, 2, 2), (2, 2, 2))),
            ({}, 5, {1: 9, 2: 9}, ((1, 2, 3), (2, 2, 3))),
            ({1: 2}, 2, {1: 9, 2: 9}, ((1, 2, 2), (2, 2, 2))),
            ({1: 3}, 1, {1: 9, 2: 9}, ((1, 3, 3), (2, 1, 1))),
            ({}, 4, {1: 9, 2: 1}, ((1, 3, 3), (2, 1, 1))),
            ({}, 0, {}, ((1, 0, 0), (2, 0, 0))),
        ],
    )
    def test_turns_come_out_as_even_as_slots_and_pieces_allow(self, past, slots, able, bounds):
        assert turn_bounds((1, 2), past, slots, able) == bounds

    def test_no_sections_take_no_turns(self):
        assert turn_bounds((), {}, 4, {}) == ()
