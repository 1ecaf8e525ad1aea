"""While a backup is put back no long work begins: what it would store does not belong into that library."""

from collections.abc import Iterator
from contextlib import contextmanager

from planner.errors import ConflictError, HomeError
from planner.services.ports.records import JobLocks

RESTORE = 0
"""Number under which the locks hold that a backup is put back; no job has it."""


@contextmanager
def nothing_begins(locks: JobLocks) -> Iterator[None]:
    """Keep long work from beginning; what is under way already is for the caller to look for, within.

    Raises:
        ConflictError: If a backup is put back already.
    """
    with locks.hold(RESTORE) as is_ours:
        if not is_ours:
            raise ConflictError("A backup is being put back already.", hint="Wait until it is done.")
        yield


def check_may_begin(locks: JobLocks) -> None:
    """Let a job that is in hand go on unless a backup is put back.

    Whoever puts one back holds that lock before looking at the jobs, and a job is in hand before this is
    asked: one of the two notices the other.

    Raises:
        HomeError: If one is.
    """
    if locks.is_held(RESTORE):
        raise HomeError(
            "of this home", "is being put back from a backup", hint="Try again once that is done."
        )
