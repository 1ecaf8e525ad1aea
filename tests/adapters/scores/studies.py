"""Stand-ins for the study, which the children of the worker tests import."""

import os
import sys
import time

from planner.core.score import Score


def sleep_on_slow(score: Score) -> str:
    """The title, after an hour when it is "slow": longer than any limit."""
    if score.title == "slow":
        time.sleep(3600)
    return score.title


def title_of(score: Score) -> str:
    """The title."""
    return score.title


def die_on_a(score: Score) -> str:
    """The title, unless it is "A": then the process ends without a word."""
    if score.title == "A":
        os._exit(9)
    return score.title


def hoard_on_big(score: Score) -> str:
    """The title, unless it is "big": then all the memory there is."""
    if score.title == "big":
        kept = [bytearray(10**8) for _ in range(1000)]
        return str(len(kept))
    return score.title


def print_much(score: Score) -> str:
    """The title, after writing to standard output, which must not disturb the answers."""
    print("x" * 100_000)
    return score.title


def what_is_loaded(_score: Score) -> str:
    """The names of all modules the child has loaded, a line each."""
    return "\n".join(sys.modules)
