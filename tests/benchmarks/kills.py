"""How many commands killed at a random moment left a home that is not whole: none.

Run: ``python -m tests.benchmarks.kills [--kills 40] [--seed 7] [import plan guides results backup restore]``.
Prints for each command how many kills came before it had changed anything, on its way, and after; it stops at
the first home that is not whole.
"""

import argparse
import random
import shutil
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.config import packaged
from planner.services.demo import run_demo
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


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("names", nargs="*")
    options.add_argument("--kills", type=int, default=KILLS)
    options.add_argument("--seed", type=int, default=7)
    given = options.parse_args()
    dice = random.Random(given.seed)
    with TemporaryDirectory() as name:
        folder = Path(name)
        prepared = prepare(make_demo_home(folder), folder / "prepared")
        print(
            f"{'command':10} {'kills':>6} {'before':>7} {'on its way':>11} {'after':>6}   every home whole",
            flush=True,
        )
        for deed in deeds(prepared):
            if not given.names or deed.name in given.names:
                tally = kill_at_random(deed, prepared, folder, given.kills, dice)
                counts = f"{tally.kills:6} {tally.before:7} {tally.on_the_way:11} {tally.after:6}"
                print(f"{deed.name:10} {counts}   yes", flush=True)


if __name__ == "__main__":
    main()
