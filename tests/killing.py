"""Commands killed at random moments, and whether what they leave is whole.

``python -m tests.benchmarks.kills`` prints the whole figure; ``tests/test_kills.py`` draws a sample of it.
"""

import hashlib
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
import zipfile
from collections.abc import Hashable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from planner.config import packaged
from planner.core.piece import PieceQuery
from tests.conftest import DEMO_PIECES, wired

KILLS = 40
"""Random moments at which each command is killed, for the whole figure."""

ROOT = Path(__file__).resolve().parents[1]

TITLES_OF_LIBRARY = ("SELECT name FROM source_files", "SELECT id, title FROM pieces")
PLAN = ("SELECT * FROM slots", "SELECT term_id, cost, bound, is_proven FROM plans", "SELECT * FROM proposals")
RESULTS = (
    "SELECT section_id, piece_id, on_day, first_share, second_share FROM results",
    "SELECT id, level FROM sections",
    "SELECT section_id, piece_id, how, on_day FROM exposures",
    "SELECT kind, subject_kind, subject_id FROM changes",
)
EVERYTHING = (*TITLES_OF_LIBRARY, *PLAN, *RESULTS)


@dataclass(frozen=True, slots=True)
class Deed:
    """Something a command does to a home.

    Attributes:
        name: What it is called.
        argv: The command; ``{home}`` stands for the folder of the home.
        changes: Questions to the database, whose answers are those before the command or those after it.
        goes_on: Whether it may also have come a part of the way, each part whole.
        earliest: Share of its time from which it is killed.
    """

    name: str
    argv: tuple[str, ...]
    changes: tuple[str, ...]
    goes_on: bool = False
    earliest: float = 0.15


def deeds(prepared: Path) -> tuple[Deed, ...]:
    """What is killed, over a home that ``prepare`` made."""
    with closing(sqlite3.connect(prepared / "library.sqlite")) as connection:
        (on,) = connection.execute("SELECT min(on_day) FROM slots WHERE on_day > '2026-11-29'").fetchone()
        (read,) = connection.execute("SELECT max(on_day) FROM results").fetchone()
        asked = (
            "SELECT DISTINCT s.name FROM results r JOIN sections s ON s.id = r.section_id WHERE on_day = ?"
        )
        names = [name for (name,) in connection.execute(asked, (read,))]
    readings = [f"{name}=61,88" for name in sorted(names)]
    backup = next((prepared / "backups").glob("home-*.zip")).name
    return (
        Deed("import", ("add", "{home}/incoming"), TITLES_OF_LIBRARY, goes_on=True, earliest=0.5),
        Deed("plan", ("plan",), PLAN),
        Deed("guides", ("guides", "--on", on), ("SELECT * FROM printed_guides",)),
        Deed("results", ("results", "--on", read, *readings), RESULTS),
        Deed("backup", ("backup",), EVERYTHING),
        Deed("restore", ("restore", backup, "--yes"), EVERYTHING),
    )


def prepare(demo_home: Path, folder: Path) -> Path:
    """A home to be killed in: scores to be added lie beside it, and a backup of a little earlier."""
    home = Path(shutil.copytree(demo_home, folder))
    (home / "incoming").mkdir()
    others = [path for path in packaged("sample_library").glob("*.mxl") if path.stem not in DEMO_PIECES]
    for path in sorted(others)[:5]:
        shutil.copy(path, home / "incoming")
    box = wired(home)
    box.backups.back_up(box.now())
    box.close()
    with closing(sqlite3.connect(home / "library.sqlite")) as connection:
        connection.execute("UPDATE sections SET level = level + 0.01")
        connection.commit()
    return home


def run_until(home: Path, seconds: float | None, *argv: str) -> tuple[float, int]:
    """Run a command on a home, its whole group killed after so many seconds; how long it lived, its code."""
    began = time.monotonic()
    child = subprocess.Popen(
        [sys.executable, "-m", "planner", *argv, "--home", str(home)],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        child.wait(timeout=seconds)
    except subprocess.TimeoutExpired:
        os.killpg(child.pid, signal.SIGKILL)
        child.wait()
    return time.monotonic() - began, child.returncode


def answers(home: Path, questions: tuple[str, ...]) -> Hashable:
    """What the database answers, row by row."""
    with closing(sqlite3.connect(home / "library.sqlite")) as connection:
        return tuple(tuple(sorted(connection.execute(each), key=repr)) for each in questions)


def check_home(home: Path) -> None:
    """The database is sound, its files are there as its rows say, and no half file bears its final name.

    Raises:
        AssertionError: If something is not whole.
    """
    with closing(sqlite3.connect(home / "library.sqlite")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        stored = connection.execute("SELECT sha256, suffix FROM source_files").fetchall()
    for sha256, suffix in stored:
        assert (home / "scores" / f"{sha256}{suffix}").is_file(), "a row without its file"
    for path in (home / "scores").glob("[!.]*.*"):
        assert hashlib.sha256(path.read_bytes()).hexdigest() == path.stem, path
    for path in (home / "scores" / "clean").glob("[!.]*.mxl"):
        assert zipfile.ZipFile(path).testzip() is None, path
    for path in (home / "exports").rglob("*"):
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(home).parts):
            check_export(path)
    check_use(home)


def check_export(path: Path) -> None:
    """A sheet, workbook or calendar is whole."""
    data = path.read_bytes()
    if path.suffix == ".pdf":
        assert data.rstrip().endswith(b"%%EOF"), path
    elif path.suffix == ".xlsx":
        assert zipfile.ZipFile(path).testzip() is None, path
    elif path.suffix == ".ics":
        assert data.rstrip().endswith(b"END:VCALENDAR"), path


def check_use(home: Path) -> None:
    """The next command works: every piece opens, every backup is sound."""
    box = wired(home)
    try:
        for backup in box.backups.list_backups():
            box.backups.check(backup.path)
        with box.work() as work:
            for piece in work.pieces.list_pieces(PieceQuery(limit=0))[0]:
                assert work.pieces.profile(piece.id).parts
            assert work.terms.plan(1) is not None
    finally:
        box.close()


@dataclass(frozen=True, slots=True)
class Tally:
    """Of so many kills: before the command had changed anything, part of the way, after all of it."""

    kills: int
    before: int
    on_the_way: int
    after: int


def kill_at_random(
    deed: Deed,
    prepared: Path,
    folder: Path,
    kills: int,
    dice: random.Random,
) -> Tally:
    """Kill a command at random moments, each time on a home as prepared; all of it has to be whole.

    Raises:
        AssertionError: If something is not.
    """
    finished = fresh(prepared, folder)
    before = answers(finished, deed.changes)
    whole_s, code = run_until(finished, None, *argv_on(deed, finished))
    assert code == 0, f"{deed.name} ended with {code}"
    after = answers(finished, deed.changes)
    counts = {"before": 0, "on_the_way": 0, "after": 0}
    for _ in range(kills):
        home = fresh(prepared, folder)
        lived, _ = run_until(home, dice.uniform(deed.earliest, 1.0) * whole_s, *argv_on(deed, home))
        check_home(home)
        found = answers(home, deed.changes)
        if found in (before, after):
            counts["after" if found == after else "before"] += 1
        else:
            assert deed.goes_on, f"{deed.name} killed after {lived:.2f} s left half of what it does"
            counts["on_the_way"] += 1
    _, code = run_until(home, None, *argv_on(deed, home))
    assert code == 0, f"{deed.name} could not be done after it was killed: {code}"
    check_home(home)
    if deed.name != "plan":
        assert sorted(map(repr, _without_ids(home, deed))) == sorted(map(repr, _without_ids(finished, deed)))
    return Tally(kills, **counts)


def _without_ids(home: Path, deed: Deed) -> list[object]:
    """What a command came to, where the order in which pieces came in plays no part."""
    if deed.name != "import":
        return [len(rows) for rows in answers(home, deed.changes)]  # type: ignore[attr-defined]
    return list(answers(home, deed.changes[:1]))  # type: ignore[call-overload]


def fresh(prepared: Path, folder: Path) -> Path:
    """A copy of the prepared home in place of the copy before."""
    home = folder / "home"
    if home.exists():
        shutil.rmtree(home)
    return Path(shutil.copytree(prepared, home))


def argv_on(deed: Deed, home: Path) -> tuple[str, ...]:
    """The command on a home."""
    return tuple(each.replace("{home}", str(home)) for each in deed.argv)
