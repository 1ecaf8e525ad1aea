"""The process that works for another: ``python -m planner.adapters.children.child handler MB seconds``.

The handler, a ``module:function``, answers requests. They come pickled on standard input and are
answered on standard output, one by one, within a limit of memory and a dead-man's
timer. Nothing else ever goes to that output: whatever a library prints is sent to
standard error.
"""

import contextlib
import os
import signal
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

from planner.adapters.children.messages import Answer, Refusal, read_message, write_message

Handler = Callable[[object], object]


def handler_named(name: str) -> Handler:
    """The function that ``module:function`` names."""
    module, _, function = name.partition(":")
    found: Handler = getattr(import_module(module), function)
    return found


def guarded(handler: Handler, request: object) -> object:
    """What the handler answers, or a ``Refusal`` of the one request that it broke down at."""
    try:
        return handler(request)
    except MemoryError:
        return Refusal("memory", "out of memory")
    except RecursionError:
        return Refusal("score", "it nests too deep")
    except Exception as error:  # a bug of ours must refuse one request, not stop the work
        return Refusal("fault", f"{type(error).__name__}: {error}")


def limit_memory(megabytes: int) -> None:
    """Let this process hold no more address space than so many megabytes, where the system can."""
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        limit = megabytes * 2**20
        resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def peak_mb() -> float:
    """Largest resident memory of this process so far, in megabytes; 0 where the system does not say.

    Linux is asked for the mark of this program alone: the other count begins with the size
    of the process that started it.
    """
    with contextlib.suppress(OSError, ValueError, IndexError):
        for line in Path("/proc/self/status").read_text().splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 2**10
    try:
        import resource
    except ImportError:
        return 0.0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 2**20 if sys.platform == "darwin" else peak / 2**10


def _arm(seconds: int) -> None:
    if hasattr(signal, "alarm"):
        signal.alarm(seconds)


def main(name: str, memory_limit_mb: int, time_limit_s: int) -> None:
    """Answer requests until the other side closes.

    The timer is a little longer than the parent's: it ends a child whose parent was killed.
    """
    source = sys.stdin.buffer
    target = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    limit_memory(memory_limit_mb)
    handler = handler_named(name)
    write_message(target, "ready")
    with contextlib.suppress(EOFError, BrokenPipeError):
        while True:
            request = read_message(source)
            _arm(time_limit_s + 5)
            result = guarded(handler, request)
            _arm(0)
            write_message(target, Answer(result, peak_mb()))


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
