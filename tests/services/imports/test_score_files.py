"""What is found at a path: special files, links and folders end in one sentence each and stop nobody."""

import os
import socket
import sys
from pathlib import Path

import pytest

from planner.core.piece import MOST_BYTES
from planner.services.imports import score_files
from planner.services.imports.score_files import Found, Refusal, ScoreFile, find_score_files, identify

posix = pytest.mark.skipif(sys.platform == "win32", reason="these kinds of files are of POSIX systems")


def seen(*paths: Path) -> tuple[list[str], dict[str, str]]:
    """Names of the files that can be read, and by name what was refused."""
    listing = find_score_files(paths)
    outcomes = [identify(found) for found in listing.files]
    refused = [*listing.refused, *(each for each in outcomes if isinstance(each, Refusal))]
    return (
        [each.named.name for each in outcomes if isinstance(each, ScoreFile)],
        {each.path.name: each.sentence for each in refused},
    )


@posix
def test_what_is_no_file_is_refused_without_waiting_for_it(tmp_path):
    (tmp_path / "good.mxl").write_text("Air")
    os.mkfifo(tmp_path / "pipe.mxl")
    listener = socket.socket(socket.AF_UNIX)
    listener.bind(str(tmp_path / "socket.xml"))
    (tmp_path / "zero.abc").symlink_to("/dev/zero")
    read, refused = seen(tmp_path)
    listener.close()
    assert read == ["good.mxl"]
    assert refused == {
        "pipe.mxl": "pipe.mxl is a pipe, not a file.",
        "socket.xml": "socket.xml is a socket, not a file.",
        "zero.abc": "zero.abc is a device, not a file.",
    }


@posix
def test_a_file_that_became_a_pipe_since_it_was_looked_at_is_not_waited_for(tmp_path, monkeypatch):
    path = tmp_path / "pipe.mxl"
    os.mkfifo(path)
    monkeypatch.setattr(score_files, "_mode_of", lambda *_: 0o100644)
    refused = identify(Found(path, path))
    assert isinstance(refused, Refusal)
    assert refused.sentence == "pipe.mxl is a pipe, not a file."


@posix
def test_links_that_lead_nowhere_in_a_circle_or_to_a_folder_are_named(tmp_path):
    folder = tmp_path / "scores"
    folder.mkdir()
    (folder / "good.mxl").write_text("Air")
    (folder / "again.mxl").symlink_to("good.mxl")
    (folder / "self.mxl").symlink_to("self.mxl")
    (folder / "one.mxl").symlink_to("other.mxl")
    (folder / "other.mxl").symlink_to("one.mxl")
    (folder / "gone.mxl").symlink_to("nothing.mxl")
    (folder / "up").symlink_to("..")
    (folder / "round").symlink_to(".")
    read, refused = seen(folder, folder / "self.mxl")
    assert read == ["again.mxl"], "good.mxl is the same file"
    assert set(refused) == {"self.mxl", "one.mxl", "other.mxl", "gone.mxl", "up", "round"}
    assert refused["self.mxl"] == "self.mxl is a link that leads back to itself."
    assert refused["gone.mxl"] == "gone.mxl is a link to something that is not there."
    assert refused["up"] == "up is a link to a folder and was not followed."


def test_a_sparse_file_is_refused_by_its_size_and_an_endless_one_once_it_is_too_long(tmp_path, monkeypatch):
    sparse = tmp_path / "sparse.musicxml"
    with sparse.open("wb") as file:
        file.truncate(2**40)
    sentence = "is larger than 50 MB, the most that is read as a score."
    assert seen(sparse) == ([], {"sparse.musicxml": f"sparse.musicxml {sentence}"})
    growing = tmp_path / "growing.musicxml"
    growing.write_bytes(b"x")

    class Endless:
        read_bytes = 0

        def __enter__(self):
            return self

        def __exit__(self, *_):
            return None

        def read(self, size):
            Endless.read_bytes += size
            return b"x" * size

    monkeypatch.setattr(score_files, "open_plain", lambda *_: Endless())
    assert seen(growing) == ([], {"growing.musicxml": f"growing.musicxml {sentence}"})
    assert Endless.read_bytes <= MOST_BYTES + 2**21


def test_a_folder_that_cannot_be_opened_is_named_and_the_others_are_walked(tmp_path, monkeypatch):
    for name in ("closed", "open"):
        (tmp_path / name).mkdir()
        (tmp_path / name / f"{name}.mxl").write_text(name)
    scandir = os.scandir

    def guarded(path):
        if Path(path).name == "closed":
            raise PermissionError(13, "Permission denied")
        return scandir(path)

    monkeypatch.setattr(score_files.os, "scandir", guarded)
    read, refused = seen(tmp_path)
    assert read == ["open.mxl"]
    assert refused == {"closed": f"The folder {tmp_path / 'closed'} cannot be opened: permission denied."}


@pytest.mark.skipif(sys.platform != "linux", reason="other systems take no such names")
def test_long_names_and_names_that_are_no_text_are_read_and_stay_apart(tmp_path):
    longest = "n" * 251 + ".xml"
    (tmp_path / longest).write_text("Long")
    for byte in (b"\xe9", b"\xe8"):
        Path(os.fsdecode(os.fsencode(tmp_path) + b"/caf" + byte + b".mxl")).write_bytes(byte)
    found = [identify(each) for each in find_score_files([tmp_path]).files]
    names = [each.source.name for each in found if isinstance(each, ScoreFile)]
    assert names == ["caf\\xe8.mxl", "caf\\xe9.mxl", longest]
    assert len({each.source.path for each in found if isinstance(each, ScoreFile)}) == 3


def test_the_library_itself_is_not_walked_into_but_from_within(tmp_path):
    home = tmp_path / "Documents" / "planner"
    arrival = home / "inbox" / "f"
    arrival.mkdir(parents=True)
    (arrival / "a.mxl").write_text("Air")
    (tmp_path / "b.mxl").write_text("Bourrée")
    assert [each.named.name for each in find_score_files([tmp_path], but=home).files] == ["b.mxl"]
    assert [each.named.name for each in find_score_files([arrival], but=home).files] == ["a.mxl"]


def test_what_is_not_there_is_named_by_its_whole_path(tmp_path):
    _, refused = seen(tmp_path / "nothing", Path("no\0thing"))
    assert refused["nothing"] == f"There is no file or folder {tmp_path / 'nothing'}."
    assert refused["no\0thing"] == "There is no file or folder no\\x00thing."
