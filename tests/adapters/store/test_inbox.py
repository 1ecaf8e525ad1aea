"""What comes over a page: each arrival in a folder of its own, whatever the names say."""

import io
import os
import stat
import time

import pytest

from planner.adapters.store.inbox import FolderInbox
from planner.errors import ExportError, NotFoundError


@pytest.fixture
def inbox(tmp_path):
    return FolderInbox(tmp_path / "inbox")


def put(inbox, arrival, name, content=b"x"):
    inbox.put(arrival, name, io.BytesIO(content))


def names(inbox, arrival):
    (first, *_) = inbox.paths(arrival) or [None]
    room = first.parent if first else None
    return sorted(path.relative_to(room).as_posix() for path in room.rglob("*") if path.is_file())


def test_files_keep_their_place_in_a_folder_and_two_of_one_name_stay_two(inbox):
    arrival = inbox.open()
    put(inbox, arrival, "Fall/old/märz.mxl", b"1")
    put(inbox, arrival, "air.mxl", b"2")
    put(inbox, arrival, "air.mxl", b"3")
    assert names(inbox, arrival) == ["Fall/old/märz.mxl", "air (2).mxl", "air.mxl"]
    assert [path.name for path in inbox.paths(arrival)] == ["Fall", "air (2).mxl", "air.mxl"]
    assert len(list((inbox.paths(arrival)[0]).rglob("*.mxl"))) == 1


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("../../etc/passwd", "etc/passwd"),
        ("/abs.mxl", "abs.mxl"),
        ("..\\..\\win.mxl", "win.mxl"),
        ("C:\\x\\a.mxl", "C_/x/a.mxl"),
        ("a\nb\0.mxl", "a_b_.mxl"),
        ("..", "score.musicxml"),
        ("", "score.musicxml"),
        ("/".join("abcdefghijklmnopqrstuvwxyz") + "/a.mxl", "/".join("hijklmnopqrstuvwxyz") + "/a.mxl"),
        ("ж" * 300 + ".mxl", "ж" * 98 + ".mxl"),
        ("x." + "y" * 300, "x." + "y" * 198),
    ],
)
def test_no_name_leads_out_of_the_arrival_or_is_too_long(inbox, tmp_path, name, place):
    arrival = inbox.open()
    put(inbox, arrival, name)
    assert names(inbox, arrival) == [place]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["inbox"]


def test_an_arrival_is_removed_whole_and_one_that_is_not_there_is_named(inbox, tmp_path):
    arrival = inbox.open()
    put(inbox, arrival, "Fall/a.mxl")
    inbox.remove(arrival)
    inbox.remove(arrival)
    inbox.remove("..")
    assert list((tmp_path / "inbox").iterdir()) == []
    for wrong in (arrival, "..", "", "0" * 32):
        with pytest.raises(NotFoundError, match="no upload"):
            inbox.paths(wrong)
        with pytest.raises(NotFoundError):
            put(inbox, wrong, "a.mxl")


def test_arrivals_that_nobody_came_back_to_are_given_up(inbox, tmp_path):
    old, new = inbox.open(), inbox.open()
    long_ago = time.time() - 40 * 24 * 3600
    os.utime(tmp_path / "inbox" / old, (long_ago, long_ago))
    inbox.open()
    assert not (tmp_path / "inbox" / old).exists()
    assert inbox.paths(new) == ()


@pytest.mark.skipif(os.name != "posix", reason="rights of POSIX systems")
def test_what_comes_in_is_readable_by_its_owner_alone(inbox, tmp_path):
    inbox.open()
    assert stat.S_IMODE((tmp_path / "inbox").stat().st_mode) == 0o700


def test_an_inbox_that_cannot_be_written_is_named(tmp_path):
    (tmp_path / "inbox").write_text("a file")
    with pytest.raises(ExportError, match="inbox could not be written"):
        FolderInbox(tmp_path / "inbox").open()
