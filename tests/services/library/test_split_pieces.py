"""Files of several movements, added as pieces of their own."""

from dataclasses import dataclass
from datetime import date

import pytest

from planner.core.issue import Issue, valued
from planner.errors import ScoreReadError
from planner.services.library.import_scores import import_paths
from planner.services.library.split_pieces import import_split, list_holding_several
from planner.services.ports import Studied
from tests.fakes import FakeFiles, FakeLibrary, FakeStudies, at_a_door, make_profile

DAY = date(2026, 9, 3)


@dataclass(frozen=True)
class Cut:
    title: str
    data: bytes


def cut_at_bars(path):
    """A faked cutter: pieces are parted by ``|``; an unreadable file begins with ``bad``."""
    text = path.read_text()
    if text.startswith("bad"):
        raise ScoreReadError(path.name, "it is damaged")
    return [Cut(piece, piece.encode()) for piece in text.split("|")]


@pytest.fixture
def desk(tmp_path):
    (tmp_path / "suite.musicxml").write_text("Gigue|Air|bad movement")
    (tmp_path / "song.musicxml").write_text("Song")
    (tmp_path / "torn.musicxml").write_text("bad")
    return {"source": FakeStudies(), "files": FakeFiles(), "open_work": FakeLibrary(), "today": DAY}, tmp_path


def test_each_movement_becomes_a_piece_and_a_whole_file_stays_whole(desk):
    ports, folder = desk
    report = import_split([folder], cutter=cut_at_bars, **ports)
    names = {piece.title: piece.source.name for piece in report.added}
    assert names == {"Gigue": "suite-1.musicxml", "Air": "suite-2.musicxml", "Song": "song.musicxml"}
    assert len(ports["files"].kept) == 3


def test_what_is_refused_is_said_of_the_file_the_director_named(desk):
    ports, folder = desk
    report = import_split([folder, folder / "absent.mxl"], cutter=cut_at_bars, **ports)
    assert {(refusal.path.name, refusal.sentence.split(": ")[0]) for refusal in report.refused} == {
        ("torn.musicxml", "torn.musicxml"),
        ("absent.mxl", f"There is no file or folder {folder / 'absent.mxl'}."),
        ("suite.musicxml", "suite-3.musicxml"),
    }


def test_adding_the_same_file_again_adds_nothing(desk):
    ports, folder = desk
    import_split([folder], cutter=cut_at_bars, **ports)
    report = import_split([folder], cutter=cut_at_bars, **ports)
    assert report.added == ()
    assert report.unchanged == (folder / "song.musicxml", folder / "suite.musicxml")


def test_a_new_export_of_a_movement_takes_its_place(desk):
    ports, folder = desk
    first = import_split([folder / "suite.musicxml"], cutter=cut_at_bars, **ports)
    (folder / "suite.musicxml").write_text("Gigue|AIR")
    again = import_split([folder / "suite.musicxml"], cutter=cut_at_bars, **ports)
    assert again.added == ()
    assert [p.id for p in again.replaced] == [p.id for p in first.added if p.title == "Air"]


def test_a_file_that_holds_several_and_was_added_as_one_is_pointed_out(desk):
    ports, folder = desk
    several = Issue("several-movements", "warning", values=valued(movements=2))
    ports["source"].study_files = lambda paths, progress=None: iter(
        [(0, Studied(make_profile("Song", issues=(several,)), b"clean"))]
    )
    report = import_paths([folder / "song.musicxml"], **ports)
    assert at_a_door(ports["open_work"], list_holding_several, report.added) == [
        "song.musicxml: The file holds 2 movements; "
        "add them as separate pieces to study and plan each by itself."
    ]
