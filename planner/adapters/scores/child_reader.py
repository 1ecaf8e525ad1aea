"""Reading single scores for a door that looks at their notes: in a child process, the last few kept."""

from collections import OrderedDict
from pathlib import Path
from threading import Lock

from planner.adapters.scores.worker import MEMORY_LIMIT_MB, TIME_LIMIT_S, read_in_child
from planner.core.score import Score

KEPT = 4
"""Scores kept in memory; a page about one piece is often asked for again. House choice."""


class ChildReader:
    """``ScoreReader`` that reads in a child process and remembers the last few files as they were.

    Args:
        time_limit_s: Longest for one file.
        memory_limit_mb: Address space of the child.
    """

    def __init__(self, time_limit_s: float = TIME_LIMIT_S, memory_limit_mb: int = MEMORY_LIMIT_MB) -> None:
        self._limits = (time_limit_s, memory_limit_mb)
        self._kept: OrderedDict[tuple[Path, int, int], Score] = OrderedDict()
        self._lock = Lock()

    def read(self, path: Path) -> Score:
        """Read one file, or hand out what was read of it when it has not changed since.

        Raises:
            ScoreReadError: If it cannot be read as a score, or not within the limits.
        """
        key = _state_of(path)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        time_limit_s, memory_limit_mb = self._limits
        score = read_in_child(path, time_limit_s=time_limit_s, memory_limit_mb=memory_limit_mb)
        with self._lock:
            self._kept[key] = score
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return score


def _state_of(path: Path) -> tuple[Path, int, int]:
    """Where a file lies and how it stands; a missing one is left to the reader to name."""
    try:
        status = path.stat()
    except OSError:
        return path.absolute(), 0, 0
    return path.absolute(), status.st_mtime_ns, status.st_size
