"""How long the largest gradebook takes to be written, in seconds of the processor.

``python -m tests.benchmarks.gradebook`` prints it.
"""

from pathlib import Path
from tempfile import TemporaryDirectory
from time import process_time

from planner.adapters.exports.gradebook.workbook import GradebookWorkbook
from tests.adapters.exports.views import make_full_gradebook

PLAYERS, DAYS = 150, 40
MOST_SECONDS = 5.0
"""Of the processor, for a gradebook of so many players and days. Source: the demand on this workbook."""


def seconds() -> float:
    """What writing it takes."""
    sheet = make_full_gradebook(PLAYERS, DAYS)
    with TemporaryDirectory() as folder:
        before = process_time()
        GradebookWorkbook().write(sheet, Path(folder) / "gradebook.xlsx")
        return process_time() - before


if __name__ == "__main__":
    print(f"{PLAYERS} players, {DAYS} days: {seconds():.1f} s of {MOST_SECONDS:g}")
