"""How long a catalog of 5,000 pieces takes, in and out, as a workbook and as text.

Run: ``python -m tests.benchmarks.catalogue [--pieces 5000]``. Everything is real: files, database, journal.
Each figure is seconds from the file to the stored library, or from the library to the file; the demand is
20 s. Beside it stands the processor time, which a busy machine does not stretch.
"""

import argparse
import random
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.bootstrap import Wiring
from planner.config import load_settings
from planner.core.change import Author, Door
from planner.core.ensemble import Ensemble, Section
from planner.core.table import TableChoice
from planner.services.catalogue.columns import guess_columns
from planner.services.catalogue.give_out import give_out_catalogue
from planner.services.catalogue.preview import preview
from planner.services.catalogue.store import Stored, store_rows
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.toolbox import changing
from tests.benchmarks.rows import Row

DEMAND_S = 20.0
PIECES = 5000
BY = Author(Door.COMMAND, datetime(2026, 9, 3, tzinfo=UTC))
TODAY = date(2026, 9, 3)
PARTS = (
    "Flute; Oboe; Clarinet 1; Clarinet 2; Clarinet 3; Bass Clarinet; Alto Saxophone 1; Alto Saxophone 2; "
    "Trumpet 1; Trumpet 2; Horn in F; Trombone; Euphonium; Tuba; Snare Drum; Bass Drum"
)
HEADINGS = ("Title", "Composer", "Grade", "Key", "Meter", "Minutes", "Parts", "Copies", "Shelf", "Remarks")


def invented_rows(pieces: int) -> list[list[str | float | None]]:
    """A list as a director may keep it, the same every time."""
    chance = random.Random(11)
    return [
        list(HEADINGS),
        *([
            f"Piece {number}", f"Composer {number % 400}", chance.choice([1.0, 2.5, 4.0, ""]),
            chance.choice(["Bb major", "Eb major; C minor", "F"]), chance.choice(["4/4", "6/8; 2/4", ""]),
            chance.choice([2.5, 3.25, 4.0]), PARTS, "Flute=4; Tuba=2", f"B-{number:04d}",
            "bought second hand\ntwo parts torn" if number % 3 else "",
        ] for number in range(pieces)),
    ]  # fmt: skip


def take_in(tools: Wiring, path: Path) -> Stored:
    """The whole way of a list: read, looked at, stored."""
    table = tools.tables.read(path, TableChoice())
    with changing(tools.work) as work:
        found = preview(work, table, guess_columns(table))
        assert not found.refused, found.refused[:3]
        return store_rows(work, found, path.name, BY, TODAY)


def timed(job: Callable[[], object]) -> tuple[float, float, object]:
    """Wall-clock and processor seconds of a job, and what came of it."""
    wall, cpu = time.perf_counter(), time.process_time()
    result = job()
    return time.perf_counter() - wall, time.process_time() - cpu, result


def rows(pieces: int = PIECES) -> Iterator[Row]:
    """The figures, each kind of file in a home of its own."""
    for form in (".xlsx", ".csv"):
        with TemporaryDirectory() as folder:
            tools = Wiring(load_settings(Path(folder) / "home"), today=lambda: TODAY)
            try:
                yield from _of_form(tools, Path(folder), form, pieces)
            finally:
                tools.close()


def _of_form(tools: Wiring, folder: Path, form: str, pieces: int) -> Iterator[Row]:
    source, given = folder / f"list{form}", folder / f"catalog{form}"
    writer = next(each for each in tools.table_writers if each.suffix == form)
    writer.write("List", invented_rows(pieces), source)
    with changing(tools.work) as work:
        work.ensembles.add(Ensemble(0, "Band", "band", (Section(0, "Flute", "flute"),)))
    wall, cpu, stored = timed(lambda: take_in(tools, source))
    assert isinstance(stored, Stored)
    assert len(stored.new) == pieces
    yield _row(f"{pieces:,} new rows of {form} read, looked at and stored", wall, cpu)
    with tools.work() as work:
        wall, cpu, _ = timed(lambda: give_out_catalogue(work, tools.table_writers, given))
    yield _row(f"{pieces:,} pieces given out as {form}", wall, cpu)
    wall, cpu, again = timed(lambda: take_in(tools, given))
    assert isinstance(again, Stored)
    assert again.change_id is None, "what was given out changes nothing"
    yield _row(f"{pieces:,} unchanged rows of {form} taken in again", wall, cpu)
    if form == ".csv":
        change_id, means = stored.change_id, Means(tools.files, tools.studies)
        assert change_id is not None
        with changing(tools.work) as work:
            wall, cpu, _ = timed(lambda: undo_change(work, change_id, BY, means))
        yield _row(f"{pieces:,} rows taken back by one undo", wall, cpu)


def _row(name: str, wall: float, cpu: float) -> Row:
    return Row(name, round(wall, 2), DEMAND_S, "s", at_most=True, note=f"{cpu:.1f} s of processor time")


def main() -> int:
    """Print the figures; 1 when one is missed."""
    from tests.benchmarks.rows import line

    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--pieces", type=int, default=PIECES)
    missed = 0
    for row in rows(options.parse_args().pieces):
        print(line(row), flush=True)
        missed += not row.holds
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
