"""A home is its owner's: what is made, what an earlier program left open, and the session key."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from planner.adapters.store.private import HomeKeys, keep_to_owner
from planner.bootstrap import run
from planner.errors import ExportError, HomeError
from planner.services.toolbox import changing
from tests.checks import some
from tests.conftest import wired

pytestmark = pytest.mark.skipif(os.name != "posix", reason="permissions as on Unix")
OTHERS = stat.S_IRWXG | stat.S_IRWXO


def open_to_others(folder: Path) -> list[str]:
    found = [path for path in (folder, *folder.rglob("*")) if path.stat().st_mode & OTHERS]
    return sorted(str(path.relative_to(folder)) for path in found)


def test_what_the_program_makes_from_its_start_on_is_its_owners_alone(tmp_path, monkeypatch):
    closed = []
    monkeypatch.setattr("planner.adapters.store.private.close_new_files", lambda: closed.append("first"))
    monkeypatch.setattr("planner.adapters.cli.main.main", lambda *_, **__: closed.append("then") or 0)
    with pytest.raises(SystemExit):
        run()
    assert closed == ["first", "then"]
    code = (
        "import os; os.umask(0o022); from planner.adapters.store.private import close_new_files as c; c(); "
    )
    make = "os.mkdir('d'); open('d/f', 'w').close(); os.mkdir('d/e')"
    subprocess.run([sys.executable, "-c", code + make], check=True, cwd=tmp_path)
    assert open_to_others(tmp_path / "d") == []


@pytest.mark.slow
def test_whatever_a_command_makes_in_a_home_is_its_owners_alone(tmp_path):
    """As a user runs it, under the mask that systems come with: library, scores, exports, backups, locks."""
    code = """
import os, sys
os.umask(0o022)
from planner.bootstrap import run
sys.argv[0] = "planner"
run()
"""
    home, score = tmp_path / "home", Path(__file__).parents[3] / "sample_library" / "six-small-steps.mxl"
    for command in (["add", str(score)], ["restudy"], ["backup"]):
        call = [sys.executable, "-c", code, *command, "--home", str(home)]
        subprocess.run(call, check=True, capture_output=True)
    assert {"library.sqlite", "scores", "backups"} <= {path.name for path in some(list(home.iterdir()))}
    assert open_to_others(home) == []


def test_a_home_that_an_earlier_program_left_open_is_closed_when_it_is_opened(tmp_path):
    home = tmp_path / "home"
    first = wired(home)
    with changing(first.work) as work:
        work.accounts.list_accounts()
    first.close()
    (home / "exports" / "guides").mkdir(parents=True)
    (home / "exports" / "gradebook.xlsx").write_text("marks")
    for path in (home, *home.rglob("*")):
        path.chmod(0o777 if path.is_dir() else 0o666)
    again = wired(home)
    with again.work() as work:
        assert not work.accounts.is_any()
        assert open_to_others(home) == [], "the log beside the library too, while it is in use"
    again.close()


def test_what_somebody_else_keeps_beside_a_home_stays_as_it_is(tmp_path):
    (tmp_path / "exports").mkdir()
    (tmp_path / "library.sqlite").write_text("")
    (tmp_path / "holiday.jpg").write_text("")
    outside = tmp_path / "outside"
    outside.mkdir()
    (tmp_path / "exports" / "link").symlink_to(outside)
    for path in (
        tmp_path,
        tmp_path / "exports",
        tmp_path / "library.sqlite",
        tmp_path / "holiday.jpg",
        outside,
    ):
        path.chmod(0o755)
    keep_to_owner(tmp_path)
    left = [name for name in open_to_others(tmp_path) if not name.endswith("link")]
    assert left == [".", "holiday.jpg", "outside"]


def test_the_session_key_is_made_once_and_private(tmp_path):
    keys = HomeKeys(tmp_path / "home" / "session.key")
    key = keys.session_key()
    assert len(bytes.fromhex(key)) == 32
    assert keys.session_key() == HomeKeys(tmp_path / "home" / "session.key").session_key() == key
    assert stat.S_IMODE((tmp_path / "home" / "session.key").stat().st_mode) == 0o600
    assert [path.name for path in (tmp_path / "home").iterdir()] == ["session.key"]


@pytest.mark.parametrize("content", [b"", b"short", b"\xff\xfe" * 32, b"g" * 64, b"0" * 64 + b"\n\n1"])
def test_a_damaged_session_key_says_the_way_back(tmp_path, content):
    path = tmp_path / "session.key"
    path.write_bytes(content)
    with pytest.raises(HomeError) as caught:
        HomeKeys(path).session_key()
    assert str(caught.value) == (
        f"The session key {path} is damaged. Delete that file: a new key is made, and everyone logs in again."
    )
    path.unlink()
    assert HomeKeys(path).session_key()


def test_a_session_key_that_cannot_be_made_is_told(tmp_path):
    (tmp_path / "home").write_text("a file in the way")
    with pytest.raises(ExportError):
        HomeKeys(tmp_path / "home" / "session.key").session_key()
