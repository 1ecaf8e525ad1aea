"""Keeping a child process: it is started when first asked, killed when it takes too long, and replaced.

A child is a fresh interpreter that takes many requests. It does not depend on how
this process was started, nor on its threads.
"""

import contextlib
import math
import os
import queue
import subprocess
import sys
import threading
from types import TracebackType
from typing import Self

from planner.adapters.children.messages import Answer, Refusal, read_message, write_message

_START_LIMIT_S = 60.0
_RECYCLE_SHARE = 0.5
"""Share of its memory limit above which a child is replaced after an answer. Source: house choice."""


class Child:
    """One child process; ``ask`` never waits longer than the time limit, its start aside.

    Args:
        handler: ``module:function`` that answers in the child.
        time_limit_s: Longest for one request.
        memory_limit_mb: Address space of the child.
    """

    def __init__(self, handler: str, time_limit_s: float, memory_limit_mb: int) -> None:
        self._handler = handler
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

    def ask(self, request: object) -> object:
        """What the child makes of a request, or a ``Refusal`` when it runs out of time or dies."""
        try:
            process = self._running()
            assert process.stdin is not None
            write_message(process.stdin, request)
        except (OSError, EOFError, ValueError):
            self.stop()
            return Refusal("fault", "the process for it could not be started")
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
            return Refusal("time", f"it took longer than {limit_s:g} seconds")
        if message is None:
            self.stop()
            return Refusal("crash", "the process that worked on it broke down")
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
        self._process = _start(self._handler, self._memory_limit_mb, self._time_limit_s)
        self._answers = queue.SimpleQueue()
        threading.Thread(target=_listen, args=(self._process, self._answers), daemon=True).start()
        if self._await(_START_LIMIT_S) != "ready" or self._process is None:
            raise EOFError
        return self._process


def _start(handler: str, memory_limit_mb: int, time_limit_s: float) -> subprocess.Popen[bytes]:
    environment = dict(os.environ)
    environment["PYTHONPATH"] = os.pathsep.join(entry for entry in sys.path if entry)
    # One thread each: the files are what runs side by side, and every idle thread takes address space.
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
        environment[name] = "1"
    command = [
        sys.executable, "-m", "planner.adapters.children.child",
        handler, str(memory_limit_mb), str(math.ceil(time_limit_s)),
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
