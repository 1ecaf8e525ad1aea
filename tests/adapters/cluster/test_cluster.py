"""Studying on a cluster: the same studies as here, whatever happens to a worker; clear words without one."""

import os
import sqlite3
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

from planner.adapters.children.messages import Refusal
from planner.adapters.cli.main import main
from planner.adapters.scores import remote
from planner.adapters.scores.remote import study_bytes
from planner.config import packaged
from planner.core.change import Author, Door
from planner.core.job import JobState
from planner.errors import ClusterError
from planner.services.imports.import_job import start_import
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.run import run_job
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION
from tests.cluster import drawn_scores, local_cluster
from tests.conftest import wired
from tests.reference import WHOLE

SCORES = 200 if WHOLE else 50
"""Scores that go over the cluster: a seeded sample, all of them in a whole sweep."""
LIMITS = (60.0, 2048)

if find_spec("distributed") is None and os.environ.get("PLANNER_NEEDS_PROGRAMS"):
    raise AssertionError('the extra is missing: pip install -e ".[cluster]"')
with_cluster = pytest.mark.skipif(find_spec("distributed") is None, reason="the extra “cluster” is missing")


def studied(home: Path) -> dict[str, bytes]:
    """By content of its file, each study as it lies in the library."""
    with sqlite3.connect(home / "library.sqlite") as library:
        rows = library.execute(
            "SELECT sha256, whole FROM source_files JOIN pieces ON pieces.source_id = source_files.id"
            " JOIN profiles ON profiles.piece_id = pieces.id"
        )
        return dict(rows.fetchall())


def imported(home: Path, paths, cluster: str = "", watcher=lambda *_: None):
    """The job of an import into a new home."""
    tools = wired(home)
    try:
        with changing(tools.work) as work:
            by = Author(Door.COMMAND, tools.now())
            job = start_import(work, paths, by, cluster=cluster)
        return run_job(tools, KINDS, job.id, watcher=watcher)
    finally:
        tools.close()


@pytest.mark.slow
@with_cluster
def test_a_cluster_that_loses_a_worker_gives_the_same_studies_byte_for_byte(tmp_path):
    scores = drawn_scores(SCORES)
    assert len(scores) == SCORES
    here = imported(tmp_path / "here", scores)
    killed = []
    with local_cluster(2, tmp_path) as cluster:

        def kill_one(done, _total, _what):
            if done >= SCORES // 2 and not killed:
                killed.append(done)
                cluster.kill_worker()

        there = imported(tmp_path / "there", scores, cluster.address, kill_one)
    assert killed
    assert (here.state, there.state) == (JobState.DONE, JobState.DONE)
    assert here.result == there.result
    assert here.result["added"] >= SCORES * 0.8
    assert {(r.name, r.detail) for r in here.refusals} == {(r.name, r.detail) for r in there.refusals}
    assert studied(tmp_path / "here") == studied(tmp_path / "there")


@pytest.mark.slow
@with_cluster
def test_a_cluster_that_is_gone_ends_the_import_in_one_sentence_and_it_goes_on_here(tmp_path):
    scores = sorted(packaged("sample_library").glob("*.mxl"))[:8]
    with local_cluster(1, tmp_path) as cluster:

        def end_all(done, _total, _what):
            if done == 2:
                cluster.end()

        job = imported(tmp_path / "home", scores, cluster.address, end_all)
    assert job.state == JobState.FAILED
    (refusal,) = job.refusals
    assert refusal.slug == "cluster"
    assert refusal.detail.startswith(f"The cluster {cluster.address} ")
    again = imported(tmp_path / "home", scores)
    assert (again.id, again.state, again.result["added"]) == (job.id, JobState.DONE, 8)


def add(home: Path, capsys, *argv: str):
    boxes = []

    def build(settings):
        boxes.append(wired(settings.home))
        return boxes[-1]

    code = main(["add", *argv, "--home", str(home)], build=build, serve=lambda _tools: None)
    for box in boxes:
        box.close()
    return code, capsys.readouterr().err


@with_cluster
def test_an_address_where_no_cluster_is_ends_in_one_sentence_and_an_exit_code_of_its_own(tmp_path, capsys):
    code, err = add(tmp_path / "home", capsys, str(packaged("sample_library")), "--cluster", "nonsense")
    assert code == 11
    assert err.splitlines()[0] == "The cluster nonsense cannot be reached."
    assert not (tmp_path / "home" / "scores").exists()


def test_without_the_extra_it_says_how_to_install_it(tmp_path, capsys, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    code, err = add(tmp_path / "home", capsys, str(packaged("sample_library")), "--cluster", "tcp://h:8786")
    assert code == 11
    assert 'pip install "planner[cluster]"' in err


def test_a_worker_studies_what_it_is_sent_as_it_would_be_studied_here():
    path = packaged("sample_library") / "six-small-steps.mxl"
    (piece,) = study_bytes(path.name, path.read_bytes(), False, STUDY_VERSION, limits=LIMITS)
    (whole,) = study_bytes(path.name, path.read_bytes(), True, STUDY_VERSION, limits=LIMITS)
    assert piece.profile == whole.profile
    assert piece.profile.title == "Six Small Steps"
    refused = study_bytes("bad.mxl", b"nonsense", False, STUDY_VERSION, limits=LIMITS)
    assert isinstance(refused, Refusal)
    assert remote._idle.qsize() == 1, "one child did it all"
    remote._idle.get()[1].stop()


def test_a_worker_of_another_version_refuses_the_work():
    refused = study_bytes("a.mxl", b"", False, STUDY_VERSION + 1, limits=LIMITS)
    assert isinstance(refused, Refusal)
    assert refused.kind == "version"
    assert ClusterError("tcp://h:1", "is gone").slug == "cluster"
