"""A child may hang, crash or hoard: its request is refused, and the next one is answered."""

import sys
import threading

import pytest

from planner.adapters.children.guard import Child
from planner.adapters.children.messages import Refusal
from planner.adapters.children.warm import BUSY, WarmChildren

HANDLER = "tests.adapters.children.handlers:answer"
LIMIT_MB = 400


@pytest.fixture
def child():
    with Child(HANDLER, 20, LIMIT_MB) as kept:
        yield kept


def test_one_child_answers_many_requests(child):
    (first, one), (second, two) = child.ask(1), child.ask(2)
    assert (first, one, two) == (second, 1, 2)


@pytest.mark.skipif(sys.platform != "linux", reason="other systems do not tell the two apart")
def test_the_size_of_the_program_that_started_a_child_is_not_taken_for_its_own(child):
    hoard = bytearray(b"x" * LIMIT_MB * 2**20)
    first, _ = child.ask(1)
    assert child.ask(2)[0] == first
    del hoard


@pytest.mark.parametrize("how", ["die", "fault"])
def test_a_request_that_breaks_it_is_refused_and_the_next_is_answered(child, how):
    kinds = {"die": "crash", "fault": "fault"}
    refused = child.ask(how)
    assert isinstance(refused, Refusal)
    assert refused.kind == kinds[how]
    assert child.ask("next")[1] == "next"


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of address space is kept by Linux")
def test_a_request_that_wants_all_memory_is_refused_and_the_child_replaced(child):
    before, _ = child.ask("before")
    assert child.ask("hoard").kind == "memory"
    after, _ = child.ask("after")
    assert before != after


def test_a_request_that_takes_too_long_is_refused_and_the_child_replaced():
    with Child(HANDLER, 1, LIMIT_MB) as child:
        assert child.ask("sleep").kind == "time"
        assert child.ask("next")[1] == "next"


def test_warm_children_are_used_again_and_started_when_needed():
    warm = WarmChildren(HANDLER, 2, 20, LIMIT_MB, waiting=4)
    try:
        assert len({warm.ask(n)[0] for n in range(4)}) == 1
    finally:
        warm.stop()


def test_more_requests_than_there_is_room_for_are_refused_at_once():
    warm = WarmChildren(HANDLER, 1, 20, LIMIT_MB, waiting=1)
    found = []
    threads = [threading.Thread(target=lambda: found.append(warm.ask("sleep"))) for _ in range(2)]
    try:
        for thread in threads:
            thread.start()
        while warm._room._value:
            pass
        assert warm.ask("third").kind == BUSY
    finally:
        warm.stop()
        for thread in threads:
            thread.join(timeout=1)
            warm.stop()
