"""Score files kept by content: whole, checked, or not at all."""

import errno
import hashlib
import os
from pathlib import Path

import pytest

from planner.adapters.store import FolderStore, Home
from planner.adapters.store import files as files_module
from planner.adapters.store.files import Cleaner
from planner.core.piece import SourceFile
from planner.errors import ExportError, InputError, NotFoundError, ScoreReadError

MUSIC = b"<score-partwise/>" * 1000


@pytest.fixture
def original(tmp_path):
    path = tmp_path / "march.MXL"
    path.write_bytes(MUSIC)
    return path


@pytest.fixture
def store(tmp_path):
    return FolderStore(tmp_path / "home" / "scores")


def source(content=MUSIC):
    return SourceFile(hashlib.sha256(content).hexdigest(), "march.mxl", len(content), ".mxl")


def names(tmp_path):
    folder = tmp_path / "home" / "scores"
    return [path.name for path in folder.iterdir()] if folder.exists() else []


def test_a_home_lays_out_its_folder(tmp_path):
    home = Home(tmp_path)
    assert (home.library, home.scores, home.exports) == (
        tmp_path / "library.sqlite", tmp_path / "scores", tmp_path / "exports",
    )  # fmt: skip


def test_a_file_is_kept_whole_under_its_content(store, original, tmp_path):
    store.keep(original, source())
    assert store.path_of(source()).read_bytes() == MUSIC
    assert names(tmp_path) == [f"{source().sha256}.mxl"]


def test_the_same_content_is_copied_once(store, original):
    store.keep(original, source())
    original.unlink()
    store.keep(original, source())


def test_a_copy_cut_short_by_hand_is_made_anew(store, original):
    store.keep(original, source())
    store.path_of(source()).write_bytes(MUSIC[:9])
    store.keep(original, source())
    assert store.path_of(source()).read_bytes() == MUSIC


def test_a_file_that_changed_since_it_was_read_is_refused(store, original, tmp_path):
    original.write_bytes(MUSIC + b"more")
    with pytest.raises(InputError, match=r"march\.MXL changed while it was read"):
        store.keep(original, source())
    assert names(tmp_path) == []


def test_a_file_that_is_gone_is_refused(store, original, tmp_path):
    original.unlink()
    with pytest.raises(InputError, match="cannot be opened any more: no such file"):
        store.keep(original, source())
    assert names(tmp_path) == []


@pytest.mark.parametrize("where", ["fsync", "replace"])
def test_a_full_disk_leaves_nothing_behind(store, original, tmp_path, monkeypatch, where):
    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(*{"fsync": (os, "fsync", full), "replace": (Path, "replace", full)}[where])
    with pytest.raises(ExportError, match="could not be written: no space left on device"):
        store.keep(original, source())
    assert names(tmp_path) == []


def test_a_reader_never_sees_half_a_file(store, original, tmp_path, monkeypatch):
    seen = []
    sync = os.fsync
    monkeypatch.setattr(os, "fsync", lambda handle: (seen.append(names(tmp_path)), sync(handle)))
    store.keep(original, source())
    before, after = seen
    assert all(name.startswith(".half-") for name in before)
    assert after == [f"{source().sha256}.mxl"]


def test_what_is_not_there_is_said_so(store):
    with pytest.raises(NotFoundError, match=r"no score file of march\.mxl"):
        store.path_of(source())


def test_a_removed_file_is_gone_and_removing_twice_is_fine(store, original, tmp_path):
    store.keep(original, source())
    store.remove(source())
    store.remove(source())
    assert names(tmp_path) == []


def test_the_first_copy_of_a_run_sweeps_up_what_old_runs_left_half_written(store, original, tmp_path):
    folder = tmp_path / "home" / "scores"
    folder.mkdir(parents=True)
    for name, age_s in ((".half-old", 2 * files_module._STALE_S), (".half-new", 0)):
        (folder / name).write_text("x")
        stamp = (folder / name).stat().st_mtime - age_s
        os.utime(folder / name, (stamp, stamp))
    store.keep(original, source())
    assert sorted(names(tmp_path)) == [".half-new", f"{source().sha256}.mxl"]


def clean_names(tmp_path):
    return [path.name for path in (tmp_path / "home" / "scores" / "clean").iterdir()]


class Maker:
    """Makes clean scores of what it is given; counts how often."""

    def __init__(self, reason=""):
        self.made, self.reason = 0, reason

    def __call__(self, path):
        self.made += 1
        if self.reason:
            raise ScoreReadError(path.name, self.reason)
        return b"clean " + path.read_bytes()[:7]


def test_a_clean_score_is_made_at_first_need_and_kept_beside_its_file(original, tmp_path):
    maker = Maker()
    store = FolderStore(tmp_path / "home" / "scores", Cleaner(3, maker))
    store.keep(original, source())
    for _ in range(2):
        assert store.clean_path_of(source()).read_bytes() == b"clean <score-"
    assert maker.made == 1
    assert clean_names(tmp_path) == [f"{source().sha256}-3.mxl"]
    store.remove(source())
    assert (names(tmp_path), clean_names(tmp_path)) == (["clean"], [])


def test_a_clean_score_that_came_with_the_study_is_not_made_again(original, tmp_path):
    store = FolderStore(tmp_path / "home" / "scores", Cleaner(3, Maker("it must not be read")))
    store.keep(original, source())
    store.keep_clean(source(), b"clean")
    assert store.clean_path_of(source()).read_bytes() == b"clean"


def test_a_clean_score_of_an_older_making_is_made_again(original, tmp_path):
    folder = tmp_path / "home" / "scores"
    old = FolderStore(folder, Cleaner(1, Maker()))
    old.keep(original, source())
    old.keep_clean(source(), b"old")
    new = FolderStore(folder, Cleaner(2, Maker()))
    assert new.clean_path_of(source()).read_bytes() == b"clean <score-"
    assert clean_names(tmp_path) == [f"{source().sha256}-2.mxl"]


def test_a_file_that_cannot_be_read_is_refused_each_time_and_tried_once(original, tmp_path):
    maker = Maker("it is damaged")
    store = FolderStore(tmp_path / "home" / "scores", Cleaner(1, maker))
    store.keep(original, source())
    for _ in range(2):
        with pytest.raises(ScoreReadError, match="damaged"):
            store.clean_path_of(source())
    assert maker.made == 1


def test_a_clean_score_without_its_file_is_not_found(tmp_path):
    with pytest.raises(NotFoundError):
        FolderStore(tmp_path, Cleaner(1, Maker())).clean_path_of(source())
