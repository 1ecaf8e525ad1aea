"""A command killed at any moment leaves a home that opens, with the old or the new alone."""

import os
import random
import sqlite3
import zipfile
from dataclasses import replace

import pytest

from planner.core.piece import PieceQuery
from planner.errors import PlannerError
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION
from tests.conftest import wired
from tests.killing import KILLS, check_home, deeds, fresh, kill_at_random, prepare, run_until
from tests.reference import WHOLE

pytestmark = [pytest.mark.slow, pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")]

SAMPLE = 2


@pytest.fixture(scope="module")
def prepared(demo_home, tmp_path_factory):
    return prepare(demo_home, tmp_path_factory.mktemp("prepared") / "home")


@pytest.mark.parametrize("name", ["import", "plan", "guides", "results", "backup", "restore"])
def test_a_killed_command_leaves_the_home_whole(prepared, tmp_path, name):
    (deed,) = (each for each in deeds(prepared) if each.name == name)
    tally = kill_at_random(deed, prepared, tmp_path, KILLS if WHOLE else SAMPLE, random.Random(7))
    assert tally.kills == tally.before + tally.on_the_way + tally.after


def test_a_home_that_is_not_whole_is_noticed(prepared, tmp_path):
    for number, spoil in enumerate(
        (
            lambda home: next((home / "scores").glob("*.mxl")).unlink(),
            lambda home: next((home / "scores").glob("*.mxl")).write_bytes(b"half"),
            lambda home: next((home / "exports").rglob("*.pdf")).write_bytes(b"%PDF half"),
            lambda home: next((home / "exports").rglob("*.xlsx")).write_bytes(b"PK half"),
            lambda home: (home / "backups" / "home-9.zip").write_bytes(b"PK half"),
            lambda home: (home / "library.sqlite").write_bytes((home / "library.sqlite").read_bytes()[:9000]),
        )
    ):
        home = fresh(prepared, tmp_path / str(number))
        check_home(home)
        spoil(home)
        with pytest.raises((AssertionError, PlannerError, sqlite3.DatabaseError, zipfile.BadZipFile)):
            check_home(home)


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
