"""A job in hand is seen by every program, and let go when its program dies."""

import subprocess
import sys

from planner.adapters.store.locks import FolderLocks

HOLD = """
import sys, pathlib
from planner.adapters.store.locks import FolderLocks
with FolderLocks(pathlib.Path(sys.argv[1])).hold(3) as is_ours:
    print(is_ours, flush=True)
    sys.stdin.read()
"""


def test_a_job_is_held_by_one_and_free_afterwards(tmp_path):
    locks = FolderLocks(tmp_path / "locks")
    assert not locks.is_held(3)
    with locks.hold(3) as is_ours:
        assert is_ours
        assert locks.is_held(3)
        assert not locks.is_held(4)
        with FolderLocks(tmp_path / "locks").hold(3) as is_theirs:
            assert not is_theirs
        assert locks.is_held(3)
    assert not locks.is_held(3)


def test_a_killed_program_lets_go(tmp_path):
    command = [sys.executable, "-c", HOLD, str(tmp_path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout.readline().strip() == "True"
        assert FolderLocks(tmp_path).is_held(3)
        other.kill()
        other.wait()
    assert not FolderLocks(tmp_path).is_held(3)
    with FolderLocks(tmp_path).hold(3) as is_ours:
        assert is_ours
