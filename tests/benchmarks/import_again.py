"""What a second import of an unchanged folder costs beside the first.

Run: ``python -m tests.benchmarks.import_again [FOLDER]`` (default: the sample library). Both
imports use the real reader, study, database and file store in a new home.
"""

import argparse
import time
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.bootstrap import Wiring
from planner.config import load_settings, packaged
from planner.services.imports.import_scores import import_paths

DEMAND = 0.02


def measure(folder: Path) -> tuple[float, float, int]:
    """Seconds of the first and of the second import, and how many pieces there are."""
    with TemporaryDirectory() as home:
        tools = Wiring(load_settings(Path(home)))
        tools.work  # noqa: B018  the library is opened before the clock starts
        seconds = []
        for _ in range(2):
            began = time.perf_counter()
            report = import_paths(
                [folder],
                source=tools.studies,
                files=tools.files,
                open_work=tools.work,
                today=date(2026, 9, 3),
            )
            seconds.append(time.perf_counter() - began)
        assert not report.added
        return seconds[0], seconds[1], len(report.unchanged)


def main() -> None:
    """Print the ratio."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("folder", type=Path, nargs="?", default=packaged("sample_library"))
    first, second, pieces = measure(options.parse_args().folder)
    ratio = second / first
    print(f"{pieces} pieces: first import {first:.2f} s, second {second:.3f} s, ratio {ratio:.4f}; "
          f"demand {DEMAND:g}: {'met' if ratio <= DEMAND else 'NOT MET'}")  # fmt: skip


if __name__ == "__main__":
    main()
