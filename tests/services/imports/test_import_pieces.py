"""Files of several movements: each becomes a piece, once, and a file that is one piece already stays one."""

from dataclasses import replace
from datetime import date

import pytest

from planner.errors import ExportError
from planner.services.imports.import_scores import import_paths
from planner.services.library.catalogue import remove_piece
from planner.study.version import STUDY_VERSION
from tests.fakes import FakeFiles, FakeLibrary, FakeStudies, at_a_door

DAY = date(2026, 9, 3)


@pytest.fixture
def desk(tmp_path):
    return Desk(tmp_path)


class Desk:
    """A folder with a suite of three movements and a song."""

    def __init__(self, folder):
        self.folder = folder
        self.library, self.files, self.studies = FakeLibrary(), FakeFiles(), FakeStudies()
        self.suite, self.song = folder / "suite.musicxml", folder / "song.musicxml"
        self.suite.write_text("Gigue|Air|Rondo")
        self.song.write_text("Song")

    def add(self, *paths, **options):
        return import_paths(
            paths or (self.folder,), source=self.studies, files=self.files, open_work=self.library, today=DAY,
            **options,
        )  # fmt: skip

    @property
    def pieces(self):
        return {piece.title: piece for piece in self.library.state.pieces.values()}


def test_each_movement_becomes_a_piece_and_a_whole_file_stays_whole(desk):
    report = desk.add()
    assert {piece.title: piece.source.name for piece in report.added} == {
        "Gigue": "suite-1.musicxml",
        "Air": "suite-2.musicxml",
        "Rondo": "suite-3.musicxml",
        "Song": "song.musicxml",
    }
    assert len(desk.files.kept) == 4
    gigue, song = desk.pieces["Gigue"].source, desk.pieces["Song"].source
    assert (gigue.path, gigue.whole_pieces) == (f"{desk.suite.resolve()}#suite-1.musicxml", 3)
    assert gigue.whole_sha256 == desk.pieces["Air"].source.whole_sha256 != ""
    assert (song.path, song.whole_sha256, song.whole_pieces) == (str(desk.song.resolve()), "", 0)


def test_adding_the_same_file_again_studies_nothing_and_adds_nothing(desk):
    desk.add()
    desk.studies.studied.clear()
    report = desk.add()
    assert (report.added, report.studied_again, report.replaced) == ((), (), ())
    assert report.unchanged == (desk.song, desk.suite)
    assert desk.studies.studied == []


def test_a_tune_that_stands_twice_in_a_book_is_one_piece(desk):
    desk.suite.write_text("Gigue|Air|Gigue")
    assert len(desk.add(desk.suite).added) == 2
    desk.studies.studied.clear()
    assert desk.add(desk.suite).unchanged == (desk.suite,)
    assert desk.studies.studied == []


def test_a_movement_that_was_removed_comes_back_alone(desk):
    desk.add()
    at_a_door(desk.library, remove_piece, desk.pieces["Air"].id)
    assert set(desk.pieces) == {"Gigue", "Rondo", "Song"}
    report = desk.add()
    assert [piece.title for piece in report.added] == ["Air"]
    assert report.unchanged == (desk.song,)
    assert desk.add().unchanged == (desk.song, desk.suite)


def test_a_new_export_of_a_movement_takes_its_place_and_the_others_stay(desk):
    desk.add(desk.suite)
    before = desk.pieces
    desk.suite.write_text("Gigue|AIR|Rondo")
    again = desk.add(desk.suite)
    assert again.added == ()
    assert [piece.id for piece in again.replaced] == [before["Air"].id]
    assert desk.add(desk.suite).unchanged == (desk.suite,)


def test_a_moved_file_takes_its_movements_along(desk):
    desk.add(desk.suite)
    moved = desk.folder / "moved" / "suite.musicxml"
    moved.parent.mkdir()
    desk.suite.rename(moved)
    assert desk.add(moved).unchanged == (moved,)
    assert desk.pieces["Air"].source.path == f"{moved.resolve()}#suite-2.musicxml"


def test_movements_with_an_older_study_are_studied_again(desk):
    desk.add(desk.suite)
    state = desk.library.state
    for piece in desk.pieces.values():
        state.profiles[piece.id] = replace(state.profiles[piece.id], study_version=STUDY_VERSION - 1)
    report = desk.add(desk.suite)
    assert sorted(piece.title for piece in report.studied_again) == ["Air", "Gigue", "Rondo"]


def test_a_file_that_is_to_stay_one_piece_does_and_goes_on_to(desk):
    report = desk.add(desk.suite, as_one=True)
    assert [piece.title for piece in report.added] == ["Gigue|Air|Rondo"]
    assert desk.add(desk.suite).unchanged == (desk.suite,)
    desk.suite.write_text("Gigue|Air|RONDO")
    assert [piece.title for piece in desk.add(desk.suite).replaced] == ["Gigue|Air|RONDO"]
    assert len(desk.pieces) == 1


def test_a_movement_that_cannot_be_written_ends_the_run(desk, monkeypatch):
    def full(path, data):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.write_bytes", full)
    with pytest.raises(ExportError, match="no space left"):
        desk.add(desk.suite)
    assert desk.pieces == {}
