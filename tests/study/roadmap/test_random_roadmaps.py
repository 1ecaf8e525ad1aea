"""The walk finds the order of play that a roadmap was made from."""

import pytest
from hypothesis import HealthCheck, given, settings

from planner.study.roadmap.play_order import find_play_order
from tests.study.roadmap.random_roadmaps import roadmaps


def check(made):
    score, order = made
    found = find_play_order(score)
    marks = [(m.kind, m.measure, m.numbers, m.times, m.text) for m in score.marks]
    assert list(found.play_order) == order, marks
    assert not [issue for issue in found.issues if issue.slug == "bars-unplayed"]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(roadmaps())
def test_the_order_a_roadmap_was_made_from_is_found(made):
    check(made)


@pytest.mark.slow
@settings(max_examples=3000, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(roadmaps())
def test_the_orders_of_three_thousand_roadmaps_are_found(made):
    check(made)
