"""Many at once: commands that add scores to one home, requests to the pages of a big library.

Run: ``python -m tests.benchmarks.crowd [add pages] [--pieces 5000]``. Prints how many of ten parallel
``planner add`` were done and what of their scores is stored (all of it), how many of 200 requests sent at the
same moment are answered (all), how long the slowest waited, and the most memory that the server took (at most
350 MB), in megabytes of 2 ** 20 bytes.
"""

import argparse
import http.client
import random
import re
import shutil
import socket
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.adapters.db import open_library
from planner.adapters.store import Home
from planner.config import packaged
from tests.benchmarks.library import fill
from tests.benchmarks.rows import Row, line

ROOT = Path(__file__).resolve().parents[2]
COMMANDS, REQUESTS, PIECES = 10, 200, 5000
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


def add_rows(folder: Path) -> Iterator[Row]:
    """What comes of commands that add scores to one new home."""
    added = add_at_once(folder / "new")
    name = f"{COMMANDS} planner add at once"
    yield Row(f"{name}: done", added.codes.count(0), COMMANDS, "")
    lost = len(added.wanted - added.stored)
    yield Row(f"{name}: scores lost", lost, 0, "", True, f"of {len(added.wanted)}")


def page_rows(folder: Path, pieces: int) -> Iterator[Row]:
    """What comes of requests at the same moment."""
    home = big_home(folder, pieces)
    with served(home) as (port, process):
        at_rest = most_memory_mb(process)
        answers = ask_at_once(port, REQUESTS)
        memory = most_memory_mb(process)
    name = f"{REQUESTS} requests at once, {pieces:,} pieces"
    yield Row(f"{name}: answered", sum(status == 200 for status, _ in answers), REQUESTS, "")
    yield Row(f"{name}: slowest", max(seconds for _, seconds in answers), None, "s")
    yield Row(f"{name}: memory of the server", memory, MEMORY_DEMAND_MB, "MB", True, f"{at_rest:.0f} at rest")


def rows(pieces: int = PIECES, names: Sequence[str] = ("add", "pages")) -> Iterator[Row]:
    """Both, or one of them."""
    with TemporaryDirectory() as folder:
        if "add" in names:
            yield from add_rows(Path(folder))
        if "pages" in names:
            yield from page_rows(Path(folder), pieces)


def main() -> None:
    """Print the figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("names", nargs="*", default=["add", "pages"])
    options.add_argument("--pieces", type=int, default=PIECES)
    given = options.parse_args()
    for row in rows(given.pieces, given.names):
        print(line(row), flush=True)


if __name__ == "__main__":
    main()
