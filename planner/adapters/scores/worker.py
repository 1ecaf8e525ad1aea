"""Reading and studying files in child processes, so that no file can hang or exhaust the program."""

import os
import queue
import threading
from collections.abc import Callable, Collection, Generator, Iterator, Mapping, Sequence
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import cast

from planner.adapters.children.guard import Child
from planner.adapters.children.messages import Refusal
from planner.adapters.scores.requests import HANDLER, Request
from planner.core.profile import PieceProfile
from planner.core.score import Score
from planner.errors import PlannerError, ScoreReadError, UnsupportedScoreError
from planner.services.ports.scores import Progress, Studied

TIME_LIMIT_S = 60.0
"""Longest a file may take to read and study. Source: house choice, from the brief of the import."""

MEMORY_LIMIT_MB = 1500
"""Address space of a child; what it really holds stays far below (house choice, see the benchmarks)."""


def refusal_error(path: Path, refusal: Refusal) -> ScoreReadError:
    """The error that a refusal stands for."""
    reasons = {
        "memory": "it needs more memory than a score may take",
        "time": f"{refusal.reason} to read",
        "crash": "the process that read it broke down",
        "fault": f"it could not be studied ({refusal.reason})",
    }
    kind = UnsupportedScoreError if refusal.kind == "unsupported" else ScoreReadError
    reason = reasons.get(refusal.kind, refusal.reason)
    error = kind(path.name, reason)
    if refusal.kind == "fault":
        error.hint = "This is a fault of the program, not of the file; the other files are not touched by it."
    return error


class ScoreStudyPool:
    """Reads and studies many files, each in a child process.

    Args:
        study: Turns a score into its profile; a function of an importable module.
        workers: Children at a time; None for one a core.
        time_limit_s: Longest for one file.
        memory_limit_mb: Address space of a child.
    """

    def __init__(
        self,
        study: Callable[[Score], PieceProfile],
        workers: int | None = None,
        time_limit_s: float = TIME_LIMIT_S,
        memory_limit_mb: int = MEMORY_LIMIT_MB,
    ) -> None:
        self._study = study
        self._workers = workers or os.cpu_count() or 1
        self._time_limit_s = time_limit_s
        self._memory_limit_mb = memory_limit_mb

    def study_files(
        self, paths: Sequence[Path], progress: Progress | None = None
    ) -> Iterator[tuple[int, Studied | PlannerError]]:
        """Yield ``(place in paths, study or the error that refused the file)`` as each is finished.

        Closing the iterator early stops the children that are still at work.

        Args:
            paths: The files.
            progress: Called in this thread after each file with how many are done, of how many, and its name.
        """
        requests = [Request(path, self._study, "studied") for path in paths]
        with closing(self._answers(requests)) as answers:
            for done, (index, result) in enumerate(answers, start=1):
                if progress is not None:
                    progress(done, len(paths), paths[index].name)
                if isinstance(result, PlannerError):
                    yield index, result
                else:
                    yield index, Studied(*cast(tuple[PieceProfile, bytes], result))

    def study_pieces(
        self, paths: Sequence[Path], whole: Collection[int] = ()
    ) -> Iterator[tuple[int, Sequence[Studied] | PlannerError]]:
        """As ``study_files``, but each movement or tune of a file by itself; ``whole`` ones stay one."""
        requests = [
            Request(path, self._study, "studied" if at in whole else "apart") for at, path in enumerate(paths)
        ]
        with closing(self._answers(requests)) as answers:
            for index, result in answers:
                if isinstance(result, PlannerError):
                    yield index, result
                elif index in whole:
                    yield index, (Studied(*cast(tuple[PieceProfile, bytes], result)),)
                else:
                    each = cast(tuple[tuple[PieceProfile, bytes, bytes | None], ...], result)
                    yield index, tuple(Studied(*one) for one in each)

    def profiles_of(
        self, paths: Sequence[Path]
    ) -> Iterator[tuple[int, Sequence[PieceProfile] | PlannerError]]:
        """The studies of all pieces of each file, for somebody who only looks: no clean file is written."""
        requests = [Request(path, self._study, "scores") for path in paths]
        with closing(self._answers(requests)) as answers:
            for index, result in answers:
                yield index, cast("Sequence[PieceProfile] | PlannerError", result)

    def _answers(self, requests: Sequence[Request]) -> Generator[tuple[int, object], None, None]:
        """Each request's place and its answer, or the error that refused its file, as each is finished."""
        waiting: queue.SimpleQueue[int] = queue.SimpleQueue()
        finished: queue.SimpleQueue[tuple[int, object]] = queue.SimpleQueue()
        for index in range(len(requests)):
            waiting.put(index)
        halted = threading.Event()
        children = [
            Child(HANDLER, self._time_limit_s, self._memory_limit_mb)
            for _ in range(min(self._workers, len(requests)))
        ]
        for child in children:
            arguments = (child, requests, waiting, finished, halted)
            threading.Thread(target=_serve, args=arguments, daemon=True).start()
        try:
            for _ in requests:
                yield finished.get()
        finally:
            halted.set()
            for child in children:
                child.stop()

    def study_corrected(self, path: Path, instruments: Mapping[str, str]) -> PieceProfile:
        """Study one file with the instruments of some parts as the director says.

        Raises:
            ScoreReadError: If it cannot be read, or not within the limits.
        """
        from planner.study.corrected import study_corrected

        asked = partial(study_corrected, instruments=dict(instruments))
        result = _ask_once(Request(path, asked), self._time_limit_s, self._memory_limit_mb)
        return cast(PieceProfile, result)


def _serve(
    child: Child,
    requests: Sequence[Request],
    waiting: "queue.SimpleQueue[int]",
    finished: "queue.SimpleQueue[tuple[int, object]]",
    halted: threading.Event,
) -> None:
    """Feed one child until no file waits."""
    while not halted.is_set():
        try:
            index = waiting.get_nowait()
        except queue.Empty:
            return
        path = requests[index].path
        try:
            outcome = child.ask(requests[index])
            if isinstance(outcome, Refusal):
                outcome = refusal_error(path, outcome)
        except Exception as error:  # never leave the caller waiting for this file
            outcome = ScoreReadError(path.name, f"it could not be studied ({error})")
        finished.put((index, outcome))


def read_in_child(
    path: Path, *, time_limit_s: float = TIME_LIMIT_S, memory_limit_mb: int = MEMORY_LIMIT_MB
) -> Score:
    """Read one score in a child process.

    Raises:
        ScoreReadError: If it cannot be read, or not within the limits.
    """
    return cast(Score, _ask_once(Request(path), time_limit_s, memory_limit_mb))


def clean_in_child(
    path: Path, *, time_limit_s: float = TIME_LIMIT_S, memory_limit_mb: int = MEMORY_LIMIT_MB
) -> bytes:
    """The clean file of a score, made in a child process; see ``clean``.

    Raises:
        ScoreReadError: If it cannot be read, or not within the limits.
    """
    return cast(bytes, _ask_once(Request(path, want="clean"), time_limit_s, memory_limit_mb))


def _ask_once(request: Request, time_limit_s: float, memory_limit_mb: int) -> object:
    with Child(HANDLER, time_limit_s, memory_limit_mb) as child:
        result = child.ask(request)
    if isinstance(result, Refusal):
        raise refusal_error(request.path, result)
    return result
