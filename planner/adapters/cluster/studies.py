"""``ProfileSource`` over a cluster: each file goes to a worker as bytes, its studies come back."""

import contextlib
import logging
import queue
import time
from collections import deque
from collections.abc import Callable, Collection, Generator, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from planner.adapters.children.messages import Refusal
from planner.core.profile import PieceProfile
from planner.errors import ClusterError, PlannerError, ScoreReadError
from planner.services.ports.scores import ProfileSource, Progress, Studied
from planner.study.version import STUDY_VERSION

CONNECT_LIMIT_S = 10.0
"""How long to wait for a cluster's answer (house choice)."""

LOST_LIMIT_S = 60.0
"""How long a cluster without a worker, or without an answer, is waited for (house choice)."""

AHEAD = 3
"""Files at the cluster for each of its hands: none is idle, and few are in memory (house choice)."""

LOOK_EVERY_S = 2.0
"""How often to look whether the cluster is still there while no answer comes (house choice)."""

StudyBytes = Callable[[str, bytes, bool, int], "tuple[Studied, ...] | Refusal"]
"""What a worker runs: name, content, whether the file stays one piece, version of the study."""


class ClusterStudies:
    """Studies files on the workers of a cluster; what is asked for one by one is studied here.

    The cluster needs this program in the same version. A file whose worker dies is given to another.

    Args:
        address: Of the cluster's scheduler, such as ``tcp://10.0.0.5:8786``.
        study: What a worker runs; a function of a module that the workers can import.
        error_of: The error that a worker's refusal of a file stands for.
        local: Studies here.

    Raises:
        ClusterError: If the cluster cannot be reached, has no worker, or the extra is not installed.
    """

    def __init__(
        self,
        address: str,
        study: StudyBytes,
        error_of: Callable[[Path, Refusal], PlannerError],
        local: ProfileSource,
    ) -> None:
        self._address = address
        self._study = study
        self._error_of = error_of
        self._local = local
        self._client = _connected(address)

    def close(self) -> None:
        """Give the connection back."""
        with contextlib.suppress(Exception):
            self._client.close(timeout=CONNECT_LIMIT_S)

    def study_pieces(
        self, paths: Sequence[Path], whole: Collection[int] = ()
    ) -> Generator[tuple[int, Sequence[Studied] | PlannerError], None, None]:
        """Study the pieces of each file on the cluster; see the port.

        Raises:
            ClusterError: If the cluster is lost; what was yielded before stands.
        """
        stay_one, waiting = set(whole), deque(range(len(paths)))
        running: dict[str, tuple[int, Any]] = {}
        finished: queue.SimpleQueue[str] = queue.SimpleQueue()
        hands = self._hands()
        try:
            while waiting or running:
                while waiting and len(running) < max(1, hands) * AHEAD:
                    place = waiting.popleft()
                    try:
                        data = paths[place].read_bytes()
                    except OSError as error:
                        reason = f"it cannot be opened ({error.strerror or error})"
                        yield place, ScoreReadError(paths[place].name, reason)
                        continue
                    future = self._send(paths[place].name, data, place in stay_one)
                    running[future.key] = place, future
                    future.add_done_callback(lambda done: finished.put(done.key))
                if not running:
                    return
                key, hands = self._next(finished, hands)
                place, future = running.pop(key)
                yield place, self._outcome(future, paths[place])
        finally:
            if running:
                with contextlib.suppress(Exception):
                    self._client.cancel([future for _, future in running.values()], force=True)

    def _send(self, name: str, data: bytes, is_whole: bool) -> Any:
        try:
            return self._client.submit(self._study, name, data, is_whole, STUDY_VERSION, pure=False)
        except Exception as error:  # whatever went wrong with the connection
            raise self._gone() from error

    def _next(self, finished: "queue.SimpleQueue[str]", hands: int) -> tuple[str, int]:
        """The key of the next file that is finished, and how many hands the cluster has.

        Raises:
            ClusterError: If the cluster is gone, or has been without a worker for too long.
        """
        give_up = time.monotonic() + LOST_LIMIT_S
        while True:
            try:
                return finished.get(timeout=LOOK_EVERY_S), hands
            except queue.Empty:
                hands = self._hands()
            if hands:
                give_up = time.monotonic() + LOST_LIMIT_S
            elif time.monotonic() > give_up:
                raise ClusterError(self._address, "has lost all its workers", hint=_GO_ON)

    def _hands(self) -> int:
        """How many files the cluster can study side by side now."""
        try:
            return sum(self._client.nthreads().values())
        except Exception as error:  # whatever went wrong with the connection
            raise self._gone() from error

    def _gone(self) -> ClusterError:
        return ClusterError(self._address, "is gone", hint=_GO_ON)

    def study_files(
        self, paths: Sequence[Path], progress: Progress | None = None
    ) -> Iterator[tuple[int, Studied | PlannerError]]:
        """Study each file here."""
        return self._local.study_files(paths, progress)

    def profiles_of(
        self, paths: Sequence[Path]
    ) -> Iterator[tuple[int, Sequence[PieceProfile] | PlannerError]]:
        """The studies of all pieces of each file, made here."""
        return self._local.profiles_of(paths)

    def study_corrected(self, path: Path, instruments: Mapping[str, str]) -> PieceProfile:
        """Study one file here, with the instruments of some parts as the director says."""
        return self._local.study_corrected(path, instruments)

    def _outcome(self, future: Any, path: Path) -> Sequence[Studied] | PlannerError:
        """What came of a file.

        Raises:
            ClusterError: If the cluster is lost, or cannot do the work.
        """
        from distributed import KilledWorker

        try:
            found = future.result(timeout=LOST_LIMIT_S)
        except KilledWorker:
            return ScoreReadError(path.name, "every worker of the cluster that read it broke down")
        except (ImportError, AttributeError, RuntimeError) as error:
            raise self._another_program() from error
        except Exception as error:  # cancelled, or the connection is closed: the cluster went away
            raise self._gone() from error
        finally:
            with contextlib.suppress(Exception):
                future.release()
        if not isinstance(found, Refusal):
            studied: Sequence[Studied] = found
            return studied
        if found.kind == "version":
            raise self._another_program()
        return self._error_of(path, found)

    def _another_program(self) -> ClusterError:
        return ClusterError(
            self._address,
            "does not have this program, or has another version of it",
            hint="Install the same version on its scheduler and on every worker.",
        )


_GO_ON = "What was finished is kept; give the same command again to go on, with the cluster or without."


def _connected(address: str) -> Any:
    try:
        import distributed
    except ImportError as error:
        raise ClusterError(
            address,
            "needs a part of this program that is not installed",
            hint='Install it: pip install "planner[cluster]".',
        ) from error
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    try:
        make: Any = distributed.Client
        client = make(address, timeout=CONNECT_LIMIT_S, set_as_default=False)
    except Exception as error:  # a name that is none, nobody there, somebody who speaks otherwise
        raise ClusterError(
            address,
            "cannot be reached",
            hint="Give the address of its scheduler, such as tcp://10.0.0.5:8786.",
        ) from error
    try:
        client.wait_for_workers(1, timeout=CONNECT_LIMIT_S)
    except Exception as error:
        client.close(timeout=CONNECT_LIMIT_S)
        raise ClusterError(address, "has no worker", hint="Start one, then try again.") from error
    return client
