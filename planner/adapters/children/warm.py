"""A few children kept warm: each request goes to one that is free, and few requests may wait for one."""

import queue
import threading

from planner.adapters.children.guard import Child
from planner.adapters.children.messages import Refusal

BUSY = "busy"
"""Kind of the refusal of a request for which there is no room now; it may be asked again later."""


class WarmChildren:
    """Children started when needed and used again. Safe to ask from several threads.

    Args:
        handler: ``module:function`` that answers in the children.
        workers: Most children at a time.
        time_limit_s: Longest for one request, once a child works on it.
        memory_limit_mb: Address space of a child.
        waiting: Most requests that wait for a child; another is refused at once as ``BUSY``,
            so that slow requests never hold all threads of a server.
    """

    def __init__(
        self, handler: str, workers: int, time_limit_s: float, memory_limit_mb: int, waiting: int
    ) -> None:
        self._children = [Child(handler, time_limit_s, memory_limit_mb) for _ in range(workers)]
        self._free: queue.LifoQueue[Child] = queue.LifoQueue()
        for child in reversed(self._children):
            self._free.put(child)
        self._room = threading.BoundedSemaphore(workers + waiting)

    def ask(self, request: object) -> object:
        """What a child makes of a request, or a ``Refusal``."""
        if not self._room.acquire(blocking=False):
            return Refusal(BUSY, "too many others are under way; try again in a moment")
        try:
            child = self._free.get()
            try:
                return child.ask(request)
            finally:
                self._free.put(child)
        finally:
            self._room.release()

    def stop(self) -> None:
        """End the children; the next request starts them again."""
        for child in self._children:
            child.stop()
