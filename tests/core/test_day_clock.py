"""The clock of a day: it counts, goes on by itself where it should, and does what is pressed."""

from datetime import UTC, date, datetime, timedelta

import pytest

from planner.core.day_clock import (
    EXTENSION_S,
    NOT_BEGUN,
    OVER,
    DayClock,
    Press,
    Standing,
    Step,
    StepKind,
    pressed,
    where_it_stands,
)

STEPS = (
    Step(0, StepKind.FACE_DOWN, 30),
    Step(0, StepKind.STUDY, 120),
    Step(0, StepKind.HEARING, 40, begins_itself=True),
    Step(0, StepKind.FIRST, 90),
    Step(1, StepKind.FACE_DOWN, 30),
)
AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
DAY = date(2026, 11, 25)


def clock(step, left_s, *, is_running=True, presses=3, extended_s=0):
    return DayClock(1, DAY, step, left_s, AT, is_running, extended_s, presses)


def stands(found, seconds):
    return where_it_stands(found, STEPS, AT + timedelta(seconds=seconds))


def test_nobody_has_pressed_yet():
    assert stands(None, 10**6) == Standing(-1)
    assert Standing(-1).key(STEPS) == NOT_BEGUN


@pytest.mark.parametrize(
    ("after", "key", "left"),
    [(0, "1/study", 100), (99.5, "1/study", 0.5), (100, "1/hearing", 40), (139, "1/hearing", 1),
     (140, "1/hearing", 0), (200, "1/hearing", -60)],
)  # fmt: skip
def test_a_step_that_has_run_out_leads_on_only_where_the_next_begins_by_itself(after, key, left):
    found = stands(clock("1/study", 100.0, extended_s=30), after)
    assert (found.key(STEPS), found.left_s, found.presses) == (key, left, 3)
    assert found.extended_s == (30 if key == "1/study" else 0), "what was added belongs to its step"


def test_a_paused_clock_stands_still_however_long():
    found = stands(clock("1/study", 12.5, is_running=False), 86_400)
    assert (found.place, found.left_s, found.is_running) == (1, 12.5, False)


def test_a_clock_that_is_read_before_it_was_set_has_lost_nothing():
    assert stands(clock("1/study", 100.0), -5).left_s == 100.0


def test_a_step_that_the_day_no_longer_has_counts_as_not_begun():
    assert stands(clock("3/study", 50.0), 1) == Standing(-1, presses=3)
    assert stands(clock(OVER, 0.0, is_running=False), 9).key(STEPS) == OVER


def test_start_begins_the_first_step_once():
    begun = pressed(Standing(-1), Press.START, STEPS)
    assert (begun.key(STEPS), begun.left_s, begun.is_running, begun.presses) == ("1/face-down", 30, True, 1)
    again = pressed(begun, Press.START, STEPS)
    assert (again.place, again.left_s, again.presses) == (0, 30, 2)


def test_next_and_back_go_through_the_whole_day_and_end_at_its_ends():
    now, seen = pressed(Standing(-1), Press.START, STEPS), []
    for _ in range(len(STEPS) + 1):
        seen.append(now.key(STEPS))
        now = pressed(now, Press.SKIP, STEPS)
    assert seen == [*(step.key for step in STEPS), OVER]
    assert now.key(STEPS) == OVER, "after the last there is nothing more"
    assert not now.is_running
    back = []
    for _ in range(len(STEPS) + 1):
        now = pressed(now, Press.BACK, STEPS)
        back.append(now.place)
        assert now.left_s == STEPS[now.place].seconds
    assert back == [4, 3, 2, 1, 0, 0]


def test_pause_keeps_what_is_left_and_moving_on_sets_the_clock_going():
    paused = pressed(Standing(1, 77.5, is_running=True), Press.PAUSE, STEPS)
    assert (paused.left_s, paused.is_running) == (77.5, False)
    assert pressed(paused, Press.PAUSE, STEPS).left_s == 77.5
    assert pressed(paused, Press.GO_ON, STEPS).is_running
    assert pressed(paused, Press.SKIP, STEPS).is_running


def test_half_a_minute_more_counts_from_now_where_the_step_has_run_out():
    early = pressed(Standing(1, 20.0, is_running=True), Press.EXTEND, STEPS)
    assert (early.left_s, early.extended_s) == (20.0 + EXTENSION_S, EXTENSION_S)
    late = pressed(Standing(3, -12.0, is_running=True, extended_s=30), Press.EXTEND, STEPS)
    assert (late.left_s, late.extended_s) == (EXTENSION_S, 30 + EXTENSION_S)


@pytest.mark.parametrize("press", [Press.PAUSE, Press.GO_ON, Press.EXTEND, Press.SKIP, Press.BACK])
def test_before_the_day_has_begun_only_start_does_anything(press):
    assert pressed(Standing(-1, presses=4), press, STEPS) == Standing(-1, presses=5)


def test_starting_over_forgets_all_but_how_often_was_pressed():
    assert pressed(Standing(3, 5.0, is_running=True, presses=9), Press.AGAIN, STEPS) == Standing(presses=10)
