"""How many commands killed at a random moment left a home that is not whole: none.

Run: ``python -m tests.benchmarks.kills [--kills 40] [--seed 7] [import plan guides results backup restore]``.
Prints for each command how many kills came before it had changed anything, on its way, and after; it stops at
the first home that is not whole.
"""

import argparse
import random
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.config import packaged
from planner.services.demo import run_demo
from tests.benchmarks.rows import Row, line
from tests.conftest import DEMO_PIECES, wired
from tests.killing import KILLS, deeds, kill_at_random, prepare


def make_demo_home(folder: Path) -> Path:
    """A home in which the demo ran with a handful of sample pieces."""
    scores = folder / "scores"
    scores.mkdir()
    for name in DEMO_PIECES:
        shutil.copy(packaged("sample_library") / f"{name}.mxl", scores)
    tools = wired(folder / "demo")
    run_demo(tools, scores, lambda *_: None)
    tools.close()
    return folder / "demo"


def rows(names: Sequence[str] = (), kills: int = KILLS, seed: int = 7) -> Iterator[Row]:
    """For each command how many homes were whole after its kills; a home that is not ends the run."""
    dice = random.Random(seed)
    with TemporaryDirectory() as name:
        folder = Path(name)
        prepared = prepare(make_demo_home(folder), folder / "prepared")
        for deed in deeds(prepared):
            if not names or deed.name in names:
                tally = kill_at_random(deed, prepared, folder, kills, dice)
                note = f"{tally.before} before a change, {tally.on_the_way} on its way, {tally.after} after"
                yield Row(f"{deed.name}, killed: homes that are whole", tally.kills, kills, "", note=note)


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("names", nargs="*")
    options.add_argument("--kills", type=int, default=KILLS)
    options.add_argument("--seed", type=int, default=7)
    given = options.parse_args()
    for row in rows(given.names, given.kills, given.seed):
        print(line(row), flush=True)


if __name__ == "__main__":
    main()
