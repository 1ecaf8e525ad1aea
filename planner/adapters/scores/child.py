"""The process that reads and studies files for another: ``python -m planner.adapters.scores.child``.

It takes pickled requests on standard input and answers on standard output, one
by one, within a limit of memory and a dead-man's timer. Nothing else ever goes to
that output: whatever a library prints is sent to standard error.
"""

import contextlib
import os
import pickle
import signal
import struct
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Literal

from planner.adapters.scores.reader import read_score, split_pieces
from planner.core.score import Score
from planner.errors import PlannerError, ScoreReadError

_HEADER = struct.Struct("<Q")
MEMORY_WORD = "out of memory"


@dataclass(frozen=True, slots=True)
class Request:
    """What to do with ``path``: read it and study the ``score``, or cut it into its ``pieces``.

    ``study`` is applied to the score when it is given.
    """

    path: Path
    study: Callable[[Score], object] | None = None
    want: Literal["score", "pieces"] = "score"


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a file was refused, as plain facts: the exception itself does not travel.

    ``kind`` is ``score``, ``unsupported``, ``memory`` or ``fault``.
    """

    kind: str
    reason: str
    measure: str = ""
    part: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of a request; ``peak_mb`` is the largest memory the process has held so far."""

    result: object
    peak_mb: float


def write_message(stream: IO[bytes], message: object) -> None:
    """Send one message."""
    data = pickle.dumps(message, protocol=pickle.HIGHEST_PROTOCOL)
    stream.write(_HEADER.pack(len(data)) + data)
    stream.flush()


def read_message(stream: IO[bytes]) -> object:
    """Receive one message.

    Raises:
        EOFError: If the other side is gone.
    """
    header = stream.read(_HEADER.size)
    if len(header) < _HEADER.size:
        raise EOFError
    (size,) = _HEADER.unpack(header)
    data = stream.read(size)
    if len(data) < size:
        raise EOFError
    return pickle.loads(data)  # noqa: S301 (our own child or parent wrote it)


def answer(request: Request) -> object:
    """A ``Score``, whatever the study returned, the pieces, or a ``Refusal``."""
    try:
        if request.want == "pieces":
            return split_pieces(request.path)
        score = read_score(request.path)
        return score if request.study is None else request.study(score)
    except ScoreReadError as error:
        kind = "unsupported" if error.slug == "score-unsupported" else "score"
        return Refusal(kind, error.reason, error.measure, error.part)
    except PlannerError as error:
        return Refusal("score", error.message.rstrip("."))
    except MemoryError:
        return Refusal("memory", MEMORY_WORD)
    except RecursionError:
        return Refusal("score", "it nests too deep")
    except Exception as error:  # a bug of ours must refuse one file, not stop the import
        return Refusal("fault", f"{type(error).__name__}: {error}")


def limit_memory(megabytes: int) -> None:
    """Let this process hold no more address space than so many megabytes, where the system can."""
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        limit = megabytes * 2**20
        resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


def peak_mb() -> float:
    """Largest resident memory of this process so far, in megabytes; 0 where the system does not say."""
    try:
        import resource
    except ImportError:
        return 0.0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 2**20 if sys.platform == "darwin" else peak / 2**10


def _arm(seconds: int) -> None:
    if hasattr(signal, "alarm"):
        signal.alarm(seconds)


def main(memory_limit_mb: int, time_limit_s: int) -> None:
    """Answer requests until the other side closes.

    The timer is a little longer than the parent's: it ends a child whose parent was killed.
    """
    source = sys.stdin.buffer
    target = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    limit_memory(memory_limit_mb)
    write_message(target, "ready")
    with contextlib.suppress(EOFError, BrokenPipeError):
        while True:
            request = read_message(source)
            assert isinstance(request, Request)
            _arm(time_limit_s + 5)
            result = answer(request)
            _arm(0)
            write_message(target, Answer(result, peak_mb()))


if __name__ == "__main__":
    # Under its importable name, so that pickled requests and answers find the same classes.
    from planner.adapters.scores import child

    child.main(int(sys.argv[1]), int(sys.argv[2]))
