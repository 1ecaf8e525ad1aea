"""Planning as long work."""

from types import SimpleNamespace

import pytest

from planner.core.job import JobState
from planner.errors import ConflictError
from planner.scheduling import solve as solving
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.run import run_job
from planner.services.plan.plan_job import start_planning
from planner.services.toolbox import changing
from planner.wording.director.jobs import progress_sentence
from tests.fakes import BY, FakeLocks
from tests.services.term.library_for_plans import TUESDAY, make_library


@pytest.fixture
def at_work():
    library, _, term_id = make_library(12, weeks=3)
    tools = SimpleNamespace(
        work=library, locks=FakeLocks(), now=lambda: BY.at, today=lambda: TUESDAY,
        settings=SimpleNamespace(plan_limit_s=600.0, plan_steps=0),
    )  # fmt: skip
    return tools, term_id


def start(tools, term_id):
    with changing(tools.work) as work:
        return start_planning(work, term_id, BY)


def test_a_term_is_planned_in_the_background(at_work):
    tools, term_id = at_work
    done = run_job(tools, KINDS, start(tools, term_id).id)
    assert done.state is JobState.DONE
    assert (done.result["outcome"], done.result["readings"], done.result["open"]) == ("stored", 6, 0)
    assert progress_sentence(done) == "6 readings are planned."
    again = run_job(tools, KINDS, start(tools, term_id).id)
    assert progress_sentence(again) == "Nothing has changed since the plan was made."


def test_planning_that_is_stopped_keeps_the_best_plan_so_far(at_work, monkeypatch):
    tools, term_id = at_work
    job = start(tools, term_id)

    def ask_to_stop(problem, limit_s, *, progress, **how):
        with changing(tools.work) as work:
            work.jobs.ask_stop(job.id)
        assert not progress(4310, 4120.0, 6)
        return original(problem, limit_s, progress=lambda *_: False, **how)

    original = solving.solve
    monkeypatch.setattr(solving, "solve", ask_to_stop)
    done = run_job(tools, KINDS, job.id)
    assert done.state is JobState.DONE
    assert done.result["stopped"]
    assert progress_sentence(done).endswith("The search was stopped early.")
    with tools.work() as work:
        assert len(work.terms.plan(term_id).slots) == 6


def test_planning_goes_back_in_the_queue_when_the_program_ends(at_work):
    tools, term_id = at_work
    left = run_job(tools, KINDS, start(tools, term_id).id, is_ending=lambda: True)
    assert left.state is JobState.QUEUED
    with tools.work() as work:
        assert work.terms.plan(term_id) is None


def test_one_term_is_planned_at_a_time(at_work):
    tools, term_id = at_work
    job = start(tools, term_id)
    assert start(tools, term_id).id == job.id
    with tools.work() as work:
        other = work.terms.add(work.terms.get(term_id).__class__(
            0, work.terms.get(term_id).ensemble_id, "Spring", TUESDAY, TUESDAY, (1,)
        ))  # fmt: skip
        work.commit()
    with pytest.raises(ConflictError):
        start(tools, other)
