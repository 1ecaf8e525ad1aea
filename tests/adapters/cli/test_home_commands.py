"""Commands that fill a home and keep it safe."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from zipfile import ZipFile

import pytest

from planner.adapters.cli.main import main
from planner.adapters.db import open_library
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
    assert sum(name.startswith("scores/clean/") for name in names) == 3
    assert sum(name.startswith("scores/") for name in names) == 6


def test_a_backup_is_listed_checked_and_gone_back_to(run, tmp_path):
    run("add", str(TWO_MOVEMENTS))
    backup = json.loads(run("backup", "--format", "json")[1])["file"]
    code, out, _ = run("backup", "--list")
    assert code == 0
    assert Path(backup).name in out
    code, out, _ = run("backup", "--check", Path(backup).name)
    assert (code, "is sound" in out) == (0, True)
    other = tmp_path / "other.musicxml"
    other.write_text(TWO_MOVEMENTS.read_text(encoding="utf-8").replace("Two movements", "Sonatina"))
    run("add", "--as-one", str(other))
    code, _, said = run("restore", backup)
    assert code == 2
    assert "What is there now is backed up first" in said
    assert "Say so with --yes." in said
    code, out, _ = run("restore", backup, "--yes")
    assert code == 0
    assert "The home is as it was in" in out
    listed = json.loads(run("backup", "--list", "--format", "json")[1])["backups"]
    code, out, _ = run("restore", listed[0]["file"], "--yes", "--format", "json")
    assert json.loads(out)["pieces"] == 3
    code, _, said = run("backup", "--check", "gone.zip")
    assert (code, "There is no backup gone.zip here." in " ".join(said.split())) == (3, True)
    Path(backup).write_bytes(Path(backup).read_bytes()[:3000])
    for argv in (("backup", "--check", backup), ("restore", backup, "--yes")):
        code, _, said = run(*argv)
        assert (code, "is damaged" in said) == (15, True)


def _recipes(path):
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE recipes (id)")


def _newer(path):
    open_library(path).close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()


@pytest.mark.parametrize(
    ("make", "code", "sentence"),
    [
        (lambda path: path.write_text("Dear diary"), 12, "is damaged or is not a library."),
        (_recipes, 13, "is a database of another program."),
        (_newer, 14, "was made by a newer version of this program."),
    ],
)
def test_what_is_no_library_is_said_in_one_sentence_with_its_own_code_and_left_alone(
    run, tmp_path, make, code, sentence
):
    (tmp_path / "home").mkdir()
    path = tmp_path / "home" / "library.sqlite"
    make(path)
    before = path.read_bytes()
    for argv in (("match",), ("terms",), ("changes",), ("add", str(TWO_MOVEMENTS)), ("sections",)):
        got, _, said = run(*argv)
        assert got == code, argv
        assert f"The library {path} {sentence} Nothing in it was changed." in " ".join(said.split())
    assert path.read_bytes() == before
    assert [each.name for each in (tmp_path / "home").iterdir()] == ["library.sqlite"]
