"""Doing long work, so that it can be watched, stopped and gone on with."""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from planner.core.change import Values
from planner.core.job import Job, JobRefusal, JobState
from planner.errors import ConflictError, NotFoundError, PlanError, PlannerError
from planner.services.jobs.standstill import check_may_begin
from planner.services.ports.scores import Progress
from planner.services.toolbox import Toolbox, changing
from planner.wording.director.conflict import error_words

REPORT_EVERY_S = 0.5
"""How often progress is stored; each time costs a write to the disk (house choice)."""


class JobStopped(Exception):  # noqa: N818 (no error: someone asked for it)
    """Someone asked this job to stop, or the program ends."""


@dataclass
class Steps:
    """What a kind of work is handed, to tell how far it is and what it could not do.

    Attributes:
        tools: The ports; the work opens transactions of its own, one for each thing it finishes.
        job: The job as it stood when this run of it began.
        watcher: Told of every step beside the library, such as a bar on the screen.
        is_ending: Asked at every step whether the program is about to end.
    """

    tools: Toolbox
    job: Job
    watcher: Progress = lambda *_: None
    is_ending: Callable[[], bool] = lambda: False
    _reported_at: float = field(default=-REPORT_EVERY_S, init=False)

    def tell(self, done: int, total: int, what: str = "") -> None:
        """Note how far the work is.

        Raises:
            JobStopped: If it should stop here; everything finished before is kept.
        """
        self.watcher(done, total, what)
        if self.is_ending():
            raise JobStopped
        now = time.monotonic()
        if done < total and now - self._reported_at < REPORT_EVERY_S:
            return
        self._reported_at = now
        with changing(self.tools.work) as work:
            is_stop_asked = work.jobs.report(self.job.id, done, total, what)
        if is_stop_asked:
            raise JobStopped

    def refuse(self, name: str, error: PlannerError, subject_id: int | None = None) -> None:
        """Note something that could not be done; the work goes on with the rest."""
        with changing(self.tools.work) as work:
            work.jobs.refuse(self.job.id, refusal_of(name, error, subject_id))


Work = Callable[[Toolbox, Job, Steps], Values]
"""A kind of work: does what the job asks that is not done yet, and returns what came of it."""


def refusal_of(name: str, error: PlannerError, subject_id: int | None = None) -> JobRefusal:
    """An error as a value of a job; of a plan that failed with what would help."""
    message, hint = error_words(error)
    words = f"{message} {hint}" if isinstance(error, PlanError) else message
    return JobRefusal(name, error.slug, words, subject_id)


def run_job(
    tools: Toolbox,
    kinds: Mapping[str, Work],
    job_id: int,
    *,
    watcher: Progress = lambda *_: None,
    is_ending: Callable[[], bool] = lambda: False,
) -> Job:
    """Do the work of a job from where it stands, in this thread; the job as it is then.

    It ends ``DONE``; or ``STOPPED`` when someone asked for it or pressed Ctrl-C; or back
    in ``QUEUED`` when the program ends; or ``FAILED`` with the reason among its refusals.

    Args:
        tools: The ports.
        kinds: The kinds of work by name.
        job_id: Which job.
        watcher: Told of every step.
        is_ending: Asked at every step whether the program is about to end.

    Raises:
        NotFoundError: If there is no such job, or no such kind of work.
        ConflictError: If it is done, or another window or command has it in hand.
        HomeError: If a backup is being put back.
    """
    with tools.locks.hold(job_id) as is_ours:
        if not is_ours:
            raise ConflictError("Another window or command is at that work already.")
        check_may_begin(tools.locks)
        job = _begin(tools, job_id)
        if job.kind not in kinds:
            _finish(tools, job_id, JobState.STOPPED)
            raise NotFoundError("kind of work", f"“{job.kind}”", hint="Update the program.")
        steps = Steps(tools, job, watcher, is_ending)
        try:
            result = kinds[job.kind](tools, job, steps)
        except JobStopped:
            state = JobState.QUEUED if is_ending() else JobState.STOPPED
            return _finish(tools, job_id, state)
        except KeyboardInterrupt:
            _finish(tools, job_id, JobState.STOPPED)
            raise
        except PlannerError as error:
            steps.refuse("", error)
            return _finish(tools, job_id, JobState.FAILED)
        except BaseException:
            _finish(tools, job_id, JobState.FAILED)
            raise
        return _finish(tools, job_id, JobState.DONE, result)


def _begin(tools: Toolbox, job_id: int) -> Job:
    with changing(tools.work) as work:
        work.jobs.get(job_id)
        if not work.jobs.begin(job_id, tools.now()):
            raise ConflictError("That work is done already.")
        return work.jobs.get(job_id)


def _finish(tools: Toolbox, job_id: int, state: JobState, result: Values | None = None) -> Job:
    with changing(tools.work) as work:
        work.jobs.finish(job_id, state, tools.now(), result or {})
        return work.jobs.get(job_id)
