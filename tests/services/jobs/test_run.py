"""Long work is watched, stopped, gone on with, and never done twice."""

from datetime import UTC, datetime

import pytest

from planner.core.change import Author, Door
from planner.core.job import JobRefusal, JobState
from planner.errors import ConflictError, HomeError, InputError, NotFoundError, PlanTimeoutError
from planner.scheduling.explanation.explain import find_conflict, impossible_plan
from planner.services.jobs import run
from planner.services.jobs.manage import (
    as_it_stands,
    list_jobs,
    queue_interrupted,
    resume_job,
    start_job,
    stop_job,
)
from planner.services.jobs.run import run_job
from planner.services.jobs.standstill import nothing_begins
from planner.services.jobs.worker import do_next
from tests.fakes import FakeLibrary, FakeLocks
from tests.scheduling.small_problems import make_problem

AT = datetime(2026, 9, 3, 8, 30, tzinfo=UTC)
BY = Author(Door.PAGE, AT)


class Tools:
    """The ports that long work needs, and a kind of work that writes down what it did."""

    def __init__(self) -> None:
        self.work = FakeLibrary()
        self.locks = FakeLocks()
        self.now = lambda: AT
        self.did: list[int] = []
        self.before_step = lambda step: None
        self.kinds = {"count": self.count}

    def count(self, tools, job, steps):
        """Counts to ``job.request["to"]``, each number once over all runs."""
        for step in range(1, job.request["to"] + 1):
            if step not in self.did:
                self.before_step(step)
                self.did.append(step)
            steps.tell(step, job.request["to"], f"number {step}")
        return {"counted": len(self.did)}

    def start(self, kind="count", **request):
        with self.work() as work:
            job = start_job(work, kind, request or {"to": 5}, BY)
            work.commit()
        return job.id

    def job(self, job_id):
        with self.work() as work:
            return work.jobs.get(job_id)

    def ask(self, service, job_id):
        with self.work() as work:
            job = service(work, self.locks, job_id)
            work.commit()
        return job


@pytest.fixture
def tools(monkeypatch):
    monkeypatch.setattr(run, "REPORT_EVERY_S", 0.0)
    return Tools()


def test_work_is_done_and_says_what_came_of_it(tools):
    seen = []
    job = run_job(tools, tools.kinds, tools.start(), watcher=lambda *step: seen.append(step))
    assert (job.state, job.result, job.done, job.total) == (JobState.DONE, {"counted": 5}, 5, 5)
    assert (job.started_at, job.finished_at) == (AT, AT)
    assert seen[0] == (1, 5, "number 1")
    assert [done for done, _, _ in seen] == [1, 2, 3, 4, 5]


def test_work_that_is_asked_to_stop_stops_and_goes_on_where_it_was(tools):
    job_id = tools.start()
    tools.before_step = lambda step: tools.ask(stop_job, job_id) if step == 3 else None
    stopped = run_job(tools, tools.kinds, job_id)
    assert (stopped.state, stopped.done, tools.did) == (JobState.STOPPED, 3, [1, 2, 3])
    assert tools.ask(resume_job, job_id).state == JobState.QUEUED
    assert run_job(tools, tools.kinds, job_id).state == JobState.DONE
    assert tools.did == [1, 2, 3, 4, 5]


def test_the_keyboard_stops_work_cleanly(tools):
    job_id = tools.start()

    def press(step):
        if step == 4:
            raise KeyboardInterrupt

    tools.before_step = press
    with pytest.raises(KeyboardInterrupt):
        run_job(tools, tools.kinds, job_id)
    assert tools.job(job_id).state == JobState.STOPPED
    assert not tools.locks.is_held(job_id)
    tools.before_step = lambda step: None
    assert run_job(tools, tools.kinds, job_id).state == JobState.DONE
    assert tools.did == [1, 2, 3, 4, 5]


def test_work_in_hand_when_the_program_ends_waits_for_the_next_one(tools):
    job = run_job(tools, tools.kinds, tools.start(), is_ending=lambda: len(tools.did) == 2)
    assert (job.state, tools.did) == (JobState.QUEUED, [1, 2])
    assert do_next(tools, tools.kinds)
    assert tools.job(job.id).state == JobState.DONE


def test_work_left_by_a_killed_program_counts_as_stopped_and_is_taken_up(tools):
    job_id = tools.start()
    with tools.work() as work:
        work.jobs.begin(job_id, AT)
        work.commit()
    tools.did = [1, 2]
    with tools.work() as work:
        assert [job.state for job in list_jobs(work, tools.locks)] == [JobState.STOPPED]
        assert queue_interrupted(work, tools.locks) == 1
        work.commit()
    assert do_next(tools, tools.kinds)
    assert tools.job(job_id).state == JobState.DONE
    assert tools.did == [1, 2, 3, 4, 5]


def test_work_in_the_hand_of_a_living_program_is_left_to_it(tools):
    job_id = tools.start()
    with tools.work() as work:
        work.jobs.begin(job_id, AT)
        work.commit()
    with tools.locks.hold(job_id), tools.work() as work:
        assert as_it_stands(work.jobs.get(job_id), tools.locks).state == JobState.RUNNING
        assert queue_interrupted(work, tools.locks) == 0
        with pytest.raises(ConflictError, match="at that work already"):
            run_job(tools, tools.kinds, job_id)
    assert tools.did == []


def test_asking_twice_starts_one_job(tools):
    assert tools.start() == tools.start()
    with tools.work() as work:
        assert len(work.jobs.list_jobs(9)) == 1


def test_asking_again_for_stopped_work_goes_on_with_it(tools):
    job_id = tools.start()
    assert tools.ask(stop_job, job_id).state == JobState.STOPPED
    assert not do_next(tools, tools.kinds)
    assert tools.start() == job_id
    assert tools.job(job_id).state == JobState.QUEUED


def test_a_failure_is_kept_with_its_reason_and_can_be_tried_again(tools):
    job_id = tools.start()

    def fail(step):
        if step == 2:
            raise InputError("The cupboard is locked.")

    tools.before_step = fail
    job = run_job(tools, tools.kinds, job_id)
    assert job.state == JobState.FAILED
    assert job.refusals == (JobRefusal("", "input", "The cupboard is locked."),)
    tools.before_step = lambda step: None
    tools.ask(resume_job, job_id)
    assert do_next(tools, tools.kinds)
    assert tools.job(job_id).state == JobState.DONE


def test_a_fault_of_the_program_leaves_the_job_failed_and_the_lock_free(tools):
    job_id = tools.start()
    tools.before_step = lambda step: 1 / 0
    with pytest.raises(ZeroDivisionError):
        run_job(tools, tools.kinds, job_id)
    assert tools.job(job_id).state == JobState.FAILED
    assert not tools.locks.is_held(job_id)


def test_done_work_is_neither_stopped_nor_resumed(tools):
    job_id = tools.start()
    run_job(tools, tools.kinds, job_id)
    with pytest.raises(ConflictError, match="nothing to stop"):
        tools.ask(stop_job, job_id)
    with pytest.raises(ConflictError, match="done already"):
        tools.ask(resume_job, job_id)
    with pytest.raises(ConflictError, match="done already"):
        run_job(tools, tools.kinds, job_id)


def test_a_failed_job_gives_way_to_newer_work_of_its_kind(tools):
    failed = tools.start()
    tools.before_step = lambda step: 1 / 0
    with pytest.raises(ZeroDivisionError):
        run_job(tools, tools.kinds, failed)
    newer = tools.start()
    assert newer != failed
    with pytest.raises(ConflictError, match="Newer work"):
        tools.ask(resume_job, failed)


def test_work_of_a_kind_this_program_does_not_know_is_named_and_kept(tools):
    job_id = tools.start(kind="paint")
    with pytest.raises(NotFoundError, match="kind of work “paint”"):
        run_job(tools, tools.kinds, job_id)
    assert tools.job(job_id).state == JobState.STOPPED


def test_the_job_that_has_waited_longest_comes_first(tools):
    order = []
    kinds = {name: lambda tools, job, steps: order.append(job.kind) or {} for name in ("first", "second")}
    tools.start(kind="first")
    tools.start(kind="second")
    while do_next(tools, kinds):
        pass
    assert order == ["first", "second"]


def test_a_plan_that_failed_is_refused_with_what_would_help_other_work_with_the_bare_reason():
    locked = InputError("The cupboard is locked.", hint="Open it.")
    assert run.refusal_of("", locked).detail == "The cupboard is locked."
    assert run.refusal_of("", PlanTimeoutError(20)).detail == str(PlanTimeoutError(20))
    none = impossible_plan(find_conflict(make_problem(days=3, pieces=2)))
    refusal = run.refusal_of("", none)
    assert refusal.slug == "plan-too-few-pieces"
    assert refusal.detail.startswith("There are too few fresh pieces for ")
    assert "or let one slot stay open" in refusal.detail


def test_no_work_begins_while_a_backup_is_put_back(tools):
    job = tools.start()
    with nothing_begins(tools.locks):
        with pytest.raises(HomeError, match="is being put back from a backup"):
            run_job(tools, tools.kinds, job)
        with pytest.raises(ConflictError, match="already"), nothing_begins(tools.locks):
            pytest.fail("two restores at once")
    assert (tools.did, tools.job(job).state) == ([], JobState.QUEUED)
    assert run_job(tools, tools.kinds, job).state == JobState.DONE


def test_work_that_is_in_hand_and_has_not_begun_counts_as_under_way(tools):
    job = tools.start()
    with tools.locks.hold(job), tools.work() as work:
        assert [each.state for each in list_jobs(work, tools.locks)] == [JobState.RUNNING]
