"""The options for one place against every piece, skill and featured section tried by hand."""

from dataclasses import fields, replace
from itertools import product

import pytest

from planner.core.term import Slot
from planner.scheduling import check
from planner.scheduling.check import PlanCost
from planner.scheduling.options import options, swaps
from planner.scheduling.problem import OPEN_PIECE, PlanWish
from tests.checks import some
from tests.scheduling.small_problems import FIRST, day, make_problem, piece

MOST = 20


def planned(problem, pieces):
    return tuple(Slot(one.on, 0, p, "rhythm") for one, p in zip(problem.days, pieces, strict=True))


def tried(problem, slots, at):
    """What each other piece would save at best, by trying everything."""
    before = check.cost(problem, slots)
    best = {}
    for other, focus, featured in product(problem.pieces, ("rhythm", "key"), (None, 1, 2)):
        slot = replace(slots[at], piece_id=other.piece_id, focus=focus, featured_section_id=featured)
        whole = (*slots[:at], slot, *slots[at + 1 :])
        if other.piece_id in {s.piece_id for s in slots} or check.broken_rules(problem, whole):
            continue
        saved = before.total - check.cost(problem, whole).total
        best[other.piece_id] = max(saved, best.get(other.piece_id, saved))
    return best


@pytest.fixture
def problem():
    levels = (2.0, 2.1, 2.4, 1.6, 2.2, 1.9, 2.8, 3.9)
    pieces = tuple(
        piece(
            n + 1, level, features=((1 + n % 2, 2),), trains=(("rhythm", 2), ("key", 1))[n % 3 == 2 :],
            likeness=frozenset({f"composer {n % 3}"}),
        )
        for n, level in enumerate(levels)
    )  # fmt: skip
    return replace(make_problem(days=3, featured=((1, 1, 2), (2, 1, 2))), pieces=pieces)


def test_they_are_the_best_of_all_that_could_stand_there(problem):
    slots = planned(problem, (1, 2, 4))
    for at in range(3):
        found = options(problem, slots, slots[at].on, 0, most=MOST)
        best = tried(problem, slots, at)
        assert {option.slot.piece_id: option.saved.total for option in some(found)} == best
        totals = [option.saved.total for option in found]
        assert totals == sorted(totals, reverse=True)
        assert options(problem, slots, slots[at].on, 0, most=2) == found[:2]


def test_each_comes_with_a_plan_that_keeps_every_rule_and_costs_what_is_told(problem):
    slots = planned(problem, (1, 2, 4))
    before = check.cost(problem, slots)
    for option in some(options(problem, slots, slots[1].on, 0, most=MOST)):
        assert check.broken_rules(problem, option.slots) == ()
        after = check.cost(problem, option.slots)
        for each in fields(PlanCost):
            saved = getattr(before, each.name) - getattr(after, each.name)
            assert getattr(option.saved, each.name) == saved
        assert {s for s in option.slots if s.on != slots[1].on} == {s for s in slots if s.on != slots[1].on}


def test_pieces_that_would_lose_a_section_or_are_kept_off_are_none(problem):
    slots = planned(problem, (1, 2, 4))
    without = replace(problem, bans=(PlanWish(3, slots[0].on),))
    found = {option.slot.piece_id for option in options(without, slots, slots[0].on, 0, most=MOST)}
    assert 3 not in found
    assert 8 not in found, "two levels too hard"
    assert found


def test_an_open_place_can_be_filled(problem):
    limits = replace(problem.limits, may_leave_open=True)
    slots = (*planned(problem, (1, 2, 4))[:2], Slot(problem.days[2].on, 0, OPEN_PIECE, ""))
    found = options(replace(problem, limits=limits), slots, slots[2].on, 0)
    assert len(found) == 3
    assert all(option.saved.open > 0 for option in found)


def test_a_rule_that_is_broken_elsewhere_hides_nothing_and_labels_of_an_older_study_do_no_harm(problem):
    slots = planned(problem, (1, 2, 4))
    pinned = replace(problem, pins=(PlanWish(5, slots[2].on),))
    assert check.broken_rules(pinned, slots)
    assert options(pinned, slots, slots[0].on, 0)
    odd = (replace(slots[0], focus="meter", featured_section_id=2), *slots[1:])
    assert options(problem, odd, slots[0].on, 0)


def test_on_a_day_of_several_the_easier_piece_still_comes_first():
    several = make_problem(days=1, pieces=0)
    several = replace(
        several,
        days=(day(0, slots=2, minutes=20.0),),
        pieces=(piece(1, 2.0), piece(2, 2.2), piece(3, 1.8), piece(4, 2.4)),
    )
    slots = (Slot(FIRST, 0, 1, "rhythm"), Slot(FIRST, 1, 2, "key"))
    for option in some(options(several, slots, FIRST, 1, most=MOST)):
        assert not check.broken_rules(several, option.slots)
    (easier,) = (o for o in options(several, slots, FIRST, 1, most=MOST) if o.slot.piece_id == 3)
    assert easier.slot.position == 0


def test_a_place_that_is_not_there_is_told(problem):
    slots = planned(problem, (1, 2, 4))
    with pytest.raises(LookupError):
        options(problem, slots, slots[0].on, 5)


def exchanged(problem, slots, at, other):
    """What a swap of two days would save, each piece keeping its labels; None where a rule is broken."""
    one, two = slots[at], slots[other]
    whole = list(slots)
    whole[at] = replace(two, on=one.on)
    whole[other] = replace(one, on=two.on)
    if check.broken_rules(problem, whole):
        return None
    return check.cost(problem, slots).total - check.cost(problem, whole).total


@pytest.fixture
def uneven():
    """A term whose days aim at different levels and whose pieces stand the wrong way round."""
    levels = (2.4, 1.7, 2.1, 1.9, 3.9)
    stretches = (-0.3, 0.3, 0.0, 0.1)
    pieces = tuple(
        piece(n, level, features=((1 + n % 2, 2),), likeness=frozenset({f"composer {n % 2}"}))
        for n, level in enumerate(levels, 1)
    )
    plain = make_problem(days=4, featured=((1, 1, 3), (2, 1, 3)))
    days = tuple(replace(one, stretch=s) for one, s in zip(plain.days, stretches, strict=True))
    return replace(plain, days=days, pieces=pieces)


def test_swaps_are_the_best_of_all_and_cost_what_is_told(uneven):
    slots = tuple(
        replace(slot, featured_section_id=1 + slot.piece_id % 2) for slot in planned(uneven, (1, 2, 3, 4))
    )
    for at in range(4):
        wanted = {other: exchanged(uneven, slots, at, other) for other in range(4) if other != at}
        found = swaps(uneven, slots, slots[at].on, 0, most=MOST)
        assert {uneven.day_by_date[each.goes.on]: each.saved.total for each in some(found)} == wanted
        totals = [each.saved.total for each in found]
        assert totals == sorted(totals, reverse=True)
        for each in found:
            assert (each.comes.on, each.goes.piece_id) == (slots[at].on, slots[at].piece_id)
            after = check.cost(uneven, each.slots)
            assert check.cost(uneven, slots).total - after.total == each.saved.total
        assert swaps(uneven, slots, slots[at].on, 0, most=1) == found[:1]
    assert swaps(uneven, slots, slots[0].on, 0)[0].saved.total > 0, "days the wrong way round"


def test_no_swap_breaks_a_rule_or_moves_what_is_settled_or_pinned(uneven):
    slots = planned(uneven, (1, 2, 3, 4))
    stale = replace(uneven, pieces=tuple(
        replace(each, stale_on=frozenset({0})) if each.piece_id == 2 else each for each in uneven.pieces
    ))  # fmt: skip
    assert {each.comes.piece_id for each in swaps(stale, slots, slots[0].on, 0)} == {3, 4}
    pinned = replace(uneven, pins=(PlanWish(3, slots[2].on),))
    assert {each.comes.piece_id for each in swaps(pinned, slots, slots[0].on, 0)} == {2, 4}
    days = (*uneven.days[:3], replace(uneven.days[3], is_settled=True))
    settled = replace(uneven, days=days, settled=slots[3:])
    assert {each.comes.piece_id for each in swaps(settled, slots, slots[0].on, 0)} == {2, 3}
    hard = planned(uneven, (5, 2, 3, 4))
    assert swaps(uneven, hard, hard[0].on, 0) == (), "lost wherever it stands"


def test_a_section_that_would_have_the_tune_twice_on_a_day_is_featured_once():
    several = make_problem(days=2, featured=((1, 0, 9),))
    several = replace(
        several,
        days=(day(0, slots=2, minutes=20.0), day(1)),
        pieces=tuple(piece(n, 2.0, features=((1, 2),)) for n in range(1, 4)),
    )
    slots = (
        Slot(FIRST, 0, 1, "rhythm", 1),
        Slot(FIRST, 1, 2, "key"),
        Slot(several.days[1].on, 0, 3, "rhythm", 1),
    )
    (swap,) = swaps(several, slots, FIRST, 1)
    assert check.broken_rules(several, swap.slots) == ()
    assert (swap.comes.piece_id, swap.comes.featured_section_id) == (3, None)


def test_an_open_place_has_no_piece_to_swap(uneven):
    limits = replace(uneven.limits, may_leave_open=True)
    slots = (Slot(FIRST, 0, OPEN_PIECE, ""), *planned(uneven, (1, 2, 3, 4))[1:])
    assert swaps(replace(uneven, limits=limits), slots, FIRST, 0) == ()
