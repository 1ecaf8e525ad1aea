"""The one worker beside the pages: it does the work that waits, one job after the other."""

import logging
import threading
from collections.abc import Mapping
from contextlib import suppress

from planner.core.job import JobState
from planner.errors import ConflictError, HomeError, PlannerError
from planner.services.jobs.manage import LISTED, queue_interrupted
from planner.services.jobs.run import Work, run_job
from planner.services.toolbox import Toolbox, changing

LOOK_EVERY_S = 1.0
"""How often to look for work that another window or command asked for (house choice)."""

_log = logging.getLogger(__name__)


class Worker:
    """A thread that does the work that waits, until it is closed. Use it in a ``with``."""

    def __init__(self, tools: Toolbox, kinds: Mapping[str, Work]) -> None:
        self._tools = tools
        self._kinds = kinds
        self._is_ending = threading.Event()
        self._has_taken_up = False
        self._thread = threading.Thread(target=self._go_on, name="long work", daemon=True)

    def __enter__(self) -> "Worker":
        """Take up what a killed program left, and begin."""
        self._take_up()
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self, patience_s: float = 5.0) -> None:
        """End; the job in hand goes back among those that wait."""
        self._is_ending.set()
        self._thread.join(patience_s)

    def _take_up(self) -> None:
        """Put back, once, what a killed program left; later when the library cannot be opened yet."""
        if self._has_taken_up:
            return
        with suppress(HomeError), changing(self._tools.work) as work:
            queue_interrupted(work, self._tools.locks)
            self._has_taken_up = True

    def _go_on(self) -> None:
        while not self._is_ending.is_set():
            try:
                self._take_up()
                did_something = do_next(self._tools, self._kinds, self._is_ending)
            except HomeError:
                did_something = False  # the library cannot be opened now; the pages say why
            except Exception:  # the worker outlives whatever one job comes to
                _log.exception("Long work failed")
                did_something = False
            if not did_something:
                self._is_ending.wait(LOOK_EVERY_S)


def do_next(tools: Toolbox, kinds: Mapping[str, Work], is_ending: threading.Event | None = None) -> bool:
    """Do the job that has waited longest; False when none waits."""
    with tools.work() as work:
        waiting = work.jobs.list_jobs(LISTED, (JobState.QUEUED,))
    for job in reversed(waiting):
        try:
            run_job(tools, kinds, job.id, is_ending=(is_ending or threading.Event()).is_set)
        except ConflictError:
            continue  # another program was quicker
        except PlannerError as error:
            _log.warning("Job %s: %s", job.id, error)
            continue
        return True
    return False
