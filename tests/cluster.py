"""A local cluster for tests and benchmarks: a scheduler and worker processes of their own, over TCP.

The processes are started as a district would start them, so that one can be killed without the others.
"""

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.reference import reference_data

_START_LIMIT_S = 120.0


@dataclass
class LocalCluster:
    """A running cluster.

    Attributes:
        address: Of its scheduler.
        scheduler: Its process.
        workers: Its worker processes.
    """

    address: str
    scheduler: subprocess.Popen[bytes]
    workers: list[subprocess.Popen[bytes]] = field(default_factory=list)

    def kill_worker(self) -> None:
        """End one worker at once, as a machine that is switched off."""
        _kill(self.workers.pop())

    def end(self) -> None:
        """End it all at once."""
        for process in (self.scheduler, *self.workers):
            _kill(process)


def _kill(process: subprocess.Popen[bytes]) -> None:
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


@contextmanager
def local_cluster(workers: int, folder: Path) -> Iterator[LocalCluster]:
    """A scheduler and so many workers with one hand each; their logs and spare files go into the folder."""
    processes: list[subprocess.Popen[bytes]] = []
    log = folder / "scheduler.log"
    try:
        processes.append(_start(folder, log, "scheduler", "--host", "127.0.0.1", "--port", "0"))
        cluster = LocalCluster(_address(log), processes[0])
        for number in range(workers):
            place = folder / f"worker-{number}.log"
            hand = ("--nthreads", "1", "--no-nanny", "--memory-limit", "0", "--local-directory", str(folder))
            process = _start(folder, place, "worker", cluster.address, *hand)
            processes.append(process)
            cluster.workers.append(process)
        yield cluster
    finally:
        for process in reversed(processes):
            _kill(process)


def _start(folder: Path, log: Path, kind: str, *arguments: str) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", f"distributed.cli.dask_{kind}", *arguments, "--no-dashboard"]
    environment = os.environ | {"PYTHONPATH": str(Path(__file__).resolve().parents[1])}
    with log.open("wb") as target:
        return subprocess.Popen(
            command, stdout=target, stderr=target, cwd=folder, env=environment, start_new_session=True
        )


def _address(log: Path) -> str:
    """The address that a scheduler says it answers at."""
    give_up = time.monotonic() + _START_LIMIT_S
    while time.monotonic() < give_up:
        found = re.search(r"Scheduler at:\s+(tcp://\S+)", log.read_text(errors="replace"))
        if found:
            return found[1]
        time.sleep(0.2)
    raise AssertionError(f"the scheduler did not start: {log.read_text(errors='replace')}")


SUFFIXES = (".mxl", ".musicxml", ".xml", ".krn", ".abc", ".mei")
LARGEST = 200_000
"""Bytes of the largest file drawn: two hundred of them are read within minutes."""


def drawn_scores(count: int) -> Sequence[Path]:
    """So many score files, the sample library first, the others drawn evenly over the reference data."""
    from planner.config import packaged

    own = sorted(packaged("sample_library").glob("*.mxl"))
    others = [
        path
        for path in sorted(reference_data().rglob("*"))
        if path.suffix in SUFFIXES and path.stat().st_size <= LARGEST
    ]
    wanted = max(0, count - len(own))
    step = max(1, len(others) // max(1, wanted))
    return [*own, *others[::step]][:count]
