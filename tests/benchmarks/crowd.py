"""Many at once: commands that add scores to one home, requests to the pages of a big library.

Run: ``python -m tests.benchmarks.crowd [add pages] [--pieces 5000]``. Prints how many of ten parallel
``planner add`` were done and what of their scores is stored (all of it), how many of 200 requests sent at the
same moment are answered (all), how long the slowest waited, and the most memory that the server took (at most
350 MB), in megabytes of 2 ** 20 bytes.
"""

import argparse
import http.client
import os
import random
import re
import shutil
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.adapters.db import open_library
from planner.adapters.store import Home
from planner.config import packaged
from tests.benchmarks.library import fill

ROOT = Path(__file__).resolve().parents[2]
COMMANDS, REQUESTS = 10, 200
MEMORY_DEMAND_MB = 350
PAGES = (
    "/", "/library/", "/library/?text=march&order=level", "/library/?offset=2000", "/library/?fresh=1",
    "/library/7", "/library/7/levels", "/sections/", "/match/", "/gradebook/", "/changes/", "/jobs/",
    "/backups/",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Added:
    """What came of commands that add scores at the same time."""

    codes: tuple[int, ...]
    wanted: frozenset[str]
    stored: frozenset[str]


def add_at_once(home: Path, commands: int = COMMANDS, each: int = 3) -> Added:
    """Start so many ``planner add`` on a home that is not there yet; each shares a score with the next."""
    scores = sorted(packaged("sample_library").glob("*.mxl"))
    shares = [scores[2 * number : 2 * number + each] for number in range(commands)]
    runs = [
        subprocess.Popen(
            [sys.executable, "-m", "planner", "add", *map(str, share), "--home", str(home)],
            cwd=ROOT,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for share in shares
    ]
    codes = tuple(run.wait() for run in runs)
    with closing(sqlite3.connect(home / "library.sqlite")) as connection:
        stored = frozenset(name for (name,) in connection.execute("SELECT name FROM source_files"))
    return Added(codes, frozenset(path.name for share in shares for path in share), stored)


@contextmanager
def served(home: Path) -> Iterator[tuple[int, int]]:
    """The pages of a home, served by the real command: the port and the process."""
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    argv = [sys.executable, "-m", "planner", "serve", "--port", str(port), "--home", str(home)]
    server = subprocess.Popen(argv, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        for _ in range(600):
            with closing(socket.socket()) as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield port, server.pid
    finally:
        server.terminate()
        server.wait()


def ask_at_once(
    port: int, requests: int = REQUESTS, pages: tuple[str, ...] = PAGES
) -> list[tuple[int, float]]:
    """Send so many requests at the same moment: the status and the seconds of each; 0 where none answered."""
    start = threading.Barrier(requests)

    def ask(number: int) -> tuple[int, float]:
        start.wait()
        began = time.monotonic()
        try:
            with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=300)) as connection:
                connection.request("GET", pages[number % len(pages)])
                answer = connection.getresponse()
                answer.read()
                return answer.status, time.monotonic() - began
        except OSError:
            return 0, time.monotonic() - began

    with ThreadPoolExecutor(requests) as pool:
        return list(pool.map(ask, range(requests)))


def most_memory_mb(process: int) -> float:
    """The most memory a process ever had resident (Linux)."""
    status = Path(f"/proc/{process}/status").read_text()
    return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1]) / 1024  # type: ignore[index]


def big_home(folder: Path, pieces: int) -> Path:
    """A home with so many pieces, their clean scores all the same one."""
    home = Home(folder / "home")
    with open_library(home.library) as library:
        fill(library, pieces, random.Random(5))
    home.scores.mkdir()
    shutil.copy(packaged("sample_library") / "aura-lee.mxl", home.scores / f"{7:064x}.mxl")
    return home.folder


def main() -> None:
    """Print the figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("names", nargs="*", default=["add", "pages"])
    options.add_argument("--pieces", type=int, default=5000)
    given = options.parse_args()
    with TemporaryDirectory() as folder:
        if "add" in given.names:
            added = add_at_once(Path(folder) / "new")
            done, lost = added.codes.count(0), len(added.wanted - added.stored)
            print(
                f"{COMMANDS} parallel planner add: {done} done, {lost} of {len(added.wanted)} scores lost",
                flush=True,
            )
        if "pages" in given.names:
            home = big_home(Path(folder), given.pieces)
            with served(home) as (port, process):
                at_rest = most_memory_mb(process)
                answers = ask_at_once(port, REQUESTS)
                memory = most_memory_mb(process)
            good = sum(status == 200 for status, _ in answers)
            slowest = max(seconds for _, seconds in answers)
            asked = f"{REQUESTS} requests at once, {given.pieces} pieces"
            print(f"{asked}: {good} answered, slowest after {slowest:.1f} s")
            print(f"{sorted({status for status, _ in answers})} {os.cpu_count()} cores")
            verdict = "met" if memory <= MEMORY_DEMAND_MB else "NOT MET"
            print(f"memory of the server: {at_rest:.0f} MB at rest, {memory:.0f} MB at most: {verdict}")


if __name__ == "__main__":
    main()
