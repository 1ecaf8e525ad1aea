"""An import killed at any moment leaves a home that opens, is complete up to there, and can go on."""

import hashlib
import multiprocessing
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest

from planner.adapters.db import open_library
from planner.adapters.store import FolderStore, Home
from planner.config import packaged
from planner.core.piece import PieceQuery
from planner.services.imports.import_scores import import_paths
from tests.fakes import FakeStudies
from tests.reference import sampled

DAY = date(2026, 9, 3)
FILES = 30

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")


@pytest.fixture
def scores(tmp_path):
    folder = tmp_path / "scores"
    folder.mkdir()
    for number in range(FILES):
        (folder / f"piece-{number:02}.musicxml").write_text(f"Piece {number:02}" + " la" * 3000)
    return folder


def run_import(scores: Path, home: Home, progress=None):
    with open_library(home.library) as library:
        return import_paths(
            [scores], source=FakeStudies(), files=FolderStore(home.scores), open_work=library, today=DAY,
            progress=progress,
        )  # fmt: skip


def _child(scores: Path, home: Home, told: int) -> None:
    run_import(scores, home, lambda done, _total, _what: os.write(told, bytes([done])))
    os._exit(0)


def killed_after(seconds: float | None, pieces: int, scores: Path, home: Home) -> int:
    """Run an import, kill it ``seconds`` after so many pieces; how many it had reported in all."""
    hear, told = os.pipe()
    child = multiprocessing.get_context("fork").Process(target=_child, args=(scores, home, told))
    child.start()
    os.close(told)
    reported = -1
    while reported < pieces and (news := os.read(hear, 1)):
        reported = news[0]
    if seconds is not None:
        time.sleep(seconds)
        os.kill(child.pid, signal.SIGKILL)
    child.join()
    while news := os.read(hear, 1):
        reported = news[0]
    os.close(hear)
    return max(reported, 0)


def check_home(home: Home, reported: int, before: int = 0) -> int:
    """The home is sound and holds every piece reported as finished; how many pieces it holds."""
    connection = sqlite3.connect(home.library)
    assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    connection.close()
    store = FolderStore(home.scores)
    with open_library(home.library) as library, library() as work:
        pieces, total = work.pieces.list_pieces(PieceQuery(limit=0))
        for piece in pieces:
            assert work.pieces.profile(piece.id).title == piece.title
            assert piece.meters == ("4/4",)
            kept = store.path_of(piece.source).read_bytes()
            assert hashlib.sha256(kept).hexdigest() == piece.source.sha256
    assert max(before, reported) <= total <= max(before, reported) + 1
    return total


def check_kill(seconds: float, pieces: int, scores: Path, home: Home) -> None:
    reported = killed_after(seconds, pieces, scores, home)
    if home.library.exists():
        before = check_home(home, reported)
        again = killed_after(seconds, before + 1, scores, home)
        check_home(home, again, before)
    report = run_import(scores, home)
    assert check_home(home, FILES) == FILES
    assert len(report.added) + len(report.unchanged) == FILES
    leftover = [path.name for path in home.scores.iterdir() if path.name.startswith(".half-")]
    assert len(leftover) <= 2


@pytest.mark.parametrize("seed", range(4))
def test_an_import_killed_twice_is_complete_up_to_there_and_can_go_on(scores, tmp_path, seed):
    chance = random.Random(seed)
    pieces = chance.randrange(0, FILES // 2)
    check_kill(chance.uniform(0.0, 0.02), pieces, scores, Home(tmp_path / "home"))


@pytest.mark.slow
@pytest.mark.parametrize("seed", sampled(range(100, 160), 12))
def test_an_import_killed_at_many_moments(scores, tmp_path, seed):
    chance = random.Random(seed)
    pieces = chance.randrange(-1, FILES // 2)
    check_kill(chance.uniform(0.0, 0.05), pieces, scores, Home(tmp_path / "home"))


def test_an_import_left_alone_reports_every_piece(scores, tmp_path):
    home = Home(tmp_path / "home")
    assert killed_after(None, FILES, scores, home) == FILES
    assert check_home(home, FILES) == FILES


ADD = "from planner.bootstrap import run; run()"


@pytest.mark.slow
@pytest.mark.parametrize("wait_s", [1.0, 4.0, 7.0])
def test_the_real_command_killed_leaves_a_whole_home_and_no_process_behind(tmp_path, wait_s):
    folder, home = packaged("sample_library"), Home(tmp_path / "home")
    command = [sys.executable, "-c", ADD, "add", str(folder), "--home", str(home.folder)]
    run = subprocess.Popen(
        command, start_new_session=True, stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL
    )
    time.sleep(wait_s)
    run.kill()
    run.wait()
    for _ in range(1200):
        try:
            os.killpg(run.pid, 0)
        except ProcessLookupError:
            break
        time.sleep(0.1)
    else:
        pytest.fail("a process of the killed import still runs")
    before = set()
    if home.library.exists():
        connection = sqlite3.connect(home.library)
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        connection.close()
        with open_library(home.library) as library, library() as work:
            before = {piece.source.sha256 for piece in work.pieces.list_pieces(PieceQuery(limit=0))[0]}
            for piece in work.pieces.list_pieces(PieceQuery(limit=0))[0]:
                assert work.pieces.profile(piece.id).parts
                assert FolderStore(home.scores).path_of(piece.source).is_file()
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    pieces = len(list(folder.glob("*.mxl")))
    assert f"{pieces - len(before)} new, {len(before)} unchanged, 0 refused." in done.stdout
