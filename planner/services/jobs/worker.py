"""The worker beside the pages: it does the work that waits, reading scores beside all else."""

import logging
import threading
import time
from collections.abc import Mapping
from contextlib import suppress

from planner.core.job import JobState
from planner.errors import ConflictError, HomeError, PlannerError, fault_report
from planner.services.jobs.manage import LISTED, queue_interrupted
from planner.services.jobs.run import Work, run_job
from planner.services.toolbox import Toolbox, changing

LOOK_EVERY_S = 1.0
"""How often to look for work that another window or command asked for (house choice)."""

_log = logging.getLogger(__name__)


READING = frozenset({"import", "undo-import", "restudy"})
"""Kinds of work that may take hours: they go one after the other, beside those that somebody waits for."""


class Worker:
    """Threads that do the work that waits, until it is closed. Use it in a ``with``.

    One goes through scores, the other does all else, so that a plan does not wait for a long import.
    """

    def __init__(self, tools: Toolbox, kinds: Mapping[str, Work]) -> None:
        self._tools = tools
        self._kinds = kinds
        self._is_ending = threading.Event()
        self._has_taken_up = False
        self._taking_up = threading.Lock()
        self._threads = [
            threading.Thread(target=self._go_on, args=(reading,), name="long work", daemon=True)
            for reading in (True, False)
        ]

    def __enter__(self) -> "Worker":
        """Take up what a killed program left, and begin."""
        self._take_up()
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self, patience_s: float = 5.0) -> None:
        """End; the job in hand goes back among those that wait."""
        self._is_ending.set()
        give_up = time.monotonic() + patience_s
        for thread in self._threads:
            thread.join(max(0.0, give_up - time.monotonic()))

    def _take_up(self) -> None:
        """Put back, once, what a killed program left; later when the library cannot be opened yet."""
        with self._taking_up:
            if self._has_taken_up:
                return
            with suppress(HomeError), changing(self._tools.work) as work:
                queue_interrupted(work, self._tools.locks)
                self._has_taken_up = True

    def _go_on(self, reading: bool) -> None:
        while not self._is_ending.is_set():
            try:
                self._take_up()
                did_something = do_next(self._tools, self._kinds, self._is_ending, reading=reading)
            except HomeError:
                did_something = False  # the library cannot be opened now; the pages say why
            except Exception as error:  # the worker outlives whatever one job comes to
                _log.error("Long work failed: %s", fault_report(error))
                did_something = False
            if not did_something:
                self._is_ending.wait(LOOK_EVERY_S)


def do_next(
    tools: Toolbox,
    kinds: Mapping[str, Work],
    is_ending: threading.Event | None = None,
    *,
    reading: bool | None = None,
) -> bool:
    """Do the job that has waited longest; False when none waits.

    ``reading`` asks for one that reads scores, or for one that does not; None for any.
    """
    with tools.work() as work:
        waiting = work.jobs.list_jobs(LISTED, (JobState.QUEUED,))
    for job in reversed(waiting):
        if reading is not None and (job.kind in READING) != reading:
            continue
        try:
            run_job(tools, kinds, job.id, is_ending=(is_ending or threading.Event()).is_set)
        except ConflictError:
            continue  # another program was quicker
        except PlannerError as error:
            _log.warning("Job %s: %s", job.id, error)
            continue
        return True
    return False
