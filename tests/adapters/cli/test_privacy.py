"""Commands about one person as a whole: records, deletion for good, joining; names of accounts; backups."""

import json
import stat

import pytest

from tests.traces import files_naming

NAME, TWICE = "Zoë Quillfeather", "Zoe Quilfeather"


@pytest.fixture
def people(run):
    for name in (NAME, TWICE):
        assert run("players", "add", name, "--section", "Flute")[0] == 0


def test_records_are_printed_or_written_to_a_file_that_its_owner_alone_can_read(run, people, tmp_path):
    code, out, _ = run("players", "records", "zoe quillfeather")
    assert code == 0
    assert f"All that is stored of {NAME}" in out
    assert json.loads(run("players", "records", NAME, "--format", "json")[1])["name"] == NAME
    path = tmp_path / "records.txt"
    assert run("players", "records", NAME, "--file", str(path))[0] == 0
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert NAME in path.read_text(encoding="utf-8")
    assert run("players", "records", NAME, "--file", str(path))[0] == 7, "nothing is written over"
    assert run("players", "records", "Nobody")[0] == 3


def test_deletion_is_shown_first_and_leaves_no_trace(run, people, home):
    code, out, err = run("players", "forget", NAME)
    assert code == 16
    assert "This cannot be undone." in out
    assert "1 seat" in out
    assert "--for-good" in err
    assert run("backup")[0] == 0
    code, out, err = run("players", "forget", NAME, "--for-good")
    assert code == 0
    (backup,) = (home / "backups").iterdir()
    assert f"These backups still hold the name, or may: {backup.name}." in out
    assert files_naming(home, NAME) == [f"backups/{backup.name}"]
    assert run("backup", "--remove", backup.name)[0] == 16
    assert run("backup", "--remove", backup.name, "--yes")[0] == 0
    assert files_naming(home, NAME) == []
    assert run("players", "forget", NAME, "--for-good")[0] == 3
    assert run("players", "forget", "--finish")[0] == 0
    assert run("players", "forget")[0] == 2
    assert "The records of a player were deleted for good." in run("changes")[1]


def test_two_entries_are_joined_after_a_look(run, people):
    code, out, _ = run("players", "join", NAME, TWICE)
    assert (code, "their two seats become one" in out) == (16, True)
    assert run("players", "join", NAME, TWICE, "--yes")[0] == 0
    assert TWICE not in run("players")[1]
    newest = json.loads(run("changes", "--format", "json")[1])["changes"][0]
    assert run("changes", "undo", str(newest["id"]))[0] == 0
    assert TWICE in run("players")[1]


@pytest.mark.slow
def test_people_of_one_name_are_told_apart_by_their_number(run, people):
    assert run("players", "add", NAME, "--section", "Tuba", "--other")[0] == 0
    code, _, err = run("players", "records", NAME)
    assert code == 2
    number = err.split("Give the number: ")[1].split()[0]
    assert f"All that is stored of {NAME}" in run("players", "records", number)[1]


@pytest.mark.slow
def test_the_name_of_an_account_is_forgotten_and_a_backup_taken_in(run, home, tmp_path):
    word = tmp_path / "word"
    word.write_text("four plain words\n")
    assert run("access", "add", "quillfeather", "--password-file", str(word))[0] == 0
    assert run("access", "remove", "quillfeather")[0] == 0
    assert "quillfeather" in run("access", "forget")[1]
    assert run("access", "forget", "quillfeather")[0] == 16
    assert run("access", "forget", "quillfeather", "--for-good")[0] == 0
    assert files_naming(home, "quillfeather") == []
    assert run("backup")[0] == 0
    (backup,) = (home / "backups").iterdir()
    elsewhere = backup.rename(tmp_path / "elsewhere.zip")
    code, out, _ = run("backup", "--take-in", str(elsewhere))
    assert (code, f"is here as {backup.name}" in out) == (0, True)
    elsewhere.write_bytes(elsewhere.read_bytes()[:500])
    assert run("backup", "--take-in", str(elsewhere))[0] == 15
