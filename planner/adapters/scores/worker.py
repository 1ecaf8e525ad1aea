"""Reading and studying files in child processes, so that no file can hang or exhaust the program.

A child is a fresh interpreter that takes many files; it is killed and replaced
when one takes too long, crashes or leaves too much memory behind. It does not
depend on how this process was started, nor on its threads.
"""

import contextlib
import math
import os
import queue
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import Self, cast

from planner.adapters.scores.child import Answer, Refusal, Request, read_message, write_message
from planner.adapters.scores.reader import PieceFile
from planner.core.profile import PieceProfile
from planner.core.score import Score
from planner.errors import PlannerError, ScoreReadError, UnsupportedScoreError
from planner.services.ports import Progress

TIME_LIMIT_S = 60.0
"""Longest a file may take to read and study. Source: house choice, from the brief of the import."""

MEMORY_LIMIT_MB = 1500
"""Address space of a child; what it really holds stays far below (house choice, see the benchmarks)."""

_START_LIMIT_S = 60.0
_RECYCLE_SHARE = 0.5


class Child:
    """One child process; ``ask`` never waits longer than the time limit."""

    def __init__(self, time_limit_s: float, memory_limit_mb: int) -> None:
        self._time_limit_s = time_limit_s
        self._memory_limit_mb = memory_limit_mb
        self._process: subprocess.Popen[bytes] | None = None
        self._answers: queue.SimpleQueue[object] = queue.SimpleQueue()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def ask(self, request: Request) -> object:
        """What the child makes of a request, or a ``Refusal`` when it runs out of time or dies."""
        try:
            process = self._running()
            assert process.stdin is not None
            write_message(process.stdin, request)
        except (OSError, EOFError):
            self.stop()
            return Refusal("fault", "the reading process could not be started")
        return self._await(self._time_limit_s)

    def stop(self) -> None:
        """End the process, at once."""
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for stream in (process.stdin, process.stdout):
            if stream is not None:
                with contextlib.suppress(OSError):
                    stream.close()

    def _await(self, limit_s: float) -> object:
        try:
            message = self._answers.get(timeout=limit_s)
        except queue.Empty:
            self.stop()
            return Refusal("time", f"it took longer than {limit_s:g} seconds to read")
        if message is None:
            self.stop()
            return Refusal("crash", "the process that read it broke down")
        if isinstance(message, Answer):
            memory_is_high = message.peak_mb > _RECYCLE_SHARE * self._memory_limit_mb
            if memory_is_high or (isinstance(message.result, Refusal) and message.result.kind == "memory"):
                self.stop()
            return message.result
        return message

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is not None and self._process.poll() is None:
            return self._process
        self.stop()
        self._process = _start(self._memory_limit_mb, self._time_limit_s)
        self._answers = queue.SimpleQueue()
        threading.Thread(target=_listen, args=(self._process, self._answers), daemon=True).start()
        if self._await(_START_LIMIT_S) != "ready" or self._process is None:
            raise EOFError
        return self._process


def _start(memory_limit_mb: int, time_limit_s: float) -> subprocess.Popen[bytes]:
    environment = dict(os.environ)
    environment["PYTHONPATH"] = os.pathsep.join(entry for entry in sys.path if entry)
    # One thread each: the files are what runs side by side, and every idle thread takes address space.
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
        environment[name] = "1"
    command = [
        sys.executable, "-m", "planner.adapters.scores.child",
        str(memory_limit_mb), str(math.ceil(time_limit_s)),
    ]  # fmt: skip
    return subprocess.Popen(  # noqa: S603 (our own interpreter and module)
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=environment,
        start_new_session=True,
    )


def _listen(process: subprocess.Popen[bytes], answers: "queue.SimpleQueue[object]") -> None:
    """Pass on what a child says; None when it says no more."""
    assert process.stdout is not None
    try:
        while True:
            answers.put(read_message(process.stdout))
    except Exception:  # whatever went wrong with the stream, the child is of no more use
        answers.put(None)


def refusal_error(path: Path, refusal: Refusal) -> ScoreReadError:
    """The error that a refusal stands for."""
    reasons = {
        "memory": "it needs more memory than a score may take",
        "fault": f"it could not be studied ({refusal.reason})",
    }
    kind = UnsupportedScoreError if refusal.kind == "unsupported" else ScoreReadError
    reason = reasons.get(refusal.kind, refusal.reason)
    error = kind(path.name, reason, measure=refusal.measure, part=refusal.part)
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
    ) -> Iterator[tuple[int, PieceProfile | PlannerError]]:
        """Yield ``(place in paths, profile or the error that refused the file)`` as each is finished.

        Closing the iterator early stops the children that are still at work.

        Args:
            paths: The files.
            progress: Called in this thread after each file with how many are done, of how many, and its name.
        """
        waiting: queue.SimpleQueue[int] = queue.SimpleQueue()
        finished: queue.SimpleQueue[tuple[int, PieceProfile | PlannerError]] = queue.SimpleQueue()
        for index in range(len(paths)):
            waiting.put(index)
        requests = [Request(path, self._study) for path in paths]
        halted = threading.Event()
        children = [
            Child(self._time_limit_s, self._memory_limit_mb) for _ in range(min(self._workers, len(paths)))
        ]
        for child in children:
            arguments = (child, requests, waiting, finished, halted)
            threading.Thread(target=_serve, args=arguments, daemon=True).start()
        try:
            for done in range(1, len(paths) + 1):
                index, outcome = finished.get()
                if progress is not None:
                    progress(done, len(paths), paths[index].name)
                yield index, outcome
        finally:
            halted.set()
            for child in children:
                child.stop()

    def study_by_hand(self, path: Path, instruments: Mapping[str, str]) -> PieceProfile:
        """Study one file with the instruments of some parts as the director says.

        Raises:
            ScoreReadError: If it cannot be read, or not within the limits.
        """
        from planner.study.corrected import study_by_hand

        asked = partial(study_by_hand, instruments=dict(instruments))
        result = _ask_once(Request(path, asked), self._time_limit_s, self._memory_limit_mb)
        return cast(PieceProfile, result)


def _serve(
    child: Child,
    requests: Sequence[Request],
    waiting: "queue.SimpleQueue[int]",
    finished: "queue.SimpleQueue[tuple[int, PieceProfile | PlannerError]]",
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
            result = child.ask(requests[index])
            if isinstance(result, Refusal):
                result = refusal_error(path, result)
        except Exception as error:  # never leave the caller waiting for this file
            result = ScoreReadError(path.name, f"it could not be studied ({error})")
        finished.put((index, cast(PieceProfile | PlannerError, result)))


def read_in_child(
    path: Path, *, time_limit_s: float = TIME_LIMIT_S, memory_limit_mb: int = MEMORY_LIMIT_MB
) -> Score:
    """Read one score in a child process.

    Raises:
        ScoreReadError: If it cannot be read, or not within the limits.
    """
    return cast(Score, _ask_once(Request(path), time_limit_s, memory_limit_mb))


def pieces_in_child(
    path: Path, *, time_limit_s: float = TIME_LIMIT_S, memory_limit_mb: int = MEMORY_LIMIT_MB
) -> tuple[PieceFile, ...]:
    """Cut a file into its movements or tunes, in a child process: each as a MusicXML file of its own.

    Raises:
        ScoreReadError: If it cannot be read, or not within the limits.
    """
    result = _ask_once(Request(path, want="pieces"), time_limit_s, memory_limit_mb)
    return cast(tuple[PieceFile, ...], result)


def _ask_once(request: Request, time_limit_s: float, memory_limit_mb: int) -> object:
    with Child(time_limit_s, memory_limit_mb) as child:
        result = child.ask(request)
    if isinstance(result, Refusal):
        raise refusal_error(request.path, result)
    return result
