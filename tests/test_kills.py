"""A plan or an export killed at any moment leaves a home that opens, with the old or the new alone."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from planner.core.piece import PieceQuery
from planner.core.term import Plan
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION
from tests.conftest import wired

pytestmark = [pytest.mark.slow, pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")]

KILLS = 6
ROOT = Path(__file__).resolve().parents[1]


def run_until(home, seconds: float | None, *argv: str) -> float:
    """Run a command on a home, killed after so many seconds; how long it lived."""
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
    return time.monotonic() - began


def stored_plan(home) -> Plan:
    with sqlite3.connect(home / "library.sqlite") as plain:
        assert plain.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    plain.close()
    box = wired(home)
    with box.work() as unit:
        plan = unit.terms.plan(1)
    box.close()
    return plan


def check_files(home) -> int:
    """Every export that bears its final name is whole; how many there are."""
    whole = 0
    for path in (home / "exports").rglob("*"):
        if path.name.startswith(".") or path.is_dir():
            continue
        data = path.read_bytes()
        if path.suffix == ".pdf":
            assert data.rstrip().endswith(b"%%EOF"), path
        elif path.suffix == ".xlsx":
            assert zipfile.ZipFile(path).testzip() is None, path
        elif path.suffix == ".ics":
            assert data.rstrip().endswith(b"END:VCALENDAR"), path
        whole += 1
    return whole


@pytest.mark.parametrize("argv", [("plan",), ("guides",), ("gradebook",)])
def test_a_killed_command_leaves_the_home_whole(home, argv):
    before = stored_plan(home)
    whole_s = run_until(home, None, *argv)
    finished = stored_plan(home)
    allowed = {len(before.slots), len(finished.slots)}
    dice = random.Random(7)
    for _ in range(KILLS):
        run_until(home, dice.uniform(0.3, 1.0) * whole_s, *argv)
        plan = stored_plan(home)
        assert len(plan.slots) in allowed
        assert len({slot.piece_id for slot in plan.slots}) == len(plan.slots)
        assert check_files(home) > 0
    run_until(home, None, *argv)
    assert stored_plan(home).slots == finished.slots


def test_a_killed_restudy_goes_on_where_it_was_and_studies_nothing_twice(home):
    box = wired(home)
    with changing(box.work) as work:
        pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
        for piece in pieces:
            profile = work.pieces.profile(piece.id)
            work.pieces.replace_profile(piece.id, replace(profile, study_version=0))
    dice = random.Random(7)
    kills, left = 0, len(pieces)
    while left:
        allowed_s = dice.uniform(0.5, 1.5) * (1 + kills)  # longer each time, so that it ends on any machine
        run_until(home, allowed_s, "restudy")
        with box.work() as work:
            left, before = len(work.pieces.find_stale(STUDY_VERSION)), left
            jobs = work.jobs.list_jobs(9)
            studied = [change.subject.id for job in jobs for change in work.changes.of_job(job.id)]
        assert left <= before
        assert len(studied) == len(set(studied)) == len(pieces) - left
        kills += 1
    assert kills > 1
    (job,) = jobs
    assert job.request == {"pieces": [piece.id for piece in sorted(pieces, key=lambda piece: piece.id)]}
    run_until(home, None, "restudy")
    with box.work() as work:
        assert len(work.jobs.list_jobs(9)) == 1
    box.close()
