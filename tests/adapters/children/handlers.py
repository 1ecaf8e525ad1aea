"""What the children of these tests do: answer, sleep, die, hoard or break down, as the request says."""

import os
import signal
import time


def answer(request: object) -> object:
    """The process and the request, unless the request is to misbehave."""
    if request == "sleep":
        time.sleep(60)
    if request == "die":
        os.kill(os.getpid(), signal.SIGSEGV)
    if request == "hoard":
        return len([bytearray(10**8) for _ in range(1000)])
    if request == "fault":
        raise ValueError("a bug")
    print("x" * 10_000)
    return os.getpid(), request
