"""The dynamics line holds every mark, or the main ones."""

from dataclasses import replace

import pytest

from planner.core.profile import DynamicUse
from planner.services.sheets.player.dynamics import MOST_MARKS, are_all_drawn, dynamic_places
from planner.study.study import study
from tests.builders import make_part, make_score

PROFILE = study(make_score(make_part(" | ".join(["C4 D4 E4 F4"] * 60))))


def drawn(*uses):
    part = replace(PROFILE.parts[0], dynamics=uses)
    return [(each.mark, each.bar) for each in dynamic_places(PROFILE, part)], are_all_drawn(part)


def test_a_few_marks_are_all_drawn_in_their_order():
    uses = (DynamicUse(0, "p"), DynamicUse(0, "p"), DynamicUse(3, "crescendo", 4), DynamicUse(5, "f"))
    assert drawn(*uses) == ([("p", "1"), ("p", "1"), ("crescendo", "4"), ("f", "6")], True)


@pytest.mark.parametrize(
    "grave", [DynamicUse(50, "ff"), DynamicUse(50, "f", sudden_from="p"), DynamicUse(50, "pp")]
)
def test_of_many_marks_the_first_the_sudden_and_the_extreme_stay(grave):
    swells = tuple(DynamicUse(at, "crescendo", at) for at in range(2, 2 + MOST_MARKS))
    places, is_whole = drawn(DynamicUse(0, "mf"), *swells, grave, DynamicUse(51, grave.mark))
    assert not is_whole
    assert len(places) == MOST_MARKS
    assert places[0] == ("mf", "1")
    assert places[-1] == (grave.mark, "51")


def test_a_step_from_what_was_before_keeps_its_words_and_what_follows_is_a_change():
    again = tuple(DynamicUse(at, "p") for at in range(MOST_MARKS))
    places, _ = drawn(*again, DynamicUse(40, "più f"), DynamicUse(45, "p"))
    assert places[-2:] == [("più f", "41"), ("p", "46")]


def test_a_mark_that_says_again_what_holds_gives_way_to_any_other():
    again = tuple(DynamicUse(at, "mf") for at in range(MOST_MARKS))
    places, _ = drawn(*again, DynamicUse(40, "diminuendo", 40), DynamicUse(45, "p"))
    assert places[-2:] == [("diminuendo", "41"), ("p", "46")]
