"""How long the rules that contradict each other are sought."""

import pytest

from planner.scheduling import explain
from planner.scheduling.explain import find_conflict
from planner.scheduling.rules import RULES
from tests.scheduling.small_problems import make_problem


@pytest.fixture
def tried(monkeypatch):
    """The time each rule's turn was given, on a clock that stands still; no plan is sought."""
    given = []
    monkeypatch.setattr(explain.time, "monotonic", lambda: 100.0)
    monkeypatch.setattr(explain, "_assumed_conflict", lambda problem, limit_s: tuple(RULES))
    monkeypatch.setattr(explain, "has_no_plan", lambda problem, names, limit_s: given.append(limit_s))
    return given


def test_the_time_left_is_shared_by_the_rules_still_in_question(tried):
    assert find_conflict(make_problem(), 2.0) == tuple(RULES)
    count = len(RULES)
    assert tried == pytest.approx([2.0 / (count - at) for at in range(count)])


def test_without_time_every_rule_stays_in_question(tried):
    assert find_conflict(make_problem(), 0.0) == tuple(RULES)
    assert tried == []
