"""``planner add`` with folders, zips and odd files; Ctrl-C; taking an import back; the same in JSON."""

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from planner.adapters.cli.main import main
from planner.config import packaged
from tests.conftest import wired

SAMPLES = packaged("sample_library")


@pytest.fixture
def run(tmp_path, capsys):
    """Run one command over a home of its own; its exit code, what it printed, what it complained of."""

    def run_one(*argv: str):
        boxes = []

        def build(settings):
            boxes.append(wired(settings.home))
            return boxes[-1]

        code = main([*argv, "--home", str(tmp_path / "home")], build=build, serve=lambda _tools: None)
        for box in boxes:
            box.close()
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return run_one


def test_a_folder_with_a_zip_and_odd_files_goes_in_and_is_taken_back_by_one_command(run, tmp_path):
    folder = tmp_path / "Fall [2026]"
    folder.mkdir()
    shutil.copy(SAMPLES / "six-small-steps.mxl", folder / "steps [bold].mxl")
    with zipfile.ZipFile(folder / "old.zip", "w") as zipped:
        zipped.write(SAMPLES / "corner-cafe.mxl", "Band/cafe.mxl")
        zipped.writestr("../evil.mxl", b"x")
    for name in ("bad.xml", "bad too.xml"):
        (folder / name).write_text("junk")
    code, out, err = run("add", str(folder), str(tmp_path / "nothing"), "--format", "json")
    report = json.loads(out)
    assert code == 2
    assert report["counts"] == {"added": 2, "renewed": 0, "unchanged": 0, "refused": 4}
    assert {piece["file"] for piece in report["added"]} == {"steps [bold].mxl", "cafe.mxl"}
    assert {each["file"] for each in report["refused"]} == {
        "nothing", "Fall [2026]/bad.xml", "Fall [2026]/bad too.xml", "Fall [2026]/old.zip/evil.mxl",
    }  # fmt: skip
    assert all(each["sentence"].endswith(".") for each in report["refused"])
    code, out, err = run("add", str(folder))
    assert (code, out.strip()) == (2, "0 new, 2 unchanged, 3 refused.")
    assert "Fall [2026]/old.zip/evil.mxl is named so that it would lie outside the zip" in err
    code, out, _ = run("changes", "--format", "json")
    (entry,) = json.loads(out)["changes"]
    assert entry["count"] == 2
    code, out, _ = run("changes", "undo", str(entry["id"]))
    assert (code, out.strip()) == (0, "2 pieces were taken out.")
    assert not list((tmp_path / "home" / "scores").glob("*.mxl"))
    code, _, err = run("changes", "undo", str(entry["id"]))
    assert code == 4
    assert "Nothing of that import can be taken back" in err
    code, out, _ = run("add", str(folder))
    assert out.strip().endswith("2 new, 0 unchanged, 3 refused.")


def test_inspecting_several_files_names_each_and_one_refused_file_is_json_too(tmp_path, capsys):
    bad = tmp_path / "bad.xml"
    bad.write_text("junk")
    missing = tmp_path / "missing.mxl"

    def inspect(*paths):
        code = main(
            ["inspect", *map(str, paths), "--format", "json"],
            build=lambda settings: wired(settings.home), serve=lambda _tools: None,
        )  # fmt: skip
        return code, json.loads(capsys.readouterr().out)

    code, refused = inspect(bad)
    assert (code, refused["file"], refused["refused"]["kind"]) == (2, str(bad), "score-unsupported")
    code, (first, second, third) = inspect(missing, SAMPLES / "six-small-steps.mxl", bad)
    assert code == 2
    assert first["file"] == str(missing)
    assert "missing.mxl" in first["refused"]["sentence"]
    assert (second["file"], second["title"]) == (str(SAMPLES / "six-small-steps.mxl"), "Six Small Steps")
    assert third["refused"]["sentence"].startswith("bad.xml: ")


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="needs signals")
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL])
def test_a_command_that_is_broken_off_keeps_what_is_done_and_goes_on_when_given_again(tmp_path, how):
    home, scores = tmp_path / "home", sorted(SAMPLES.glob("*.mxl"))[:10]
    command = [sys.executable, "-m", "planner", "add", *map(str, scores), "--home", str(home)]
    environment = os.environ | {"PYTHONPATH": str(Path(__file__).resolve().parents[3])}
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)

    def pieces():
        try:
            with sqlite3.connect(f"file:{home / 'library.sqlite'}?mode=ro", uri=True) as library:
                return library.execute("SELECT count(*) FROM pieces").fetchone()[0]
        except sqlite3.OperationalError:
            return 0

    while pieces() < 2 and process.poll() is None:
        time.sleep(0.05)
    process.send_signal(how)
    printed, _ = process.communicate()
    assert process.returncode == (130 if how == signal.SIGINT else -how)
    assert how != signal.SIGINT or b"What was finished is kept" in printed
    done = pieces()
    assert 2 <= done < len(scores)
    again = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    assert again.stdout.strip().endswith(f"{len(scores)} new, 0 unchanged, 0 refused.")
    tools = wired(home)
    with tools.work() as work:
        assert len(work.jobs.list_jobs(9)) == 1
        assert len(work.changes.of_job(1)) == len(scores)
    tools.close()
