"""What a second worker of a cluster gives: the same scores imported over one worker and over two.

Run: ``python -m tests.benchmarks.cluster [SCORES]`` (default 60), on a machine with at least two cores that
has nothing else to do. Each import goes into a new home over a cluster of its own, with real readers, studies
and database; the workers are warmed by two scores first. Printed are the seconds of each, and the ratio of
the two beside the demand of 1.5.
"""

import argparse
import os
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.bootstrap import Wiring
from planner.config import load_settings
from planner.core.change import Author, Door
from planner.core.job import JobState
from planner.services.imports.import_job import start_import
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.run import run_job
from planner.services.toolbox import changing
from tests.benchmarks.rows import Row, line
from tests.cluster import drawn_scores, local_cluster

DEMAND = 1.5
_WARMING = 2
SCORES = 60


def measure(workers: int, scores: int) -> tuple[float, int]:
    """Seconds that an import over so many workers takes, and how many pieces came of it."""
    paths = drawn_scores(scores + 2 * _WARMING)
    with TemporaryDirectory() as folder, local_cluster(workers, Path(folder)) as cluster:
        tools = Wiring(load_settings(Path(folder) / "home"))
        try:
            _import(tools, paths[: workers * _WARMING], cluster.address)
            began = time.perf_counter()
            added = _import(tools, paths[2 * _WARMING :], cluster.address)
            return time.perf_counter() - began, added
        finally:
            tools.close()


def _import(tools: Wiring, paths: list[Path], address: str) -> int:
    with changing(tools.work) as work:
        job = start_import(work, paths, Author(Door.COMMAND, tools.now()), cluster=address)
    done = run_job(tools, KINDS, job.id)
    assert done.state == JobState.DONE, done
    return int(done.result["added"])


def rows(scores: int = SCORES) -> Iterator[Row]:
    """What the second worker gives."""
    one, pieces = measure(1, scores)
    two, same = measure(2, scores)
    assert pieces == same, "both imports give the same pieces"
    load = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "not known"
    note = f"{pieces} pieces: {one:.1f} and {two:.1f} s; {os.cpu_count()} cores, load {load} at the end"
    yield Row(f"import of {scores} scores: two workers over one", one / two, DEMAND, "ratio", note=note)


def main() -> None:
    """Print the ratio, with the seconds."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("scores", type=int, nargs="?", default=SCORES)
    for row in rows(options.parse_args().scores):
        print(line(row))


if __name__ == "__main__":
    main()
