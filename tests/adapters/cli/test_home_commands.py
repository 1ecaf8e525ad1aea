"""Commands that fill a home and keep it safe."""

import json
from pathlib import Path
from zipfile import ZipFile

import pytest

from planner.adapters.cli.main import main
from tests.conftest import wired

TWO_MOVEMENTS = Path(__file__).resolve().parents[2] / "scores" / "two_movements.musicxml"


@pytest.fixture
def run(tmp_path, capsys):
    boxes = []

    def build(settings):
        boxes.append(wired(settings.home))
        return boxes[-1]

    def run_one(*argv: str):
        code = main([*argv, "--home", str(tmp_path / "home")], build=build, serve=lambda *_: None)
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    yield run_one
    for box in boxes:
        box.close()


def test_a_home_without_a_library_cannot_be_backed_up(run, tmp_path):
    code, _, said = run("backup")
    assert code == 2
    assert "is not there. Add some scores first." in " ".join(said.split())
    assert not (tmp_path / "home" / "backups").exists()


def test_a_file_of_two_movements_is_two_pieces_unless_it_is_to_stay_one(run, tmp_path):
    code, out, _ = run("add", str(TWO_MOVEMENTS), "--format", "json")
    report = json.loads(out)
    assert code == 0
    assert sorted(piece["file"] for piece in report["added"]) == [
        "two_movements-1.musicxml",
        "two_movements-2.musicxml",
    ]
    code, out, _ = run("add", str(TWO_MOVEMENTS))
    assert (code, out.strip()) == (0, "0 new, 1 unchanged, 0 refused.")
    other = tmp_path / "other.musicxml"
    other.write_text(TWO_MOVEMENTS.read_text(encoding="utf-8").replace("Two movements", "Sonatina"))
    code, out, _ = run("add", "--as-one", str(other))
    assert "1 new" in out
    code, out, _ = run("backup", "--format", "json")
    backup = json.loads(out)
    assert (code, backup["pieces"], backup["missing"]) == (0, 3, [])
    with ZipFile(backup["file"]) as archive:
        names = archive.namelist()
    assert "library.sqlite" in names
    assert sum(name.startswith("scores/") for name in names) == 3
